//! The first counted shift of the first replication once more, with every move written down.

use super::StudyError;
use super::run::Outcome;
use crate::line::Line;
use crate::report::{Replay, ReplayMove, Whereabouts};
use crate::simulate::{Event, PARTS_FROM, Settings, Spot, Watcher, replicate};
use crate::units::Time;
use std::collections::BTreeMap;

/// Runs the first replication of `outcome` once more and keeps what moves in its first counted shift; `None`
/// where no whole shift was counted.
///
/// # Errors
/// The replication could not go on.
pub fn replay(line: &Line, seed: u64, outcome: &Outcome) -> Result<Option<Replay>, StudyError> {
    let (Some(calendar), Some(run)) = (&line.calendar, outcome.observations.replications.first()) else {
        return Ok(None);
    };
    if run.per_shift.is_empty() {
        return Ok(None);
    }
    let settings = Settings {
        seed,
        first: run.index,
        count: 1,
        horizon: outcome.horizon,
        warm_up: outcome.warm_up,
        record_finishes: false,
        faster: None,
    };
    let mut recorder = Recorder::default();
    replicate(line, &settings, run.index, &mut recorder).map_err(|error| StudyError::of_run(line, &error))?;
    let Some(begins) = recorder.begins else { return Ok(None) };
    let week = Time::DAY * 7;
    let in_week = (begins + crate::line::Calendar::since_monday(Some(calendar))).micros() % week.micros();
    let shift = calendar.week.iter().find(|shift| shift.start.micros() == in_week);
    let planned = shift.map_or(Time::ZERO, |shift| shift.end - shift.start);
    let (standing, moves) = recorder.numbered(begins);
    let last = moves.last().map_or(Time::ZERO, |moved| moved.at);
    Ok(Some(Replay {
        shift: shift.map_or_else(String::new, |shift| shift.name.clone()),
        starts: Time(begins.micros() % Time::DAY.micros()),
        lasts: planned.max(last),
        slots: line.places.iter().map(|place| place.slots).collect(),
        standing,
        moves,
    }))
}

/// Follows units until the second counted shift begins.
#[derive(Default)]
struct Recorder {
    now: BTreeMap<u64, Whereabouts>,
    /// When the shift begins, and where units stand then.
    begins: Option<Time>,
    standing: Vec<(u64, Whereabouts)>,
    moves: Vec<(Time, u64, Whereabouts)>,
    over: bool,
}

impl Recorder {
    fn take(&mut self, at: Time, unit: u64, to: Whereabouts) {
        if self.over || unit >= PARTS_FROM {
            return;
        }
        match to {
            Whereabouts::Finished | Whereabouts::Gone => drop(self.now.remove(&unit)),
            Whereabouts::Bay(..) | Whereabouts::Slot(_) | Whereabouts::Outside(_) => {
                self.now.insert(unit, to);
            }
        }
        if self.begins.is_some() {
            self.moves.push((at, unit, to));
        }
    }

    /// Units by numbers from 1, times from the start of the shift.
    fn numbered(&self, begins: Time) -> (Vec<(usize, Whereabouts)>, Vec<ReplayMove>) {
        let units = self.standing.iter().map(|(unit, _)| *unit);
        let mut seen: Vec<u64> = units.chain(self.moves.iter().map(|(_, unit, _)| *unit)).collect();
        seen.sort_unstable();
        seen.dedup();
        let number = |unit: u64| seen.binary_search(&unit).map_or(0, |at| at + 1);
        let standing = self.standing.iter().map(|(unit, at)| (number(*unit), *at)).collect();
        let moved = |(at, unit, to): &(Time, u64, Whereabouts)| ReplayMove {
            at: *at - begins,
            unit: number(*unit),
            to: *to,
        };
        (standing, self.moves.iter().map(moved).collect())
    }
}

impl Watcher for Recorder {
    const WATCHING: bool = true;

    fn see(&mut self, at: Time, _net: Time, event: Event) {
        if let Event::ShiftBegins { counted: true } = event {
            self.over |= self.begins.is_some();
            if self.begins.is_none() {
                self.begins = Some(at);
                self.standing = self.now.iter().map(|(unit, at)| (*unit, *at)).collect();
            }
        } else if let Event::Released { unit, .. } = event {
            self.take(at, unit, Whereabouts::Outside(0));
        } else if let Event::Moved { unit, to, .. } = event {
            let to = match to {
                Spot::Bay(place, bay) => Whereabouts::Bay(place.index(), bay),
                Spot::Slot(place) => Whereabouts::Slot(place.index()),
                Spot::Outside(place) => Whereabouts::Outside(place.index()),
            };
            self.take(at, unit, to);
        } else if let Event::Finished { unit } = event {
            self.take(at, unit, Whereabouts::Finished);
        } else if let Event::Scrapped { unit } | Event::SetAside { unit } = event {
            self.take(at, unit, Whereabouts::Gone);
        }
    }
}
