//! What this version does not hold: T902.

use crate::diagnostic::{Code, Diagnostic, Span};

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
