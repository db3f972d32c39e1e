//! What this version does not do or does not hold: T901, T902.

use crate::diagnostic::{Code, Diagnostic, Span};

/// Two things that the engine models one by one and not yet together.
pub fn pair_not_modelled(span: Span, one: &str, other: &str) -> Diagnostic {
    Diagnostic::new(Code::NotModelled, span, format!("{one} and {other} in one line are not modelled yet"))
        .marked("not together")
        .help("keep the one that matters for your question; a layout can hold the other")
}

pub fn over_limit(span: Span, what: &str, found: &str, limit: &str) -> Diagnostic {
    Diagnostic::new(Code::OverLimit, span, format!("{what}: {found}, the limit is {limit}"))
        .marked(format!("more than {limit}"))
}

pub fn too_many_layouts(span: Span, found: usize, most: usize, statements: usize) -> Diagnostic {
    Diagnostic::new(
        Code::OverLimit,
        span,
        format!("{found} layouts; the limit is {most}, or {statements} statements over all of them"),
    )
    .marked("and more")
    .help("put some of them into another file, which reads this one with `use`")
}
