//! Names that are missing, double or unused, and layouts that miss their target: T201 to T205.

use super::suggest;
use crate::diagnostic::{Code, Diagnostic, Span};

/// `kind` reads like `a station`; `near` are the nearest known names; `is` is what the name is
/// instead, where it is something else.
pub fn unknown(span: Span, name: &str, kind: &str, near: &[String], is: Option<&str>) -> Diagnostic {
    let headline = match is {
        Some(is) => format!("`{name}` is {is}, not {kind}"),
        None => format!("`{name}` is not {kind} of this file"),
    };
    let fault = Diagnostic::new(Code::UnknownName, span, headline).marked(format!("{kind} is expected"));
    let fault = suggest(fault, near);
    match near.is_empty() && is.is_none() {
        true => fault.help(format!("write a statement that defines `{name}`, or correct the name")),
        false => fault,
    }
}

/// A `let` that is used above its definition.
pub fn let_below(span: Span, name: &str, defined: Span) -> Diagnostic {
    Diagnostic::new(Code::UnknownName, span, format!("`{name}` is defined further down"))
        .marked("not defined yet")
        .label(defined, "defined here")
        .help(format!("move `let {name}` above its first use by another `let`"))
}

/// A `let` that uses its own name.
pub fn let_of_itself(span: Span, name: &str) -> Diagnostic {
    Diagnostic::new(Code::UnknownName, span, format!("`{name}` is used in its own definition"))
        .marked("not defined yet")
        .help("a `let` is worked out from the ones above it")
}

/// A skill that nobody is said to have.
pub fn unknown_skill(span: Span, name: &str, near: &[String], any_people: bool) -> Diagnostic {
    let fault = Diagnostic::new(Code::UnknownName, span, format!("nobody in this file can `{name}`"))
        .marked("no skill or group of that name");
    let fault = suggest(fault, near);
    match any_people {
        true => fault.help(format!("give it to a group: `can {name}`")),
        false => fault.help(format!("say who can: `people plumbers 8 can {name}`")),
    }
}

/// `--set NAME=VALUE` names no `let` of the file.
pub fn unknown_setting(span: Span, name: &str, near: &[String]) -> Diagnostic {
    let fault = Diagnostic::new(
        Code::UnknownName,
        span,
        format!("`{name}` is set from outside, but no `let` has that name"),
    );
    suggest(fault, near).help(format!("add `let {name} = ...` to the file, or leave the setting out"))
}

pub fn duplicate(span: Span, name: &str, kind: &str, first: Span) -> Diagnostic {
    Diagnostic::new(Code::DuplicateName, span, format!("`{name}` is the name of {kind} already"))
        .marked("second of that name")
        .label(first, "first of that name")
        .help("give one of them another name; in a layout, `change` alters what is there")
}

/// Two things would make the same random draws.
pub fn duplicate_draws(span: Span, name: &str, other: &str, first: Span) -> Diagnostic {
    Diagnostic::new(Code::DuplicateName, span, format!("{name} and {other} would share their random draws"))
        .marked("draws under this name")
        .label(first, "so does this one")
        .help("`draws as` takes the old name of a renamed thing, never the name of one that is still there")
}

pub fn unused(span: Span, name: &str, kind: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::UnusedName, span, format!("{kind} {name} is used nowhere"))
        .marked("used nowhere")
        .help(cure)
}

/// A layout changes or removes what is not there.
pub fn change_of_nothing(
    span: Span,
    doing: &str,
    statement: &str,
    name: &str,
    base: &str,
    near: &[String],
) -> Diagnostic {
    let what = if name.is_empty() { format!("`{statement}`") } else { format!("`{statement} {name}`") };
    let fault = Diagnostic::new(
        Code::EmptyChange,
        span,
        format!("there is no {what} to {doing} in layout \"{base}\""),
    )
    .marked("not there");
    suggest(fault, near).help("a statement without `change` or `remove` adds something new")
}

/// More than one statement answers to what a layout names.
pub fn change_of_many(span: Span, statement: &str, count: usize) -> Diagnostic {
    Diagnostic::new(
        Code::EmptyChange,
        span,
        format!("there are {count} `{statement}` statements; the change does not say which"),
    )
    .marked("which one?")
    .help("name it, or write its head or label as it stands in the file")
}

pub fn change_without_effect(span: Span, statement: &str, name: &str, stands: Span) -> Diagnostic {
    Diagnostic::new(
        Code::EmptyChange,
        span,
        format!("this changes nothing: `{statement} {name}` says so already"),
    )
    .marked("changes nothing")
    .label(stands, "as it stands")
    .help("change what the layout is about, or take the line out")
}

pub fn layout_without_effect(span: Span, label: &str, base: &str) -> Diagnostic {
    Diagnostic::new(Code::EmptyChange, span, format!("layout \"{label}\" does not differ from \"{base}\""))
        .marked("changes nothing")
        .help("write at least one `change`, `remove` or new statement between its braces")
}

pub fn layout_circle(span: Span, labels: &[String]) -> Diagnostic {
    let path: Vec<String> = labels.iter().map(|label| format!("\"{label}\"")).collect();
    Diagnostic::new(
        Code::LayoutCircle,
        span,
        format!("layouts are built on one another in a circle: {}", path.join(" on ")),
    )
    .marked("part of the circle")
    .help("build one of them on \"today\", the line as the file states it")
}

/// A fault that only this layout has.
pub fn only_in_layout(fault: Diagnostic, label: &str) -> Diagnostic {
    fault.help(format!("so in layout \"{label}\""))
}
