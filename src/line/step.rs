//! What is done to a unit: tasks, holds, tests, windows, kept equipment.

use super::{
    Dist, EquipmentId, ModelId, Need, OptionId, PartId, PlaceId, Shared, StepId, Warmth, WrongVerdicts,
    ZoneId,
};
use crate::diagnostic::Span;
use crate::units::Time;

#[derive(Clone, PartialEq, Debug)]
pub enum StepKind {
    /// People work (or nobody: a step without people needs no crew but attended time).
    Task,
    /// A minimum on the clock, without people; through breaks and nights unless `attended`.
    Hold(Hold),
}

#[derive(Clone, PartialEq, Debug)]
pub struct Hold {
    /// Never shorter than this, whatever is drawn.
    pub minimum: Time,
    /// The minimum is fixed by safety or quality: nothing may go below it.
    pub safety: bool,
    /// Runs in attended time only.
    pub attended: bool,
    /// In a pushed segment: it runs on while its unit goes to the next place, where it ends.
    pub may_move: bool,
    /// How warm it must be; `None` where it does not matter.
    pub warm: Option<Warmth>,
}

/// What work does where a break, or the end of the shift, comes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AtBreaks {
    /// It rests, and goes on afterwards.
    Rests,
    /// People finish it first.
    Through,
    /// It is begun only if its mean time fits before.
    OnlyIfItFits,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    pub name: String,
    pub label: Option<String>,
    pub kind: StepKind,
    pub place: PlaceId,
    /// Per model: does it apply?
    pub models: Vec<bool>,
    /// Applies only to units with all of these.
    pub options: Vec<OptionId>,
    /// Only for the first part of each lot of its feeder.
    pub once_a_lot: bool,
    /// In file order; same or earlier place.
    pub after: Vec<StepId>,
    /// Per model: how long (microseconds). A hold without a draw has its minimum as a constant.
    pub times: Vec<TimeFor>,
    /// Per model: who. Empty: nobody.
    pub needs: Vec<Vec<Need>>,
    /// Never with fewer people than that; otherwise a crew that is too small goes on with those who
    /// are there.
    pub exactly: bool,
    pub at_breaks: AtBreaks,
    /// More people may share it; `None` where the number is exact.
    pub shared: Option<Shared>,
    pub equipment: Vec<(EquipmentId, u32)>,
    /// Parts taken from their stores, all of them at every start. Empty for a hold.
    pub uses: Vec<(PartId, u32)>,
    pub zones: Vec<ZoneId>,
    /// The zones of which its people take one, which is in `zones`; empty where there is nothing to choose.
    pub sides: Vec<ZoneId>,
    /// It may go on at later places when its segment is pushed before it is done.
    pub travel: Option<Travel>,
    /// The repair places where it may be gone on with when its unit is pulled off the line.
    pub off_line: Vec<PlaceId>,
    /// Balancing leaves it where it is.
    pub stays: bool,
    /// The stations where balancing may put it, in line order; anywhere if empty.
    pub may_stand: Vec<PlaceId>,
    /// Steps at the same place, as far as this one says so.
    pub beside: Vec<StepId>,
    /// Steps at other places, as far as this one says so.
    pub apart: Vec<StepId>,
    /// The name under which its random draws are made (its own unless `draws as`).
    pub draws_as: String,
    pub span: Span,
}

/// How far unfinished work may travel.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Travel {
    /// The last place where it may be done: the line holds rather than let the unit pass it.
    pub to: PlaceId,
    /// On what is left of its time, once, when it leaves its own place.
    pub factor: f64,
}

/// A draw of `dist` times `factor`, rounded half to even.
#[derive(Clone, PartialEq, Debug)]
pub struct TimeFor {
    pub dist: Dist,
    /// All in all: its own, and that of its station.
    pub factor: f64,
    /// Without that of its station.
    pub own: f64,
}

impl Step {
    /// Its people stand there, or may.
    pub fn may_be_in(&self, zone: ZoneId) -> bool {
        self.zones.contains(&zone) || self.sides.contains(&zone)
    }

    pub fn applies_to(&self, model: ModelId) -> bool {
        self.models[model.index()]
    }

    pub fn hold(&self) -> Option<&Hold> {
        match &self.kind {
            StepKind::Hold(hold) => Some(hold),
            StepKind::Task => None,
        }
    }
}

/// A procedure (named steps at one place) and a verdict.
#[derive(Clone, PartialEq, Debug)]
pub struct Test {
    pub name: String,
    pub label: Option<String>,
    pub place: PlaceId,
    /// The procedure, in file order; never empty. The verdict falls when all of them are done;
    /// steps of the place that follow one of them and are not among them wait for a pass.
    pub steps: Vec<StepId>,
    /// Per model: share that passes at the first attempt and at later ones.
    pub passes: Vec<(f64, f64)>,
    /// Shares sum to 1; empty only if every share of `passes` is 1.
    pub outcomes: Vec<FailOutcome>,
    /// After so many attempts a failed unit is set aside.
    pub most_tries: Option<u32>,
    pub wrong: WrongVerdicts,
    pub safety: bool,
    pub draws_as: String,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub struct FailOutcome {
    pub share: f64,
    pub kind: OutcomeKind,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub enum OutcomeKind {
    /// The bay stays occupied, people of the station's crew work; then the test again, in place.
    FixedInPlace(Fix),
    /// Back to the first place of the route, on along it, then the test again, rejoining its queue.
    BackTo { route: Vec<Revisit> },
    /// To a repair bay off the line, worked on there, along the route (may be empty), then the test
    /// again, rejoining its queue.
    ToRepair { place: PlaceId, fix: Fix, route: Vec<Revisit> },
    /// Leaves the line, counted as scrap.
    Scrapped,
    /// The test again at once, in place or from its queue, with nothing done to the unit.
    Retest { in_place: bool },
}

/// Work on a unit that failed its test.
#[derive(Clone, PartialEq, Debug)]
pub struct Fix {
    pub time: Dist,
    pub needs: Vec<Need>,
    /// More people may share it, alike for all models; `None` where the number is exact.
    pub shared: Option<Shared>,
}

impl OutcomeKind {
    /// A step is done again on its route.
    pub fn redoes(&self, step: StepId) -> bool {
        match self {
            OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => {
                route.iter().any(|visit| visit.redo.contains(&step))
            }
            OutcomeKind::FixedInPlace { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => false,
        }
    }

    /// What is done to the unit, in its bay or off the line.
    pub fn fix(&self) -> Option<&Fix> {
        match self {
            OutcomeKind::FixedInPlace(fix) | OutcomeKind::ToRepair { fix, .. } => Some(fix),
            OutcomeKind::BackTo { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => None,
        }
    }
}

/// A place that a returning unit visits again and the steps redone there (file order).
#[derive(Clone, PartialEq, Debug)]
pub struct Revisit {
    pub place: PlaceId,
    pub redo: Vec<StepId>,
}

/// `window A end to B start within T, else redo ...`, in clock time.
#[derive(Clone, PartialEq, Debug)]
pub struct Window {
    pub opens: StepId,
    /// Opens at the end of `opens` (else at its start).
    pub opens_at_end: bool,
    pub closes: StepId,
    /// Judged when `closes` ends (else when it starts).
    pub judged_at_end: bool,
    pub limit: Time,
    /// Done again, at the place of `closes`, by the crew there; then the undone steps between.
    pub redo: Vec<StepId>,
    /// Steps from `opens` to `closes` that are undone by a miss (file order; holds `opens` and the
    /// redone ones, not `closes` itself unless judged at its end).
    pub undone: Vec<StepId>,
    /// Time and people of the redo where they differ from the first time; for the first redo step.
    pub redo_time: Option<Dist>,
    pub redo_needs: Option<Vec<Need>>,
    /// More people than `redo_needs` may share it.
    pub redo_shared: Option<Shared>,
    pub span: Span,
}

impl Window {
    /// Itself, where this step is the one to which the time and the people of its redo belong.
    pub fn redo_of(&self, step: u32) -> Option<&Window> {
        self.redo.first().is_some_and(|first| first.0 == step).then_some(self)
    }
}

/// Equipment held from the start of the first to the end of the last step.
#[derive(Clone, PartialEq, Debug)]
pub struct Keep {
    pub equipment: EquipmentId,
    pub from: StepId,
    pub to: StepId,
    pub span: Span,
}
