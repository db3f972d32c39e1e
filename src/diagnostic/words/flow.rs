//! Calendar, demand, takt, order of models, and how the plan looks: T601 to T607, T801, T802.

use crate::diagnostic::{Code, Diagnostic, Span};

pub fn bad_calendar(span: Span, headline: &str, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadCalendar, span, headline).marked(marker).help(cure)
}

/// `other` is where the first of the two stands.
pub fn calendar_overlap(span: Span, one: &str, other: &str, first: Span, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadCalendar, span, format!("{one} overlaps {other}"))
        .marked("overlaps")
        .label(first, "the other")
        .help(cure)
}

pub fn takt_against_demand(
    span: Span,
    arithmetic: &str,
    derived: &str,
    typed: &str,
    demand_span: Span,
) -> Diagnostic {
    Diagnostic::new(
        Code::TaktAgainstDemand,
        span,
        format!("takt is stated as {typed}, but {arithmetic} = {derived}"),
    )
    .marked(format!("demand says {derived}"))
    .label(demand_span, "the demand")
    .help(format!("write `takt {derived}`, or leave `takt` out: it follows from demand and calendar"))
}

pub fn no_calendar(span: Span, what: &str) -> Diagnostic {
    Diagnostic::new(Code::NoCalendar, span, format!("{what}, but the file states no shift"))
        .marked("asks for a shift")
        .help("state one: `shift day 06:00 to 14:30 on mon to fri`")
}

pub fn no_first_date(span: Span) -> Diagnostic {
    Diagnostic::new(Code::NoCalendar, span, "closed dates need the date of the first day of the run")
        .marked("when is this?")
        .help("state it: `start empty on 2026-11-30`")
}

pub fn impossible_spacing(span: Span, headline: &str, why: &[String], cure: &str) -> Diagnostic {
    let mut fault =
        Diagnostic::new(Code::ImpossibleSpacing, span, headline).marked("no endless sequence can keep this");
    for line in why {
        fault = fault.help(line.clone());
    }
    fault.help(cure)
}

pub fn tight_spacing(span: Span, model: &str, share: &str, cap: &str, rule: &str) -> Diagnostic {
    Diagnostic::new(
        Code::TightSpacing,
        span,
        format!("{model} has a share of {share} and `{rule}` allows {cap}: hardly any slack"),
    )
    .marked("nearly full")
    .help("orders of that model will pile up in the order bank; loosen the rule or expect long waits for its orders")
}

pub fn pace_over_takt(span: Span, pace: &str, takt: &str) -> Diagnostic {
    Diagnostic::new(
        Code::PaceOverTakt,
        span,
        format!("the planned pace of {pace} is slower than takt, {takt}: the demand can't be met"),
    )
    .marked("slower than takt")
    .help(format!("plan {takt} or faster, or lower the demand"))
}

/// The fixed order builds another mix than the models' shares say.
pub fn mix_differs(span: Span, order: &str, model: &str, built: &str, stated: &str) -> Diagnostic {
    Diagnostic::new(
        Code::MixDiffers,
        span,
        format!("the {order} builds {built} of {model}, the models state {stated}"),
    )
    .marked("another mix")
    .help("loads and mean times are weighted by the stated shares; correct them or the order")
}

pub fn over_window(
    span: Span,
    station: &str,
    model: &str,
    load: &str,
    window: &str,
    share: &str,
) -> Diagnostic {
    Diagnostic::new(
        Code::OverWindow,
        span,
        format!("{station} takes {load} for {model} on average, its window is {window} ({share})"),
    )
    .marked("over its window")
    .help("move work, add a bay or people, or put a slot before it: every such unit delays the line")
}

pub fn long_stretch(span: Span, shift: &str, stretch: &str) -> Diagnostic {
    Diagnostic::new(
        Code::LongStretch,
        span,
        format!("shift {shift} has {stretch} of attended time without a break"),
    )
    .marked("no break for more than 6 h")
    .help("the law and your agreements decide when breaks are due; this is only a reminder")
}
