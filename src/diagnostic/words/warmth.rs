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

/// What begins again whenever it gets cold would never end.
pub fn never_long_enough(span: Span, hold: &str, minimum: &str, shop: &str, longest: &str) -> Diagnostic {
    Diagnostic::new(
        Code::NeverWarm,
        span,
        format!("{hold} takes {minimum}, and {shop} stays warm enough for {longest} at most"),
    )
    .marked("begins again for ever")
    .help("say `else it waits` if warm time adds up over a cold night")
}
