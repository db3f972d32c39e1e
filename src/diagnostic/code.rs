//! The codes: one variant per kind of fault, each with a fixture that triggers it and a page in docs/.

/// An error stops the pipeline; a doubt is shown beside the result.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    Error,
    Doubt,
}

macro_rules! codes {
    ($($(#[doc = $doc:literal])+ $name:ident = $code:literal $severity:ident;)+) => {
        /// One kind of fault or doubt.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum Code { $($(#[doc = $doc])+ $name,)+ }

        impl Code {
            /// Every code, in the order of the reference page.
            pub const ALL: &'static [Code] = &[$(Code::$name,)+];

            /// As printed: `T101`.
            pub fn text(self) -> &'static str {
                match self { $(Code::$name => $code,)+ }
            }

            pub fn severity(self) -> Severity {
                match self { $(Code::$name => Severity::$severity,)+ }
            }

            /// One sentence for `explain` and the reference page.
            pub fn meaning(self) -> &'static str {
                match self { $(Code::$name => concat!($($doc),+),)+ }
            }
        }
    };
}

codes! {
    // ---- T1: reading the text ----
    /// The text does not read as a sentence of the line language at this place.
    Unreadable = "T101" Error;
    /// A line starts with a word that opens no statement.
    UnknownStatement = "T102" Error;
    /// A clause that this statement does not take.
    MisplacedClause = "T103" Error;
    /// A clause or statement that may stand once stands twice.
    Repeated = "T104" Error;
    /// A reserved word is used as a name.
    ReservedName = "T105" Error;
    /// Brackets or braces are nested deeper than the limit, or not closed.
    Nesting = "T106" Error;
    /// The file is not valid UTF-8, holds NUL, or is larger than the limit.
    BadFile = "T107" Error;
    /// An included or observed file is missing, outside the folder tree, or includes itself.
    BadInclude = "T108" Error;
    /// The file holds no line.
    EmptyFile = "T109" Error;
    // ---- T2: names ----
    /// A name that nothing in the file defines.
    UnknownName = "T201" Error;
    /// Two statements of the same kind have one name.
    DuplicateName = "T202" Error;
    /// A name is defined and used nowhere.
    UnusedName = "T203" Doubt;
    /// A layout changes or removes what is not there, or changes nothing.
    EmptyChange = "T204" Error;
    /// Layouts are built on one another in a circle.
    LayoutCircle = "T205" Error;
    // ---- T3: quantities ----
    /// A number stands where a quantity with a unit is needed.
    MissingUnit = "T301" Error;
    /// A unit of another kind than the place needs.
    WrongUnit = "T302" Error;
    /// A number outside what makes sense here (negative time, share over 100 %, zero bays).
    OutOfRange = "T303" Error;
    /// A distribution whose parameters contradict one another.
    BadDistribution = "T304" Error;
    /// Shares that must sum to 100 % do not.
    SharesDoNotSum = "T305" Error;
    /// A normal distribution loses more than 0.1 % of its mass to the cut at 0.
    CutMass = "T306" Doubt;
    /// A clause that the statement can't do without is missing.
    MissingClause = "T307" Error;
    // ---- T4: precedence and places ----
    /// Tasks follow one another in a circle for some model.
    Cycle = "T401" Error;
    /// A task stands at an earlier station than a task it follows.
    Downstream = "T402" Error;
    /// A task, hold or test has no place, or a place of the wrong kind.
    NoPlace = "T403" Error;
    /// A place that no unit can reach or that nothing happens in.
    Unreachable = "T404" Doubt;
    /// A test, window, redo or gate names steps or places that don't fit together.
    BadRange = "T405" Error;
    /// Segments overlap, leave a gap, or cut through places out of order.
    BadSegment = "T406" Error;
    /// Work that may travel has nowhere to go, or may not.
    BadTravel = "T407" Error;
    /// Work that is kept apart and could not meet, or can't be made to wait.
    BadExclusion = "T408" Error;
    /// A step needs the unit to stand in a way in which it may not find it.
    BadOrientation = "T409" Error;
    /// A feeder and the line that it serves don't fit together.
    BadFeeder = "T410" Error;
    /// Units could not take a carrier where it is due, or not give it back.
    BadCarriers = "T411" Error;
    /// A hold asks for warmth that never comes, or never for long enough.
    NeverWarm = "T412" Error;
    /// Lanes and what is said of the line around them or in them don't fit together.
    BadLanes = "T413" Error;
    // ---- T5: people, equipment, room ----
    /// Nobody in the station's crew can do the task.
    NobodyCan = "T501" Error;
    /// A task needs more people than the crew or the zone holds.
    TooManyPeople = "T502" Error;
    /// More people or equipment wanted than exist.
    NotEnough = "T503" Error;
    /// A statement about people in a file that does not say who exists.
    PeopleNotStated = "T504" Error;
    // ---- T6: time, demand, order ----
    /// Times of the calendar do not fit together.
    BadCalendar = "T601" Error;
    /// Takt and demand are both stated and disagree.
    TaktAgainstDemand = "T602" Error;
    /// Spacing rules that no sequence with these shares can keep.
    ImpossibleSpacing = "T603" Error;
    /// A statement asks the calendar for what it does not state.
    NoCalendar = "T604" Error;
    /// Spacing rules that leave hardly any slack for these shares.
    TightSpacing = "T605" Doubt;
    /// The planned pace is slower than takt.
    PaceOverTakt = "T606" Doubt;
    /// A fixed order of models builds another mix than the models' shares say.
    MixDiffers = "T607" Doubt;
    // ---- T7: holds and safety ----
    /// A hold's length or a change of it would go under its stated safety minimum.
    UnderSafetyMinimum = "T701" Error;
    /// A safety hold or test is changed, dropped or allowed to travel.
    SafetyTouched = "T702" Error;
    /// A hold without a length.
    HoldWithoutLength = "T703" Error;
    // ---- T8: doubts about the plan ----
    /// A station is over its window on average for some model.
    OverWindow = "T801" Doubt;
    /// More than six hours of attended time without a break.
    LongStretch = "T802" Doubt;
    /// A task waits for a whole shift when one person is absent.
    OneAbsence = "T803" Doubt;
    // ---- T9: limits of this version and of a run ----
    /// A stated limit of the program is exceeded.
    OverLimit = "T902" Error;
    /// A run locked up: waiting units none of which can go on.
    LockUp = "T903" Error;
    /// A run could not go on for another reason.
    RunFailed = "T904" Error;
    // ---- T95: scenario files ----
    /// A scenario file is not what the schema asks for.
    BadScenario = "T951" Error;
    /// A scenario's baseline is missing or of another scenario.
    BadBaseline = "T952" Error;
}
