//! Counts of shifts in so few bars that a page has room for them.

use super::record::ShiftsAt;

/// Shifts whose counts are shown together.
pub struct Bar {
    /// `18`, or `18-19` for several.
    pub name: String,
    /// The greatest count of it.
    pub to: u32,
    pub shifts: u64,
}

/// Neighbouring counts put together until there are no more than `most` bars.
pub fn binned(histogram: &[ShiftsAt], most: usize) -> Vec<Bar> {
    let width = histogram.len().div_ceil(most).max(1);
    let bar = |part: &[ShiftsAt]| {
        let (from, to) = (part[0].units, part[part.len() - 1].units);
        let name = if from == to { from.to_string() } else { format!("{from}-{to}") };
        Bar { name, to, shifts: part.iter().map(|s| s.shifts).sum() }
    };
    histogram.chunks(width).map(bar).collect()
}
