//! What the report was made from: settings, and the rows of the file, each with an anchor.

use super::grid::row_anchor;
use super::writer::Page;
use crate::report::inputs::Inputs;
use crate::report::record::Report;
use crate::report::wording::{length, thousands};

/// Files longer than this are named, not shown: a page stays small enough to send.
const MOST_BYTES: usize = 400_000;

pub fn made_from(page: &mut Page, report: &Report, inputs: &Inputs) {
    page.element("section", &[("id", "made-from"), ("aria-labelledby", "made-from-h")], |page| {
        page.leaf("h2", &[("id", "made-from-h")], "What this was made from");
        page.element("dl", &[], |page| settings(page, report, inputs));
        let mut room = MOST_BYTES;
        for (k, file) in inputs.files.iter().enumerate() {
            page.leaf("h3", &[], &file.path);
            if file.text.len() > room {
                page.leaf("p", &[], "Too long to be shown here.");
                continue;
            }
            room -= file.text.len();
            let label = format!("Rows of {}", file.path);
            let attributes =
                [("class", "rows"), ("tabindex", "0"), ("role", "region"), ("aria-label", label.as_str())];
            page.element("pre", &attributes, |page| {
                for (row, text) in rows_of(&file.text).enumerate() {
                    page.element("span", &[("id", &row_anchor(k, row + 1))], |page| {
                        page.leaf("i", &[], &format!("{:>4}  ", row + 1));
                        page.text(text);
                    });
                    page.constant("\n");
                }
            });
        }
    });
}

/// Rows end at a line feed, a carriage return, or both, as diagnostics count them.
fn rows_of(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(text.trim_end_matches(['\n', '\r']));
    std::iter::from_fn(move || {
        let now = rest?;
        let Some(end) = now.find(['\n', '\r']) else { return rest.take() };
        let after = &now[end..];
        rest = Some(after.strip_prefix("\r\n").unwrap_or(&after[1..]));
        Some(&now[..end])
    })
}

fn settings(page: &mut Page, report: &Report, inputs: &Inputs) {
    let mut all = vec![
        ("program", format!("taktwright {}", report.version)),
        ("layout", report.layout.clone()),
        ("seed", report.seed.to_string()),
        ("replications", thousands(u64::from(report.replications))),
        ("counted in each, on the clock", length(report.horizon_min)),
        ("warm-up before", length(report.warm_up_min)),
        ("events simulated", thousands(report.events)),
        ("report", report.schema.clone()),
    ];
    let sets: Vec<String> = inputs.sets.iter().map(|(name, value)| format!("{name} = {value}")).collect();
    if !sets.is_empty() {
        all.push(("set from outside", sets.join(", ")));
    }
    for (name, value) in all {
        page.leaf("dt", &[], name);
        page.leaf("dd", &[], &value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_end_at_every_kind_of_break() {
        assert_eq!(rows_of("a\r\nb\rc\n\nd\n").collect::<Vec<&str>>(), ["a", "b", "c", "", "d"]);
        assert_eq!(rows_of("").collect::<Vec<&str>>(), [""]);
    }
}
