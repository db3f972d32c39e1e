//! Clauses: what stands after a statement's name, label and value, in any order.

use super::{Clock, Expr, Name, PauseKind, StoppingSpec, TimeSpec, Weekday};
use crate::diagnostic::Span;

/// A clause and where it stands (from its opening word to its end).
#[derive(Clone, PartialEq, Debug)]
pub struct Clause {
    pub span: Span,
    /// The opening word or words (`takes`, `at least`, `on fail`).
    pub word_span: Span,
    pub kind: ClauseKind,
}

#[derive(Clone, PartialEq, Debug)]
pub enum ClauseKind {
    /// `takes 8/10/14 min from 8 timings`
    Takes(TimeSpec),
    /// `for A, T x 1.2`; `for T 20/30/40 min`; `for T by 2`; `for T passes 90 %, again 95 %`
    For {
        models: Vec<Name>,
        what: ForWhat,
    },
    /// `by 2`, `by 1 plumb, 1`, `by 2 to 4`
    By(Vec<Need>),
    /// `with hoist, 2 rig`
    With(Vec<(Option<Expr>, Name)>),
    /// `in inside`
    In(Vec<Name>),
    /// `in left or right`
    InOneOf(Vec<Name>),
    /// `after a01, a02`
    After(Vec<Name>),
    /// `at A05` (task, hold, test)
    At(Name),
    /// `at most 3 go on to Y1` (gate)
    GoOn {
        most: Expr,
        to: Name,
    },
    /// `finds 0.6 per unit` (gate)
    Finds(Expr),
    /// `every 10 units` (option)
    EveryNth(Expr),
    /// `from C01 to C21` (carriers)
    Carried {
        from: Name,
        to: Name,
    },
    /// `returning in 3 min` (carriers)
    Returning(TimeSpec),
    /// `lorries of 6 at 09:00, 13:30` (yard)
    Lorries {
        load: Expr,
        at: Vec<Clock>,
    },
    /// `only T, A`
    Only(Vec<Name>),
    /// `only with rail`
    OnlyWith(Vec<Name>),
    /// `at least 120 min`
    AtLeast(Expr),
    /// `only if it fits` (task): before the next break
    OnlyIfItFits,
    /// `through nights` (the default of a hold, said aloud)
    ThroughNights,
    /// `through breaks` (task): people finish it first
    ThroughBreaks,
    /// `when hall at least 15 C, else it waits` (hold): how warm it must be
    When {
        of: Name,
        least: Expr,
        waits: bool,
    },
    /// `attended`
    Attended,
    /// `stays`: balancing leaves it where it is
    Stays,
    /// `beside a05, a06`: at the same station as these
    Beside(Vec<Name>),
    /// `apart from a07`: at another station than these
    Apart(Vec<Name>),
    /// `exactly`: never with fewer people than `by` says
    Exactly,
    /// `shared power 0.85, fixed 5 min`: how long it takes with more people than it needs
    Shared(SharedSpec),
    Safety,
    /// `within 24 h, else redo a25` (and perhaps `takes ... by ...` for the redo)
    Within {
        limit: Expr,
        redo: Vec<Name>,
        takes: Option<TimeSpec>,
        by: Option<FixPeople>,
    },
    /// `of a15 to a19`, `of a15, a17`, `of F, W, C`
    Of(Vec<(Name, Option<Name>)>),
    /// `passes 94 %, again 98 %`
    Passes {
        first: Expr,
        again: Option<Expr>,
    },
    /// `on fail 90 % fixed in place takes 10/18/35 min by 1 plumb`
    OnFail {
        share: Option<Expr>,
        outcome: Outcome,
    },
    /// `false alarm 20 % of fails, retest in queue` (test)
    FalseAlarm {
        share: Expr,
        in_place: bool,
    },
    /// `escapes 2 % of passes to final` (test)
    Escapes {
        share: Expr,
        to: Name,
    },
    /// `when under 9 units at 11:00` (overtime), `when under 20 units that week` (shift)
    WhenUnder {
        units: Expr,
        /// `None`: of the week.
        at: Option<Clock>,
    },
    /// `at most 3 days a week` (overtime)
    MostDays(Expr),
    /// `at most 3 tries`
    AtMostTries(Expr),
    /// `crew 2 fitters, 1 plumbers per bay`; `crew 3`
    Crew {
        members: Vec<(Expr, Option<Name>)>,
        per_bay: bool,
    },
    /// `serving A01, A02` or `serving A01 to A17`
    Serving(Vec<(Name, Option<Name>)>),
    Bays(Expr),
    Slots(Expr),
    Places(Expr),
    /// `space 60 m2, 40 m2 each slot`
    Space {
        bay: Expr,
        slot: Option<Expr>,
    },
    /// `walk 0.5 min` (station, repair)
    Walk(Expr),
    /// `times x 0.95` (station): on all times of its tasks
    Times(Expr),
    /// `can plumb, general`
    Can(Vec<Name>),
    /// `helping up to 30 %` (people)
    Helping(Expr),
    /// `answering in 2 min` (floaters; people who help): they come when they are called
    Answering(Expr),
    /// `covering A01 to A17` (floaters; people who help)
    Covering(Vec<(Name, Option<Name>)>),
    /// `from 07:00 to 13:00` (visitor)
    Hours {
        from: Clock,
        to: Clock,
    },
    /// `up to 3 people` (zone, limit); with `at A06` for one station only
    UpTo {
        people: Expr,
        at: Option<Name>,
    },
    /// `pushed when all are ready`
    PushedWhenReady,
    /// `pushed every 23 min on the grid`
    PushedEvery {
        every: Expr,
        on_the_grid: bool,
    },
    /// `moving 0.5 min` (segment that moves when ready: length of one move)
    Moving(Expr),
    /// `index 1.5 min`
    Index(Expr),
    /// `moving 0.25 m per min, a unit every 6 m` (segment)
    Conveyor {
        speed: Expr,
        apart: Expr,
    },
    /// `length 12 m` (station)
    Length(Expr),
    /// `meal 10:30 lasting 30 min`, `break 08:30 lasting 10 min unpaid`, `stop 12:00 lasting 5 min`
    Pause {
        kind: PauseKind,
        at: Clock,
        lasting: Expr,
        paid: Option<bool>,
    },
    /// `meeting 8 min`
    Meeting(Expr),
    /// `clean-up 7 min`
    CleanUp(Expr),
    /// `on "today"`: the layout that a layout starts from
    OnLayout(Name),
    /// `on 8 % of days` (weather)
    OnShare(Expr),
    /// `answered in 1 min` (calls)
    Answered(TimeSpec),
    /// `solved 85 %, else stopping for 2/4/15 min` (calls)
    Solved {
        share: Expr,
        lasts: TimeSpec,
    },
    /// `on mon to fri`, `on mon, wed`
    OnDays(Vec<(Weekday, Option<Weekday>)>),
    /// `home after 18 units, not before 13:00`
    Home {
        units: Expr,
        not_before: Option<Clock>,
    },
    /// `no two A adjacent` (sequence)
    NoTwo(Name),
    /// `at most 2 T of any 5` (sequence)
    AtMostOf {
        most: Expr,
        model: Name,
        of_any: Expr,
    },
    /// `looking 80 orders ahead`
    Looking(Expr),
    /// `returns first` / `returns in turn` (station): who takes a freed place
    Returns {
        first: bool,
    },
    /// `ordered` (station, rack): units leave in the order in which they came
    Ordered,
    /// `late work travels up to 5 items` (segment): unfinished work goes on to the next place
    LateWork {
        most: Option<Expr>,
    },
    /// `may stand at A03, A05 to A07` (task): the stations where balancing may put it
    MayStand(Vec<(Name, Option<Name>)>),
    /// `may travel to B13 x 1.6` (task)
    MayTravel {
        to: Name,
        factor: Option<Expr>,
    },
    /// `needs on-stands` (task, hold, test)
    Needs(Vec<Name>),
    /// `first b48, b52 then b21` (equipment): tasks that get it before others, rank by rank
    First(Vec<Vec<Name>>),
    /// `drift 0.6 min`, `drift 0.6 min both ways` (station)
    Drift {
        amount: Expr,
        how: DriftHow,
    },
    /// `pull off to r1` (station): a unit that is not done at the signal goes there
    PullsOff(Name),
    /// `draws as OLD` keeps the random draws of a renamed thing
    DrawsAs(Name),
    /// `uses 1 panels, 2 trims`
    Uses(Vec<(Option<Expr>, Name)>),
    /// `in lots of 40 every 2 h, 5 % late by 1 to 4 h`
    Lots {
        size: Expr,
        when: LotsWhen,
        late: Option<(Expr, TimeSpec)>,
    },
    /// `in lots of 10` (feeder)
    PartLots(Expr),
    /// `once a lot` (task of a feeder): for the first part of each lot
    OnceALot,
    /// `store of 80, 30 at start`
    StoreOf {
        places: Expr,
        at_start: Option<Expr>,
    },
    /// `builds 12 units ahead` (feeder)
    Builds(BuildsSpec),
    /// `short 2.5 %, arriving in 30/90/480 min` (supply, feeder)
    Short {
        share: Expr,
        arriving: TimeSpec,
    },
    /// `wrong 1 %, re-kitted in 12 min` (feeder)
    Wrong {
        share: Expr,
        rekitted: TimeSpec,
    },
    /// `in trucks of 2`, `in trucks of 8 every 40 min, arriving in 3 days` (feeder)
    Trucks {
        size: Expr,
        every: Option<Expr>,
        way: Option<Expr>,
    },
    /// `chosen by model`, `chosen by the shortest queue` (lanes)
    Chosen(ChosenBy),
    /// `stopping every exponential mean 40 h of use for 15/25/90 min by 1 mechanics`
    Stopping(Box<StoppingSpec>),
    /// `may move` (hold): it runs on while its unit is pushed to the next place
    MayMove,
}

/// Which way a crew drifts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DriftHow {
    /// It finishes in the next place.
    On,
    /// `early`: it begins in the place behind.
    Early,
    /// `both ways`
    Both,
}

/// What decides which lane a unit takes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ChosenBy {
    Model,
    Share,
    ShortestQueue,
}

/// What a feeder builds for.
#[derive(Clone, PartialEq, Debug)]
pub enum BuildsSpec {
    /// `to stock`
    ToStock,
    /// `12 units ahead`
    Ahead(Expr),
}

/// When lots fall due.
#[derive(Clone, PartialEq, Debug)]
pub enum LotsWhen {
    /// `every 2 h`, `every 2 h on the clock`
    Every { gap: TimeSpec, on_the_clock: bool },
    /// `on tue, thu at 06:00`
    Days { days: Vec<(Weekday, Option<Weekday>)>, at: Clock },
    /// `ordered at 20, arriving in 3 days`
    AtLevel { level: Expr, lead: TimeSpec },
}

/// How the time of a task falls with the people who share it.
#[derive(Clone, PartialEq, Debug)]
pub enum SharedSpec {
    /// `power 0.85, fixed 5 min`
    Power { power: Expr, fixed: Option<Expr> },
    /// `3 in 70 %, 4 in 55 %`: people, share of the time
    Table(Vec<(Expr, Expr)>),
}

#[derive(Clone, PartialEq, Debug)]
pub enum ForWhat {
    Factor(Expr),
    Time(TimeSpec),
    People(Vec<Need>),
    Passes { first: Expr, again: Option<Expr> },
}

/// People a task takes: `2`, `1 plumb`, `2 to 4`.
#[derive(Clone, PartialEq, Debug)]
pub struct Need {
    pub count: Expr,
    /// `2 to 4`: the most.
    pub most: Option<Expr>,
    /// A skill or a group of people.
    pub skill: Option<Name>,
    pub span: Span,
}

/// Who does what a fail or a missed window asks for: `1 plumb`, `1 to 2 shared power 0.85`.
#[derive(Clone, PartialEq, Debug)]
pub struct FixPeople {
    pub needs: Vec<Need>,
    pub shared: Option<SharedSpec>,
    pub span: Span,
}

/// What happens to a unit that failed its test.
#[derive(Clone, PartialEq, Debug)]
pub enum Outcome {
    /// `fixed in place takes T by N`; then the test again without leaving the bay
    FixedInPlace { takes: TimeSpec, by: Option<FixPeople> },
    /// `back to A03 redo a09, a10 then A04`
    BackTo { place: Name, redo: Vec<Name>, then: Vec<Name> },
    /// `to R1 takes T by N then H2`: a repair bay off the line
    ToRepair { place: Name, takes: TimeSpec, by: Option<FixPeople>, then: Vec<Name> },
    /// `scrapped`
    Scrapped,
    /// `retest in place` / `retest in queue`
    Retest { in_place: bool },
}
