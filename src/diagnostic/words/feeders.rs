//! Feeders and what they have to do with the line: T410.

use crate::diagnostic::{Code, Diagnostic, Span};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadFeeder, span, headline).marked(marker).help(cure)
}

/// Two places (or steps) of which one belongs to the line and one to a feeder, or to two feeders.
pub fn two_lines(span: Span, one: &str, other: &str) -> Diagnostic {
    bad(
        span,
        format!("{one} and {other} stand on two lines: one of them belongs to a feeder"),
        "from one line to the other",
        "only parts go from a feeder to the line: a task takes them with `uses`",
    )
}

pub fn segment_in_feeder(span: Span, segment: &str) -> Diagnostic {
    bad(
        span,
        format!("segment {segment} lies in a feeder, whose parts move on when they are ready"),
        "not on the line",
        "take the segment out; `bays` and `slots` of its stations say how many parts wait",
    )
}

pub fn without_places(span: Span, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!("feeder {feeder} has no station"),
        "nothing is made here",
        "write its stations and tasks in braces behind it: `{ station P1 crew 2 task p1 takes 20 min }`",
    )
}

/// A statement in its braces that says something of the whole line.
pub fn not_in_feeder(span: Span, statement: &str, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!("a `{statement}` in the braces of feeder {feeder}"),
        "not part of a feeder",
        "its braces hold shifts, stations, racks, repair bays and the work there; write the rest outside",
    )
}

/// Parts made to stock are all alike.
pub fn alike(span: Span, step: &str, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!("{step} differs by model, and feeder {feeder} builds to stock, where all parts are alike"),
        "differs by model",
        "let it build for the units that follow: `builds 12 units ahead`",
    )
}

/// Only what is built for a model can be of the wrong one.
/// `wrong 0 %` counts only units that are overtaken.
pub fn never_wrong_in_lots(span: Span, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!("no part of feeder {feeder} is ever wrong: it makes lots, which nobody takes out of turn"),
        "says nothing",
        "say for what share of the units a part is wrong, or leave `wrong` out",
    )
}

pub fn wrong_to_stock(span: Span, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!(
            "parts of feeder {feeder} can't be for the wrong model: it builds to stock, where all are alike"
        ),
        "for no model",
        "let it build for the units that follow: `builds 12 units ahead`",
    )
}

/// Options are a matter of units, which a part does not know.
pub fn no_options(span: Span, step: &str, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!(
            "{step} is only for units with an option, and feeder {feeder} knows the model of a unit alone"
        ),
        "asks for an option",
        "give the option's parts a feeder or a supply of their own",
    )
}

pub fn circle(span: Span, path: &[String]) -> Diagnostic {
    bad(
        span,
        format!("feeders wait for one another in a circle: {}", path.join(" -> ")),
        "needs what needs it",
        "`->` reads \"needs parts of\"; take one `uses` of the circle out",
    )
}

/// A feeder that builds for units, and a task that does not take exactly one per unit of the line.
pub fn not_one_each(span: Span, step: &str, feeder: &str, why: &str) -> Diagnostic {
    bad(
        span,
        format!("{step} takes from feeder {feeder}, which builds one part for each unit ahead of it: {why}"),
        "not one part for each unit",
        "let every unit take one part in one task, or let the feeder build to stock",
    )
}

/// Parts for the units ahead come in the order of the units.
pub fn may_overtake(span: Span, place: &str, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!(
            "parts of feeder {feeder} may overtake one another at {place}, and are built for units in turn"
        ),
        "several bays",
        "write `ordered`: a store full of parts for later units would never take the one that is due",
    )
}

/// What is ordered ahead of the units is all that may be on the truck when the first of them wants its part.
pub fn truck_over_orders(span: Span, feeder: &str, truck: u32, ahead: u32) -> Diagnostic {
    bad(
        span,
        format!(
            "feeder {feeder} brings {truck} parts at a time and builds {ahead} ahead of their units, which would wait \
             for a truck that isn't full"
        ),
        "more than is ordered",
        &format!("let it build {truck} units ahead or more, or let the truck go at times: `every 40 min`"),
    )
}

pub fn truck_over_store(span: Span, feeder: &str, truck: u32, places: u32) -> Diagnostic {
    bad(
        span,
        format!("feeder {feeder} brings {truck} parts at a time, its store holds {places}"),
        "never finds room",
        "a store holds at least one truck",
    )
}

/// Work once a lot where no lots are made.
pub fn not_in_lots(span: Span, step: &str, feeder: Option<&str>) -> Diagnostic {
    let (where_, cure) = match feeder {
        Some(feeder) => {
            (format!("feeder {feeder} makes no lots"), format!("write `in lots of 10` into feeder {feeder}"))
        }
        None => (
            "it stands in no feeder".to_string(),
            "only a feeder makes lots; take `once a lot` out".to_string(),
        ),
    };
    bad(span, format!("{step} is done once a lot, and {where_}"), "no lots here", &cure)
}

/// A lot that is never ordered as a whole.
pub fn lot_over_orders(span: Span, feeder: &str, lot: u32, ahead: u32) -> Diagnostic {
    bad(
        span,
        format!(
            "feeder {feeder} makes lots of {lot} and knows of {ahead} units ahead: no lot would ever be whole"
        ),
        "more than is ordered",
        &format!("let it build {lot} units ahead or more"),
    )
}

/// Parts made before their turn would fill the store.
pub fn lots_over_store(span: Span, feeder: &str, early: u32, truck: u32, places: u32) -> Diagnostic {
    let needed = early + truck;
    bad(
        span,
        format!(
            "the lots of feeder {feeder} bring up to {early} parts before the one that is due: its store of {places} \
             might never have room for that one"
        ),
        "may fill up",
        &format!("let its store hold {needed} or more, or make smaller lots"),
    )
}

/// What is ordered and not yet there may not fill the truck.
pub fn lots_over_truck(span: Span, feeder: &str, early: u32, truck: u32, ahead: u32) -> Diagnostic {
    let needed = early + truck;
    bad(
        span,
        format!(
            "the lots of feeder {feeder} bring up to {early} parts before the one that is due: with {ahead} ordered, \
             the truck of {truck} with that one might never be full"
        ),
        "may never go",
        &format!("let it build {needed} units ahead or more, or let the truck go at times: `every 40 min`"),
    )
}

/// What is decided by the count of the line, said of hours that are not the line's.
pub fn counts_units(span: Span, shift: &str, feeder: &str) -> Diagnostic {
    bad(
        span,
        format!("shift {shift} is one of feeder {feeder}, which knows no count of units"),
        "goes by units of the line",
        "say it of a shift of the line; in a feeder people are there for the whole of their shift",
    )
}

/// A crew that would have two calendars.
pub fn serves_two_hours(span: Span, crew: &str, one: &str, other: &str) -> Diagnostic {
    bad(
        span,
        format!("crew {crew} serves {one} and {other}, which have different hours"),
        "has two calendars",
        "give a feeder that has shifts of its own a crew of its own",
    )
}

/// A shift that names people who work in other hours.
pub fn works_other_hours(span: Span, group: &str, shift: &str) -> Diagnostic {
    bad(
        span,
        format!("{group} don't work in the hours of {shift}"),
        "have another calendar",
        "a shift in the braces of a feeder is for people of that feeder, any other for people of the line",
    )
}

/// People who would have two calendars.
pub fn works_two_hours(span: Span, group: &str, one: &str, other: &str) -> Diagnostic {
    bad(
        span,
        format!("{group} are in the crews of {one} and {other}, which have different hours"),
        "have two calendars",
        "people of a feeder that has shifts of its own are a group of their own: `people night-fitters 2`",
    )
}

/// Floaters, or those who help, who would have two calendars.
pub fn covers_two_hours(span: Span, who: &str, one: &str, other: &str) -> Diagnostic {
    bad(
        span,
        format!("{who} are at {one} and {other}, which have different hours"),
        "have two calendars",
        "whoever stands in or helps in a feeder that has shifts of its own is there in its hours: write a statement for it \
         that covers its places alone",
    )
}
