//! The pass rule of published values: the estimate within 3.3 standard errors of the exact value,
//! its half-width within a cap, seeds 1, 2, 3 for ever, two of three must hold.

use crate::follow::text;
use statrs::distribution::{ContinuousCDF, StudentsT};
use taktwright::line::Line;
use taktwright::simulate::{Horizon, Replication, Settings, Unattended, WarmUp, simulate};

/// Fixed for ever, so that nobody can look for a seed that pleases.
const SEEDS: [u64; 3] = [1, 2, 3];
/// Standard errors allowed between estimate and exact value.
const ERRORS_ALLOWED: f64 = 3.3;

/// Half-width allowed as a share of the exact value.
pub const THROUGHPUT: f64 = 0.003;
/// Waits, queues, percentiles up to load 0.8.
pub const WAIT: f64 = 0.02;
/// The same above load 0.8.
pub const WAIT_UNDER_HIGH_LOAD: f64 = 0.04;

/// How long a case runs.
#[derive(Clone, Copy)]
pub struct Length {
    pub replications: u32,
    pub warm_up: u64,
    pub units: u64,
}

/// One value that must come out.
pub struct Value {
    pub what: &'static str,
    pub exact: f64,
    pub cap: f64,
    pub of: fn(&Replication) -> f64,
}

/// Mean of independent values, its standard error, and the half-width of its 95 % interval.
#[derive(Clone, Copy, Debug)]
pub struct Estimate {
    pub mean: f64,
    pub error: f64,
    pub half_width: f64,
}

pub fn estimate(values: &[f64]) -> Estimate {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    let error = (squares / (n - 1.0) / n).sqrt();
    let t = StudentsT::new(0.0, 1.0, n - 1.0).expect("two values at least").inverse_cdf(0.975);
    Estimate { mean, error, half_width: t * error }
}

/// The replications of one seed.
pub fn run(line: &Line, seed: u64, length: Length) -> Vec<Replication> {
    let settings = Settings {
        seed,
        first: 0,
        count: length.replications,
        horizon: Horizon::Units(length.units),
        warm_up: WarmUp::Units(length.warm_up),
        record_finishes: false,
        faster: None,
    };
    let seen = simulate(line, &settings, &Unattended).unwrap_or_else(|e| panic!("{}: {e:?}", line.name));
    seen.replications
}

/// What speaks against the estimate; nothing where it holds.
fn objection(value: &Value, seen: &[Replication]) -> Option<String> {
    let found = estimate(&seen.iter().map(value.of).collect::<Vec<f64>>());
    let off = (found.mean - value.exact).abs();
    let Estimate { mean, error, half_width } = found;
    let numbers = format!("{}: {mean:.6} (error {error:.6}) for {:.6}", value.what, value.exact);
    if off > ERRORS_ALLOWED * error {
        return Some(format!("{numbers}: {:.2} errors off", off / error));
    }
    if half_width > value.cap * value.exact {
        return Some(format!("{numbers}: half-width {half_width:.6} is over {} of it", value.cap));
    }
    None
}

/// Runs the line from its text and holds every value to the rule. The third seed is only run where
/// the first two do not agree.
pub fn must_give(text: &str, length: Length, values: &[Value]) {
    let line = text::line_of(text);
    let objections: Vec<Vec<Option<String>>> = SEEDS[..2]
        .iter()
        .map(|seed| {
            let seen = run(&line, *seed, length);
            values.iter().map(|value| objection(value, &seen)).collect()
        })
        .collect();
    let third = std::cell::OnceCell::new();
    for (v, value) in values.iter().enumerate() {
        let mut said: Vec<String> = objections.iter().filter_map(|seed| seed[v].clone()).collect();
        if said.len() == 1 {
            let seen = third.get_or_init(|| run(&line, SEEDS[2], length));
            said.extend(objection(value, seen));
        }
        assert!(said.len() < 2, "{}: {said:#?}\n{text}", line.name);
    }
}

/// Finished units per minute.
pub fn per_minute(report: &Replication) -> f64 {
    report.finished as f64 / report.clock.as_minutes()
}

/// Minutes between finished units.
pub fn minutes_between(report: &Replication) -> f64 {
    report.clock.as_minutes() / report.finished as f64
}
