//! The record of a station's cycles: means over all of them and over the slowest tenth, and two of them whole.

use super::path::{Piece, path};
use super::visits::{Span, Visit, What};
use crate::balance;
use crate::line::{Calendar, Line, Model, PlaceId};
use crate::report::{
    CYCLES_SCHEMA, Caution, Cycle, CycleBar, CyclePiece, CyclesReport, HeldBy, MadeOf, ModelShare, PathPiece,
    StepShare, cycles_sentence,
};
use crate::stats::{Estimate, share_of};
use crate::study::together::Together;
use crate::units::{Time, time_of_week};
use std::collections::{BTreeMap, BTreeSet};

/// The slowest cycles that are looked at together: one in so many.
const SLOWEST: usize = 10;

/// A cycle and what held its unit.
struct Seen<'a> {
    replication: usize,
    visit: &'a Visit,
    path: Vec<Piece>,
}

pub fn record(line: &Line, place: PlaceId, together: &Together, watched: &[Vec<Visit>]) -> CyclesReport {
    let by_length = by_length(line, watched);
    let [typical, bad] = [0.50, 0.95].map(|share| at(&by_length, share).map(|seen| cycle(line, seen, share)));
    let window = balance::window(line, place).map(|window| window / 60e6);
    let slowest = &by_length[by_length.len() - by_length.len().div_ceil(SLOWEST)..];
    let station = &line.places[place.index()];
    let mut record = CyclesReport {
        schema: CYCLES_SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: line.name.clone(),
        layout: line.layout.clone(),
        seed: together.plans.first().map_or(0, |plan| plan.seed),
        replications: u32::try_from(watched.len()).unwrap_or(u32::MAX),
        run: together.words(),
        confidence: line.confidence,
        station: station.name.clone(),
        label: station.label.clone(),
        window_min: window,
        cycles: by_length.len() as u64,
        length_min: Estimate::of(&of_replications(watched, mean_length), line.confidence)
            .as_ref()
            .map(Into::into),
        p50_min: typical.as_ref().map_or(0.0, |cycle| cycle.length_min),
        p95_min: bad.as_ref().map_or(0.0, |cycle| cycle.length_min),
        over_window: window.and_then(|window| {
            let shares = of_replications(watched, |visits| share_over(visits, window));
            share_of(&shares, line.confidence).as_ref().map(Into::into)
        }),
        made_of: made_of(&by_length, slowest),
        steps: steps(line, &by_length, slowest),
        models: models(line, &by_length, slowest),
        typical,
        bad,
        sentence: String::new(),
        cautions: cautions(line, together),
    };
    record.sentence = cycles_sentence(&record);
    record
}

/// All cycles, shortest first; equal ones as they came.
fn by_length<'a>(line: &Line, watched: &'a [Vec<Visit>]) -> Vec<Seen<'a>> {
    let visits =
        watched.iter().enumerate().flat_map(|(k, visits)| visits.iter().map(move |visit| (k, visit)));
    let mut all: Vec<Seen<'a>> =
        visits.map(|(replication, visit)| Seen { replication, visit, path: path(line, visit) }).collect();
    all.sort_by_key(|seen| seen.visit.done);
    all
}

/// The cycle that this share of all is no longer than (the nearest rank).
fn at<'a, 'b>(by_length: &'b [Seen<'a>], share: f64) -> Option<&'b Seen<'a>> {
    let rank = (share * by_length.len() as f64).ceil().max(1.0) as usize;
    by_length.get(rank - 1)
}

/// One value a replication; those without a cycle have none.
fn of_replications(watched: &[Vec<Visit>], of: impl Fn(&[Visit]) -> f64) -> Vec<f64> {
    watched.iter().filter(|visits| !visits.is_empty()).map(|visits| of(visits)).collect()
}

fn mean_length(visits: &[Visit]) -> f64 {
    mean(visits.iter().map(|visit| visit.done.as_minutes()))
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let n = values.len().max(1) as f64;
    values.sum::<f64>() / n
}

fn share_over(visits: &[Visit], window: f64) -> f64 {
    mean(visits.iter().map(|visit| f64::from(u8::from(visit.done.as_minutes() > window))))
}

/// Minutes of the pieces that are meant, a cycle: the mean of the replications' means, as the length is.
fn minutes_of(all: &[Seen], meant: impl Fn(&Visit, &Piece) -> bool) -> f64 {
    let mut by_replication: BTreeMap<usize, (Time, usize)> = BTreeMap::new();
    for seen in all {
        let (sum, cycles) = by_replication.entry(seen.replication).or_default();
        let held = seen.path.iter().filter(|piece| meant(seen.visit, piece));
        *sum += held.map(|piece| piece.to - piece.from).sum::<Time>();
        *cycles += 1;
    }
    mean(by_replication.into_values().map(|(sum, cycles)| sum.as_minutes() / cycles as f64))
}

/// The same over the slowest cycles, of whichever replication.
fn minutes_of_slowest(slowest: &[Seen], meant: impl Fn(&Visit, &Piece) -> bool) -> f64 {
    let held = slowest.iter().flat_map(|seen| seen.path.iter().filter(|piece| meant(seen.visit, piece)));
    held.map(|piece| piece.to - piece.from).sum::<Time>().as_minutes() / slowest.len().max(1) as f64
}

/// Minutes a cycle by what held the unit.
fn made_of(all: &[Seen], slowest: &[Seen]) -> Vec<MadeOf> {
    let parts = HeldBy::ALL.iter().map(|held_by| {
        let meant = |_: &Visit, piece: &Piece| piece.held_by == *held_by;
        MadeOf {
            held_by: *held_by,
            mean_min: minutes_of(all, meant),
            slowest_min: minutes_of_slowest(slowest, meant),
        }
    });
    let mut parts: Vec<MadeOf> = parts.filter(|part| part.mean_min > 0.0).collect();
    parts.sort_by(|a, b| b.mean_min.total_cmp(&a.mean_min));
    parts
}

/// How the cycles share out among the models.
fn models(line: &Line, all: &[Seen], slowest: &[Seen]) -> Vec<ModelShare> {
    let share = |seen: &[Seen], model: usize| {
        let of = seen.iter().filter(|seen| seen.visit.model.index() == model).count();
        of as f64 / seen.len().max(1) as f64
    };
    let row = |(k, model): (usize, &Model)| ModelShare {
        model: model.name.clone(),
        share: share(all, k),
        share_of_slowest: share(slowest, k),
    };
    let named = line.models.iter().enumerate().filter(|_| line.models.len() > 1);
    named.map(row).collect()
}

/// What held the units by step: for its own time, and for what it waited for.
fn steps(line: &Line, all: &[Seen], slowest: &[Seen]) -> Vec<StepShare> {
    let held = all.iter().flat_map(|seen| seen.path.iter().map(|piece| (seen.visit, piece)));
    let whats: BTreeSet<What> =
        held.filter_map(|(visit, piece)| Some(visit.spans[piece.span?].what)).collect();
    let share = |what: What| {
        let of_it = |goes_on: bool| {
            move |visit: &Visit, piece: &Piece| {
                piece.span.is_some_and(|span| visit.spans[span].what == what)
                    && piece.held_by.goes_on() == goes_on
            }
        };
        let (id, label) = name(line, what);
        StepShare {
            id,
            label,
            own_min: minutes_of(all, of_it(true)),
            own_slowest_min: minutes_of_slowest(slowest, of_it(true)),
            waits_min: minutes_of(all, of_it(false)),
            waits_slowest_min: minutes_of_slowest(slowest, of_it(false)),
        }
    };
    let mut shares: Vec<StepShare> = whats.into_iter().map(share).collect();
    let held = |share: &StepShare| share.own_min + share.waits_min;
    shares.sort_by(|a, b| held(b).total_cmp(&held(a)));
    shares
}

fn name(line: &Line, what: What) -> (String, Option<String>) {
    match what {
        Ok(step) => {
            let step = &line.steps[step.index()];
            (step.name.clone(), step.label.clone())
        }
        Err(test) => (format!("mending after {}", line.tests[test.index()].name), None),
    }
}

fn cycle(line: &Line, seen: &Seen, longer_than: f64) -> Cycle {
    let Seen { replication, visit, path } = seen;
    let place = |at: &PlaceId| line.places[at.index()].name.clone();
    let pieces = path.iter().map(|piece| PathPiece {
        from_min: piece.from.as_minutes(),
        to_min: piece.to.as_minutes(),
        held_by: piece.held_by,
        step: piece.span.map(|span| name(line, visit.spans[span].what).0),
        they_are_at: piece.at.as_ref().map(place),
    });
    let mut spans: Vec<&Span> = visit.spans.iter().collect();
    spans.sort_by_key(|span| (span.begins, span.ends));
    Cycle {
        longer_than,
        replication: u32::try_from(*replication).unwrap_or(u32::MAX),
        unit: visit.unit + 1,
        // Where all units are alike nobody named a model.
        model: line
            .models
            .get(visit.model.index())
            .filter(|_| line.models.len() > 1)
            .map_or_else(String::new, |model| model.name.clone()),
        came: came(line, visit.came),
        length_min: visit.done.as_minutes(),
        clock_min: visit.clock.as_minutes(),
        stood_done_min: (visit.left - visit.done).as_minutes(),
        bars: spans.iter().map(|span| bar(line, visit, span)).collect(),
        path: pieces.collect(),
    }
}

fn bar(line: &Line, visit: &Visit, span: &Span) -> CycleBar {
    let (step, label) = name(line, span.what);
    let piece = |from: Time, to: Time, held_by: HeldBy, at: Option<PlaceId>| CyclePiece {
        from_min: from.as_minutes(),
        to_min: to.as_minutes(),
        held_by,
        they_are_at: at.map(|at| line.places[at.index()].name.clone()),
    };
    let nexts = span.waits.iter().skip(1).map(|wait| wait.from).chain([span.begins]);
    let mut pieces: Vec<CyclePiece> = Vec::new();
    for (wait, next) in span.waits.iter().zip(nexts) {
        let parts = visit.pieces_of(wait, (wait.from, next));
        pieces.extend(parts.into_iter().map(|(from, to, held_by)| piece(from, to, held_by, wait.at)));
    }
    let goes_on = span.kind(line);
    let mut from = span.begins;
    for (pauses, goes) in &span.pauses {
        pieces.push(piece(from, *pauses, goes_on, None));
        pieces.push(piece(*pauses, *goes, HeldBy::Stopped, None));
        from = *goes;
    }
    pieces.push(piece(from, span.ends, goes_on, None));
    pieces.retain(|piece| piece.from_min < piece.to_min);
    CycleBar { step, label, people: span.people, pieces }
}

/// `Tue 10:42 of week 1`, or `after 312 min` without a calendar.
fn came(line: &Line, at: Time) -> String {
    let Some(calendar) = &line.calendar else { return format!("after {} min", at.as_minutes().round()) };
    let since_monday = at + Calendar::since_monday(Some(calendar));
    let week = since_monday.micros() / (7 * Time::DAY.micros()) + 1;
    format!("{} of week {week}", time_of_week(since_monday))
}

fn cautions(line: &Line, together: &Together) -> Vec<Caution> {
    let caution = |topic: &str, text: &str| Caution { topic: topic.to_string(), text: text.to_string() };
    let mut all = vec![
        caution(
            "what held it",
            "Found backwards from the end of the last work: the step that ended last, what it waited for, the step \
             that ended as it became ready. A step beside it that is nearly as long is not named: shortening one \
             alone may buy little.",
        ),
        caution(
            "holds",
            "What is a hold, and what is marked `safety`, is never shortened to win time: where a cycle is too long \
             for it, give the station another bay, or the line another pace.",
        ),
    ];
    all.extend(together.outcomes.iter().flat_map(|outcome| outcome.cautions_of(line)));
    all
}
