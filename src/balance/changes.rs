//! Single moves and swaps of a plan, and what they are worth.

use super::improve::ALIKE;
use super::load::Closely;
use super::order::Order;
use super::plan::{Aim, Worth};
use super::trial::Trial;
use crate::line::{PlaceId, StepId};

/// Changes of a plan up to which all of them are looked at; of more, those at stations that bind.
const ALL: usize = 20_000;

/// Steps that change place: (step, from, to).
pub type Moved = Vec<(StepId, PlaceId, PlaceId)>;

/// Every single move and every swap of a plan that keeps the order of work, moves first, by file. On a line with
/// very many: those at a few of the stations that bind, and swaps only where `swaps` asks for them.
pub fn changes(trial: &mut Trial, order: &Order, at: &[PlaceId], swaps: bool) -> Vec<Moved> {
    let groups: Vec<usize> = (0..order.groups.len())
        .filter(|g| order.groups[*g].iter().all(|s| trial.held[s.index()].is_none()))
        .collect();
    let hot = (groups.len() * groups.len() / 2 > ALL).then(|| trial.binding(at, Closely::AtMeans));
    let is_hot = |p: PlaceId| hot.as_ref().is_none_or(|hot| hot[p.index()]);
    let may = |g: usize, to: &PlaceId| order.groups[g].iter().all(|s| trial.may[s.index()].contains(to));
    let moved = |g: usize, to: PlaceId| -> Moved {
        order.groups[g].iter().map(|s| (*s, at[s.index()], to)).collect()
    };
    let mut found = Vec::new();
    for &g in groups.iter().filter(|g| is_hot(order.place(at, **g))) {
        let here = order.place(at, g);
        for &to in trial.may[order.groups[g][0].index()].iter().filter(|p| **p != here && may(g, p)) {
            if order.allows(at, &[(g, to)]) {
                found.push(moved(g, to));
            }
        }
    }
    if !swaps {
        return found;
    }
    for (k, &one) in groups.iter().enumerate() {
        for &other in &groups[k + 1..] {
            let (a, b) = (order.place(at, one), order.place(at, other));
            if a == b || !(is_hot(a) || is_hot(b)) || !may(one, &b) || !may(other, &a) {
                continue;
            }
            if order.allows(at, &[(one, b), (other, a)]) {
                found.push(moved(one, b).into_iter().chain(moved(other, a)).collect());
            }
        }
    }
    found
}

/// What a change gains for an aim, in windows, per task moved.
pub fn gain(aim: Aim, now: &Worth, (moved, then): (&Moved, &Worth)) -> f64 {
    let over = now.over - then.over;
    let squares = now.squares - then.squares;
    let gained = match aim {
        Aim::Moves => over + (now.largest - then.largest) + 1e-3 * squares,
        Aim::Pace => (now.pace - then.pace) / now.pace + 1e-3 * squares,
        Aim::Smooth => 1e3 * over + (now.smoothness - then.smoothness),
        Aim::Stations | Aim::People => {
            let fewer = figure(aim, now) - figure(aim, then);
            1e3 * over + 10.0 * fewer + (now.largest - then.largest)
        }
    };
    gained / moved.len() as f64
}

/// The figure of its own that an aim has as few as can be of: stations or people; the largest load for the others.
pub fn figure(aim: Aim, worth: &Worth) -> f64 {
    match aim {
        Aim::Stations => worth.stations as f64,
        Aim::People => f64::from(worth.people),
        Aim::Pace | Aim::Smooth | Aim::Moves => worth.largest,
    }
}

/// The order of goals: what is over the caps, the aim's own figure, the largest load, tasks moved,
/// the earliest places in the file.
pub fn is_better(
    aim: Aim,
    one: (&Worth, &[PlaceId]),
    other: (&Worth, &[PlaceId]),
    today: &[PlaceId],
) -> bool {
    let moved = |at: &[PlaceId]| at.iter().zip(today).filter(|(a, b)| a != b).count() as f64;
    let figures = |(worth, at): (&Worth, &[PlaceId])| match aim {
        Aim::Stations | Aim::People => [worth.over, figure(aim, worth), worth.largest, moved(at)],
        Aim::Pace => [worth.pace, worth.largest, worth.over, moved(at)],
        Aim::Smooth => [worth.over, worth.smoothness, worth.largest, moved(at)],
        Aim::Moves => [worth.over, worth.largest, worth.squares, moved(at)],
    };
    for (a, b) in figures(one).into_iter().zip(figures(other)) {
        if (a - b).abs() > ALIKE * b.abs().max(1.0) {
            return a < b;
        }
    }
    one.1 < other.1
}
