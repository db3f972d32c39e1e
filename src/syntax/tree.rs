//! The spanned tree: what stands in the file, sentence by sentence, without meaning.
//!
//! A statement is a statement word, perhaps a name, a label and a value, then clauses in any order.
//! The grammar accepts every clause in every statement; which ones a statement takes is the
//! checker's business, so that a misplaced clause gets a sentence and not a syntax error.

#![expect(clippy::large_enum_variant, reason = "a tree lives briefly; boxes would only burden its readers")]

mod amounts;
mod cost;
mod exclusion;
mod promise;
mod stops;

pub use amounts::{Expr, ExprKind, Op, TimeShape, TimeSpec};
pub use cost::{CostOf, CostSpec};
pub use exclusion::{Apart, ExclusionSpec};
pub use promise::{Measure, Promise, Statistic};
pub use stops::{GapSpec, MendedBy, StoppingSpec, TimeOf};

use crate::diagnostic::{FileId, Span};

/// One parsed file.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Tree {
    pub file: FileId,
    pub statements: Vec<Statement>,
    /// What the statements that could not be read would have defined, as far as that is known: a name
    /// that stands here is not reported as unknown or unused, and no statement is missed for it.
    pub broken: Vec<Broken>,
}

/// The start of a statement that could not be read further.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Broken {
    /// `None` where the line starts with a word that opens no statement.
    pub word: Option<Word>,
    /// The name that the statement gives (never one that it refers to).
    pub name: Option<Name>,
    /// The text in quotes, where it stands right after the word or the name.
    pub label: Option<Name>,
    pub span: Span,
}

/// A word as it stands in the file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Name {
    pub text: String,
    pub span: Span,
}

/// The statement words: they open a statement at the start of a line and are reserved.
/// (The table of words is in `words.rs`.)
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Word {
    Line,
    Use,
    Let,
    Shift,
    Closed,
    Demand,
    Takt,
    Pace,
    Model,
    Option,
    Sequence,
    Release,
    Start,
    People,
    Team,
    Equipment,
    Zone,
    Limit,
    Segment,
    Station,
    Rack,
    Repair,
    Task,
    Hold,
    Test,
    Window,
    Keep,
    Supply,
    Layout,
    Change,
    Remove,
    Promise,
    Confidence,
    Stops,
    Absent,
    Visitor,
    Floaters,
    Learning,
    Exclude,
    Orientation,
    Money,
    Cost,
    Calls,
    Weather,
    // The language has these; the engine does not model them yet. Their text is kept whole.
    Overtime,
    Relief,
    Feeder,
    Carriers,
    Gate,
    Sample,
    Yard,
    Temperature,
    Lane,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Statement {
    pub word: Word,
    pub word_span: Span,
    /// `change station A16 ...`, `remove task a31`: the statement word of what is changed.
    pub target: Option<(Word, Span)>,
    pub name: Option<Name>,
    /// The text in quotes after the name, without its quotes.
    pub label: Option<Name>,
    /// What stands between name/label and the first clause.
    pub head: Head,
    pub clauses: Vec<Clause>,
    /// Statements in braces (`layout`).
    pub body: Vec<Statement>,
    pub span: Span,
}

/// The part of a statement before its clauses, beyond name and label.
#[derive(Clone, PartialEq, Debug)]
pub enum Head {
    Nothing,
    /// `model S 55 %`, `people fitters 18`, `equipment rig 2`, `demand 18 per shift`, `pace 23 min`,
    /// `takt 24.7 min`, `confidence 95 %`, `let welders = 3`.
    Value(Expr),
    /// `use "tasks.line"`: the path stands in `label`.
    /// `shift day 06:00 to 14:30`
    Clocks {
        from: Clock,
        to: Clock,
    },
    /// `closed 2026-12-24, 2026-12-27 to 2026-12-31`
    Dates(Vec<(Date, Option<Date>)>),
    /// `absent 6 %, mon 9 %`
    Absent {
        share: Expr,
        on: Vec<(Weekday, Option<Weekday>, Expr)>,
    },
    /// `learning trainees x 1.6 at first, 85 % with each doubling`: the group stands in `name`.
    Learning {
        first: Expr,
        rate: Expr,
    },
    /// `segment front A01 to A09`
    Range(Name, Name),
    /// `zone U`, `limit inside of F, W, C` keeps its zones in clause `Of`.
    /// `sequence random`, `sequence levelled`
    SequenceKind(SequenceKind, Span),
    /// `release saturated`, `release by takt`, `release every 4 min`, `release list "f.csv"`
    Release(ReleaseKind, Span),
    /// `start full on 2026-11-30`
    Start {
        full: bool,
        span: Span,
        on: Option<Date>,
    },
    /// `window a25 end to a26 start`
    Window {
        opens: Name,
        at_end: bool,
        closes: Name,
        judged_at_end: bool,
    },
    /// `keep rig from a15 to a19`: the equipment stands in `name`.
    Keep {
        from: Name,
        to: Name,
    },
    /// `cost people 38 EUR per hour`
    Cost(Box<CostSpec>),
    /// `exclude work in under while b10 runs`
    Exclude(Box<ExclusionSpec>),
    Promise(Box<Promise>),
    /// A statement that is kept as text: everything after the name up to the next statement.
    Text(Span),
}

#[derive(Clone, PartialEq, Debug)]
pub enum SequenceKind {
    Random,
    Levelled,
    /// `pattern S S T A`
    Pattern(Vec<Name>),
    /// `batches of 4`
    Batches(Expr),
    /// `list "orders.csv"`
    List(Name),
}

#[derive(Clone, PartialEq, Debug)]
pub enum ReleaseKind {
    Saturated,
    ByTakt,
    Every {
        gap: TimeSpec,
        on_the_clock: bool,
    },
    /// A file with one release time (and perhaps a model) per row.
    List(Name),
}

/// `06:00`; hour 0..=48 so that a faulty hour is the checker's fault to report.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Clock {
    pub hour: u32,
    pub minute: u32,
    pub span: Span,
}

/// `2026-11-30`, not yet checked against the civil calendar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Date {
    pub year: i32,
    pub month: u32,
    pub day: u32,
    pub span: Span,
}

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
    /// `after a01, a02`
    After(Vec<Name>),
    /// `at A05` (task, hold, test)
    At(Name),
    /// `only T, A`
    Only(Vec<Name>),
    /// `only with rail`
    OnlyWith(Vec<Name>),
    /// `at least 120 min`
    AtLeast(Expr),
    /// `through nights` (the default of a hold, said aloud)
    ThroughNights,
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
        by: Option<Vec<Need>>,
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
    /// `can plumb, general`
    Can(Vec<Name>),
    /// `covering A01 to A17` (floaters)
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
    /// `may travel to B13 x 1.6` (task)
    MayTravel {
        to: Name,
        factor: Option<Expr>,
    },
    /// `needs on-stands` (task, hold, test)
    Needs(Vec<Name>),
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
    /// `store of 80, 30 at start`
    StoreOf {
        places: Expr,
        at_start: Option<Expr>,
    },
    /// `stopping every exponential mean 40 h of use for 15/25/90 min by 1 mechanics`
    Stopping(Box<StoppingSpec>),
    /// A clause the language has and the engine does not model yet, kept as text:
    /// `drift ...`, `when ...`, `walk ...`,
    /// `first ...`, `escapes ...`, `false ...`, `answering ...`
    Later {
        word: Name,
    },
}

/// When lots fall due.
#[derive(Clone, PartialEq, Debug)]
pub enum LotsWhen {
    /// `every 2 h`, `every 2 h on the clock`
    Every { gap: TimeSpec, on_the_clock: bool },
    /// `on tue, thu at 06:00`
    Days { days: Vec<(Weekday, Option<Weekday>)>, at: Clock },
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

/// What happens to a unit that failed its test.
#[derive(Clone, PartialEq, Debug)]
pub enum Outcome {
    /// `fixed in place takes T by N`; then the test again without leaving the bay
    FixedInPlace { takes: TimeSpec, by: Option<Vec<Need>> },
    /// `back to A03 redo a09, a10 then A04`
    BackTo { place: Name, redo: Vec<Name>, then: Vec<Name> },
    /// `to R1 takes T by N then H2`: a repair bay off the line
    ToRepair { place: Name, takes: TimeSpec, by: Option<Vec<Need>>, then: Vec<Name> },
    /// `scrapped`
    Scrapped,
    /// `retest in place` / `retest in queue`
    Retest { in_place: bool },
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PauseKind {
    Meal,
    Break,
    /// A planned stop.
    Stop,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Weekday {
    Mon,
    Tue,
    Wed,
    Thu,
    Fri,
    Sat,
    Sun,
}
