//! What can be wrong with a scenario file or its baseline: T951, T952.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::{join_and, join_or};

pub fn too_large(span: Span, found: usize, limit: usize) -> Diagnostic {
    Diagnostic::new(
        Code::BadScenario,
        span,
        format!("the scenario file is larger than allowed: {found} bytes, the limit is {limit}"),
    )
}

pub fn not_yaml(span: Span, reason: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("this is not YAML as a scenario has it: {reason}"))
        .marked("here")
}

pub fn not_a_map(span: Span, what: &str, found: &str, example: &str) -> Diagnostic {
    Diagnostic::new(
        Code::BadScenario,
        span,
        format!("{what} is a map of keys and values, here stands {found}"),
    )
    .marked(format!("{found} stands here"))
    .help(format!("write it as in `{example}`"))
}

pub fn not_a_list(span: Span, what: &str, found: &str, example: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("`{what}` is a list, here stands {found}"))
        .marked(format!("{found} stands here"))
        .help(format!("write it as in `{example}`"))
}

pub fn unknown_key(span: Span, key: &str, within: &str, nearest: Option<&str>, known: &[&str]) -> Diagnostic {
    let fault =
        Diagnostic::new(Code::BadScenario, span, format!("{within} has no key `{key}`")).marked("not a key");
    match nearest {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault.help(format!("its keys are {}", join_and(known))),
    }
}

pub fn missing_key(span: Span, key: &str, example: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("a scenario needs the key `{key}`"))
        .help(format!("write it as in `{example}`"))
}

pub fn bad_value(span: Span, key: &str, reason: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("`{key}`: {reason}")).marked("this value")
}

/// Two keys of which one at most may stand.
pub fn one_of_two(span: Span, one: &str, other: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("`{other}` can't stand beside `{one}`"))
        .marked("one of the two")
        .help("take one of them out")
}

/// `text` in quotes, or the kind of what stands there.
pub fn not_an_expectation(span: Span, text: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("{text} is not an expectation"))
        .marked("not an expectation")
        .help("a measure with a limit: `units per shift: { at least: 17.5 }`")
        .help("a sentence of a promise: `no hold under its minimum`")
        .help("two layouts: `third bay better than today on units per shift`")
}

/// The language's own fault in the sentence that an expectation makes.
pub fn bad_sentence(span: Span, sentence: &str, reason: &str, help: &[String]) -> Diagnostic {
    let mut fault = Diagnostic::new(
        Code::BadScenario,
        span,
        format!("the expectation `{sentence}` does not hold together: {reason}"),
    )
    .marked("this expectation");
    fault.help.extend_from_slice(help);
    fault
}

pub fn no_layout(span: Span, name: &str, nearest: Option<&str>, known: &[String]) -> Diagnostic {
    let fault = Diagnostic::new(Code::BadScenario, span, format!("no layout is named `{name}`"))
        .marked("no such layout");
    match nearest {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault.help(format!("the line has {}", join_and(known))),
    }
}

/// A comparison names a layout that the scenario leaves out.
pub fn layout_not_run(span: Span, name: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("the layout `{name}` is compared but not run"))
        .marked("not run")
        .help(format!("add `{name}` to `layouts`"))
}

pub fn unknown_measure(span: Span, text: &str, known: &[&str]) -> Diagnostic {
    Diagnostic::new(
        Code::BadScenario,
        span,
        format!("`{text}` is not a measure that layouts are compared on"),
    )
    .marked("not a measure")
    .help(format!("compare on {}", join_or(known)))
}

pub fn no_baseline(span: Span, path: &str) -> Diagnostic {
    Diagnostic::new(Code::BadBaseline, span, format!("the baseline `{path}` is not there"))
        .marked("not there")
        .help("write it with `taktwright verify --bless`")
}

pub fn bad_baseline(span: Span, path: &str, reason: &str) -> Diagnostic {
    Diagnostic::new(Code::BadBaseline, span, format!("the baseline `{path}` can't be used: {reason}"))
        .marked("this baseline")
        .help("write it anew with `taktwright verify --bless` and look at what changed")
}

/// The scenario file itself.
pub fn not_there(span: Span, path: &str) -> Diagnostic {
    Diagnostic::new(Code::BadScenario, span, format!("there is no file `{path}`"))
}
