//! The fixed texts that a report must carry, and when each applies.
//!
//! A text applies by what the line has (holds, tests, crews, a calendar) or, for kinds of work, by
//! words in the names and labels of its steps, tests, equipment and skills. Words can miss; the first
//! text therefore always stands.

use super::record::{Caution, Report};
use crate::line::{Line, PlaceKind};

/// Words in names and labels that call for a text. Whole words or beginnings of words.
const PRESSURE: &[&str] = &["pressur", "leak", "vacuum", "tightness"];
const ELECTRICAL: &[&str] =
    &["electric", "elec", "insulation", "voltage", "hv", "dielectric", "earth", "battery"];
const GAS: &[&str] = &["refrigerant", "charge", "gas", "braz", "flammable"];
const LIFTING: &[&str] = &["lift", "hoist", "crane", "jib", "raise", "lower", "turn", "stands"];
const ENERGY: &[&str] = &["conveyor", "press", "rig", "cell", "hv", "battery", "robot"];
const HEIGHT: &[&str] = &["under", "roof", "ceiling", "height", "stands", "top"];
const FUMES: &[&str] = &[
    "resin", "styrene", "coat", "membrane", "dust", "grind", "sand", "laminat", "adhesive", "weld", "braz",
    "gel", "solvent", "paint",
];

pub fn cautions(line: &Line, report: &Report) -> Vec<Caution> {
    let kept = report.holds.iter().all(|hold| hold.kept);
    let audit = if kept { MINIMUM_HOLDS } else { HOLDS_SHORT };
    let holds = (!report.holds.is_empty()).then_some(audit);
    texts(line, holds, (!report.people.is_empty(), !report.tests.is_empty()), ESTIMATES)
}

/// Of a plan that nobody has run.
pub fn of_balance(line: &Line) -> Vec<Caution> {
    let holds = line.steps.iter().any(|step| step.hold().is_some()).then_some(HOLDS_STAY);
    texts(line, holds, (!line.crews.is_empty(), !line.tests.is_empty()), MEANS)
}

/// Those that apply; `holds` is what is to be said of them, where there are any.
fn texts(
    line: &Line,
    holds: Option<&'static str>,
    (people, tests): (bool, bool),
    last: &'static str,
) -> Vec<Caution> {
    let words = words_of(line);
    let speaks_of = |stems: &[&str]| words.iter().any(|word| stems.iter().any(|stem| word.starts_with(stem)));
    [
        (true, "planning inputs", PLANNING_INPUTS),
        (holds.is_some(), "minimum holds", holds.unwrap_or_default()),
        (holds.is_some() || tests, "repeats in full", REPEATS),
        (speaks_of(PRESSURE), "pressure testing", PRESSURE_TESTING),
        (speaks_of(ELECTRICAL), "electrical tests", ELECTRICAL_TESTS),
        (speaks_of(GAS), "refrigerant and fuel gas", GASES),
        (speaks_of(LIFTING), "lifting", LIFTS),
        (speaks_of(ENERGY) || has_repair_bays(line), "isolation", ISOLATION),
        (speaks_of(HEIGHT), "height", WORK_AT_HEIGHT),
        (speaks_of(FUMES), "enclosed spaces", ENCLOSED),
        (line.calendar.is_some(), "working time", WORKING_TIME),
        (people, "pace and people", PACE),
        (tests, "inspection", INSPECTION),
        (true, "estimates", last),
    ]
    .into_iter()
    .filter(|(applies, _, _)| *applies)
    .map(|(_, topic, text)| Caution { topic: topic.to_string(), text: text.to_string() })
    .collect()
}

fn has_repair_bays(line: &Line) -> bool {
    line.places.iter().any(|place| place.kind == PlaceKind::Repair)
}

/// Every word of names and labels, in small letters.
fn words_of(line: &Line) -> Vec<String> {
    let labels = |name: &str, label: &Option<String>| format!("{name} {}", label.as_deref().unwrap_or(""));
    let texts = line
        .steps
        .iter()
        .map(|s| labels(&s.name, &s.label))
        .chain(line.tests.iter().map(|t| labels(&t.name, &t.label)))
        .chain(line.equipment.iter().map(|e| labels(&e.name, &e.label)))
        .chain(line.places.iter().map(|p| labels(&p.name, &p.label)))
        .chain(line.zones.iter().map(|z| labels(&z.name, &z.label)))
        .chain(line.skills.iter().cloned());
    texts
        .flat_map(|text| {
            text.split(|c: char| !c.is_alphanumeric()).map(str::to_lowercase).collect::<Vec<String>>()
        })
        .filter(|word| !word.is_empty())
        .collect()
}

const PLANNING_INPUTS: &str = "Times, pressures, voltages and hold durations in this file are planning inputs \
    supplied by the user. The governing values are those in the product standard, the material supplier's data \
    sheet, the local code and the licensed person's procedure; where they differ, those govern.";
const MINIMUM_HOLDS: &str = "Minimum holds are treated as fixed. No result in this report is obtained by \
    shortening a cure, soak, leak or pressure hold; the shortest simulated hold equals or exceeds the stated \
    minimum (audit table attached).";
const HOLDS_SHORT: &str = "THE AUDIT FOUND A HOLD UNDER ITS MINIMUM. This is a fault of the program: use no \
    figure of this report, and report the fault.";
const HOLDS_STAY: &str = "Minimum holds are treated as fixed. Balancing moves no hold and shortens none.";
const REPEATS: &str = "An interrupted hold restarts in full. A repaired unit repeats the complete test.";
const PRESSURE_TESTING: &str = "Pressure testing stores energy; gas more than liquid. Exclusion zones, barriers, \
    rated fittings, relief and written procedure are required (e.g. HSE GS4, local rules).";
const ELECTRICAL_TESTS: &str = "Electrical strength, insulation and protective-device tests: only by qualified or \
    licensed persons in a guarded test place (e.g. EN 50191, IEC 60335-1 routine tests, local law).";
const GASES: &str = "Refrigerant, fuel gas and flammable charge: certified persons, ventilation, gas detection, \
    no ignition source (e.g. EU 2024/573, EPA 608, EN 378, IEC 60335-2-40). The program does not assess explosive \
    atmospheres.";
const LIFTS: &str = "Lifting, turning and raising units on stands need a lift plan, rated gear and a clear area; \
    nobody under a suspended load. Modelled times include no allowance for haste.";
const ISOLATION: &str = "Servicing and entry to moving equipment: isolate and lock out (29 CFR 1910.147 or local); \
    high-voltage batteries likewise. Repair times must include isolation.";
const WORK_AT_HEIGHT: &str = "Work at height and under units: local fall-protection thresholds apply (US general \
    industry 4 ft, shipyards 5 ft).";
const ENCLOSED: &str = "Enclosed spaces, styrene, isocyanate, dust, hot work: permits and ventilation are outside \
    this model; mark such tasks so that zone limits apply.";
const WORKING_TIME: &str = "Breaks, daily rest, overtime and minors: the calendar must satisfy law and agreement. \
    A shift with more than 6 h without a break is named among the doubts; legality is not decided here.";
const PACE: &str = "Predicted pace is not a work quota. Names are not needed: use role codes; no ranking of single \
    persons is produced.";
const INSPECTION: &str = "Third-party inspection, labels and type approval cannot be moved or skipped by \
    re-balancing.";
const ESTIMATES: &str = "Results are estimates from stated inputs; the band covers modelled variation only.";
const MEANS: &str = "Loads are means of one unit alone with everybody there. Waiting, absence, stops and short parts are \
    not in them: run the line as planned before you act on it.";
