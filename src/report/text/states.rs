//! How a station's time is shown in text: a thin bar and its legend.

use super::layout::divided;
use crate::report::looks::{Look, share};
use crate::report::rows::StateShares;

fn stroke(look: Look) -> char {
    match look {
        Look::Working => '█',
        Look::Holding => '▓',
        Look::Moving => '»',
        Look::Short => '!',
        Look::Waiting => '▒',
        Look::Blocked => '>',
        Look::Signal => '·',
        Look::Starved => '○',
        Look::OffShift => ' ',
        Look::Stopped => 'x',
    }
}

/// Twenty characters, 5 % each.
pub fn bar(shares: &StateShares) -> String {
    let parts: Vec<f64> = Look::ALL.iter().map(|look| share(shares, *look)).collect();
    let cells = divided(&parts, 20);
    Look::ALL.iter().zip(cells).flat_map(|(look, n)| std::iter::repeat_n(stroke(*look), n)).collect()
}

/// The strokes that occur in some bars, explained.
pub fn legend(rows: &[&StateShares]) -> String {
    let parts = rows.iter().any(|shares| shares.short_of_parts > 0.0);
    let seen = Look::ALL.iter().filter(|look| rows.iter().any(|shares| share(shares, **look) > 0.0));
    let entries: Vec<String> = seen
        .map(|look| match stroke(*look) {
            ' ' => format!("blank {}", look.words(parts)),
            stroke => format!("{stroke} {}", look.words(parts)),
        })
        .collect();
    entries.join(", ")
}
