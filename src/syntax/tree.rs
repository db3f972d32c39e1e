//! The spanned tree: what stands in the file, sentence by sentence, without meaning.
//!
//! A statement is a statement word, perhaps a name, a label and a value, then clauses in any order.
//! The grammar accepts every clause in every statement; which ones a statement takes is the
//! checker's business, so that a misplaced clause gets a sentence and not a syntax error.

#![expect(clippy::large_enum_variant, reason = "a tree lives briefly; boxes would only burden its readers")]

mod amounts;
mod clause;
mod cost;
mod exclusion;
mod promise;
mod stops;

pub use amounts::{Expr, ExprKind, Op, TimeShape, TimeSpec};
pub use clause::{
    BuildsSpec, ChosenBy, Clause, ClauseKind, DriftHow, FixPeople, ForWhat, LotsWhen, Need, Outcome,
    SharedSpec,
};
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
    Feeder,
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
    Carriers,
    Gate,
    Yard,
    Relief,
    Temperature,
    Overtime,
    Lanes,
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
    /// Statements in braces (`layout`, `feeder`, `lane`).
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
    /// `temperature hall 18 C, 14 C from 22:00 to 06:00, 12 C on sat to sun`
    Degrees {
        usual: Expr,
        at_times: Vec<AtTimes>,
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
}

/// `14 C from 22:00 to 06:00 on sat to sun`: hours of the days named, or all of them.
#[derive(Clone, PartialEq, Debug)]
pub struct AtTimes {
    pub value: Expr,
    pub hours: Option<(Clock, Clock)>,
    pub days: Vec<(Weekday, Option<Weekday>)>,
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
