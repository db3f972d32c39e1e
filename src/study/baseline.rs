//! Baselines: what a scenario gave when it was blessed, and what differs now, in trade words.
//!
//! Counts are whole numbers and must agree to the unit; figures may differ by the scenario's band.

use super::compare::value;
use crate::line::{Line, Measure, TestId};
use crate::numbers::Histogram;
use crate::simulate::{BayState, Observations};
use crate::units::{Time, decimals, percent};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

pub const SCHEMA: &str = "taktwright.baseline/1";

/// What one scenario gave.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Baseline {
    pub schema: String,
    /// Of the program that wrote it.
    pub version: String,
    pub line: String,
    /// How it was run, in words.
    pub run: String,
    pub layouts: Vec<LayoutResult>,
}

#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LayoutResult {
    pub layout: String,
    /// Compared to the unit.
    pub counts: BTreeMap<String, u64>,
    /// Compared within the band.
    pub figures: BTreeMap<String, f64>,
}

impl Baseline {
    /// # Errors
    /// Why the text is not a baseline.
    pub fn read(text: &[u8]) -> Result<Baseline, String> {
        let baseline: Baseline = serde_json::from_slice(text).map_err(|why| why.to_string())?;
        match baseline.schema.as_str() {
            SCHEMA => Ok(baseline),
            other => Err(format!("it is of the form `{other}`, this program reads `{SCHEMA}`")),
        }
    }

    pub fn write(&self) -> String {
        let text = serde_json::to_string_pretty(self).expect("a baseline holds only text and finite numbers");
        text + "\n"
    }
}

/// What one layout gave.
pub fn result(line: &Line, observed: &Observations) -> LayoutResult {
    LayoutResult {
        layout: line.layout.clone(),
        counts: counts(line, observed),
        figures: figures(line, observed),
    }
}

fn counts(line: &Line, observed: &Observations) -> BTreeMap<String, u64> {
    let runs = &observed.replications;
    let mut counts = BTreeMap::from([
        ("units finished".to_string(), runs.iter().map(|r| r.finished).sum()),
        ("units scrapped".to_string(), runs.iter().map(|r| r.scrapped).sum()),
        ("units set aside".to_string(), runs.iter().map(|r| r.set_aside).sum()),
    ]);
    for (t, test) in line.tests.iter().enumerate() {
        counts.insert(format!("verdicts of {}", test.name), runs.iter().map(|r| r.tests[t].attempts).sum());
        counts.insert(format!("passes of {}", test.name), runs.iter().map(|r| r.tests[t].passed).sum());
    }
    let holds = line.steps.iter().filter(|step| step.hold().is_some());
    for (h, hold) in holds.enumerate() {
        counts.insert(format!("holds of {}", hold.name), runs.iter().map(|r| r.holds[h].count).sum());
        counts.insert(format!("restarts of {}", hold.name), runs.iter().map(|r| r.holds[h].restarts).sum());
    }
    for (w, window) in line.windows.iter().enumerate() {
        let closes = &line.steps[window.closes.index()].name;
        counts.insert(format!("windows missed at {closes}"), runs.iter().map(|r| r.windows[w].missed).sum());
    }
    counts
}

fn figures(line: &Line, observed: &Observations) -> BTreeMap<String, f64> {
    let runs = &observed.replications;
    let mut figures = BTreeMap::new();
    let mut mean = |name: String, measure: Measure| {
        let values: Vec<f64> = runs.iter().filter_map(|run| value(measure, run)).collect();
        if !values.is_empty() {
            figures.insert(name, values.iter().sum::<f64>() / values.len() as f64);
        }
    };
    mean("units per shift".to_string(), Measure::UnitsPerShift);
    mean("units per hour".to_string(), Measure::UnitsPerHour);
    mean("minutes between units".to_string(), Measure::MinutesBetweenUnits);
    mean("flow time, min".to_string(), Measure::FlowTime);
    mean("work in process".to_string(), Measure::WorkInProcess);
    mean("labour per unit, min".to_string(), Measure::LabourPerUnit);
    mean("first pass yield".to_string(), Measure::FirstPassYield);
    for (t, test) in line.tests.iter().enumerate() {
        mean(format!("wait at {}, min", test.name), Measure::Wait(TestId::from_index(t)));
    }
    for (t, test) in line.tests.iter().enumerate() {
        let mut waits = Histogram::default();
        runs.iter().for_each(|run| waits.merge(&run.tests[t].waits));
        if let Some(p95) = waits.quantile(0.95) {
            figures.insert(format!("wait at {} p95, min", test.name), Time(p95).as_minutes());
        }
    }
    for (p, place) in line.places.iter().enumerate() {
        for state in [BayState::Working, BayState::Blocked, BayState::Starved] {
            let spent: i128 = runs.iter().map(|run| i128::from(run.places[p].states[state as usize])).sum();
            let net: i128 = runs.iter().map(|run| i128::from(run.net_of(place.hours).micros())).sum();
            if net > 0 {
                let share = spent as f64 / (net as f64 * f64::from(place.bays));
                figures.insert(format!("share {} at {}", state.words(), place.name), share);
            }
        }
    }
    figures
}

/// What differs between what is stored and what came out now, one sentence each.
pub fn differences(stored: &LayoutResult, now: &LayoutResult, band: f64) -> Vec<String> {
    let mut said = Vec::new();
    for (what, was) in &stored.counts {
        match now.counts.get(what) {
            Some(is) if is == was => {}
            Some(is) => {
                let by = i128::from(*is) - i128::from(*was);
                said.push(format!("{what}: {is} now, {was} stored ({by:+})"));
            }
            None => said.push(format!("{what}: stored as {was}, no longer counted")),
        }
    }
    for (what, was) in &stored.figures {
        match now.figures.get(what) {
            Some(is) if within(*is, *was, band) => {}
            Some(is) => said.push(format!(
                "{what}: {} now, {} stored ({}, allowed {})",
                decimals(*is, 4),
                decimals(*was, 4),
                relative(*is, *was),
                percent(band)
            )),
            None => said.push(format!("{what}: stored as {}, no longer shown", decimals(*was, 4))),
        }
    }
    let new = now.counts.keys().filter(|what| !stored.counts.contains_key(*what));
    let new = new.chain(now.figures.keys().filter(|what| !stored.figures.contains_key(*what)));
    said.extend(new.map(|what| format!("{what}: not stored, new since then")));
    said
}

fn within(is: f64, was: f64, band: f64) -> bool {
    (is - was).abs() <= band * was.abs()
}

fn relative(is: f64, was: f64) -> String {
    if was == 0.0 {
        return "from nothing".to_string();
    }
    let change = (is - was) / was.abs();
    format!("{}{} %", if change > 0.0 { "+" } else { "" }, decimals(change * 100.0, 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layout(counts: &[(&str, u64)], figures: &[(&str, f64)]) -> LayoutResult {
        LayoutResult {
            layout: "today".to_string(),
            counts: counts.iter().map(|(k, v)| ((*k).to_string(), *v)).collect(),
            figures: figures.iter().map(|(k, v)| ((*k).to_string(), *v)).collect(),
        }
    }

    #[test]
    fn counts_must_agree_and_figures_may_differ_by_the_band() {
        let stored = layout(
            &[("units finished", 100), ("holds of cure", 7)],
            &[("flow time, min", 50.0), ("yield", 0.0)],
        );
        let same = layout(
            &[("units finished", 100), ("holds of cure", 7)],
            &[("flow time, min", 50.4), ("yield", 0.0)],
        );
        assert_eq!(differences(&stored, &same, 0.01), Vec::<String>::new());
        let other =
            layout(&[("units finished", 99)], &[("flow time, min", 51.0), ("yield", 0.1), ("wait", 1.0)]);
        assert_eq!(
            differences(&stored, &other, 0.01),
            [
                "holds of cure: stored as 7, no longer counted",
                "units finished: 99 now, 100 stored (-1)",
                "flow time, min: 51 now, 50 stored (+2 %, allowed 1 %)",
                "yield: 0.1 now, 0 stored (from nothing, allowed 1 %)",
                "wait: not stored, new since then",
            ]
        );
    }

    #[test]
    fn a_baseline_reads_back_what_it_wrote_and_refuses_what_it_did_not() {
        let baseline = Baseline {
            schema: SCHEMA.to_string(),
            version: "0.1.0".to_string(),
            line: "Hall".to_string(),
            run: "2 replications of 5 shifts, no warm-up, seed 1".to_string(),
            layouts: vec![layout(&[("units finished", 3)], &[("flow time, min", 0.1 + 0.2)])],
        };
        assert_eq!(Baseline::read(baseline.write().as_bytes()), Ok(baseline.clone()));
        let foreign = baseline.write().replace("baseline/1", "baseline/9");
        assert!(Baseline::read(foreign.as_bytes()).is_err_and(|why| why.contains("baseline/9")));
        assert!(Baseline::read(b"{\"schema\": 1}").is_err());
    }
}
