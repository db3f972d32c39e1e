//! Which station holds the line back: the evidence of each method side by side, and one name.
//!
//! Methods, in the order in which they are trusted: units gained from 5 % less attended work (where
//! paired runs were made); delay caused and share of pushes last in pushed segments; the blocked and
//! starved turning point (Li, Chang & Ni 2009) and the average active period (Roser, Nakano & Tanaka
//! 2001) in unpaced stretches; the highest use everywhere. Stations whose bands overlap with the
//! first one's are equal to it.

use super::bands::mean_of;
use super::places::PlaceFigures;
use super::quantiles::Banded;
use super::shifts_in;
use crate::line::{Line, PlaceId};
use crate::simulate::{BayState, Made};

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Method {
    UnitsGained,
    DelayCaused,
    PushesLast,
    TurningPoint,
    ActivePeriod,
    HighestUse,
}

/// What one method says.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    pub method: Method,
    /// The place it names first, then those it cannot tell from it, in line order.
    pub named: Vec<PlaceId>,
    /// The figure of the first; `None` for the turning point, which is yes or no.
    pub figure: Option<Banded>,
}

/// Units gained from attended minutes x 0.95 at one place, per shift (per hour without a calendar):
/// made from paired runs by `gained`.
#[derive(Clone, PartialEq, Debug)]
pub struct Gain {
    pub place: PlaceId,
    pub units: Banded,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct Bottleneck {
    /// Only methods that apply to this line and name somebody, in the order of `Method`.
    pub findings: Vec<Finding>,
    pub verdict: Option<Verdict>,
    pub gains: Vec<Gain>,
    /// Turning points of all unpaced stretches.
    pub turning_points: Vec<PlaceId>,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Verdict {
    pub place: PlaceId,
    /// Methods that name it (first or as equal), and those that name others only.
    pub for_it: Vec<Method>,
    pub against: Vec<Method>,
}

/// Paired difference of the count between a run with one place 5 % faster and the run as it is, on
/// the same random days: per shift, or per net hour without a calendar. `None` without pairs.
pub fn gained(line: &Line, as_is: &[Made], faster: &[Made]) -> Option<Banded> {
    let rate = |r: &Made| {
        let length = match line.calendar {
            Some(_) => shifts_in(line, r.net)?,
            None => r.net.0 as f64 / super::HOUR,
        };
        (length > 0.0).then(|| r.finished as f64 / length)
    };
    let differences: Vec<f64> = as_is
        .iter()
        .zip(faster)
        .filter(|(a, b)| a.index == b.index)
        .filter_map(|(a, b)| Some(rate(b)? - rate(a)?))
        .collect();
    mean_of(&differences, line.confidence)
}

pub fn bottleneck(line: &Line, places: &[PlaceFigures], gains: &[Gain]) -> Bottleneck {
    let turning_points = turning_points(line, places);
    let pushed = |p: &&PlaceFigures| line.rule_at(p.place).is_pushed() && on_line(line, p.place);
    let unpaced = |p: &&PlaceFigures| !line.rule_at(p.place).is_pushed() && on_line(line, p.place);
    let ranked = |method, of: &mut dyn Iterator<Item = (PlaceId, Option<Banded>)>| {
        rank(method, of.filter_map(|(p, e)| Some((p, e?))).collect())
    };
    let mut findings = vec![
        sure(gains.iter().map(|g| (g.place, g.units)).collect()),
        ranked(
            Method::DelayCaused,
            &mut places.iter().filter(pushed).map(|p| (p.place, p.delay.as_ref().and_then(|d| d.per_push))),
        ),
        ranked(Method::PushesLast, &mut places.iter().filter(pushed).map(|p| (p.place, p.last))),
        (!turning_points.is_empty()).then(|| Finding {
            method: Method::TurningPoint,
            named: turning_points.clone(),
            figure: None,
        }),
        ranked(
            Method::ActivePeriod,
            &mut places
                .iter()
                .filter(unpaced)
                .filter(|p| line.places[p.place.index()].is_station())
                .map(|p| (p.place, p.active_period)),
        ),
    ];
    findings.push(ranked(
        Method::HighestUse,
        &mut places.iter().filter(|p| on_line(line, p.place)).map(|p| (p.place, p.in_use)),
    ));
    let findings: Vec<Finding> = findings.into_iter().flatten().collect();
    let verdict = verdict(&findings);
    Bottleneck { findings, verdict, gains: gains.to_vec(), turning_points }
}

fn on_line(line: &Line, place: PlaceId) -> bool {
    place.index() < line.on_line
}

/// The greatest figure and those whose bands overlap with its band; nobody where it is 0.
fn rank(method: Method, figures: Vec<(PlaceId, Banded)>) -> Option<Finding> {
    let mut best: Option<(PlaceId, Banded)> = None;
    for (place, figure) in &figures {
        if best.is_none_or(|(_, b)| figure.value > b.value) {
            best = Some((*place, *figure));
        }
    }
    let (first, top) = best.filter(|(_, e)| e.value > 0.0)?;
    let equals = figures.iter().filter(|(p, e)| *p != first && e.overlaps(&top)).map(|(p, _)| *p);
    Some(Finding { method, named: std::iter::once(first).chain(equals).collect(), figure: Some(top) })
}

/// Units gained, most first; nobody where even the greatest gain may be none.
fn sure(gains: Vec<(PlaceId, Banded)>) -> Option<Finding> {
    let is_sure = |f: &Finding| f.figure.and_then(|gain| gain.low).is_some_and(|low| low > 0.0);
    rank(Method::UnitsGained, gains).filter(is_sure)
}

/// The place named first by the most trusted method that can tell; where every method is undecided
/// between several, the one that most methods name, ties to the more trusted method.
fn verdict(findings: &[Finding]) -> Option<Verdict> {
    let gained = findings.iter().find(|f| f.method == Method::UnitsGained && f.named.len() == 1);
    let votes = |place: PlaceId| findings.iter().filter(|f| f.named.contains(&place)).count();
    let place = match gained {
        Some(finding) => finding.named[0],
        None => {
            let mut best: Option<PlaceId> = None;
            for candidate in findings.iter().flat_map(|f| f.named.iter().copied()) {
                if best.is_none_or(|b| votes(candidate) > votes(b)) {
                    best = Some(candidate);
                }
            }
            best?
        }
    };
    let named = |f: &&Finding| f.named.contains(&place);
    Some(Verdict {
        place,
        for_it: findings.iter().filter(named).map(|f| f.method).collect(),
        against: findings.iter().filter(|f| !named(f)).map(|f| f.method).collect(),
    })
}

/// Of every unpaced stretch of stations (racks are places to wait and are left out): the station
/// before which blocking outweighs starving and after which starving outweighs blocking, and which
/// is itself blocked and starved less than its neighbours. None where units part and meet: the rule is one for
/// stations in a row.
fn turning_points(line: &Line, places: &[PlaceFigures]) -> Vec<PlaceId> {
    if !line.lanes.is_empty() {
        return Vec::new();
    }
    let mut stretches: Vec<Vec<PlaceId>> = vec![Vec::new()];
    for p in 0..line.on_line {
        let place = PlaceId::from_index(p);
        if line.rule_at(place).is_pushed() {
            stretches.push(Vec::new());
        } else if line.places[p].is_station()
            && let Some(stretch) = stretches.last_mut()
        {
            stretch.push(place);
        }
    }
    let loss = |place: &PlaceId| {
        let shares = &places[place.index()].shares;
        (shares.of(BayState::Blocked), shares.of(BayState::Starved))
    };
    stretches
        .iter()
        .filter_map(|stretch| {
            let losses: Vec<(f64, f64)> = stretch.iter().map(loss).collect();
            turning_point(&losses).map(|j| stretch[j])
        })
        .collect()
}

/// Index of the turning point among (blocked, starved) shares in line order: Li, Chang & Ni, "Data
/// driven bottleneck detection of manufacturing systems", Int. J. Production Research 47 (2009);
/// definition from memory. `None` for fewer than two stations, or where no station fits.
fn turning_point(losses: &[(f64, f64)]) -> Option<usize> {
    let n = losses.len();
    if n < 2 {
        return None;
    }
    let trend = |i: usize| losses[i].0 - losses[i].1;
    let lost = |i: usize| losses[i].0 + losses[i].1;
    (0..n).find(|&j| {
        (0..j).all(|i| trend(i) > 0.0)
            && (j + 1..n).all(|i| trend(i) < 0.0)
            && (j == 0 || lost(j) < lost(j - 1))
            && (j + 1 == n || lost(j) < lost(j + 1))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn estimate(mean: f64, half: f64) -> Banded {
        Banded { value: mean, low: Some(mean - half), high: Some(mean + half), confidence: 0.95, n: 20 }
    }

    #[test]
    fn the_turning_point_lies_where_blocking_gives_way_to_starving() {
        assert_eq!(turning_point(&[(0.30, 0.0), (0.20, 0.05), (0.02, 0.03), (0.0, 0.25)]), Some(2));
        assert_eq!(turning_point(&[(0.05, 0.0), (0.0, 0.2)]), Some(0));
        assert_eq!(turning_point(&[(0.2, 0.0), (0.0, 0.05)]), Some(1));
        assert_eq!(turning_point(&[(0.1, 0.1), (0.1, 0.1)]), None);
        assert_eq!(turning_point(&[(0.1, 0.0)]), None);
    }

    #[test]
    fn places_whose_bands_overlap_with_the_first_are_equal_to_it() {
        let [a, b, c] = [0, 1, 2].map(PlaceId);
        let figures = vec![(a, estimate(0.30, 0.05)), (b, estimate(0.36, 0.05)), (c, estimate(0.1, 0.01))];
        let finding = rank(Method::PushesLast, figures).unwrap();
        assert_eq!(finding.named, vec![b, a]);
        assert_eq!(rank(Method::PushesLast, vec![(a, estimate(0.0, 0.1))]), None, "nobody is late");
    }

    #[test]
    fn a_gain_that_may_be_none_names_nobody() {
        let [a, b] = [0, 1].map(PlaceId);
        let nothing = (b, estimate(0.0, 0.0));
        let named = |gain| sure(vec![(a, gain), nothing]).map(|finding| finding.named);
        assert_eq!(named(estimate(0.3, 0.2)), Some(vec![a]));
        assert_eq!(named(estimate(0.3, 0.3)), None, "its band reaches 0");
    }

    #[test]
    fn the_verdict_follows_the_gain_where_it_names_one_and_the_majority_elsewhere() {
        let [a, b] = [0, 1].map(PlaceId);
        let says = |method, named: &[PlaceId]| Finding { method, named: named.to_vec(), figure: None };
        let majority = [
            says(Method::DelayCaused, &[a, b]),
            says(Method::PushesLast, &[b]),
            says(Method::HighestUse, &[a]),
        ];
        let v = verdict(&majority).unwrap();
        assert_eq!((v.place, v.against), (a, vec![Method::PushesLast]), "a tie goes to the first named");
        let mut with_gain = majority.to_vec();
        with_gain.insert(0, says(Method::UnitsGained, &[b]));
        let v = verdict(&with_gain).unwrap();
        assert_eq!((v.place, v.against), (b, vec![Method::HighestUse]));
        assert_eq!(verdict(&[]), None);
    }
}
