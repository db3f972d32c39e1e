//! Stations, racks, repair bays and slots: how their time is spent and how full they are.

use super::bands::{Grouped, mean_of, ratio_of, share_of};
use super::flow::each;
use super::quantiles::Banded;
use super::{MINUTE, own_shifts_in, shifts_in};
use crate::line::{AtBreaks, Line, PlaceId, Step};
use crate::simulate::{BayState, Observations, PlaceCounts, Replication};

/// One place, its numbers in the order of `Line::places`.
#[derive(Clone, PartialEq, Debug)]
pub struct PlaceFigures {
    pub place: PlaceId,
    /// Units that entered a bay, per replication.
    pub visits: Option<Banded>,
    pub shares: Shares,
    /// Share of net time working, holding or moving: how much of the bays is in use.
    pub in_use: Option<Banded>,
    /// Mean length of an uninterrupted stretch working, holding or moving; net minutes.
    pub active_period: Option<Banded>,
    /// Clock minutes of holding outside net time, per replication.
    pub holding_outside: Option<Banded>,
    pub bays: Option<Levels>,
    /// `None` where the place has no slots.
    pub slots: Option<Levels>,
    /// Pushes at which it was ready last, as a share of its segment's pushes.
    pub last: Option<Banded>,
    pub delay: Option<Delay>,
    /// Pushes at which it stood still for a returning unit, all replications.
    pub held_for_return: u64,
    /// Pushes at which its unit was pulled off the line, as a share of them; `None` where none ever is.
    pub pulled_off: Option<Banded>,
    pub drift: Option<Drift>,
    /// Units that its crew had begun in the place behind; `None` where it never does.
    pub early: Option<Drift>,
    /// Person-minutes beyond net time, per shift's worth of net time, of work that people finish first; `None`
    /// where they finish none.
    pub overrun: Option<Banded>,
}

/// Units pushed on with work left, or that came with work begun; `None` where the crew does not drift so.
#[derive(Clone, PartialEq, Debug)]
pub struct Drift {
    /// Pushes at which its unit was, as a share of its segment's pushes.
    pub share: Option<Banded>,
    /// Minutes of work taken along, or by which it was begun before the push, per push of its segment.
    pub minutes: Option<Banded>,
}

/// Shares of net time by state.
#[derive(Clone, PartialEq, Debug)]
pub struct Shares {
    /// Millionths of net time, in the order of `BayState::ALL`; they sum to 1,000,000. All 0 when no
    /// net time was counted.
    pub millionths: [u32; BayState::COUNT],
    /// Half-widths of the intervals, as shares; `None` below two replications.
    pub half_widths: Option<[f64; BayState::COUNT]>,
}

impl Shares {
    pub fn of(&self, state: BayState) -> f64 {
        f64::from(self.millionths[state as usize]) / 1e6
    }
}

/// Delay of pushes that a place caused.
#[derive(Clone, PartialEq, Debug)]
pub struct Delay {
    /// Minutes per push of its segment.
    pub per_push: Option<Banded>,
    /// Minutes per shift's worth of net time; `None` without a calendar.
    pub per_shift: Option<Banded>,
}

/// How many of some places are occupied, over clock time.
#[derive(Clone, PartialEq, Debug)]
pub struct Levels {
    pub places: u32,
    pub mean: Option<Banded>,
    /// The least number that is not exceeded 95 % of the time.
    pub p95: Option<Banded>,
    pub share_full: Option<Banded>,
    pub share_empty: Option<Banded>,
}

pub fn places(line: &Line, observed: &Observations) -> Vec<PlaceFigures> {
    (0..line.places.len()).map(|p| place(line, &observed.replications, p)).collect()
}

fn place(line: &Line, runs: &[Replication], p: usize) -> PlaceFigures {
    let confidence = line.confidence;
    let place = &line.places[p];
    let bay_time = |r: &Replication| i128::from(place.bays) * i128::from(r.net_of(place.hours).0);
    let mean = |value: &dyn Fn(&Replication) -> Option<f64>| mean_of(&each(runs, value), confidence);
    PlaceFigures {
        place: PlaceId::from_index(p),
        visits: mean(&|r| Some(r.places[p].visits as f64)),
        shares: shares(line, runs, p),
        in_use: share_of(&each(runs, |r| share(active(&r.places[p]), bay_time(r))), confidence),
        active_period: mean(&|r| {
            let counts = &r.places[p];
            (counts.active_periods > 0)
                .then(|| counts.active_time.0 as f64 / MINUTE / counts.active_periods as f64)
        }),
        holding_outside: mean(&|r| Some(r.places[p].holding_outside.as_minutes())),
        bays: levels(runs, confidence, place.bays, |r| &r.places[p].bay_levels),
        slots: match place.slots {
            0 => None,
            slots => levels(runs, confidence, slots, |r| &r.places[p].slot_levels),
        },
        last: last(line, runs, p),
        delay: delay(line, runs, p),
        held_for_return: runs.iter().map(|r| r.places[p].held_for_return).sum(),
        pulled_off: place.pulls_to.and_then(|_| {
            ratio_of(runs, line.confidence, |r| (r.places[p].pulled_off, pushes(line, r, p).unwrap_or(0)))
        }),
        drift: line
            .drifts(p)
            .then(|| drift(line, runs, p, |r| (r.places[p].drifted, r.places[p].drifted_left))),
        early: line
            .begins_early(p)
            .then(|| drift(line, runs, p, |r| (r.places[p].early, r.places[p].early_by))),
        overrun: finishes_first(line, p)
            .then(|| mean(&|r| Some(r.places[p].overrun.as_minutes() / own_shifts_in(line, place.hours, r)?)))
            .flatten(),
    }
}

/// Some work there goes through breaks.
fn finishes_first(line: &Line, p: usize) -> bool {
    let through = |step: &Step| step.at_breaks == AtBreaks::Through;
    line.steps_at(PlaceId::from_index(p)).any(|(_, step)| through(step))
}

fn share(part: i128, whole: i128) -> Option<f64> {
    (whole > 0).then(|| part as f64 / whole as f64)
}

/// Net time working, holding or moving.
fn active(counts: &PlaceCounts) -> i128 {
    [BayState::Working, BayState::Holding, BayState::Moving]
        .iter()
        .map(|state| i128::from(counts.states[*state as usize]))
        .sum()
}

fn shares(line: &Line, runs: &[Replication], p: usize) -> Shares {
    let mut totals = [0_i128; BayState::COUNT];
    for run in runs {
        for (total, time) in totals.iter_mut().zip(run.places[p].states) {
            *total += i128::from(time);
        }
    }
    let half_width = |state: usize| {
        let of_run = |r: &Replication| {
            let place = &line.places[p];
            let bay_time = i128::from(place.bays) * i128::from(r.net_of(place.hours).0);
            share(i128::from(r.places[p].states[state]), bay_time)
        };
        mean_of(&each(runs, of_run), line.confidence).and_then(|e| e.half_width())
    };
    let half_widths: Vec<f64> = (0..BayState::COUNT).filter_map(half_width).collect();
    Shares { millionths: apportion(&totals), half_widths: half_widths.try_into().ok() }
}

/// Whole parts of a million in proportion to `parts`, by largest remainder (ties to the first), so
/// that rounding cannot break the sum.
fn apportion(parts: &[i128; BayState::COUNT]) -> [u32; BayState::COUNT] {
    const MILLION: i128 = 1_000_000;
    let whole: i128 = parts.iter().sum();
    let mut given = [0_u32; BayState::COUNT];
    if whole <= 0 {
        return given;
    }
    let mut left = MILLION;
    for (share, part) in given.iter_mut().zip(parts) {
        let floor = part * MILLION / whole;
        *share = u32::try_from(floor).unwrap_or(0);
        left -= floor;
    }
    let mut order: Vec<usize> = (0..BayState::COUNT).collect();
    order.sort_by_key(|k| std::cmp::Reverse(parts[*k] * MILLION % whole));
    for k in order.into_iter().take(usize::try_from(left).unwrap_or(0)) {
        given[k] += 1;
    }
    given
}

fn levels(
    runs: &[Replication],
    confidence: f64,
    places: u32,
    of_run: impl Fn(&Replication) -> &Vec<i64>,
) -> Option<Levels> {
    let full = places as usize;
    let part = |levels: &[i64], from: usize, to: usize| -> Option<f64> {
        let time = |k: usize| i128::from(levels.get(k).copied().unwrap_or(0));
        share((from..=to).map(time).sum(), (0..levels.len()).map(time).sum())
    };
    let mean_level = |levels: &[i64]| {
        let weighted = levels.iter().enumerate().map(|(k, t)| k as i128 * i128::from(*t)).sum();
        share(weighted, levels.iter().map(|t| i128::from(*t)).sum())
    };
    let pooled: Grouped<Vec<i64>> = Grouped::gather(runs, confidence, |sum: &mut Vec<i64>, r| {
        let levels = of_run(r);
        sum.resize(sum.len().max(levels.len()), 0);
        sum.iter_mut().zip(levels).for_each(|(total, time)| *total += time);
    });
    Some(Levels {
        places,
        mean: Some(mean_of(&each(runs, |r| mean_level(of_run(r))), confidence)?),
        p95: pooled.estimate(|levels| level_at(levels, 0.95)),
        share_full: share_of(&each(runs, |r| part(of_run(r), full, full)), confidence),
        share_empty: share_of(&each(runs, |r| part(of_run(r), 0, 0)), confidence),
    })
}

/// The least level k such that at most k are occupied for a share `p` of the time.
fn level_at(levels: &[i64], p: f64) -> Option<f64> {
    let whole: i128 = levels.iter().map(|t| i128::from(*t)).sum();
    let mut seen = 0_i128;
    levels
        .iter()
        .position(|time| {
            seen += i128::from(*time);
            whole > 0 && seen as f64 >= p * whole as f64
        })
        .map(|k| k as f64)
}

/// The pushes of the segment that place `p` moves in, if it is pushed.
fn pushes(line: &Line, run: &Replication, p: usize) -> Option<u64> {
    let segment = line.places[p].segment?.index();
    line.segments[segment].rule.is_pushed().then(|| run.segments[segment].pushes)
}

fn drift(
    line: &Line,
    runs: &[Replication],
    p: usize,
    of: impl Fn(&Replication) -> (u64, crate::units::Time),
) -> Drift {
    let minutes = each(runs, |r| {
        let pushes = pushes(line, r, p).filter(|pushes| *pushes > 0)?;
        Some(of(r).1.as_minutes() / pushes as f64)
    });
    Drift {
        share: ratio_of(runs, line.confidence, |r| (of(r).0, pushes(line, r, p).unwrap_or(0))),
        minutes: mean_of(&minutes, line.confidence),
    }
}

fn last(line: &Line, runs: &[Replication], p: usize) -> Option<Banded> {
    ratio_of(runs, line.confidence, |r| match pushes(line, r, p) {
        Some(pushes) => (r.places[p].last_millionths, pushes * 1_000_000),
        None => (0, 0),
    })
}

fn delay(line: &Line, runs: &[Replication], p: usize) -> Option<Delay> {
    let segment = line.places[p].segment?.index();
    if !line.segments[segment].rule.is_pushed() {
        return None;
    }
    let minutes = |r: &Replication| r.places[p].delay_caused.as_minutes();
    let per_push = each(runs, |r| {
        let pushes = r.segments[segment].pushes;
        (pushes > 0).then(|| minutes(r) / pushes as f64)
    });
    let per_shift = each(runs, |r| Some(minutes(r) / shifts_in(line, r.net)?));
    Some(Delay {
        per_push: mean_of(&per_push, line.confidence),
        per_shift: mean_of(&per_shift, line.confidence),
    })
}

/// One pushed segment.
#[derive(Clone, PartialEq, Debug)]
pub struct PushFigures {
    pub segment: crate::line::SegmentId,
    /// Pushes of all replications.
    pub pushes: u64,
    pub pushes_per_shift: Option<Banded>,
    /// Share of pushes that went at their signal.
    pub on_time: Option<Banded>,
    /// Net minutes after the signal.
    pub delay: Delay,
    /// Tasks taken along unfinished per push, and net minutes per push worked on them at later places;
    /// `None` where late work does not travel.
    pub taken_along: Option<Banded>,
    /// Net minutes per push that it waited for people alone; `None` where nobody moves the units.
    pub waited_for_people: Option<Banded>,
    pub done_elsewhere: Option<Banded>,
}

/// The pushed segments, in line order.
pub fn pushed_segments(line: &Line, observed: &Observations) -> Vec<PushFigures> {
    let runs = &observed.replications;
    let figures = |s: usize| {
        let late = |r: &Replication| r.segments[s].delay.as_minutes();
        let some = |r: &Replication| r.segments[s].pushes > 0;
        let travels = line.segments[s].rule.late_work_travels();
        let per_push = |wanted: bool, of: &dyn Fn(&Replication) -> f64| {
            let value = |r: &Replication| (wanted && some(r)).then(|| of(r) / r.segments[s].pushes as f64);
            mean_of(&each(runs, value), line.confidence)
        };
        let moved = !line.segments[s].movers.is_empty();
        PushFigures {
            segment: crate::line::SegmentId::from_index(s),
            taken_along: per_push(travels, &|r| r.segments[s].taken_along as f64),
            waited_for_people: per_push(moved, &|r| r.segments[s].waited_for_people.as_minutes()),
            done_elsewhere: per_push(travels, &|r| r.segments[s].done_elsewhere.as_minutes()),
            pushes: runs.iter().map(|r| r.segments[s].pushes).sum(),
            pushes_per_shift: mean_of(
                &each(runs, |r| Some(r.segments[s].pushes as f64 / shifts_in(line, r.net)?)),
                line.confidence,
            ),
            on_time: ratio_of(runs, line.confidence, |r| (r.segments[s].on_time, r.segments[s].pushes)),
            delay: Delay {
                per_push: mean_of(
                    &each(runs, |r| some(r).then(|| late(r) / r.segments[s].pushes as f64)),
                    line.confidence,
                ),
                per_shift: mean_of(&each(runs, |r| Some(late(r) / shifts_in(line, r.net)?)), line.confidence),
            },
        }
    };
    (0..line.segments.len()).filter(|s| line.segments[*s].rule.is_pushed()).map(figures).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn millionths_sum_to_a_million_whatever_the_parts() {
        let parts = |values: &[i128]| {
            let mut parts = [0; BayState::COUNT];
            parts[..values.len()].copy_from_slice(values);
            apportion(&parts)
        };
        let thirds = parts(&[1, 1, 1]);
        assert_eq!(thirds[..3], [333_334, 333_333, 333_333]);
        for values in [&[7, 11, 13, 17, 19, 23][..], &[1, 999_999_999_999][..], &[5][..]] {
            assert_eq!(parts(values).iter().sum::<u32>(), 1_000_000);
        }
        assert_eq!(parts(&[]).iter().sum::<u32>(), 0);
    }

    #[test]
    fn the_level_at_a_share_is_the_least_that_covers_it() {
        assert_eq!(level_at(&[50, 45, 5], 0.95), Some(1.0));
        assert_eq!(level_at(&[50, 44, 6], 0.95), Some(2.0));
        assert_eq!(level_at(&[], 0.95), None);
        assert_eq!(level_at(&[0, 0], 0.95), None);
    }
}
