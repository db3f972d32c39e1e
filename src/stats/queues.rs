//! Closed forms of waiting, to stand beside what was simulated.
//!
//! Rates are per any one unit of time, and times are in that unit. All refuse a load of 1 or more with
//! `None`: there the queue grows without end and has no mean. A load is arrivals / (bays x rate of
//! one bay).

use crate::numbers::bisect;

/// Waiting before a row of bays with one queue.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Waiting {
    /// P(wait > 0).
    pub chance: f64,
    /// Mean over all arrivals, those who do not wait included.
    pub mean: f64,
    /// Mean number waiting.
    pub queue: f64,
    /// 95 % of arrivals wait at most this.
    pub p95: f64,
}

/// Whether rates and bays make a steady queue.
fn steady(arrivals: f64, service: f64, bays: u32) -> bool {
    arrivals >= 0.0 && service > 0.0 && service.is_finite() && arrivals < service * f64::from(bays)
}

/// P(wait) of M/M/c: Erlang's second formula, "Løsning af nogle problemer fra
/// sandsynlighedsregningen" (1917); through his first by its recursion, which overflows nowhere.
pub fn erlang_c(arrivals: f64, service: f64, bays: u32) -> Option<f64> {
    if !steady(arrivals, service, bays) {
        return None;
    }
    let offered = arrivals / service;
    let mut lost = 1.0;
    for bay in 1..=bays {
        lost = offered * lost / (f64::from(bay) + offered * lost);
    }
    let load = offered / f64::from(bays);
    Some(lost / (1.0 - load + load * lost))
}

/// M/M/c: Poisson arrivals, exponential service, `bays` alike. The wait of those who wait is exponential
/// with rate c mu - lambda (any text on queueing, e.g. Gross & Harris).
pub fn m_m_c(arrivals: f64, service: f64, bays: u32) -> Option<Waiting> {
    let chance = erlang_c(arrivals, service, bays)?;
    let spare = service * f64::from(bays) - arrivals;
    Some(waiting(chance, spare, arrivals))
}

/// A wait that is exponential with rate `spare` for a share `chance` and 0 for the rest.
fn waiting(chance: f64, spare: f64, arrivals: f64) -> Waiting {
    let mean = chance / spare;
    let p95 = (libm::log(chance / 0.05) / spare).max(0.0);
    Waiting { chance, mean, queue: arrivals * mean, p95 }
}

/// Mean wait of M/G/1: lambda (s^2 + t^2)/(2 (1 - u)) with service mean t and variance s^2.
/// Pollaczek, "Über eine Aufgabe der Wahrscheinlichkeitstheorie", Math. Zeitschrift 32 (1930);
/// Khinchine (1932).
pub fn m_g_1_wait(arrivals: f64, service_mean: f64, service_variance: f64) -> Option<f64> {
    if !steady(arrivals, 1.0 / service_mean, 1) || service_variance.is_nan() || service_variance < 0.0 {
        return None;
    }
    let square = service_variance + service_mean * service_mean;
    Some(arrivals * square / (2.0 * (1.0 - arrivals * service_mean)))
}

/// GI/M/1: gaps of any law, one bay with exponential service at rate mu. The chance to wait is the root
/// sigma in (0, 1) of sigma = A(mu (1 - sigma)), with A the Laplace transform of the gaps; the wait is
/// then exponential with rate mu (1 - sigma) (Kendall, Annals of Math. Statistics 24 (1953)).
/// `mean_gap` must be the mean of the law that `transform` belongs to.
pub fn gi_m_1(mean_gap: f64, transform: impl Fn(f64) -> f64, service: f64) -> Option<Waiting> {
    let arrivals = 1.0 / mean_gap;
    if !steady(arrivals, service, 1) {
        return None;
    }
    // sigma = 1 is always a root; below it the difference is positive at 0 and negative near 1.
    let difference = |sigma: f64| transform(service * (1.0 - sigma)) - sigma;
    let sigma = bisect(difference, 0.0, 1.0 - 1e-9)?;
    Some(waiting(sigma, service * (1.0 - sigma), arrivals))
}

/// D/M/1: arrivals at equal gaps, as on a line that is pushed on the clock.
pub fn d_m_1(arrivals: f64, service: f64) -> Option<Waiting> {
    let gap = 1.0 / arrivals;
    gi_m_1(gap, |s| libm::exp(-s * gap), service)
}

/// What a wait before bays is estimated from.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Traffic {
    /// Arrivals per unit of time, repeats included.
    pub arrivals: f64,
    /// Mean time a visit holds a bay.
    pub service_mean: f64,
    /// Squared coefficient of variation of the gaps between arrivals.
    pub arrival_scv: f64,
    /// Squared coefficient of variation of the service.
    pub service_scv: f64,
    pub bays: u32,
}

impl Traffic {
    /// arrivals x service / bays.
    pub fn load(&self) -> f64 {
        self.arrivals * self.service_mean / f64::from(self.bays)
    }

    fn variability(&self) -> f64 {
        (self.arrival_scv + self.service_scv) / 2.0
    }
}

/// Mean wait before one bay in heavy traffic, (ca2 + ce2)/2 x u/(1 - u) x t: Kingman, "The single server
/// queue in heavy traffic", Proc. Cambridge Philosophical Society 57 (1961). An estimate: exact for M/M/1
/// and M/G/1 only. `None` for more than one bay.
pub fn kingman(traffic: &Traffic) -> Option<f64> {
    let load = traffic.load();
    if traffic.bays != 1 || !steady(traffic.arrivals, 1.0 / traffic.service_mean, 1) {
        return None;
    }
    sensible(traffic.variability() * load / (1.0 - load) * traffic.service_mean)
}

/// Mean wait before c bays, (ca2 + ce2)/2 x P(wait of M/M/c)/(c - load) x t, load = arrivals x t: Allen,
/// Probability, Statistics, and Queueing Theory (1978), after Cunneen. An estimate: exact for M/M/c.
pub fn allen_cunneen(traffic: &Traffic) -> Option<f64> {
    let chance = erlang_c(traffic.arrivals, 1.0 / traffic.service_mean, traffic.bays)?;
    let offered = traffic.arrivals * traffic.service_mean;
    let idle = f64::from(traffic.bays) - offered;
    sensible(traffic.variability() * chance / idle * traffic.service_mean)
}

fn sensible(wait: f64) -> Option<f64> {
    (wait.is_finite() && wait >= 0.0).then_some(wait)
}

/// A test with one bay where a share of visits fails and is tested again.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Retest {
    /// Share of time the bay is busy.
    pub load: f64,
    /// Mean number of units waiting or in the bay.
    pub number: f64,
    /// Mean time from arrival to the final pass.
    pub through: f64,
    /// Mean wait per visit.
    pub wait_per_visit: f64,
    /// Mean wait per unit, all visits together.
    pub wait_per_unit: f64,
}

/// Exponential test, Poisson arrivals, failed units join the end of the queue: an open network of one
/// station with feedback, which acts as M/M/1 under arrivals / (1 - fail) (Jackson, "Networks of waiting
/// lines", Operations Research 5 (1957)).
pub fn retest_rejoining(arrivals: f64, service: f64, fail: f64) -> Option<Retest> {
    if !(0.0..1.0).contains(&fail) {
        return None;
    }
    let visits = 1.0 / (1.0 - fail);
    let wait = m_m_c(arrivals * visits, service, 1)?.mean;
    Some(retest(arrivals, service, visits, wait, wait * visits))
}

/// The same, but a failed unit keeps the bay and is tested at once: the bay is held for a geometric
/// number of exponentials, which is exponential with rate (1 - fail) x service.
pub fn retest_in_place(arrivals: f64, service: f64, fail: f64) -> Option<Retest> {
    if !(0.0..1.0).contains(&fail) {
        return None;
    }
    let visits = 1.0 / (1.0 - fail);
    let wait = m_m_c(arrivals, service / visits, 1)?.mean;
    Some(retest(arrivals, service, visits, wait / visits, wait))
}

fn retest(arrivals: f64, service: f64, visits: f64, wait_per_visit: f64, wait_per_unit: f64) -> Retest {
    let through = wait_per_unit + visits / service;
    let load = arrivals * visits / service;
    Retest { load, number: arrivals * through, through, wait_per_visit, wait_per_unit }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numbers::{integrate_to_infinity, normal};

    #[track_caller]
    fn shown(value: f64, printed: f64, unit_of_last_digit: f64) {
        assert!((value - printed).abs() <= 0.5 * unit_of_last_digit * 1.000_001, "{value} for {printed}");
    }

    #[test]
    fn several_bays_wait_as_any_text_has_it() {
        // Source: Erlang C, any text on queueing; recomputed by two unrelated exact means.
        for (arrivals, bays, chance, mean, queue, p95) in [
            (0.75, 1, (0.75, 1e-6), (3.0, 1e-5), (2.25, 1e-5), (10.8322, 1e-4)),
            (1.5, 2, (0.642857, 1e-6), (1.28571, 1e-5), (1.92857, 1e-5), (5.10780, 1e-5)),
            (2.7, 3, (0.817061, 1e-6), (2.72354, 1e-5), (7.35355, 1e-5), (9.31230, 1e-5)),
        ] {
            let w = m_m_c(arrivals, 1.0, bays).unwrap();
            shown(w.chance, chance.0, chance.1);
            shown(w.mean, mean.0, mean.1);
            shown(w.queue, queue.0, queue.1);
            shown(w.p95, p95.0, p95.1);
        }
    }

    #[test]
    fn one_bay_with_any_service_waits_after_pollaczek_and_khinchine() {
        // Source: Pollaczek-Khinchine by hand; triangular 10, 15, 30; lognormal 20 sd 8; M/D/1 at 0.8.
        shown(m_g_1_wait(0.8, 1.0, 0.0).unwrap(), 2.0, 1e-5);
        shown(m_g_1_wait(0.045, 55.0 / 3.0, 325.0 / 18.0).unwrap(), 45.5357, 1e-4);
        shown(m_g_1_wait(0.04, 20.0, 64.0).unwrap(), 46.4, 1e-4);
        // Exponential service must be M/M/1.
        shown(m_g_1_wait(0.75, 1.0, 1.0).unwrap(), 3.0, 1e-12);
    }

    #[test]
    fn arrivals_on_the_clock_wait_after_the_root() {
        // Source: root of sigma = exp(-(1 - sigma)/0.8), recomputed by two unrelated exact means.
        let w = d_m_1(0.8, 1.0).unwrap();
        shown(w.chance, 0.628630, 1e-6);
        shown(w.mean, 1.69273, 1e-5);
    }

    #[test]
    fn any_gaps_give_back_the_known_special_case() {
        // Exponential gaps: A(s) = lambda/(lambda + s) makes M/M/1.
        let known = m_m_c(0.75, 1.0, 1).unwrap();
        let w = gi_m_1(1.0 / 0.75, |s| 0.75 / (0.75 + s), 1.0).unwrap();
        shown(w.chance, known.chance, 1e-12);
        shown(w.mean, known.mean, 1e-10);
        shown(w.p95, known.p95, 1e-10);
        // A transform by quadrature serves as well: half-normal gaps against their closed form.
        let mean = (2.0 / std::f64::consts::PI).sqrt();
        let closed = |s: f64| 2.0 * libm::exp(s * s / 2.0) * normal::tail(s);
        let numeric = |s: f64| {
            integrate_to_infinity(|x| 2.0 * normal::density(x) * libm::exp(-s * x), 0.0, 1.0, 1e-11).value
        };
        let (a, b) = (gi_m_1(mean, closed, 1.6).unwrap(), gi_m_1(mean, numeric, 1.6).unwrap());
        shown(a.mean, b.mean, 1e-8);
        assert!(a.chance < 1.0 / mean / 1.6, "gaps steadier than exponential wait less often");
    }

    #[test]
    fn retested_units_wait_as_a_network_with_feedback() {
        // Source: open Jackson network; arrivals 0.7, service 1, 10 % fail and queue again.
        let again = retest_rejoining(0.7, 1.0, 0.1).unwrap();
        shown(again.load, 0.777778, 1e-6);
        shown(again.number, 3.5, 1e-5);
        shown(again.through, 5.0, 1e-5);
        shown(again.wait_per_visit, 3.5, 1e-5);
        let in_place = retest_in_place(0.7, 1.0, 0.1).unwrap();
        shown(in_place.wait_per_unit, 3.88889, 1e-5);
        shown(in_place.load, 0.777778, 1e-6);
        // The number in the station is the same: both are M/M/1 at the same load.
        shown(in_place.number, 3.5, 1e-12);
        let never = retest_rejoining(0.7, 1.0, 0.0).unwrap();
        shown(never.wait_per_visit, m_m_c(0.7, 1.0, 1).unwrap().mean, 1e-12);
    }

    #[test]
    fn the_estimates_are_exact_where_their_texts_say_so() {
        let traffic =
            Traffic { arrivals: 0.75, service_mean: 1.0, arrival_scv: 1.0, service_scv: 1.0, bays: 1 };
        shown(kingman(&traffic).unwrap(), 3.0, 1e-12);
        shown(allen_cunneen(&traffic).unwrap(), 3.0, 1e-12);
        // M/G/1: lognormal 20 sd 8 has scv 0.16.
        let lognormal =
            Traffic { arrivals: 0.04, service_mean: 20.0, arrival_scv: 1.0, service_scv: 0.16, bays: 1 };
        shown(kingman(&lognormal).unwrap(), 46.4, 1e-10);
        let three = Traffic { arrivals: 2.7, bays: 3, ..traffic };
        shown(allen_cunneen(&three).unwrap(), 2.72354, 1e-5);
        assert_eq!(kingman(&three), None);
    }

    #[test]
    fn a_full_load_has_no_mean_wait() {
        let traffic =
            Traffic { arrivals: 1.0, service_mean: 1.0, arrival_scv: 1.0, service_scv: 1.0, bays: 1 };
        for load in [1.0, 1.5, f64::NAN, f64::INFINITY] {
            let traffic = Traffic { arrivals: load, ..traffic };
            assert_eq!(kingman(&traffic), None);
            assert_eq!(allen_cunneen(&traffic), None);
            assert_eq!(m_m_c(2.0 * load, 1.0, 2), None);
            assert_eq!(m_g_1_wait(load, 1.0, 0.5), None);
            assert_eq!(d_m_1(load, 1.0), None);
            assert_eq!(retest_rejoining(0.9 * load, 1.0, 0.1), None);
        }
        assert_eq!(m_m_c(1.0, 1.0, 0), None);
        assert_eq!(retest_in_place(0.5, 1.0, 1.0), None);
        assert_eq!(m_m_c(-1.0, 1.0, 1), None);
        assert_eq!(m_g_1_wait(0.5, 1.0, f64::NAN), None);
    }

    #[test]
    fn nobody_waits_where_nobody_comes() {
        let w = m_m_c(0.0, 1.0, 2).unwrap();
        assert_eq!((w.chance, w.mean, w.queue, w.p95), (0.0, 0.0, 0.0, 0.0));
        // Below a chance of 5 % the 95th percentile of the wait is 0.
        assert_eq!(m_m_c(0.04, 1.0, 1).unwrap().p95, 0.0);
        // A thousand bays overflow nothing.
        assert!(m_m_c(950.0, 1.0, 1000).unwrap().chance < 0.1);
    }
}
