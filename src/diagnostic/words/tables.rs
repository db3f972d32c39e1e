//! Tables from outside that can't be had or hold no values: T108, T304.

use super::suggest;
use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::count_of;

/// Faulty rows spelt out; the rest are named by their line.
const SPELT_OUT: usize = 12;

fn unreadable(span: Span, file: &str, why: &str) -> Diagnostic {
    Diagnostic::new(Code::BadInclude, span, format!("can't read {file}: {why}"))
        .marked("this file")
        .help("paths are relative to the folder of the first file and stay inside it")
}

pub fn missing(span: Span, file: &str) -> Diagnostic {
    unreadable(span, file, "there is no such file")
}

/// `reason` is the system's own.
pub fn refused(span: Span, file: &str, reason: &str) -> Diagnostic {
    unreadable(span, file, reason)
}

pub fn outside(span: Span, file: &str) -> Diagnostic {
    unreadable(span, file, "it lies outside the folder of the first file")
}

pub fn too_large(span: Span, file: &str, found: u64, allowed: u64) -> Diagnostic {
    unreadable(span, file, &format!("it has {found} bytes, the limit is {allowed}"))
}

pub fn not_text(span: Span, file: &str) -> Diagnostic {
    unreadable(span, file, "it is not UTF-8 text")
}

fn bad(span: Span, file: &str, problem: &str) -> Diagnostic {
    Diagnostic::new(Code::BadDistribution, span, format!("{file}: {problem}")).marked("read from this file")
}

/// The reader of tables gave up; `reason` is its own.
pub fn malformed(span: Span, file: &str, reason: &str) -> Diagnostic {
    bad(span, file, reason)
}

pub fn empty(span: Span, file: &str) -> Diagnostic {
    bad(span, file, "the file is empty")
}

pub fn no_header(span: Span, file: &str) -> Diagnostic {
    bad(span, file, "the first row holds numbers").help("it must name the columns, such as `cycle_min`")
}

pub fn too_many_rows(span: Span, file: &str, limit: usize) -> Diagnostic {
    bad(span, file, &format!("it has more than {limit} rows"))
}

pub fn no_column(span: Span, file: &str, column: &str, near: &[String], columns: &[String]) -> Diagnostic {
    suggest(bad(span, file, &format!("there is no column `{column}`")), near)
        .help(format!("its columns are {}", columns.join(", ")))
}

/// The statement names no column and the file has several.
pub fn which_column(span: Span, file: &str, columns: &[String]) -> Diagnostic {
    bad(span, file, &format!("it has {}", count_of(columns.len(), "column")))
        .help(format!("its columns are {}; write `column NAME`", columns.join(", ")))
}

pub fn no_release_column(span: Span, file: &str, columns: &[String]) -> Diagnostic {
    bad(span, file, "no column holds release times")
        .help(format!("its columns are {}", columns.join(", ")))
        .help("name the column of the times `release_min`, `release_h` or `release_s`")
}

/// A column without a single row.
pub fn no_values(span: Span, file: &str, column: &str) -> Diagnostic {
    bad(span, file, &format!("column `{column}` holds no values"))
}

/// What is wrong with one row.
#[derive(Clone, PartialEq, Debug)]
pub enum RowFault {
    NoValue,
    NotATime(String),
    TooLong(String),
    BeforeTheOneAbove(String),
    NotAModel(String),
}

impl RowFault {
    fn said(&self) -> String {
        match self {
            RowFault::NoValue => "no value".to_string(),
            RowFault::NotATime(cell) => format!("`{cell}` is not a time of 0 or more"),
            RowFault::TooLong(cell) => format!("`{cell}` is longer than 400 days"),
            RowFault::BeforeTheOneAbove(cell) => format!("`{cell}` comes before the release above it"),
            RowFault::NotAModel(cell) => format!("`{cell}` is not a model"),
        }
    }
}

/// Every faulty row of a column with its line in the file, the first ones spelt out.
pub fn bad_rows(span: Span, file: &str, column: &str, rows: &[(u64, RowFault)]) -> Diagnostic {
    let count = count_of(rows.len(), "row");
    let problem = format!("column `{column}` has {count} without a usable value");
    let mut fault = bad(span, file, &problem);
    for (line, why) in rows.iter().take(SPELT_OUT) {
        fault = fault.help(format!("line {line}: {}", why.said()));
    }
    if rows.len() > SPELT_OUT {
        let rest: Vec<String> = rows[SPELT_OUT..].iter().map(|(line, _)| line.to_string()).collect();
        fault = fault.help(format!("and lines {}", rest.join(", ")));
    }
    fault
}
