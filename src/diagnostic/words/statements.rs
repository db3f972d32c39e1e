//! Clauses and statements out of place: T103, T104, T109, T307.

use super::a;
use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::join_and;

/// A clause that this statement does not take.
pub fn misplaced_clause(span: Span, clause: &str, statement: &str, takes: &[&str]) -> Diagnostic {
    let fault = Diagnostic::new(
        Code::MisplacedClause,
        span,
        format!("{} statement takes no `{clause}`", a(&format!("`{statement}`"))),
    )
    .marked("not here");
    let quoted: Vec<String> = takes.iter().map(|word| format!("`{word}`")).collect();
    fault.help(match quoted.is_empty() {
        true => format!("`{statement}` takes no clauses at all"),
        false => format!("`{statement}` takes {}", join_and(&quoted)),
    })
}

/// A clause that this statement takes only together with another one.
pub fn clause_needs(span: Span, clause: &str, statement: &str, other: &str) -> Diagnostic {
    Diagnostic::new(
        Code::MisplacedClause,
        span,
        format!("`{clause}` in this `{statement}` says nothing without `{other}`"),
    )
    .marked("has nothing to act on")
    .help(format!("add `{other}` or take `{clause}` out"))
}

/// An option that a share of the units has, and every n-th.
pub fn rate_and_every(span: Span, option: &str) -> Diagnostic {
    Diagnostic::new(
        Code::MisplacedClause,
        span,
        format!("option {option} has a take rate, and `every` says which units have it"),
    )
    .marked("not beside a share")
    .help("keep one of them: a share is drawn unit by unit, `every 10 units` is each tenth")
}

/// Two clauses of one statement that exclude one another.
fn clauses_exclude(span: Span, clause: &str, first: Span, other: &str, why: &str) -> Diagnostic {
    Diagnostic::new(Code::MisplacedClause, span, format!("`{clause}` does not go with `{other}`: {why}"))
        .marked(format!("not beside `{other}`"))
        .label(first, "stands here already")
        .help(format!("keep `{clause}` or `{other}`, not both"))
}

pub fn moving_and_pushed(moving: Span, pushed: Span) -> Diagnostic {
    let why = "all units move at once, and the length of that is the `index`";
    clauses_exclude(moving, "moving", pushed, "pushed", why)
}

pub fn through_breaks_and_fits(through: Span, fits: Span) -> Diagnostic {
    let why = "work that is begun only if it fits meets no break that it could go through";
    clauses_exclude(through, "through breaks", fits, "only if it fits", why)
}

pub fn attended_and_through_nights(attended: Span, nights: Span) -> Diagnostic {
    let why = "a hold runs on without people, or it stops when they leave";
    clauses_exclude(attended, "attended", nights, "through nights", why)
}

pub fn per_bay_and_serving(per_bay: Span, serving: Span, team: &str, places: &str) -> Diagnostic {
    let why = format!("team {team} serves {places}, and a crew for every bay stays at its bay");
    clauses_exclude(per_bay, "per bay", serving, "serving", &why)
}

/// A statement in a place where it can't stand (`change` outside a layout, a layout in a layout).
pub fn misplaced_statement(span: Span, statement: &str, place: &str) -> Diagnostic {
    Diagnostic::new(Code::MisplacedClause, span, format!("`{statement}` can't stand here"))
        .marked("not here")
        .help(format!("`{statement}` stands {place}"))
}

pub fn repeated_clause(span: Span, first: Span, clause: &str, statement: &str) -> Diagnostic {
    Diagnostic::new(Code::Repeated, span, format!("this `{statement}` has two `{clause}` clauses"))
        .marked("second time")
        .label(first, "first time")
        .help("put everything into one clause, or take one of them out")
}

/// Two `for` clauses say the same sort of thing about one model.
pub fn repeated_for_model(span: Span, first: Span, model: &str, what: &str) -> Diagnostic {
    Diagnostic::new(Code::Repeated, span, format!("{what} of model {model} is stated twice"))
        .marked("second time")
        .label(first, "first time")
        .help(format!("name {model} in one of the two clauses only"))
}

/// A name stands twice in one list.
pub fn repeated_in_list(span: Span, name: &str, clause: &str) -> Diagnostic {
    Diagnostic::new(Code::Repeated, span, format!("{name} stands twice in `{clause}`"))
        .marked("second time")
        .help(format!("name {name} once"))
}

pub fn repeated_statement(span: Span, first: Span, statement: &str) -> Diagnostic {
    Diagnostic::new(
        Code::Repeated,
        span,
        format!("a line has one `{statement}` statement, this is the second"),
    )
    .marked("second time")
    .label(first, "first time")
    .help("take one of them out; what differs between layouts goes into a `layout`")
}

/// A station is served by two crews.
pub fn two_crews(span: Span, first: Span, station: &str, one: &str, other: &str) -> Diagnostic {
    Diagnostic::new(Code::Repeated, span, format!("{station} has two crews: {one} and {other}"))
        .marked("second crew")
        .label(first, "first crew")
        .help(format!("let one of the two serve {station}"))
}

pub fn empty_file(span: Span) -> Diagnostic {
    Diagnostic::new(Code::EmptyFile, span, "the file holds no station")
        .help("a line needs at least one place and one task:")
        .help("station S1 crew 1")
        .help("task t1 takes 5 min")
}

/// A test that some units fail and that says nothing of them.
pub fn no_outcome(span: Span, test: &str) -> Diagnostic {
    Diagnostic::new(
        Code::MissingClause,
        span,
        format!("test {test} does not say what becomes of units that fail"),
    )
    .marked("`on fail` is missing")
    .help("for example `on fail fixed in place takes 10/18/35 min by 1`, or `on fail scrapped`")
}

/// A clause that the statement can't do without.
pub fn missing_clause(span: Span, who: &str, what: &str, example: &str) -> Diagnostic {
    Diagnostic::new(Code::MissingClause, span, format!("{who} needs {what}"))
        .marked(format!("{what} is missing"))
        .help(format!("for example `{example}`"))
}
