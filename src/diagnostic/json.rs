//! Diagnostics as JSON.

use super::{Diagnostic, Places, Severity, SourceMap};
use serde::{Deserialize, Serialize};

/// One diagnostic as programs read it. Lines and columns count from 1, columns in characters; the end
/// is the place after the last character.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JsonDiagnostic {
    /// `T101`
    pub code: String,
    /// `error` or `doubt`
    pub severity: String,
    pub message: String,
    pub file: String,
    pub line: usize,
    pub column: usize,
    pub end_line: usize,
    pub end_column: usize,
    /// One cure each.
    pub help: Vec<String>,
}

/// In the order given.
#[must_use]
pub fn to_json(diagnostics: &[Diagnostic], map: &SourceMap) -> Vec<JsonDiagnostic> {
    let mut places = Places::new(map);
    diagnostics
        .iter()
        .map(|diagnostic| {
            let file = diagnostic.primary.file;
            let range = places.range(diagnostic.primary);
            let start = places.place(file, range.start);
            let end = places.place(file, range.end);
            JsonDiagnostic {
                code: diagnostic.code.text().to_string(),
                severity: severity(diagnostic.severity).to_string(),
                message: diagnostic.headline.clone(),
                file: map.get(file).map_or(String::new(), |file| file.path.clone()),
                line: start.line,
                column: start.column,
                end_line: end.line,
                end_column: end.column,
                help: diagnostic.help.clone(),
            }
        })
        .collect()
}

/// The word for a severity, in text and JSON alike.
pub(super) fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Doubt => "doubt",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{Code, Span};

    #[test]
    fn columns_count_characters_from_one() {
        let mut map = SourceMap::default();
        let file = map.add("plant.line", "# é\ntask é1 tkes");
        let start = "# é\ntask é1 ".len();
        let fault = Diagnostic::new(Code::Unreadable, Span::new(file, start, start + 4), "what").help("how");
        let json = to_json(&[fault], &map);
        let text = serde_json::to_string(&json[0]).expect("plain fields serialise");
        assert_eq!(
            text,
            "{\"code\":\"T101\",\"severity\":\"error\",\"message\":\"what\",\"file\":\"plant.line\",\
             \"line\":2,\"column\":9,\"end_line\":2,\"end_column\":13,\"help\":[\"how\"]}"
        );
    }
}
