//! People, equipment and room: T501 to T504, T803.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::count_of;

/// A step asks for people where there is no crew.
pub fn no_crew(span: Span, step: &str, people: u32, place: &str) -> Diagnostic {
    let wants = count_of(people as usize, "person");
    Diagnostic::new(Code::NobodyCan, span, format!("{step} needs {wants}, {place} has no crew"))
        .marked("nobody is there")
        .help(format!("give {place} a crew: `crew {people}`, or let a `team` serve it"))
}

/// So many people of a skill: `2 who can plumb`, or `2 plumbers` where the skill is a group's name.
pub fn skilled(count: u32, skill: &str, is_group: bool) -> String {
    match is_group {
        true => format!("{count} {skill}"),
        false => format!("{count} who can {skill}"),
    }
}

/// The crew lacks a skill, or people with it; `wanted` is worded by `skilled`.
pub fn nobody_can(span: Span, step: &str, wanted: &str, crew: &str, has: u32, models: &str) -> Diagnostic {
    let among = match has {
        0 => format!("{crew} has nobody"),
        n => format!("{crew} has {n}"),
    };
    Diagnostic::new(Code::NobodyCan, span, format!("{step} needs {wanted}{models}, {among}"))
        .marked(format!("needs {wanted}"))
        .help(format!("put somebody like that into the crew, or move {step} to a place that has one"))
}

/// Each skill is there, but not all at once.
pub fn not_at_once(
    span: Span,
    step: &str,
    needs: &str,
    crew: &str,
    members: &str,
    models: &str,
) -> Diagnostic {
    Diagnostic::new(
        Code::NobodyCan,
        span,
        format!("{step} needs {needs} at once{models}, {crew} ({members}) can't fill all of them"),
    )
    .marked("one person would have to be in two roles")
    .help("a person fills one of the needs of a task; add a person or ask for fewer")
}

pub fn too_many_people(
    span: Span,
    step: &str,
    wanted: u32,
    crew: &str,
    has: u32,
    crew_span: Span,
    models: &str,
) -> Diagnostic {
    let wants = count_of(wanted as usize, "person");
    Diagnostic::new(Code::TooManyPeople, span, format!("{step} needs {wants}{models}, {crew} has {has}"))
        .marked(format!("{wanted} wanted"))
        .label(crew_span, format!("{has} here"))
        .help(format!("write `by {has}` or fewer, or enlarge the crew to {wanted}"))
}

/// The units of a segment are moved by more people than its crews have; `wanted` is worded by `skilled`.
pub fn too_few_movers(span: Span, segment: &str, wanted: &str, has: u32) -> Diagnostic {
    Diagnostic::new(
        Code::TooManyPeople,
        span,
        format!("the units of segment {segment} are moved by {wanted}, the crews of its places have {has}"),
    )
    .marked("too many")
    .help("ask for fewer, or put more of them into the crews of its places; visitors don't count")
}

/// The crews of a segment have each of its movers and not all of them at once; `wanted` is worded by `skilled`.
pub fn movers_not_at_once(span: Span, segment: &str, wanted: &str, has: u32) -> Diagnostic {
    let text = format!(
        "the units of segment {segment} are moved by {wanted} at once, the crews of its places fill {has}"
    );
    Diagnostic::new(Code::TooManyPeople, span, text)
        .marked("one person would have to be in two roles")
        .help("ask for fewer, or put more of them into the crews of its places; visitors don't count")
}

/// A room cap is smaller than what one step takes.
pub fn no_room(
    span: Span,
    step: &str,
    wanted: u32,
    room: &str,
    cap: u32,
    place: &str,
    cap_span: Span,
) -> Diagnostic {
    let wants = count_of(wanted as usize, "person");
    Diagnostic::new(
        Code::TooManyPeople,
        span,
        format!("{step} needs {wants} in {room}, which holds at most {cap} at {place}"),
    )
    .marked(format!("{wanted} wanted"))
    .label(cap_span, format!("at most {cap}"))
    .help(format!("write `by {cap}` or fewer, or raise the cap"))
}

/// More people wanted than the file says exist; `sum` shows the addition.
pub fn not_enough_people(span: Span, group: &str, exist: u32, wanted: u64, sum: &str) -> Diagnostic {
    Diagnostic::new(
        Code::NotEnough,
        span,
        format!("the crews want {wanted} {group} ({sum}), `people` says {exist} exist"),
    )
    .marked(format!("{exist} exist"))
    .help(format!("raise it to {wanted}, or make a crew smaller"))
}

/// All of a group sit in crews, and some of it are to help.
pub fn nobody_left_to_help(span: Span, group: &str, exist: u32) -> Diagnostic {
    let headline = format!("nobody of the {group} is left to help: all {exist} sit in crews");
    Diagnostic::new(Code::NotEnough, span, headline)
        .marked("only people outside the crews help")
        .help(format!("raise the number of {group}, or take some out of crews"))
}

pub fn not_enough_equipment(
    span: Span,
    step: &str,
    wanted: u32,
    name: &str,
    exist: u32,
    first: Span,
) -> Diagnostic {
    Diagnostic::new(Code::NotEnough, span, format!("{step} needs {wanted} {name}, there is {exist}"))
        .marked(format!("{wanted} wanted"))
        .label(first, format!("{exist} here"))
        .help(format!("write `equipment {name} {wanted}`, or ask for fewer"))
}

/// A statement that needs to know who exists.
pub fn not_stated(span: Span, statement: &str) -> Diagnostic {
    Diagnostic::new(
        Code::PeopleNotStated,
        span,
        format!("`{statement}` needs `people`: without it every crew is simply there"),
    )
    .marked("nobody is named")
    .help("say who exists and who is wanted: `people fitters 18`, `station A01 crew 2 fitters`")
}

/// Visitors come in their own hours, whatever the shift.
pub fn visitors_on_a_shift(span: Span, group: &str) -> Diagnostic {
    let text = format!("{group} are visitors: how many come says no shift");
    Diagnostic::new(Code::MisplacedClause, span, text)
        .marked("come in hours of their own")
        .help(format!("take {group} out; `from ... to ... on ...` of `visitor {group}` says when they come"))
}

/// One absence that stops work of a crew.
#[derive(PartialEq, Eq)]
pub struct Missed {
    /// What each task asks for.
    pub wanted: String,
    pub group: String,
    pub crew: String,
    pub exactly: bool,
}

/// T803. Tasks that wait for a whole shift when one of a group is absent; `span` is that of the first.
pub fn one_absence_stops(span: Span, steps: &[&str], missed: &Missed) -> Diagnostic {
    let cure = match missed.exactly {
        true => "let it go on with fewer (no `exactly`), or have one person more than the crews want",
        false => "have somebody else in the crew who can, or one person more than the crews want",
    };
    let (stop, needs) = match steps.len() {
        1 => ("stops", "needs"),
        _ => ("stop", "each needs"),
    };
    let Missed { wanted, group, crew, .. } = missed;
    let steps = crate::units::join_and(steps);
    Diagnostic::new(
        Code::OneAbsence,
        span,
        format!("{steps} {stop} for the shift when one of the {group} in {crew} is absent"),
    )
    .marked(format!("{needs} {wanted}"))
    .help(cure)
}

/// `absent` says two things of one weekday.
pub fn weekday_twice(span: Span, day: &str) -> Diagnostic {
    Diagnostic::new(Code::Repeated, span, format!("`absent` names {day} twice"))
        .marked("again")
        .help("name each weekday once")
}

/// People who sit in during breaks and could not go on with the work.
pub fn relief_cannot(span: Span, step: &str, skill: &str, stated: Span) -> Diagnostic {
    Diagnostic::new(
        Code::NobodyCan,
        span,
        format!("{step} asks for {skill}, and whoever sits in during breaks can't do that"),
    )
    .marked(format!("none of them can {skill}"))
    .label(stated, "the work")
    .help(format!("say what all of them can: `relief 2 can {skill}`"))
}
