//! The report as text: a first screen for whoever decides, then the numbers.

mod check;
mod dress;
mod first;
pub mod layout;
mod numbers;
mod states;

pub use check::page as check_page;
pub use dress::Dress;

use super::record::Report;

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
