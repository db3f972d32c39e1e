//! Shifts that last longer or are left out as units are finished.

use super::bands::ratio_of;
use super::quantiles::Banded;
use crate::line::{Line, WeekShift};
use crate::simulate::{Observations, Replication};

/// One shift of the file, all its days together.
#[derive(Clone, PartialEq, Debug)]
pub struct DecidedShift {
    pub name: String,
    /// Of those worked, the share that lasted longer; `None` where there is no overtime.
    pub longer: Option<Banded>,
    /// Of all, the share that was worked; `None` where all are.
    pub worked: Option<Banded>,
}

pub fn decided_shifts(line: &Line, observed: &Observations) -> Vec<DecidedShift> {
    let week = line.calendar.as_ref().map_or(&[][..], |calendar| &calendar.week);
    let mut found: Vec<DecidedShift> = Vec::new();
    let open = |shift: &&WeekShift| shift.overtime.is_some() || shift.only_under.is_some();
    for shift in week.iter().filter(open) {
        if found.iter().any(|other| other.name == shift.name) {
            continue;
        }
        let days: Vec<usize> = (0..week.len()).filter(|day| week[*day].name == shift.name).collect();
        let sum = |counts: &[u32]| days.iter().map(|day| u64::from(counts[*day])).sum::<u64>();
        let share =
            |of: &dyn Fn(&Replication) -> (u64, u64)| ratio_of(&observed.replications, line.confidence, of);
        let worked = |r: &Replication| sum(&r.begun);
        found.push(DecidedShift {
            name: shift.name.clone(),
            longer: shift.overtime.and_then(|_| share(&|r| (sum(&r.overtime), worked(r)))),
            worked: shift.only_under.and_then(|_| share(&|r| (worked(r), worked(r) + sum(&r.left_out)))),
        });
    }
    found
}
