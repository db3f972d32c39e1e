//! One shift, move by move: what the page plays, and the same hour by hour for whoever reads it.
//!
//! Owns the short form in which the moves stand on the page. Of a real replication, never drawn anew.

use crate::units::Time;

/// Where a unit is from a move on; places and bays are counted from 0, places as the stations of the report.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Whereabouts {
    Bay(usize, u16),
    Slot(usize),
    /// Before the line, or before a place to which it returns.
    Outside(usize),
    Finished,
    /// Scrapped or set aside.
    Gone,
}

/// A unit moves.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ReplayMove {
    /// Since the start of the shift.
    pub at: Time,
    /// Units are numbered from 1 in the order in which they were released, those on the line first.
    pub unit: usize,
    pub to: Whereabouts,
}

/// A shift as it was run.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Replay {
    /// Its name in the file.
    pub shift: String,
    /// Since 00:00 of its day.
    pub starts: Time,
    pub lasts: Time,
    /// Waiting places before each place.
    pub slots: Vec<u32>,
    /// Units and where they stand when it begins.
    pub standing: Vec<(usize, Whereabouts)>,
    pub moves: Vec<ReplayMove>,
}

/// How things stand at a time of the shift.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Standing {
    pub at: Time,
    pub finished: usize,
    /// In bays, racks and slots of the line.
    pub on_the_line: usize,
    /// In slots, or outside a place.
    pub waiting: usize,
    /// In repair bays, or waiting for one.
    pub off_the_line: usize,
}

impl Replay {
    /// Units finished in it.
    pub fn finished(&self) -> usize {
        self.moves.iter().filter(|moved| moved.to == Whereabouts::Finished).count()
    }

    /// Where the units stand, as `unit:place:spot`, parted by spaces; a spot is the number of a bay, `s` a
    /// slot, `o` outside.
    pub fn standing_text(&self) -> String {
        let all = self.standing.iter().map(|(unit, at)| format!("{unit}:{}", short(*at)));
        all.collect::<Vec<_>>().join(" ")
    }

    /// Moves as `seconds since the last:unit:place:spot`; `f` finished and `g` gone have no place.
    pub fn moves_text(&self) -> String {
        let mut last = 0;
        let mut all = Vec::with_capacity(self.moves.len());
        for moved in &self.moves {
            let at = seconds(moved.at);
            all.push(format!("{}:{}:{}", at - last, moved.unit, short(moved.to)));
            last = at;
        }
        all.join(" ")
    }

    /// How things stand at the start, after each whole hour, and at the end; `off` are places off the line.
    pub fn by_the_hour(&self, off: impl Fn(usize) -> bool) -> Vec<Standing> {
        let mut now: std::collections::BTreeMap<usize, Whereabouts> = self.standing.iter().copied().collect();
        let mut moves = self.moves.iter().peekable();
        let hours = (self.lasts.micros() - 1).max(0) / Time::HOUR.micros();
        let times = (0..=hours).map(|hour| Time::HOUR * hour).chain(std::iter::once(self.lasts));
        let mut finished = 0;
        let mut all = Vec::new();
        for at in times {
            while let Some(moved) = moves.next_if(|moved| moved.at <= at) {
                finished += usize::from(moved.to == Whereabouts::Finished);
                now.insert(moved.unit, moved.to);
            }
            let mut standing = Standing { at, finished, ..Standing::default() };
            now.values().for_each(|at| standing.count(*at, &off));
            all.push(standing);
        }
        all
    }
}

impl Standing {
    fn count(&mut self, at: Whereabouts, off: &impl Fn(usize) -> bool) {
        match at {
            Whereabouts::Bay(place, _) | Whereabouts::Slot(place) | Whereabouts::Outside(place)
                if off(place) =>
            {
                self.off_the_line += 1;
            }
            Whereabouts::Bay(..) => self.on_the_line += 1,
            Whereabouts::Slot(_) => {
                self.on_the_line += 1;
                self.waiting += 1;
            }
            Whereabouts::Outside(_) => self.waiting += 1,
            Whereabouts::Finished | Whereabouts::Gone => {}
        }
    }
}

fn short(at: Whereabouts) -> String {
    match at {
        Whereabouts::Bay(place, bay) => format!("{place}:{bay}"),
        Whereabouts::Slot(place) => format!("{place}:s"),
        Whereabouts::Outside(place) => format!("{place}:o"),
        Whereabouts::Finished => ":f".to_string(),
        Whereabouts::Gone => ":g".to_string(),
    }
}

pub fn seconds(time: Time) -> i64 {
    time.micros() / Time::SECOND.micros()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn replay() -> Replay {
        let moved = |minutes, unit, to| ReplayMove { at: Time::from_minutes(minutes), unit, to };
        Replay {
            shift: "day".to_string(),
            starts: Time::HOUR * 6,
            lasts: Time::from_minutes(90),
            slots: vec![0, 1, 0],
            standing: vec![(1, Whereabouts::Bay(1, 0)), (2, Whereabouts::Slot(1))],
            moves: vec![
                moved(10, 1, Whereabouts::Finished),
                moved(10, 2, Whereabouts::Bay(1, 0)),
                moved(70, 2, Whereabouts::Outside(2)),
            ],
        }
    }

    #[test]
    fn a_shift_is_short_on_the_page() {
        assert_eq!(replay().standing_text(), "1:1:0 2:1:s");
        assert_eq!(replay().moves_text(), "600:1::f 0:2:1:0 3600:2:2:o");
    }

    #[test]
    fn a_shift_is_told_hour_by_hour_to_its_end() {
        let told = replay().by_the_hour(|place| place == 2);
        let figures: Vec<[usize; 4]> =
            told.iter().map(|s| [s.finished, s.on_the_line, s.waiting, s.off_the_line]).collect();
        assert_eq!(figures, [[0, 2, 1, 0], [1, 1, 0, 0], [1, 0, 0, 1]]);
        assert_eq!(told.last().map(|s| s.at), Some(Time::from_minutes(90)));
        assert_eq!(replay().finished(), 1);
    }
}
