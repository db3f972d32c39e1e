//! Where units stand: stations, racks, repair bays; and how they move between them.

use super::{CrewId, Line, Need, PlaceId, SegmentId, ZoneId};
use crate::diagnostic::Span;
use crate::units::Time;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PlaceKind {
    Station,
    /// A station without crew: units wait and hold there.
    Rack,
    /// Off the line; reached only from tests that send units there, and from stations that pull them off. Its queue
    /// is unlimited.
    Repair,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Place {
    pub name: String,
    pub label: Option<String>,
    pub kind: PlaceKind,
    /// Places for units, 1 or more.
    pub bays: u32,
    /// Waiting places before it, first in first out; 0 inside a pushed segment save at its entrance.
    pub slots: u32,
    pub crew: Option<CrewId>,
    /// `None` for a repair bay.
    pub segment: Option<SegmentId>,
    /// A freed place goes to returning units before new ones (the default).
    pub returns_first: bool,
    /// Factor on the times of the tasks that stand here; holds and tests marked `safety` keep theirs.
    pub times: f64,
    /// What people walk to a unit here who come from another one, or from elsewhere.
    pub walk: Time,
    /// Units leave along the line in the order in which they came, whichever bay is done first.
    pub ordered: bool,
    /// In a pushed segment: how much of its work its crew may finish in the next place; zero if none.
    pub drift: Time,
    /// How long before the signal its crew may begin on the unit in the place behind; zero if it never does.
    pub early: Time,
    /// In a segment with a signal: the repair place to which a unit goes that is not done then.
    pub pulls_to: Option<PlaceId>,
    /// Number of the hours that hold here, as `Line::calendar_of` has them: 0 the line's.
    pub hours: u16,
    pub span: Span,
}

impl Place {
    /// People work here on units that pass: no rack and no repair bay.
    pub fn is_station(&self) -> bool {
        match self.kind {
            PlaceKind::Station => true,
            PlaceKind::Rack | PlaceKind::Repair => false,
        }
    }
}

impl Line {
    /// Places the fullness of which goes by the hour of the week: units wait there through nights, in racks, for
    /// repair, or in a hold that goes by the clock. None without shifts.
    pub fn places_over_the_week(&self) -> Vec<bool> {
        let mut waits: Vec<bool> = self.places.iter().map(|place| !place.is_station()).collect();
        for step in &self.steps {
            waits[step.place.index()] |= step.hold().is_some_and(|hold| !hold.attended);
        }
        waits.iter().map(|waits| *waits && self.calendar.is_some()).collect()
    }

    /// Units may be pushed on from a place with a little of their work left.
    pub fn drifts(&self, place: usize) -> bool {
        self.places[place].drift > Time::ZERO
    }

    /// Units may be pushed on from a place with something that runs: a little of its work, or holds that may move.
    pub fn moves_on(&self, place: usize) -> bool {
        let may_move = |step: &super::Step| step.hold().is_some_and(|hold| hold.may_move);
        self.drifts(place) || self.steps.iter().any(|step| step.place.index() == place && may_move(step))
    }

    /// The crew of a place may begin on the unit in the place behind.
    pub fn begins_early(&self, place: usize) -> bool {
        self.places.get(place).is_some_and(|place| place.early > Time::ZERO)
    }

    /// Some crew drifts, one way or the other, or some hold may move.
    pub fn has_drift(&self) -> bool {
        let holds = || self.steps.iter().any(|step| step.hold().is_some_and(|hold| hold.may_move));
        (0..self.places.len()).any(|place| self.drifts(place) || self.begins_early(place)) || holds()
    }

    /// Somebody may be on the way to a unit.
    pub fn has_walks(&self) -> bool {
        let called = self.helping.iter().any(|helping| helping.answering > Time::ZERO);
        called || self.places.iter().any(|place| place.walk > Time::ZERO)
    }

    /// People move the units of some segment.
    pub fn has_movers(&self) -> bool {
        self.segments.iter().any(|segment| !segment.movers.is_empty())
    }

    /// Puts every step at its place of `at`, with the times that it takes there.
    pub fn place_steps(&mut self, at: &[PlaceId]) {
        self.steps.iter_mut().zip(at).for_each(|(step, place)| step.place = *place);
        self.scale_times();
    }

    /// Puts one step at a place, with the times that it takes there; `guarded` as [`Line::is_guarded`] has it.
    pub fn place_step(&mut self, step: usize, place: PlaceId, guarded: bool) {
        let times = if guarded { 1.0 } else { self.places[place.index()].times };
        let step = &mut self.steps[step];
        step.place = place;
        step.times.iter_mut().for_each(|time| time.factor = time.own * times);
    }

    /// The line with the factors of its stations on their tasks.
    #[must_use]
    pub fn with_station_times(mut self) -> Line {
        self.scale_times();
        self
    }

    /// Puts the factor of its station on every task; holds and tests marked `safety` keep their times.
    pub fn scale_times(&mut self) {
        let guarded: Vec<bool> = (0..self.steps.len()).map(|step| self.is_guarded(step)).collect();
        for (step, guarded) in guarded.into_iter().enumerate() {
            self.place_step(step, self.steps[step].place, guarded);
        }
    }

    /// No factor of a station acts on it: a hold, or part of a test marked `safety`.
    pub fn is_guarded(&self, step: usize) -> bool {
        let in_test = |test: &super::Test| test.safety && test.steps.iter().any(|s| s.index() == step);
        self.steps[step].hold().is_some() || self.tests.iter().any(in_test)
    }
}

impl Line {
    /// The pushed segment in which a place stands behind others: there is no room to wait before it.
    pub fn inside_a_push(&self, place: PlaceId) -> Option<SegmentId> {
        let id = self.places[place.index()].segment?;
        let segment = &self.segments[id.index()];
        (segment.rule.is_pushed() && segment.first != place).then_some(id)
    }
}

/// A stretch of the line that moves by one rule.
#[derive(Clone, PartialEq, Debug)]
pub struct Segment {
    /// Empty for stretches that the file leaves to the default.
    pub name: String,
    pub first: PlaceId,
    pub last: PlaceId,
    pub rule: MoveRule,
    /// Where it is pushed: who moves the units, people of the crews that serve its places. Empty: nobody.
    pub movers: Vec<Need>,
    pub span: Span,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum MoveRule {
    /// A unit leaves when done and there is room; one move lasts `moving`.
    WhenReady { moving: Time },
    /// All units move at once as soon as every station is ready; `index` is the length of the move.
    PushedWhenReady { index: Time },
    /// The signal falls `every` - `index` after the end of the last push, in net time; on the grid, at
    /// the shift's start and k x `every`, in net time. Work that is not done holds the line unless it may
    /// travel.
    PushedEvery { every: Time, index: Time, on_the_grid: bool, late_work: LateWork },
}

/// What becomes of work that is not done when the signal falls.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LateWork {
    /// The line waits for it.
    HoldsTheLine,
    /// Tasks that may travel go on at the next places, at most so many open on one unit.
    Travels { most: Option<u32> },
}

impl MoveRule {
    pub fn is_pushed(self) -> bool {
        match self {
            MoveRule::WhenReady { .. } => false,
            MoveRule::PushedWhenReady { .. } | MoveRule::PushedEvery { .. } => true,
        }
    }

    pub fn late_work_travels(self) -> bool {
        match self {
            MoveRule::PushedEvery { late_work: LateWork::Travels { .. }, .. } => true,
            MoveRule::PushedEvery { late_work: LateWork::HoldsTheLine, .. }
            | MoveRule::PushedWhenReady { .. }
            | MoveRule::WhenReady { .. } => false,
        }
    }

    /// Length of one move.
    pub fn index(self) -> Time {
        match self {
            MoveRule::WhenReady { moving } => moving,
            MoveRule::PushedWhenReady { index } | MoveRule::PushedEvery { index, .. } => index,
        }
    }
}

/// A part of the unit where people work.
#[derive(Clone, PartialEq, Debug)]
pub struct Zone {
    pub name: String,
    pub label: Option<String>,
    pub span: Span,
}

/// At most so many people in some zones of one unit together.
#[derive(Clone, PartialEq, Debug)]
pub struct RoomCap {
    pub name: String,
    /// `None`: on the whole unit, wherever they work.
    pub zones: Option<Vec<ZoneId>>,
    pub people: u32,
    /// Another number at these stations.
    pub at: Vec<(PlaceId, u32)>,
    pub span: Span,
}

impl RoomCap {
    /// Its people count against the cap, or may.
    pub fn counts(&self, step: &super::Step) -> bool {
        self.zones.as_ref().is_none_or(|zones| zones.iter().any(|zone| step.may_be_in(*zone)))
    }

    /// Its people count against the cap in the zone that it takes now.
    pub fn counts_now(&self, step: &super::Step) -> bool {
        self.zones.as_ref().is_none_or(|zones| step.zones.iter().any(|zone| zones.contains(zone)))
    }

    /// The cap in force at `place`.
    pub fn people_at(&self, place: PlaceId) -> u32 {
        self.at.iter().find(|(p, _)| *p == place).map_or(self.people, |(_, n)| *n)
    }
}
