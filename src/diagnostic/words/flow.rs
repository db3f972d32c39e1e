//! Demand, takt and pace: T602, T606.

use crate::diagnostic::{Code, Diagnostic, Span};

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

pub fn pace_over_takt(span: Span, pace: &str, takt: &str) -> Diagnostic {
    Diagnostic::new(
        Code::PaceOverTakt,
        span,
        format!("the planned pace of {pace} is slower than takt, {takt}: the demand can't be met"),
    )
    .marked("slower than takt")
    .help(format!("plan {takt} or faster, or lower the demand"))
}
