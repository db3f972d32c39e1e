//! What the follower knows of one unit: where it stands, what is done on it, what it must do next.

use std::collections::VecDeque;
use taktwright::line::{CrewId, Line, ModelId, OutcomeKind, PlaceId, PlaceKind, StepId, TestId};
use taktwright::simulate::Spot;
use taktwright::units::Time;

/// What runs on a unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum What {
    Step(StepId),
    Fix(TestId),
}

#[derive(Clone, Debug)]
pub struct Running {
    pub what: What,
    pub started: Time,
    pub ends: Time,
    pub length: Time,
    pub crew: Option<(CrewId, u16)>,
    pub people: u128,
    /// What is left of it while it pauses (a stop, or nobody goes on with it): net time of work, the
    /// whole of a hold.
    pub paused: Option<Time>,
    /// People with whom it began.
    pub heads: u32,
    /// Its people came along with the unit from the place before.
    pub carried: bool,
    /// The crew of the next place has begun it here.
    pub early: bool,
    /// Its people have set out and are not there yet: those of them who walk.
    pub walkers: Option<u128>,
    /// How long it fetches equipment once they are there.
    pub way: Time,
    /// Keeps that began as they set out.
    pub opened: Vec<usize>,
}

impl Running {
    /// People began it and nobody goes on with it.
    pub fn is_unmanned(&self) -> bool {
        self.heads > 0 && self.people == 0
    }
}

/// What a failed verdict asks for and what has not happened yet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Asked {
    /// Work on the unit, where it stands, after outcome so many of the test.
    Fix(TestId, usize),
    /// Away from the bay, along its route.
    Leave,
    Scrap,
    SetAside,
}

#[derive(Clone, Default, Debug)]
pub struct TestNow {
    pub attempts: u32,
    pub passed: bool,
    pub ever_failed: bool,
    /// Its last fail was a false alarm.
    pub alarmed: bool,
}

/// A hold that runs or has ended, until a step that follows starts or the unit moves.
#[derive(Clone, Debug)]
pub struct HoldNow {
    pub step: StepId,
    pub started: Time,
    pub ended: bool,
}

#[derive(Clone, Default, Debug)]
pub struct WindowNow {
    pub opened: Option<Time>,
    /// Judged at the end of its closing step and found late: the miss must be said at once.
    pub late: bool,
}

pub struct Unit {
    pub model: ModelId,
    pub options: u64,
    /// Of a part: it is the first one of its lot.
    pub first_of_lot: bool,
    /// Net time since which the crew of the next place has begun something on it.
    pub early_since: Option<Time>,
    pub released: Time,
    /// Entered its first waiting place or bay, and its first bay.
    pub on_line: Option<Time>,
    pub in_bay: Option<Time>,
    /// Stood in the line at the start.
    pub from_start: bool,
    pub spot: Spot,
    pub arrives: Time,
    /// When it took its spot.
    pub entered: Time,
    /// How many bays it has entered.
    pub stays: u32,
    pub done: Vec<bool>,
    pub visits: Vec<u32>,
    /// Steps undone by a window: the place where they are done again, and the window.
    pub again: Vec<Option<(PlaceId, usize)>>,
    /// Work that it brings along: what is left (`NEVER`: all of it).
    pub travels: Vec<Option<Time>>,
    pub running: Vec<Running>,
    pub tests: Vec<TestNow>,
    /// Tests that passed it though it is faulty, until another finds it.
    pub escaped: Vec<taktwright::line::TestId>,
    pub asked: Option<Asked>,
    /// Work wanted in the repair bay at the head of the route.
    pub mend: Option<(TestId, usize)>,
    /// Places still to visit before the line goes on, the test's own last.
    pub route: VecDeque<PlaceId>,
    /// The station at which it was pulled off the line, until it is back.
    pub off: Option<PlaceId>,
    /// Stands where it stands as a returning unit.
    pub returning: bool,
    /// When the last thing to be done at its place was done.
    pub done_at: Option<Time>,
    pub windows: Vec<WindowNow>,
    pub kept: Vec<bool>,
    pub uses: Vec<u32>,
    /// Per gate: its own faults, and tests that let through what it has found besides.
    pub faults: Vec<(u32, Vec<TestId>)>,
    /// Per step, where a gate says so: faults that it mends.
    pub mends: Vec<Option<u32>>,
    /// Which lane of each group it takes, once that is known.
    pub lanes: Vec<Option<usize>>,
    /// The way in which it stands, by its number.
    pub stands: Option<usize>,
    /// Stands on one of these carriers.
    pub carried: Vec<bool>,
    pub holds: Vec<HoldNow>,
}

impl Unit {
    pub fn new(line: &Line, model: ModelId, options: u64, at: Time) -> Unit {
        let steps = line.steps.len();
        Unit {
            model,
            options,
            first_of_lot: false,
            early_since: None,
            released: at,
            on_line: None,
            in_bay: None,
            stays: 0,
            from_start: false,
            spot: Spot::Outside(PlaceId(0)),
            arrives: at,
            entered: at,
            done: vec![false; steps],
            visits: vec![0; steps],
            again: vec![None; steps],
            travels: vec![None; steps],
            running: Vec::new(),
            tests: vec![TestNow::default(); line.tests.len()],
            escaped: Vec::new(),
            asked: None,
            mend: None,
            route: VecDeque::new(),
            off: None,
            returning: false,
            done_at: Some(at),
            windows: vec![WindowNow::default(); line.windows.len()],
            kept: vec![false; line.keeps.len()],
            uses: vec![0; line.equipment.len()],
            faults: vec![(0, Vec::new()); line.gates.len()],
            mends: vec![None; steps],
            lanes: vec![None; line.lanes.len()],
            stands: super::standing::first(line),
            carried: vec![false; line.carriers.len()],
            holds: Vec::new(),
        }
    }

    pub fn bay(&self) -> Option<(PlaceId, u16)> {
        match self.spot {
            Spot::Bay(place, bay) => Some((place, bay)),
            Spot::Slot(_) | Spot::Outside(_) => None,
        }
    }

    /// A step that mends faults is done on units that have some.
    pub fn applies(&self, line: &Line, step: StepId) -> bool {
        self.mends[step.index()] != Some(0) && self.applies_at_all(line, step)
    }

    /// By its model, its options and its lanes.
    pub fn applies_at_all(&self, line: &Line, step: StepId) -> bool {
        if !self.comes_to(line, line.steps[step.index()].place) {
            return false;
        }
        let step = &line.steps[step.index()];
        (self.first_of_lot || !step.once_a_lot)
            && step.models[self.model.index()]
            && step.options.iter().all(|o| self.options >> o.index() & 1 == 1)
    }

    /// A test counts for the unit if any step of its procedure does.
    pub fn is_tested(&self, line: &Line, test: TestId) -> bool {
        line.tests[test.index()].steps.iter().any(|s| self.applies(line, *s))
    }

    /// What had begun at an earlier place: it goes on, and has its parts.
    pub fn has_begun_elsewhere(&self, step: StepId) -> bool {
        self.travels[step.index()].is_some_and(|left| left != Time::NEVER)
    }

    /// Where a step is done on this unit.
    pub fn place_of(&self, line: &Line, step: StepId) -> PlaceId {
        // Off the line nothing but the repair is done, and what was open on a unit that was pulled off; before its own
        // place nobody does it, and a crew that cannot lets it pass.
        if let (Some(_), Some((place, _))) = (self.travels[step.index()], self.bay())
            && (self.off.is_some()
                || place >= line.steps[step.index()].place
                    && super::travel::can_be_done_at(line, step, place)
                    && line.places[place.index()].kind != PlaceKind::Repair)
        {
            return place;
        }
        self.again[step.index()].map_or(line.steps[step.index()].place, |(place, _)| place)
    }

    pub fn is_running(&self, what: What) -> bool {
        self.running.iter().any(|r| r.what == what)
    }

    /// Every step before `step` is done; one that does not apply is done when those before it are;
    /// one that belongs to a test (and `step` does not) asks for a pass.
    pub fn may_follow(&self, line: &Line, step: StepId) -> bool {
        !self.is_behind_brought(line, step) && self.has_its_steps(line, step)
    }

    /// Something comes before it, by whatever way, that the unit brings along undone, or that its crew goes on with.
    fn is_behind_brought(&self, line: &Line, step: StepId) -> bool {
        let carried =
            |step: StepId| self.running.iter().any(|run| run.carried && run.what == What::Step(step));
        let brought = |before: &StepId| {
            self.travels[before.index()].is_some() && !self.done[before.index()] || carried(*before)
        };
        let after = &line.steps[step.index()].after;
        after.iter().any(|before| brought(before) || self.is_behind_brought(line, *before))
    }

    fn has_its_steps(&self, line: &Line, step: StepId) -> bool {
        line.steps[step.index()].after.iter().all(|before| {
            let waits_for_pass = (0..line.tests.len()).any(|t| {
                let test = &line.tests[t];
                test.steps.contains(before)
                    && !test.steps.contains(&step)
                    && self.is_tested(line, TestId::from_index(t))
                    && !self.tests[t].passed
            });
            let done = match self.applies(line, *before) {
                true => self.done[before.index()],
                false => self.has_its_steps(line, *before),
            };
            done && !waits_for_pass
        })
    }

    /// Could start now as far as the unit is concerned.
    pub fn is_ready(&self, line: &Line, step: StepId, place: PlaceId) -> bool {
        self.place_of(line, step) == place
            && !self.done[step.index()]
            && self.applies(line, step)
            && !self.is_running(What::Step(step))
            && self.may_follow(line, step)
            && !self.is_barred(line, step)
    }

    /// A failed unit's test waits for what the verdict asked for.
    fn is_barred(&self, line: &Line, step: StepId) -> bool {
        match self.asked {
            None => false,
            Some(Asked::Fix(test, _)) => line.tests[test.index()].steps.contains(&step),
            Some(Asked::Leave | Asked::Scrap | Asked::SetAside) => true,
        }
    }

    /// Nothing is left to do on it at `place`.
    pub fn is_done_at(&self, line: &Line, place: PlaceId) -> bool {
        self.running.iter().all(|run| run.early)
            && self.asked.is_none()
            && (self.mend.is_none() || line.places[place.index()].kind != PlaceKind::Repair)
            && (0..line.steps.len())
                .map(StepId::from_index)
                .all(|s| self.done[s.index()] || self.place_of(line, s) != place || !self.applies(line, s))
            && (0..line.tests.len()).map(TestId::from_index).all(|t| {
                line.tests[t.index()].place != place
                    || self.tests[t.index()].passed
                    || !self.is_tested(line, t)
            })
    }

    /// The steps of a test are to be done again.
    pub fn undo_test(&mut self, line: &Line, test: TestId) {
        self.tests[test.index()].passed = false;
        for step in &line.tests[test.index()].steps {
            self.done[step.index()] = false;
        }
    }

    /// Sends the unit along the route of an outcome.
    pub fn send(&mut self, line: &Line, test: TestId, index: usize) {
        let (own, outcome) = (line.tests[test.index()].place, &line.tests[test.index()].outcomes[index].kind);
        self.route.clear();
        match outcome {
            OutcomeKind::FixedInPlace(_) => self.asked = Some(Asked::Fix(test, index)),
            OutcomeKind::Scrapped => self.asked = Some(Asked::Scrap),
            OutcomeKind::Retest { in_place: true } => {}
            OutcomeKind::Retest { in_place: false } => {
                self.route.push_back(own);
                self.asked = Some(Asked::Leave);
            }
            OutcomeKind::BackTo { route } => {
                self.follow_route(line, route);
                self.route.push_back(own);
                self.asked = Some(Asked::Leave);
            }
            OutcomeKind::ToRepair { place, route, .. } => {
                self.route.push_back(*place);
                self.mend = Some((test, index));
                self.follow_route(line, route);
                self.route.push_back(own);
                self.asked = Some(Asked::Leave);
            }
        }
    }

    fn follow_route(&mut self, line: &Line, route: &[taktwright::line::Revisit]) {
        for stop in route {
            self.route.push_back(stop.place);
            for step in &stop.redo {
                self.done[step.index()] = false;
            }
        }
        // A test whose whole procedure is redone must be passed again.
        for (t, test) in line.tests.iter().enumerate() {
            let redone = |s: &StepId| route.iter().any(|stop| stop.redo.contains(s));
            if test.steps.iter().filter(|s| self.applies(line, **s)).all(redone) {
                self.tests[t].passed = false;
            }
        }
    }
}
