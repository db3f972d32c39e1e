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

fn bad_distribution(span: Span, why: String, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadDistribution, span, why).marked("these don't fit together").help(cure)
}

/// `what` reads like "the time of task a31".
pub fn mean_not_above_zero(span: Span, what: &str, mean: &str) -> Diagnostic {
    let why = format!("the mean of {what} is {mean}; it must be above 0");
    bad_distribution(span, why, "state how long it takes on average")
}

/// `sorted` is the list as it should stand.
pub fn three_not_in_order(span: Span, typed: &str, sorted: &str) -> Diagnostic {
    let why = format!("{typed} is not in order: low, most likely, high");
    bad_distribution(span, why, &format!("in order: `{sorted}`"))
}

pub fn uniform_backwards(span: Span, low: &str, high: &str) -> Diagnostic {
    bad_distribution(span, format!("{low} to {high} runs backwards"), "write the shorter time first")
}

pub fn spread_beyond_reason(span: Span, what: &str, mean: &str, sd: &str) -> Diagnostic {
    let why = format!("the sd of {what} is more than 100 times its mean: {sd} and {mean}");
    bad_distribution(span, why, "is one of the two in another unit?")
}
