//! The record of one fault or doubt.

use super::{Code, Severity, Span};

/// A further place that explains the fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    pub span: Span,
    pub text: String,
}

/// One fault (or doubt): what, where, why, and the cure.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Diagnostic {
    pub code: Code,
    pub severity: Severity,
    /// One line: what is wrong, naming the culprit and the numbers compared.
    pub headline: String,
    pub primary: Span,
    /// Stands under the underlined text; may be empty.
    pub marker: String,
    pub labels: Vec<Label>,
    /// Each line is one cure, in the words of the language.
    pub help: Vec<String>,
}

impl Diagnostic {
    #[must_use]
    pub fn new(code: Code, primary: Span, headline: impl Into<String>) -> Diagnostic {
        Diagnostic {
            code,
            severity: code.severity(),
            headline: headline.into(),
            primary,
            marker: String::new(),
            labels: Vec::new(),
            help: Vec::new(),
        }
    }

    #[must_use]
    pub fn marked(mut self, text: impl Into<String>) -> Diagnostic {
        self.marker = text.into();
        self
    }

    #[must_use]
    pub fn label(mut self, span: Span, text: impl Into<String>) -> Diagnostic {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Diagnostic {
        self.help.push(text.into());
        self
    }

    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// Sorts by file and place and merges equal ones (layouts check the same base statement again).
#[must_use]
pub fn settle(mut faults: Vec<Diagnostic>) -> Vec<Diagnostic> {
    faults.sort_by(|a, b| (a.primary, a.code, &a.headline).cmp(&(b.primary, b.code, &b.headline)));
    faults.dedup_by(|a, b| a.code == b.code && a.primary == b.primary);
    faults
}
