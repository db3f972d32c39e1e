//! The report as text: a first screen for whoever decides, then the numbers.

mod around;
mod breaks;
mod check;
mod choice;
mod closing;
mod comparison;
mod costs;
mod cycles;
mod dress;
mod first;
pub mod layout;
mod levels;
mod levers;
mod losses;
mod numbers;
mod states;
mod stations;
mod stores;
mod sweep;
mod verdicts;

pub use check::page as check_page;
pub use choice::page as choice_page;
pub use closing::closed;
pub use comparison::page as comparison_page;
pub use cycles::page as cycles_page;
pub use dress::Dress;
pub use levers::{page as levers_page, sentence as levers_sentence};
pub use losses::page as losses_page;
pub use sweep::page as sweep_page;

use super::record::{Estimate, Report};
use super::wording::{percent_plus_minus, plus_minus};

/// Lines of the first screen, at most.
pub const FIRST_SCREEN: usize = 25;

/// The whole page.
pub fn page(report: &Report, dress: &Dress) -> String {
    let mut lines = first::screen(report, dress);
    lines.push(String::new());
    lines.extend(numbers::sections(report, dress));
    let mut text = lines.join("\n");
    text.push('\n');
    text
}

fn indented(line: String) -> String {
    format!("  {line}")
}

/// A figure in a table; a dash where there is none.
fn cell(e: &Option<Estimate>) -> String {
    e.as_ref().map_or_else(|| "-".to_string(), plus_minus)
}

/// A share in percent with one decimal.
fn share_cell(share: Option<f64>) -> String {
    share.map_or_else(|| "-".to_string(), |share| format!("{:.1}", 100.0 * share))
}

fn percent_cell(e: &Option<Estimate>) -> String {
    e.as_ref().map_or_else(|| "-".to_string(), percent_plus_minus)
}
