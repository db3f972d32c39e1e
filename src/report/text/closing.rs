//! How the pages of studies end: what was left out and why, and what to know before acting.

use super::Dress;
use super::layout::{WIDTH, wrapped};
use crate::report::record::Caution;

/// The page of these lines, ended; `left_out` are names and reasons.
pub fn closed<'a>(
    mut lines: Vec<String>,
    left_out: impl Iterator<Item = (&'a str, &'a str)>,
    cautions: &[Caution],
    dress: &Dress,
) -> String {
    let said = |name: &str, text: &str| wrapped(&format!("  {name}: {text}"), WIDTH, "    ");
    let left: Vec<String> = left_out.flat_map(|(name, why)| said(name, why)).collect();
    if !left.is_empty() {
        lines.extend([String::new(), dress.heading("Left out")]);
        lines.extend(left);
    }
    lines.extend([String::new(), dress.heading("Before you act on this")]);
    lines.extend(cautions.iter().flat_map(|caution| said(&caution.topic, &caution.text)));
    let mut text = lines.join("\n");
    text.push('\n');
    text
}
