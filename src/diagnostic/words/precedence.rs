//! Order of work, and where a step is done: T401 to T403.

use crate::diagnostic::{Code, Diagnostic, Span};

pub fn cycle(span: Span, path: &[String], models: &str) -> Diagnostic {
    let arrows = path.join(" -> ");
    Diagnostic::new(Code::Cycle, span, format!("these follow one another in a circle for {models}: {arrows}"))
        .marked("part of the circle")
        .help("`->` reads \"comes before\"; take one `after` of the circle out")
}

pub fn downstream(
    span: Span,
    step: &str,
    place: &str,
    before: &str,
    before_place: &str,
    before_span: Span,
) -> Diagnostic {
    Diagnostic::new(
        Code::Downstream,
        span,
        format!("{step} at {place} follows {before}, which is done later on the line, at {before_place}"),
    )
    .marked(format!("done at {before_place}"))
    .label(before_span, format!("{before} stands at {before_place}"))
    .help(format!("move {step} to {before_place} or behind it, or {before} to {place} or before it"))
}

pub fn no_place(span: Span, step: &str) -> Diagnostic {
    Diagnostic::new(Code::NoPlace, span, format!("{step} has no place"))
        .marked("where?")
        .help("say where: `at A05`, or write it below its `station` or `rack`")
}

/// The place it stood at by default is gone in this layout.
pub fn place_removed(span: Span, step: &str, place: &str) -> Diagnostic {
    Diagnostic::new(Code::NoPlace, span, format!("{step} stood at {place}, which this layout removes"))
        .marked("has lost its place")
        .help(format!("in the layout, write `change task {step} at ...` or remove it"))
}

/// A place of a kind that does not fit.
fn wrong_place(span: Span, what: String, why: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::NoPlace, span, format!("{what}: {why}")).marked("not this place").help(cure)
}

const OFF_THE_LINE: &str = "that is a repair bay, off the line";

/// Planned work at a repair bay.
pub fn step_at_repair(span: Span, step: &str, bay: &str) -> Diagnostic {
    let cure =
        "say where it is done (`at A05`); work at a repair bay stands in the test that sends units there";
    wrong_place(span, format!("{step} stands at {bay}"), OFF_THE_LINE, cure)
}

pub fn team_at_rack(span: Span, team: &str, rack: &str) -> Diagnostic {
    let cure = "make it a `station`, or leave it out";
    wrong_place(
        span,
        format!("team {team} serves {rack}"),
        "that is a rack, and nobody works at a rack",
        cure,
    )
}

/// Equipment used where it does not reach.
pub fn out_of_reach(span: Span, step: &str, equipment: &str, place: &str, serves: &str) -> Diagnostic {
    let why = format!("{equipment} serves {serves}");
    let cure = format!("add {place} to `serving`, or do {step} where {equipment} is");
    wrong_place(span, format!("{step} works with {equipment} at {place}"), &why, &cure)
}

/// `beside` and `apart from` hold for the file as it stands, too.
pub fn own_neighbour(span: Span, step: &str, clause: &str) -> Diagnostic {
    Diagnostic::new(Code::Repeated, span, format!("{step} names itself in its own `{clause}`"))
        .marked("the step itself")
        .help(format!("name the other work in `{clause}`"))
}

pub fn wrong_neighbour(span: Span, step: &str, other: &str, places: (&str, &str)) -> Diagnostic {
    let (here, there) = places;
    let (what, cure) = match here == there {
        true => (
            format!("{step} stands apart from {other}"),
            format!("move one of them to another station, or leave `apart from {other}` out"),
        ),
        false => (
            format!("{step} stands beside {other}"),
            format!("bring them to one station, or leave `beside {other}` out"),
        ),
    };
    let why = match here == there {
        true => format!("both are done at {here}"),
        false => format!("{step} is done at {here} and {other} at {there}"),
    };
    wrong_place(span, what, &why, &cure)
}

/// `may stand at` names a rack or a repair bay.
pub fn may_not_stand(span: Span, step: &str, place: &str) -> Diagnostic {
    let cure = format!("leave {place} out of `may stand at`");
    wrong_place(span, format!("{step} may stand at {place}"), "that is no station", &cure)
}

/// `may stand at` leaves out where it stands.
pub fn stands_elsewhere(span: Span, step: &str, here: &str) -> Diagnostic {
    let cure = format!("add {here} to `may stand at`, or say another place (`at`)");
    let why = format!("{here} is not among the stations of `may stand at`");
    wrong_place(span, format!("{step} stands at {here}"), &why, &cure)
}

/// `to PLACE` in a test names a place on the line.
pub fn not_a_repair_bay(span: Span, place: &str) -> Diagnostic {
    let cure = format!("write `back to {place}`, or name a `repair` place");
    wrong_place(
        span,
        format!("units that fail go to {place}"),
        "that is on the line, not a repair bay",
        &cure,
    )
}

/// `back to PLACE` or `then PLACE` in a test names a repair bay.
pub fn back_to_repair_bay(span: Span, test: &str, bay: &str) -> Diagnostic {
    let cure = format!("write `to {bay} takes 30/60/140 min by 1`");
    wrong_place(span, format!("units that fail test {test} go back to {bay}"), OFF_THE_LINE, &cure)
}
