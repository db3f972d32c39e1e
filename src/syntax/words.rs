//! The reserved words: what opens a statement, what opens a clause, what links the parts of one.
//!
//! The grammar spells the same words for itself; a test here holds the two together. `explain`, the
//! reference pages and "did you mean" read these tables.

use super::tree::Word;
use std::sync::LazyLock;

macro_rules! statement_words {
    ($($word:ident $text:literal $meaning:literal;)+) => {
        impl Word {
            /// Every statement word, in the order of the reference.
            pub const ALL: &'static [Word] = &[$(Word::$word,)+];

            /// As it stands in a file.
            pub fn text(self) -> &'static str {
                match self { $(Word::$word => $text,)+ }
            }

            /// What a statement of this word says, in one line.
            pub fn meaning(self) -> &'static str {
                match self { $(Word::$word => $meaning,)+ }
            }
        }
    };
}

statement_words! {
    Line "line" "names the line";
    Use "use" "reads another file in this place";
    Let "let" "gives a number or quantity a name";
    Shift "shift" "attended hours of a day, with meal, breaks, meeting and clean-up";
    Closed "closed" "days without a shift";
    Demand "demand" "units wanted per shift, day or week";
    Takt "takt" "net time per unit wanted, where it is not derived from demand";
    Pace "pace" "planned time between units, faster than takt";
    Model "model" "a model and its share of the units";
    Option "option" "an option and its share of the units";
    Sequence "sequence" "the order in which models enter the line";
    Release "release" "when units enter the line";
    Start "start" "whether the line is empty or full when the count begins";
    People "people" "a group of people, how many there are and what they can do";
    Team "team" "a crew that several stations share";
    Equipment "equipment" "a tool or rig, how many there are and which stations it serves";
    Zone "zone" "a part of the unit and how many people it holds";
    Limit "limit" "how many people several zones hold together";
    Segment "segment" "stations that move their units by one rule";
    Station "station" "a place with bays and a crew";
    Rack "rack" "places without a crew in which units wait and hold";
    Repair "repair" "a repair place off the line";
    Task "task" "work that people do on a unit";
    Hold "hold" "a time that a unit must rest, without people";
    Test "test" "a verdict on named steps, with what follows a fail";
    Window "window" "the longest time allowed between two steps";
    Keep "keep" "equipment kept with the unit over several steps";
    Supply "supply" "bought-in parts that arrive in lots";
    Stops "stops" "breakdowns of a group of stations or of the line";
    Layout "layout" "a variation of the line, changes grouped in braces";
    Change "change" "replaces single clauses of a statement, in a layout";
    Remove "remove" "takes a statement away, in a layout";
    Promise "promise" "what the line must do, judged from the runs";
    Confidence "confidence" "how sure a verdict must be";
    Money "money" "the money word of the file";
    Overtime "overtime" "time worked beyond a shift, and when";
    Relief "relief" "people who let the crews take their breaks in turn";
    Absent "absent" "the share of people who are away on a day";
    Floaters "floaters" "people who stand in where a crew is short";
    Visitor "visitor" "people from outside with their own hours";
    Exclude "exclude" "work that must not run while other work does";
    Orientation "orientation" "how a unit stands, and the steps that turn it so";
    Feeder "feeder" "a short line that makes parts for this one";
    Carriers "carriers" "pallets or cradles that come back";
    Calls "calls" "calls for help, some of which stop the line";
    Weather "weather" "days on which outdoor work can't be done";
    Gate "gate" "faults found and mended at a gate";
    Yard "yard" "where finished units wait for lorries";
    Cost "cost" "what people, places and time cost";
    Temperature "temperature" "how warm a shop is, by hour and day";
    Learning "learning" "how new people of a group grow faster";
    Lanes "lanes" "ways side by side, and which one a unit takes";
    Lane "lane" "one of several ways side by side, with what stands on it";
}

impl Word {
    /// Whether the name after the word is one that the statement gives, not one that it refers to.
    pub fn gives_name(self) -> bool {
        match self {
            Word::Let
            | Word::Shift
            | Word::Model
            | Word::Option
            | Word::People
            | Word::Team
            | Word::Equipment
            | Word::Zone
            | Word::Limit
            | Word::Segment
            | Word::Station
            | Word::Rack
            | Word::Repair
            | Word::Task
            | Word::Hold
            | Word::Test
            | Word::Money
            | Word::Visitor
            | Word::Orientation
            | Word::Feeder
            | Word::Supply
            | Word::Carriers
            | Word::Gate
            | Word::Yard
            | Word::Lanes
            | Word::Lane
            | Word::Temperature
            | Word::Stops
            | Word::Calls
            | Word::Weather => true,
            Word::Line
            | Word::Use
            | Word::Closed
            | Word::Demand
            | Word::Takt
            | Word::Pace
            | Word::Sequence
            | Word::Release
            | Word::Start
            | Word::Window
            | Word::Keep
            | Word::Layout
            | Word::Change
            | Word::Remove
            | Word::Promise
            | Word::Confidence
            | Word::Overtime
            | Word::Relief
            | Word::Absent
            | Word::Floaters
            | Word::Exclude
            | Word::Cost
            | Word::Learning => false,
        }
    }

    /// Whether statements may follow in braces.
    pub fn groups(self) -> bool {
        matches!(self, Word::Layout | Word::Feeder | Word::Lane)
    }

    /// The statement word with this text.
    pub fn find(text: &str) -> Option<Word> {
        let table = &*BY_TEXT;
        table.binary_search_by(|(known, _)| (*known).cmp(text)).ok().map(|at| table[at].1)
    }
}

static BY_TEXT: LazyLock<Vec<(&'static str, Word)>> = LazyLock::new(|| {
    let mut table: Vec<_> = Word::ALL.iter().map(|word| (word.text(), *word)).collect();
    table.sort_unstable();
    table
});

/// The word or words that open a clause.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ClauseWord {
    pub opener: &'static str,
    /// What the clause says, in one line.
    pub meaning: &'static str,
}

const fn clause(opener: &'static str, meaning: &'static str) -> ClauseWord {
    ClauseWord { opener, meaning }
}

/// Every clause opener, in the order of the reference.
pub const CLAUSES: &[ClauseWord] = &[
    clause("takes", "how long work takes"),
    clause("by", "how many people, and of which skill"),
    clause("with", "the equipment it needs"),
    clause("in", "the zone in which the people stand"),
    clause("after", "the steps that come before"),
    clause("at", "the station or rack where it is done"),
    clause("at least", "the shortest length of a hold"),
    clause("at most", "how many tries of a test; how many of a model among any n; how many faults go on"),
    clause("only", "the models it is for"),
    clause("only with", "the options it is for"),
    clause("for", "what is different for some models"),
    clause(
        "through",
        "through nights: a hold that runs on without people; through breaks: work that people finish first",
    ),
    clause("attended", "a hold that runs only in attended time"),
    clause("once", "work on the first part of each lot of a feeder"),
    clause("exactly", "work that is never done with fewer people than it names"),
    clause("stays", "work that balancing leaves where it is"),
    clause("beside", "the tasks that balancing keeps at the same station"),
    clause("apart", "the tasks that balancing keeps at other stations"),
    clause("shared", "how much sooner more people do it"),
    clause("safety", "its stated minimum is fixed by safety or quality"),
    clause("within", "the longest time of a window, and what is redone when it is missed"),
    clause("of", "the steps or zones that belong to it"),
    clause("passes", "the share that passes, at first and again"),
    clause("on fail", "what happens to a unit that fails"),
    clause("on", "the weekdays of a shift; the layout that a layout starts from"),
    clause("crew", "who is wanted at a station"),
    clause("serving", "the stations that equipment or a team serves"),
    clause("bays", "places for units that are worked on"),
    clause("slots", "waiting places before a station"),
    clause("times", "a factor on all times of the tasks at a station"),
    clause("space", "how much floor a bay and a slot take"),
    clause("places", "places of a rack or repair"),
    clause("can", "skills"),
    clause("from", "the hours in which a visitor is there; the places between which units need a carrier"),
    clause("up to", "the most people in a zone"),
    clause("pushed", "the rule by which a segment moves all its units at once"),
    clause("moving", "how long one move takes; how fast a conveyor is, and how far apart its units are"),
    clause("index", "lost time at each push"),
    clause("meal", "a meal and its length, unpaid unless said"),
    clause("break", "a break and its length, paid unless said"),
    clause("stop", "a planned stop and its length"),
    clause("meeting", "a meeting at the start of the shift"),
    clause("clean-up", "cleaning at the end of the shift"),
    clause("home", "when a crew may leave before the end of the shift"),
    clause("no two", "a model that never follows itself"),
    clause("looking", "how many orders ahead the sequence is chosen from"),
    clause("ordered", "units that must not overtake one another"),
    clause("returns", "who takes a freed place, a returning unit or a new one"),
    clause("draws", "the random draws of a renamed thing"),
    clause("uses", "parts that a task takes from a store at its start"),
    clause(
        "in lots of",
        "how many parts arrive together, how often, and how late at times; how many a feeder makes in a row",
    ),
    clause("store of", "how many parts a store holds, and how many are there at the start"),
    clause("builds", "whether a feeder builds to stock or for the units that follow"),
    clause(
        "in trucks of",
        "how many parts of a feeder go to their store together, when, and how long they take",
    ),
    clause("short", "parts that are short for a share of units, and when what is missing arrives"),
    clause("wrong", "parts that were built for another model, and how long it takes to change them"),
    clause("late work", "unfinished work that travels on with its unit"),
    clause("stopping", "breakdowns and short stops, and how long each lasts"),
    clause("answered", "how long it takes until somebody has come to a call"),
    clause("solved", "the share of calls that somebody solves, and how long the others stop the line"),
    clause("finds", "how many faults a gate finds in a unit on average"),
    clause("every", "an option that every n-th unit has"),
    clause("returning", "how long carriers are on their way back"),
    clause("chosen", "how a unit chooses its lane"),
    clause("lorries", "how many units a lorry takes from a yard, and when"),
    clause("drift", "how far a crew may work beyond its station"),
    clause("pull off", "where a unit goes that is not done when its segment is pushed"),
    clause(
        "may",
        "how far unfinished work may travel; a hold that runs on while its unit is pushed; the stations where balancing \
         may put a task",
    ),
    clause("when", "how warm it must be for a hold to count; how few units lead to overtime, or to a shift"),
    clause("only if", "work begun only where it ends before the next break"),
    clause("length", "how long a station on a conveyor is"),
    clause("walk", "how long people walk to a unit"),
    clause("first", "the tasks that get equipment before others"),
    clause("needs", "how the unit must stand"),
    clause("escapes", "faults that a test lets through, and the test that finds them"),
    clause("false", "fails of a test that are none"),
    clause("answering", "how fast people come who are called"),
    clause("covering", "the stations that floaters stand in at, or that people help at"),
    clause("helping", "how much of their time people of no crew lend a hand"),
];

/// Words that link the parts of a clause. They are reserved too, so that a number without a unit or
/// a list of names ends where a reader thinks it does.
pub const LINKS: &[&str] = &[
    "again", "back", "else", "fixed", "lasting", "least", "mean", "most", "not", "paid", "per", "redo",
    "retest", "scrapped", "sd", "shape", "then", "to", "unpaid",
];

/// The single words that open a clause, without those that are reserved only before another word:
/// `late` before `work`, `store` before `of`.
pub fn clause_first_words() -> impl Iterator<Item = &'static str> {
    CLAUSES
        .iter()
        .map(|clause| clause.opener.split(' ').next().unwrap_or(clause.opener))
        .filter(|word| !matches!(*word, "late" | "store"))
}

static CLAUSE_WORDS: LazyLock<Vec<&'static str>> = LazyLock::new(|| {
    let mut words: Vec<_> = clause_first_words().collect();
    words.sort_unstable();
    words.dedup();
    words
});

/// Whether this word opens a clause (perhaps together with the next one).
pub fn opens_clause(word: &str) -> bool {
    CLAUSE_WORDS.binary_search(&word).is_ok()
}

/// What a reserved word does, where it is one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reserved {
    Statement,
    Clause,
    Link,
}

pub fn reserved(word: &str) -> Option<Reserved> {
    if Word::find(word).is_some() {
        Some(Reserved::Statement)
    } else if opens_clause(word) {
        Some(Reserved::Clause)
    } else if LINKS.binary_search(&word).is_ok() {
        Some(Reserved::Link)
    } else {
        None
    }
}

/// The known word nearest to a mistyped one, if any is near enough to be meant: at most one typing
/// slip per three letters (two swapped letters count as one), and the case never counts.
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    let length = typed.chars().count();
    let slips = (length / 3).min(3);
    let mut best: Option<(usize, &str)> = None;
    for word in known {
        if word.len().abs_diff(length) > slips {
            continue;
        }
        let distance = strsim::osa_distance(&typed, word);
        if distance <= slips && best.is_none_or(|(found, _)| distance < found) {
            best = Some((distance, word));
        }
    }
    best.map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const GRAMMAR: &str = include_str!("../../grammar/line.pest");

    /// The quoted words in the rule of that name.
    fn grammar_words(rule: &str) -> BTreeSet<&'static str> {
        let start = GRAMMAR.find(&format!("\n{rule} ")).expect("the rule stands in the grammar");
        let body = &GRAMMAR[start..];
        let body = &body[..body.find("!rest }").expect("the rule ends in !rest")];
        body.split('"').skip(1).step_by(2).filter(|word| word.len() > 1).collect()
    }

    #[test]
    fn the_grammar_reserves_exactly_the_words_of_the_tables() {
        let statements: BTreeSet<_> = Word::ALL.iter().map(|word| word.text()).collect();
        assert_eq!(grammar_words("statement_word"), statements);
        assert_eq!(grammar_words("clause_word"), clause_first_words().collect());
        assert_eq!(grammar_words("linking_word"), LINKS.iter().copied().collect());
        let all = statements.iter().copied().chain(clause_first_words()).chain(LINKS.iter().copied());
        let all: BTreeSet<_> = all.chain(["late", "work", "store", "of"]).collect();
        assert_eq!(grammar_words("reserved"), all);
    }

    #[test]
    fn statement_words_clause_words_and_links_are_disjoint() {
        let statements: BTreeSet<_> = Word::ALL.iter().map(|word| word.text()).collect();
        let clauses: BTreeSet<_> = clause_first_words().collect();
        let links: BTreeSet<_> = LINKS.iter().copied().collect();
        assert!(statements.is_disjoint(&clauses));
        assert!(statements.is_disjoint(&links));
        assert!(clauses.is_disjoint(&links));
        assert_eq!(statements.len(), Word::ALL.len(), "no statement word twice");
        let two_small = |word: &&str| word.as_bytes()[..2].iter().all(u8::is_ascii_lowercase);
        let mut all = statements.iter().chain(&clauses).chain(&links);
        assert!(all.all(two_small), "the grammar looks for reserved words only after two small letters");
        assert!(LINKS.is_sorted(), "links are searched by halving");
    }

    #[test]
    fn every_statement_word_is_found_by_its_text() {
        for word in Word::ALL {
            assert_eq!(Word::find(word.text()), Some(*word));
            assert_eq!(reserved(word.text()), Some(Reserved::Statement));
        }
        assert_eq!(Word::find("Task"), None);
        assert_eq!(reserved("late"), None);
        assert_eq!(reserved("takes"), Some(Reserved::Clause));
        assert_eq!(reserved("lasting"), Some(Reserved::Link));
    }

    #[test]
    fn a_near_miss_finds_its_word_and_a_far_one_finds_none() {
        let known = || CLAUSES.iter().map(|clause| clause.opener);
        assert_eq!(nearest("tkes", known()), Some("takes"));
        assert_eq!(nearest("Takes", known()), Some("takes"));
        assert_eq!(nearest("wiht", known()), Some("with"));
        assert_eq!(nearest("zonk", known()), None);
        assert_eq!(nearest("", known()), None);
    }
}
