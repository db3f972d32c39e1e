//! Holds for which it is never warm enough: T412.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::decimals;

pub fn never_warm(span: Span, hold: &str, least: f64, shop: &str, most: f64, stated: Span) -> Diagnostic {
    let (least, most) = (decimals(least, 1), decimals(most, 1));
    Diagnostic::new(
        Code::NeverWarm,
        span,
        format!("{hold} asks for {least} C, and {shop} is never warmer than {most} C"),
    )
    .marked("never warm enough")
    .label(stated, "how warm it is")
    .help("such a hold never ends: heat the shop, or ask for less")
}

/// An attended hold, while nobody is there.
pub fn never_attended(span: Span, hold: &str, shop: &str) -> Diagnostic {
    Diagnostic::new(
        Code::NeverWarm,
        span,
        format!("{hold} is attended, and {shop} is never warm enough while somebody is there"),
    )
    .marked("never warm enough")
    .help("such a hold never ends: heat the shop, ask for less, or leave `attended` out")
}

/// What begins again whenever it gets cold would never end. `longest`: how long it may take; without a bound if `None`.
pub fn never_long_enough(
    span: Span,
    hold: &str,
    longest: Option<String>,
    shop: &str,
    stays: &str,
) -> Diagnostic {
    let takes = longest.map_or("may take any time".to_string(), |longest| format!("takes up to {longest}"));
    Diagnostic::new(
        Code::NeverWarm,
        span,
        format!("{hold} {takes}, and {shop} stays warm enough for {stays} at most"),
    )
    .marked("begins again for ever")
    .help("say `else it waits` if warm time adds up over a cold night")
}
