//! Numbers, units, shares and distributions: T301 to T306.

use crate::diagnostic::{Code, Diagnostic, Span};

/// A bare number where a unit is needed; `fix` is the number with a unit.
pub fn missing_unit(span: Span, what: &str, kind: &str, fix: &str) -> Diagnostic {
    Diagnostic::new(Code::MissingUnit, span, format!("{what} needs {kind}"))
        .marked("a number without unit")
        .help(format!("write `{fix}`"))
}

/// A unit of another kind.
pub fn wrong_unit(span: Span, what: &str, wanted: &str, found: &str, example: &str) -> Diagnostic {
    Diagnostic::new(Code::WrongUnit, span, format!("{what} is {wanted}, not {found}"))
        .marked(found)
        .help(format!("write it like `{example}`"))
}

/// A unit that the language doesn't know.
pub fn unknown_unit(span: Span, unit: &str, near: Option<&str>) -> Diagnostic {
    let fault =
        Diagnostic::new(Code::WrongUnit, span, format!("`{unit}` is not a unit")).marked("unknown unit");
    match near {
        Some(near) => fault.help(format!("write `{near}`")),
        None => fault.help(
            "units are `s`, `min`, `h`, `days`, `%`, `m`, `kg`, and `per shift`, `hour`, `day` or `week`",
        ),
    }
}

/// Arithmetic on quantities that don't go together.
pub fn no_arithmetic(span: Span, doing: &str, left: &str, right: &str) -> Diagnostic {
    Diagnostic::new(Code::WrongUnit, span, format!("can't {doing} {left} and {right}"))
        .marked("these don't go together")
        .help("times add to times, shares to shares; multiply or divide a quantity by a plain number")
}

/// Times of one distribution in which a bare number can't borrow a unit.
pub fn two_units(span: Span, one: &str, other: &str) -> Diagnostic {
    Diagnostic::new(
        Code::MissingUnit,
        span,
        format!("a number without unit stands beside both `{one}` and `{other}`"),
    )
    .marked("which unit?")
    .help("give every number its unit, or write one unit for all")
}

pub fn out_of_range(span: Span, what: &str, found: &str, allowed: &str) -> Diagnostic {
    Diagnostic::new(Code::OutOfRange, span, format!("{what} is {found}; it must be {allowed}"))
        .marked(allowed)
}

pub fn not_whole(span: Span, what: &str, found: &str) -> Diagnostic {
    Diagnostic::new(Code::OutOfRange, span, format!("{what} is {found}; it must be a whole number"))
        .marked("a whole number is needed")
}

pub fn divided_by_zero(span: Span) -> Diagnostic {
    Diagnostic::new(Code::OutOfRange, span, "this divides by 0").marked("is 0")
}

pub fn number_too_long(span: Span) -> Diagnostic {
    Diagnostic::new(Code::OutOfRange, span, "this number is beyond what the arithmetic can hold")
        .marked("too large or too many digits")
        .help("numbers are kept exactly, as fractions of whole numbers below 10^38")
}

pub fn bad_distribution(span: Span, why: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadDistribution, span, why.to_string())
        .marked("these don't fit together")
        .help(cure)
}

/// A column of a file that can't be had, or rows of it that are no values.
pub fn bad_column(span: Span, file: &str, problem: &str, rows: &[String]) -> Diagnostic {
    let mut fault = Diagnostic::new(Code::BadDistribution, span, format!("{file}: {problem}"))
        .marked("read from this file");
    for row in rows {
        fault = fault.help(row.clone());
    }
    fault
}

/// A file that a statement reads from is not there.
pub fn unreadable_file(span: Span, file: &str, why: &str) -> Diagnostic {
    Diagnostic::new(Code::BadInclude, span, format!("can't read {file}: {why}"))
        .marked("this file")
        .help("paths are relative to the folder of the first file and stay inside it")
}

pub fn shares_do_not_sum(span: Span, what: &str, parts: &str, sum: &str) -> Diagnostic {
    Diagnostic::new(Code::SharesDoNotSum, span, format!("{what} sum to {sum}: {parts}"))
        .marked("must sum to 100 %")
        .help("correct the shares so that they sum to 100 %")
}

pub fn cut_mass(span: Span, lost: &str) -> Diagnostic {
    Diagnostic::new(
        Code::CutMass,
        span,
        format!("a normal time this wide is negative {lost} of the time; that part is cut off, which lifts its mean"),
    )
    .marked("reaches below 0")
    .help("a lognormal or gamma time with the same mean and sd stays above 0: `lognormal mean 12 sd 6 min`")
}

/// A setting from outside that does not read as a quantity.
pub fn bad_setting(span: Span, name: &str, value: &str) -> Diagnostic {
    Diagnostic::new(
        Code::Unreadable,
        span,
        format!("`{name}` is set from outside to `{value}`, which is no quantity"),
    )
    .marked("the `let` that is set")
    .help(format!("write it as in a file: `--set {name}=3` or `--set \"{name}=12 min\"`"))
}
