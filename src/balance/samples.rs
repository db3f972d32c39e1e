//! What the loads of a line draw, wherever its steps stand.

use super::load::{DRAWS, mean_length};
use crate::draws::moments::mean;
use crate::draws::{Purpose, Sampler, Stream};
use crate::line::{Calendar, Line};
use crate::units::Time;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Seed of the draws: part of the definition of a load, so that it never depends on how a run is seeded.
const SEED: u64 = 0;

/// How closely a load is looked at.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Closely {
    /// One schedule at mean times, work of options at its share: may steer a search, never stand in
    /// a report.
    AtMeans,
    /// As exactly, with the first few of the draws; likewise.
    Nearly,
    /// As the head of `load` says.
    Exactly,
}

/// Net time of long holds by their hours and lengths, worked out once.
pub(super) type Held = BTreeMap<(u16, i64), i64>;

/// What all loads of a line share, wherever its steps stand: what is drawn.
pub(super) struct Samples {
    samplers: Vec<Vec<Sampler>>,
    /// Per step and model: its fixed draws without factors, made when they are first wanted; models with the same
    /// distribution share those of the first of them.
    drawn: Vec<Vec<OnceLock<Box<[f64]>>>>,
    /// Per step and model: the first model with the same distribution.
    same: Vec<Vec<usize>>,
    streams: Vec<Stream>,
    options: Vec<Stream>,
    /// Per hours (`Line::calendar_of`): the longest stretch in which attended work can run on.
    longest: Vec<i64>,
    /// Per step and model: mean of its distribution, without any factor.
    mean: Vec<Vec<f64>>,
    /// Per step and model: mean length, of a long hold the net time it takes, without the factors of stations; only for
    /// looking at means.
    pub(super) means: Vec<Vec<i64>>,
}

impl Samples {
    pub(super) fn with_means(line: &Line) -> Samples {
        let mut samples = Samples::of(line);
        // Without the factors of stations: a task takes on that of the station it is tried at.
        let mut line = line.clone();
        line.places.iter_mut().for_each(|place| place.times = 1.0);
        line.scale_times();
        let line = &line;
        let mut held = Held::new();
        let mut net_mean = |step: usize, model: usize| {
            let length = mean_length(line, step, model);
            match line.steps[step].hold() {
                Some(hold) if !hold.attended => samples.net_of_hold(line, step, length, &mut held),
                Some(_) | None => length,
            }
        };
        let models = 0..line.models.len();
        samples.means =
            (0..line.steps.len()).map(|s| models.clone().map(|m| net_mean(s, m)).collect()).collect();
        samples
    }

    pub(super) fn of(line: &Line) -> Samples {
        Samples::seeded(line, SEED)
    }

    pub(super) fn seeded(line: &Line, seed: u64) -> Samples {
        Samples {
            samplers: line
                .steps
                .iter()
                .map(|s| s.times.iter().map(|t| Sampler::new(&t.dist)).collect())
                .collect(),
            drawn: line.steps.iter().map(|s| s.times.iter().map(|_| OnceLock::new()).collect()).collect(),
            same: line
                .steps
                .iter()
                .map(|s| {
                    let first = |t: &crate::line::TimeFor| s.times.iter().position(|o| o.dist == t.dist);
                    s.times.iter().enumerate().map(|(m, t)| first(t).unwrap_or(m)).collect()
                })
                .collect(),
            streams: line.steps.iter().map(|s| Stream::new(seed, 0, Purpose::Load, &s.draws_as)).collect(),
            options: line.options.iter().map(|o| Stream::new(seed, 0, Purpose::Load, &o.draws_as)).collect(),
            longest: (0..=line.own_hours.len() as u16)
                .map(|hours| line.calendar_of(hours).map_or(i64::MAX, |c| c.longest_stretch().0))
                .collect(),
            mean: line.steps.iter().map(|s| s.times.iter().map(|t| mean(&t.dist)).collect()).collect(),
            means: Vec::new(),
        }
    }

    /// Mean of a step where it stands, microseconds.
    pub(super) fn mean(&self, line: &Line, step: usize, model: usize) -> f64 {
        self.mean[step][model] * line.steps[step].times[model].factor
    }

    /// Net time that a hold takes: its length, or less where it runs on through nights.
    fn net_of_hold(&self, line: &Line, step: usize, length: i64, held: &mut Held) -> i64 {
        let hours = line.hours_at(line.steps[step].place);
        match line.calendar_of(hours) {
            Some(calendar) if length > self.longest[usize::from(hours)] => {
                *held.entry((hours, length)).or_insert_with(|| mean_net(calendar, length))
            }
            Some(_) | None => length,
        }
    }

    fn draw(&self, step: usize, model: usize, draw: u64) -> f64 {
        let first = self.same[step][model];
        let (sampler, stream) = (&self.samplers[step][first], &self.streams[step]);
        let all = || (0..DRAWS).map(|k| sampler.draw(stream, k, 0)).collect();
        self.drawn[step][first].get_or_init(all)[draw as usize]
    }

    /// One drawn length of a step; a hold too long for any attended stretch counts the net time it
    /// takes, averaged over when it may start.
    pub(super) fn length(&self, line: &Line, step: usize, model: usize, draw: u64, held: &mut Held) -> i64 {
        let time = &line.steps[step].times[model];
        let micros = (self.draw(step, model, draw) * time.factor).round_ties_even() as i64;
        match line.steps[step].hold() {
            Some(hold) => {
                let length = micros.max(hold.minimum.0);
                if hold.attended { length } else { self.net_of_hold(line, step, length, held) }
            }
            None => micros,
        }
    }

    /// The options that a unit of `model` has, bit per option.
    pub(super) fn options(&self, line: &Line, model: usize, draw: u64) -> u64 {
        self.options.iter().zip(&line.options).enumerate().fold(0, |mask, (o, (stream, option))| {
            mask | u64::from(option.models[model] && stream.uniform(draw, 0) < option.rate) << o
        })
    }
}

/// Net time that a hold of `length` takes on the clock, averaged over starts spread evenly over the
/// attended time of the week.
fn mean_net(calendar: &Calendar, length: i64) -> i64 {
    const STARTS: i64 = 500;
    let week = Time::WEEK.0;
    let net_up_to = |t: i64| {
        let whole = t.div_euclid(week) * calendar.week_net().0;
        let rest = t.rem_euclid(week);
        // A shift over Sunday midnight is counted in the week in which it starts: close enough for a mean.
        whole + stretches(calendar).map(|(a, b)| rest.clamp(a, b) - a).sum::<i64>()
    };
    let net = calendar.week_net().0;
    let mut sum = 0i128;
    for k in 0..STARTS {
        let at_net = (2 * k + 1) * net / (2 * STARTS);
        let mut left = at_net;
        let start = stretches(calendar).find_map(|(a, b)| {
            let here = b - a;
            let found = (left < here).then_some(a + left);
            left -= here;
            found
        });
        if let Some(start) = start {
            sum += i128::from(net_up_to(start + length) - at_net);
        }
    }
    i64::try_from(sum / i128::from(STARTS)).unwrap_or(length)
}

/// Attended stretches of one week, from Monday 00:00.
fn stretches(calendar: &Calendar) -> impl Iterator<Item = (i64, i64)> + '_ {
    calendar.week.iter().flat_map(|shift| {
        let starts = std::iter::once(shift.start.0).chain(shift.pauses.iter().map(|p| p.end.0));
        let ends = shift.pauses.iter().map(|p| p.start.0).chain(std::iter::once(shift.end.0));
        starts.zip(ends).collect::<Vec<_>>()
    })
}
