//! A listener that sees everything that happens in a run; compiled away when unused.
//!
//! Tests feed an independent checker with it; traces of "why did it wait" use it too. Units are
//! named by their number (0 for the first released; a full start numbers the units in the line
//! before the first release).

use super::BayState;
use crate::line::{CrewId, GroupId, ModelId, PartId, PlaceId, SegmentId, StepId, TestId};
use crate::schedule::Lack;
use crate::units::Time;

/// Where a unit stands.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Spot {
    /// A bay of a place.
    Bay(PlaceId, u16),
    /// A waiting place before it.
    Slot(PlaceId),
    /// Outside: before the line (released, not yet on), or waiting to re-enter at a place.
    Outside(PlaceId),
}

/// What is amiss with a part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Flaw {
    Short,
    Wrong,
    /// The unit was overtaken by one of another model, and its part is re-kitted since then.
    OutOfTurn,
}

/// One thing that happened.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Event {
    /// A unit exists from now on; it waits outside the first place. `options`: bit k = option k.
    Released {
        unit: u64,
        model: ModelId,
        options: u64,
    },
    /// A feeder begins a part, which waits outside its first place.
    Begun {
        unit: u64,
        part: PartId,
        model: ModelId,
    },
    /// A part is done and leaves its feeder for the truck.
    Made {
        unit: u64,
        part: PartId,
    },
    /// A unit left `from` and stands at `to` from now on; into a bay it arrives at `arrives`
    /// (later than now if the move takes time).
    Moved {
        unit: u64,
        from: Spot,
        to: Spot,
        arrives: Time,
    },
    /// All places of a segment moved (the single moves follow as `Moved`).
    Pushed {
        segment: SegmentId,
    },
    /// A step started; it takes `people` (bit k = k-th person of crew `crew` of bay-crew `gang`)
    /// and ends at `ends` on the clock. `visit` counts starts of this step on this unit from 0.
    StepStarted {
        unit: u64,
        step: StepId,
        place: PlaceId,
        bay: u16,
        visit: u32,
        crew: Option<(CrewId, u16)>,
        people: u128,
        length: Time,
        ends: Time,
    },
    /// The segment is pushed and the unit takes a task along: `left` of it is to be done elsewhere
    /// (`Time::NEVER`: all of it).
    TakenAlong {
        unit: u64,
        step: StepId,
        place: PlaceId,
        bay: u16,
        left: Time,
    },
    /// The segment is pushed, and these people move its units until then.
    MovesUnits {
        segment: SegmentId,
        crew: CrewId,
        gang: u16,
        people: u128,
        until: Time,
    },
    /// The segment is pushed and the unit moves on while this task runs on it: its people go along, and
    /// `left` of it, in net time, is done when it has arrived.
    Drifted {
        unit: u64,
        step: StepId,
        place: PlaceId,
        bay: u16,
        left: Time,
    },
    /// A step, or the fix after a test, that is ready stays on the list, and this is the first need that it lacks.
    Lacks {
        unit: u64,
        what: Result<StepId, TestId>,
        place: PlaceId,
        lack: Lack,
    },
    /// A step, or the fix after a test, has what it needs, and these people set out for it, of whom some walk:
    /// it starts when they arrive.
    SetOut {
        unit: u64,
        what: Result<StepId, TestId>,
        place: PlaceId,
        bay: u16,
        crew: (CrewId, u16),
        people: u128,
        walkers: u128,
        arrive: Time,
    },
    StepEnded {
        unit: u64,
        step: StepId,
        place: PlaceId,
        bay: u16,
    },
    /// Work on a failed unit, in place or in a repair bay.
    FixStarted {
        unit: u64,
        test: TestId,
        place: PlaceId,
        bay: u16,
        crew: Option<(CrewId, u16)>,
        people: u128,
        length: Time,
        ends: Time,
    },
    FixEnded {
        unit: u64,
        test: TestId,
        place: PlaceId,
        bay: u16,
    },
    /// Work or a hold pauses: `step`, or the fix of a fail of `test`.
    Paused {
        unit: u64,
        step: Option<StepId>,
        test: Option<TestId>,
        place: PlaceId,
        bay: u16,
    },
    /// It goes on (a hold: is begun again whole) and ends at `ends`.
    WentOn {
        unit: u64,
        step: Option<StepId>,
        test: Option<TestId>,
        place: PlaceId,
        bay: u16,
        ends: Time,
    },
    /// A stop of this cause (`Line::stops`) begins; its repair begins; it ends.
    Stopped {
        stop: u16,
    },
    MendingBegins {
        stop: u16,
    },
    /// Its repair is broken off: too few of those who mend are there.
    MendingPauses {
        stop: u16,
    },
    /// A shift begins with so many people of a group who sit in no crew and are there.
    Spare {
        group: GroupId,
        here: u32,
    },
    Mended {
        stop: u16,
    },
    /// `outcome`: which of the test's fail outcomes, when not passed and not set aside.
    Verdict {
        unit: u64,
        test: TestId,
        attempt: u32,
        passed: bool,
        outcome: Option<u16>,
    },
    /// The unit that has just passed is faulty: another test finds it.
    Escaped {
        unit: u64,
        test: TestId,
    },
    WindowMissed {
        unit: u64,
        window: u16,
    },
    Finished {
        unit: u64,
    },
    Scrapped {
        unit: u64,
    },
    SetAside {
        unit: u64,
    },
    /// A bay's state changed.
    BayIs {
        place: PlaceId,
        bay: u16,
        state: BayState,
    },
    /// A shift begins, and these people of a crew are there in it (only where some may be absent).
    Came {
        crew: CrewId,
        gang: u16,
        here: u128,
    },
    /// A shift begins, and these people of a group who help are there (bit k = the k-th of the group).
    HelpersCame {
        group: GroupId,
        here: u128,
    },
    /// A task, or the fix after a test, that the shift before has begun goes on with these people of
    /// its crew; with nobody it stands still.
    HandedOver {
        unit: u64,
        what: Result<StepId, TestId>,
        place: PlaceId,
        bay: u16,
        people: u128,
    },
    /// A lot was ordered, and will be there at `arrives`.
    LotOrdered {
        part: PartId,
        arrives: Time,
    },
    /// A lot came to the door of its store.
    LotCame {
        part: PartId,
        pieces: u32,
    },
    /// A truck of a feeder went to the store, and is on its way.
    TruckWent {
        part: PartId,
        pieces: u32,
    },
    /// Pieces came into a store.
    Stored {
        part: PartId,
        pieces: u32,
    },
    /// A task found too few pieces and joined the queue of the store; or it left that queue, because
    /// enough are there for it or because its unit leaves.
    WaitsForPart {
        unit: u64,
        step: StepId,
        part: PartId,
        joined: bool,
    },
    /// From now on it is counted.
    CountingBegins,
    /// A shift begins; it is one of those counted.
    ShiftBegins {
        counted: bool,
    },
    /// The shift lasts longer than planned, by so much.
    OvertimeBegins {
        by: Time,
    },
    /// The shift that would begin now is not worked.
    ShiftLeftOut,
    /// A task that has all it needs finds something amiss with a part: it takes its parts and waits until then.
    PartAmiss {
        unit: u64,
        step: StepId,
        part: PartId,
        flaw: Flaw,
        until: Time,
    },
    /// What a gate will find in a unit, said when it exists: how many faults are mended there, and how many
    /// go on.
    Found {
        unit: u64,
        gate: u16,
        here: u32,
        left: u32,
    },
    /// A unit comes to a gate, which finds so many faults more: tests had let them through.
    FoundLetThrough {
        unit: u64,
        gate: u16,
        faults: u32,
    },
    /// A unit is pushed on while a hold runs on it, which goes on.
    HoldMoves {
        unit: u64,
        step: StepId,
        place: PlaceId,
        bay: u16,
    },
    /// A unit will take a lane: known when it is done before them, or decided as it goes.
    LaneChosen {
        unit: u64,
        lanes: u16,
        lane: u16,
    },
    /// A carrier is on its way back for so long.
    CarrierLeft {
        carriers: u16,
        length: Time,
    },
    /// A lorry takes so many units from the yard.
    LorryCame {
        load: u32,
    },
    /// A crew (of one bay, if per bay) has gone home, until its next shift.
    WentHome {
        crew: CrewId,
        gang: u16,
    },
}

/// Sees every event at its time. `net` is net time since the start of the replication.
pub trait Watcher {
    /// False lets the compiler drop every call.
    const WATCHING: bool;
    fn see(&mut self, at: Time, net: Time, event: Event);
}

/// Nobody watches.
#[derive(Clone, Copy, Default, Debug)]
pub struct Unwatched;

impl Watcher for Unwatched {
    const WATCHING: bool = false;
    #[inline(always)]
    fn see(&mut self, _at: Time, _net: Time, _event: Event) {}
}
