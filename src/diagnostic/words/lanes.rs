//! Lanes and what stands around them and in them: T413.

use crate::diagnostic::{Code, Diagnostic, Span};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadLanes, span, headline).marked(marker).help(cure)
}

/// A statement in its braces that says something of the whole line.
pub fn not_in_lane(span: Span, statement: &str, lane: &str) -> Diagnostic {
    bad(
        span,
        format!("a `{statement}` in the braces of lane {lane}"),
        "not part of a lane",
        "its braces hold stations, racks, repair bays and the work there; write the rest outside",
    )
}

pub fn without_places(span: Span, lane: &str) -> Diagnostic {
    bad(
        span,
        format!("lane {lane} has no station"),
        "no place here",
        "write its stations and tasks in braces behind it; units that pass by need a `rack` with one place",
    )
}

pub fn only_one(span: Span, lanes: &str) -> Diagnostic {
    bad(
        span,
        format!("lanes {lanes} are fewer than two"),
        "nothing to choose",
        &format!("write `lane ... of {lanes} {{ ... }}` twice or more, or take the group away"),
    )
}

/// A stretch with one end in a lane and the other outside of it.
pub fn cut(span: Span, from: &str, to: &str) -> Diagnostic {
    bad(
        span,
        format!("{from} to {to} cuts through lanes: no unit passes all of it"),
        "begins or ends in a lane",
        "a stretch lies in one lane, or begins before all of them and ends behind them",
    )
}

pub fn behind_another(span: Span, place: &str, other: &str) -> Diagnostic {
    bad(
        span,
        format!(
            "{place} stands in the braces of a lane, and {other}, behind which it is to stand, is not in it"
        ),
        "another lane",
        "write it into the braces of the lane where it belongs",
    )
}

/// Units part and meet only at a place.
pub fn no_place(span: Span, lanes: &str, side: &str) -> Diagnostic {
    bad(
        span,
        format!("lanes {lanes} have no place of the line {side} them"),
        "units part and meet at a place",
        "a rack will do, which units pass in no time: `rack M1 places 1`",
    )
}

pub fn beside_a_push(span: Span, lanes: &str, place: &str, segment: &str) -> Diagnostic {
    bad(
        span,
        format!("lanes {lanes} touch segment {segment}, which is pushed, at {place}"),
        "not pushed together",
        "lanes, and the places before and behind them, move when ready: put a rack between, or shorten the segment",
    )
}

/// Each model has one lane, where the model decides.
pub fn not_one_lane(span: Span, lanes: &str, model: &str, found: &[String]) -> Diagnostic {
    let takes = match found {
        [] => "no lane takes its units".to_string(),
        found => format!("{} take them", crate::units::join_and(found)),
    };
    bad(
        span,
        format!("lanes {lanes} are chosen by model, and of model {model} {takes}"),
        "one lane for each model",
        "say in each lane which models take it: `lane north of ... only L, S`",
    )
}

pub fn no_way_for(span: Span, lanes: &str, model: &str) -> Diagnostic {
    bad(
        span,
        format!("no lane of {lanes} takes units of model {model}"),
        "no way through",
        "add the model to the `only` of a lane, or let one lane take all models",
    )
}

pub fn share_and_models(span: Span, lane: &str) -> Diagnostic {
    bad(
        span,
        format!("lane {lane} is for some models, and a share decides, whatever the model"),
        "not by share",
        "take `only` out, or let the lanes be `chosen by model` or `chosen by the shortest queue`",
    )
}

/// Work in a lane that no model which takes the lane has.
pub fn nobody_has_it(span: Span, step: &str, lane: &str) -> Diagnostic {
    bad(
        span,
        format!("{step} stands in lane {lane}, which no unit takes that has it"),
        "for nobody",
        "let the lane take the models that the work is for",
    )
}

/// A lane that starts full of what is not built.
pub fn nobody_stands(span: Span, lane: &str) -> Diagnostic {
    bad(
        span,
        format!("no model is built that takes lane {lane}, and the line starts full"),
        "nothing can stand there",
        "let the lane take a model that is built, or start empty",
    )
}

/// Work that waits for work of another lane.
pub fn no_unit_passes_both(span: Span, step: &str, here: &str, other: &str, there: &str) -> Diagnostic {
    bad(
        span,
        format!(
            "{step} at {here} follows {other} at {there}, and no unit passes both: they stand in two lanes"
        ),
        "two lanes",
        "what is done in every lane has a name of its own in each; take this one out of `after`",
    )
}

/// One end (of a window, a keep, a way back ...) in a lane that not every unit takes.
pub fn one_end(span: Span, what: &str, inside: &str, lane: &str) -> Diagnostic {
    bad(
        span,
        format!("{what}: {inside} stands in lane {lane}, which not every unit has taken"),
        "not every unit passes it",
        "both ends stand in one lane, or outside of all lanes",
    )
}
