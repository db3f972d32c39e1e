//! Quantities as the trade uses them: time (an integer), shares, counts, and how they are written.
//!
//! Owns parsing-independent arithmetic and wording of quantities. Knows nothing of lines or files.

mod time;
mod wording;

pub use time::{Time, all_whole_half_even, round_half_even, whole_half_even};
pub use wording::{
    count_of, decimals, join_and, join_or, minutes, percent, plural, time_of_day, time_of_week,
};
