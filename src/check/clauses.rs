//! Clauses: which ones a statement takes, which ones may stand twice.
//!
//! The grammar reads every clause in every statement; here a misplaced one gets its sentence. The
//! rules that follow look up only what their statement takes.

use super::desk::Desk;
use crate::diagnostic::words::statements as words;
use crate::syntax::tree::{Clause, ClauseKind, ForWhat, PauseKind, Statement, Word};

/// The first clause that the pattern takes: `clause!(statement, ClauseKind::Bays(n) => n)`.
macro_rules! clause {
    ($statement:expr, $pattern:pat => $found:expr) => {
        $statement
            .clauses
            .iter()
            .find_map(|clause| if let $pattern = &clause.kind { Some(($found, clause)) } else { None })
    };
}
pub(super) use clause;

/// A table of patterns and the words that open such clauses.
macro_rules! openers {
    ($($pattern:pat => $word:expr;)+) => {
        /// The word or words that open a clause, as in the table of words.
        pub(super) fn opener(kind: &ClauseKind) -> &str {
            match kind { $($pattern => $word,)+ ClauseKind::Pause { kind, .. } => pause(*kind) }
        }
    };
}

openers! {
    ClauseKind::Takes(_) => "takes";
    ClauseKind::For { .. } => "for";
    ClauseKind::By(_) => "by";
    ClauseKind::With(_) => "with";
    ClauseKind::In(_) | ClauseKind::InOneOf(_) => "in";
    ClauseKind::After(_) => "after";
    ClauseKind::At(_) => "at";
    ClauseKind::GoOn { .. } => "at most ... go on";
    ClauseKind::Finds(_) => "finds";
    ClauseKind::EveryNth(_) => "every";
    ClauseKind::Carried { .. } => "from ... to";
    ClauseKind::Returning(_) => "returning";
    ClauseKind::Lorries { .. } => "lorries";
    ClauseKind::Only(_) => "only";
    ClauseKind::OnlyWith(_) => "only with";
    ClauseKind::AtLeast(_) => "at least";
    ClauseKind::ThroughNights => "through nights";
    ClauseKind::ThroughBreaks => "through breaks";
    ClauseKind::OnlyIfItFits => "only if";
    ClauseKind::When { .. } => "when";
    ClauseKind::Conveyor { .. } => "moving";
    ClauseKind::Length(_) => "length";
    ClauseKind::Attended => "attended";
    ClauseKind::Exactly => "exactly";
    ClauseKind::OnceALot => "once a lot";
    ClauseKind::Stays => "stays";
    ClauseKind::Beside(_) => "beside";
    ClauseKind::Apart(_) => "apart from";
    ClauseKind::Shared(_) => "shared";
    ClauseKind::Safety => "safety";
    ClauseKind::Within { .. } => "within";
    ClauseKind::Of(_) => "of";
    ClauseKind::Passes { .. } => "passes";
    ClauseKind::OnFail { .. } => "on fail";
    ClauseKind::FalseAlarm { .. } => "false alarm";
    ClauseKind::Escapes { .. } => "escapes";
    ClauseKind::WhenUnder { .. } => "when";
    ClauseKind::MostDays(_) => "at most ... days";
    ClauseKind::AtMostTries(_) => "at most ... tries";
    ClauseKind::Crew { .. } => "crew";
    ClauseKind::Serving(_) => "serving";
    ClauseKind::Bays(_) => "bays";
    ClauseKind::Slots(_) => "slots";
    ClauseKind::Places(_) => "places";
    ClauseKind::Space { .. } => "space";
    ClauseKind::Times(_) => "times";
    ClauseKind::Drift { .. } => "drift";
    ClauseKind::PullsOff(_) => "pull off";
    ClauseKind::First(_) => "first";
    ClauseKind::Can(_) => "can";
    ClauseKind::Hours { .. } => "from";
    ClauseKind::Covering(_) => "covering";
    ClauseKind::Answering(_) => "answering";
    ClauseKind::Helping(_) => "helping";
    ClauseKind::Walk(_) => "walk";
    ClauseKind::UpTo { .. } => "up to";
    ClauseKind::PushedWhenReady | ClauseKind::PushedEvery { .. } => "pushed";
    ClauseKind::Moving(_) => "moving";
    ClauseKind::Index(_) => "index";
    ClauseKind::Meeting(_) => "meeting";
    ClauseKind::CleanUp(_) => "clean-up";
    ClauseKind::OnDays(_) => "on";
    ClauseKind::OnLayout(_) => "on \"layout\"";
    ClauseKind::Home { .. } => "home";
    ClauseKind::NoTwo(_) => "no two";
    ClauseKind::AtMostOf { .. } => "at most ... of any";
    ClauseKind::Looking(_) => "looking";
    ClauseKind::Returns { .. } => "returns";
    ClauseKind::Ordered => "ordered";
    ClauseKind::OnShare(_) => "on ... of days";
    ClauseKind::Answered(_) => "answered";
    ClauseKind::Solved { .. } => "solved";
    ClauseKind::Needs(_) => "needs";
    ClauseKind::DrawsAs(_) => "draws as";
    ClauseKind::Uses(_) => "uses";
    ClauseKind::Lots { .. } | ClauseKind::PartLots(_) => "in lots of";
    ClauseKind::Builds(_) => "builds";
    ClauseKind::Short { .. } => "short";
    ClauseKind::Wrong { .. } => "wrong";
    ClauseKind::Trucks { .. } => "in trucks of";
    ClauseKind::StoreOf { .. } => "store of";
    ClauseKind::LateWork { .. } => "late work";
    ClauseKind::MayTravel { .. } => "may travel";
    ClauseKind::MayStand(_) => "may stand";
    ClauseKind::MayMove => "may move";
    ClauseKind::Stopping(_) => "stopping";
    ClauseKind::Chosen(_) => "chosen";
}

fn pause(kind: PauseKind) -> &'static str {
    match kind {
        PauseKind::Meal => "meal",
        PauseKind::Break => "break",
        PauseKind::Stop => "stop",
    }
}

/// The clauses that statements take, by their openers; a statement that is not listed takes none.
const TAKEN: &[(Word, &[&str])] = &[
    (Word::Overtime, &["when", "at most ... days", "times"]),
    (Word::Shift, &["when", "on", "with", "meal", "break", "stop", "meeting", "clean-up", "home"]),
    (Word::Model, &["draws as"]),
    (Word::Option, &["every", "only", "draws as"]),
    (Word::Sequence, &["no two", "at most ... of any", "looking"]),
    (Word::People, &["can", "helping", "covering", "answering"]),
    (Word::Visitor, &["from", "on", "can"]),
    (Word::Floaters, &["can", "covering", "answering"]),
    (Word::Relief, &["can"]),
    (Word::Team, &["crew", "serving"]),
    (Word::Equipment, &["serving", "moving", "first", "stopping", "draws as"]),
    (Word::Zone, &["up to"]),
    (Word::Limit, &["of", "up to"]),
    (Word::Segment, &["pushed", "index", "by", "moving", "late work"]),
    (
        Word::Station,
        &[
            "crew", "bays", "length", "slots", "returns", "ordered", "after", "space", "times", "walk",
            "drift", "pull off", "stopping", "draws as",
        ],
    ),
    (Word::Rack, &["places", "returns", "ordered", "after", "space", "stopping", "draws as"]),
    (Word::Repair, &["places", "crew", "space", "walk", "stopping", "draws as"]),
    (
        Word::Task,
        &[
            "takes",
            "by",
            "exactly",
            "once a lot",
            "shared",
            "with",
            "in",
            "after",
            "at",
            "for",
            "only",
            "only with",
            "only if",
            "through breaks",
            "needs",
            "uses",
            "may travel",
            "may stand",
            "stays",
            "beside",
            "apart from",
            "draws as",
        ],
    ),
    (
        Word::Hold,
        &[
            "at least",
            "takes",
            "with",
            "after",
            "at",
            "for",
            "only",
            "only with",
            "through nights",
            "when",
            "attended",
            "may move",
            "safety",
            "needs",
            "draws as",
        ],
    ),
    (
        Word::Test,
        &[
            "of",
            "at",
            "passes",
            "for",
            "on fail",
            "at most ... tries",
            "false alarm",
            "escapes",
            "safety",
            "takes",
            "by",
            "exactly",
            "shared",
            "with",
            "in",
            "after",
            "only",
            "only with",
            "needs",
            "uses",
            "draws as",
        ],
    ),
    (
        Word::Gate,
        &[
            "finds",
            "takes",
            "by",
            "exactly",
            "with",
            "in",
            "after",
            "at",
            "for",
            "only",
            "only with",
            "needs",
            "at most ... go on",
            "draws as",
        ],
    ),
    (Word::Yard, &["places", "lorries", "on"]),
    (Word::Carriers, &["from ... to", "returning", "draws as"]),
    (Word::Orientation, &["after"]),
    (Word::Supply, &["in lots of", "store of", "short", "draws as"]),
    (Word::Feeder, &["builds", "in lots of", "in trucks of", "store of", "short", "wrong", "draws as"]),
    (Word::Lanes, &["chosen", "draws as"]),
    (Word::Lane, &["of", "only"]),
    (Word::Window, &["within"]),
    (Word::Stops, &["of", "stopping", "draws as"]),
    (Word::Calls, &["of", "answered", "solved", "draws as"]),
    (Word::Weather, &["of", "on ... of days", "draws as"]),
    (Word::Layout, &["on \"layout\""]),
];

/// The clauses that a statement of this word takes.
pub(super) fn taken_by(word: Word) -> &'static [&'static str] {
    TAKEN.iter().find(|(known, _)| *known == word).map_or(&[], |(_, taken)| taken)
}

/// Whether several of these may stand in one statement.
fn may_repeat(kind: &ClauseKind) -> bool {
    matches!(
        kind,
        ClauseKind::For { .. }
            | ClauseKind::OnFail { .. }
            | ClauseKind::Pause { .. }
            | ClauseKind::NoTwo(_)
            | ClauseKind::AtMostOf { .. }
            | ClauseKind::UpTo { .. }
            | ClauseKind::Stopping(_)
    )
}

/// Two clauses are of one sort if the second would be a repetition, and if a change of one
/// replaces the other.
pub(super) fn sort(kind: &ClauseKind) -> &str {
    match kind {
        ClauseKind::For { what: ForWhat::Factor(_), .. } => "for x",
        ClauseKind::For { what: ForWhat::Time(_), .. } => "for time",
        ClauseKind::For { what: ForWhat::People(_), .. } => "for by",
        ClauseKind::For { what: ForWhat::Passes { .. }, .. } => "for passes",
        other => opener(other),
    }
}

/// Reports every clause of the statement that is misplaced or repeated.
pub(super) fn screen(statement: &Statement, desk: &mut Desk) {
    screen_as(statement, statement.word, desk);
}

/// As a statement of `word`: a `change` takes the clauses of what it changes.
pub(super) fn screen_as(statement: &Statement, word: Word, desk: &mut Desk) {
    let mut seen: Vec<(&str, &Clause)> = Vec::new();
    for clause in &statement.clauses {
        let opens = opener(&clause.kind);
        if !taken_by(word).contains(&opens) || !fits(word, &clause.kind) {
            let takes = taken_by(word);
            desk.fault(words::misplaced_clause(clause.word_span, &said(&clause.kind), word.text(), takes));
        } else if !may_repeat(&clause.kind) {
            match seen.iter().find(|(other, _)| *other == opens) {
                Some((_, first)) => {
                    desk.fault(words::repeated_clause(clause.span, first.span, opens, word.text()));
                }
                None => seen.push((opens, clause)),
            }
        }
    }
}

/// `for`, `moving`, `when` and `in lots of` say different things in different statements.
fn fits(word: Word, kind: &ClauseKind) -> bool {
    if let ClauseKind::WhenUnder { at, .. } = kind {
        return word == if at.is_some() { Word::Overtime } else { Word::Shift };
    }
    let ClauseKind::For { what, .. } = kind else {
        let at_home = |other: Word, says: bool| !says || word == other;
        return at_home(Word::Segment, matches!(kind, ClauseKind::Conveyor { .. }))
            && at_home(Word::Hold, matches!(kind, ClauseKind::When { .. }))
            // Lots of a feeder have no times of their own.
            && at_home(Word::Supply, matches!(kind, ClauseKind::Lots { .. }));
    };
    match what {
        ForWhat::Passes { .. } => word == Word::Test,
        ForWhat::People(_) => word != Word::Hold,
        ForWhat::Factor(_) | ForWhat::Time(_) => true,
    }
}

fn said(kind: &ClauseKind) -> String {
    match kind {
        ClauseKind::For { what: ForWhat::Passes { .. }, .. } => "for ... passes".to_string(),
        ClauseKind::For { what: ForWhat::People(_), .. } => "for ... by".to_string(),
        ClauseKind::Lots { .. } => "in lots of ... every".to_string(),
        other => opener(other).to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_clause_that_is_taken_opens_with_a_word_of_the_language() {
        for (word, taken) in TAKEN {
            for opener in *taken {
                let first = opener.split(' ').next().unwrap_or(opener);
                // `late` is a good name for a shift and `store` for a rack; only two words open the clause.
                let two = matches!(*opener, "late work" | "store of");
                let opens = two || crate::syntax::words::opens_clause(first);
                assert!(opens, "{opener} in {word:?}");
            }
        }
    }
}
