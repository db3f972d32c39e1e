//! The measures of a report, each in a sentence with its formula.

/// One measure.
#[derive(Clone, Copy, Debug)]
pub struct MeasureWords {
    pub name: &'static str,
    /// Its key in the JSON report, where that differs.
    pub key: &'static str,
    pub unit: &'static str,
    pub meaning: &'static str,
}

impl MeasureWords {
    pub fn is_called(&self, wanted: &str) -> bool {
        self.name == wanted || self.key == wanted
    }
}

const fn measure(
    name: &'static str,
    key: &'static str,
    unit: &'static str,
    meaning: &'static str,
) -> MeasureWords {
    MeasureWords { name, key, unit, meaning }
}

pub const MEASURES: &[MeasureWords] = &[
    measure(
        "units per shift",
        "units_per_shift",
        "units",
        "finished units of a whole shift; the mean over shifts, one value per replication, and how single shifts spread",
    ),
    measure("units per hour", "units_per_hour", "units", "finished units per hour of net time"),
    measure(
        "chance of the count",
        "chance_of_count",
        "a share",
        "share of shifts that finish at least the units asked for",
    ),
    measure(
        "minutes between units",
        "minutes_between_units",
        "min",
        "net time from one finished unit to the next: mean, coefficient of variation, percentiles",
    ),
    measure(
        "flow time",
        "flow_time_min",
        "min",
        "clock time of a unit from the first place it enters to its finish",
    ),
    measure(
        "work in process",
        "work_in_process",
        "units",
        "mean number of units in the line over clock time",
    ),
    measure(
        "first pass yield",
        "first_pass_yield",
        "a share",
        "share of finished units that passed every test at the first attempt; of a test, share of first verdicts that pass",
    ),
    measure("rolled yield", "rolled_yield", "a share", "product of the first-pass yields of all tests"),
    measure(
        "labour per unit",
        "labour_min_per_unit",
        "min",
        "person-minutes at work divided by finished units",
    ),
    measure(
        "little residual",
        "little_residual",
        "unit-microseconds",
        "integral of units present less the sum of their times in the line: exactly 0, or the program is wrong (Little 1961)",
    ),
    measure("takt", "takt_min", "min", "net time divided by the demand of the same period"),
    measure(
        "pace",
        "pace_min",
        "min",
        "planned time between units, faster than takt; takt where none is stated",
    ),
    measure(
        "net time",
        "net_min",
        "min",
        "attended time less meal, breaks, meeting, clean-up and planned stops",
    ),
    measure(
        "load",
        "load",
        "a share",
        "mean time a unit needs at a station divided by the station's window (bays x pace, less the index where it is pushed)",
    ),
    measure("line efficiency", "line_efficiency", "a share", "sum of task times divided by stations x pace"),
    measure("balance delay", "balance_delay", "a share", "1 - line efficiency"),
    measure(
        "smoothness index",
        "smoothness",
        "min",
        "square root of the sum over stations of (greatest load - load) squared",
    ),
    measure(
        "wait",
        "wait_min",
        "min",
        "clock time from the moment a unit is done upstream until it enters a bay of the test",
    ),
    measure("attempts per unit", "attempts_per_unit", "a number", "verdicts divided by units that went on"),
    measure(
        "delay caused",
        "delay_caused_min",
        "min",
        "in a pushed segment: ready time of the last station less the later of the signal and the next-to-last; ties share",
    ),
    measure(
        "last to finish",
        "last_to_finish",
        "a share",
        "share of pushes at which this station was ready last; ties share",
    ),
    measure(
        "working",
        "working",
        "a share of net time",
        "people work in the bay, or a step without people runs",
    ),
    measure(
        "stopped",
        "stopped",
        "a share of net time",
        "the station is stopped, or equipment is without which nothing on its unit goes on",
    ),
    measure("holding", "holding", "a share of net time", "a hold runs and nobody works on the unit"),
    measure("moving", "moving", "a share of net time", "a unit is on its way into the bay"),
    measure(
        "off shift",
        "off_shift",
        "a share of net time",
        "the crew has gone home early; visitors: they are outside their hours",
    ),
    measure(
        "standing in",
        "standing_in",
        "a share of net time",
        "floaters sit in the seats of people who are absent",
    ),
    measure("walking", "walking", "a share of net time", "people are on their way to a unit"),
    measure("moving units", "moving_units", "a share of net time", "people move the units of a segment"),
    measure("helping", "helping", "a share of net time", "people of no crew lend a hand"),
    measure(
        "own",
        "own",
        "a share of net time",
        "people who help are at work of their own, no part of the line",
    ),
    measure("spare", "spare", "a share of net time", "floaters are there and stand in for nobody"),
    measure(
        "short of people",
        "short_of_people",
        "a share of net time",
        "the first-ranked ready task lacks people",
    ),
    measure(
        "short of parts",
        "short_of_parts",
        "a share of net time",
        "the first-ranked ready task lacks parts: too few are in the store, or others wait longer for them",
    ),
    measure(
        "short of equipment",
        "short_of_equipment",
        "a share of net time",
        "the first-ranked ready task lacks equipment",
    ),
    measure(
        "short of room",
        "short_of_room",
        "a share of net time",
        "the first-ranked ready task lacks room in its zone",
    ),
    measure(
        "waiting for another step",
        "waiting_for_another_step",
        "a share of net time",
        "work is left, and all of it follows a step that is not done",
    ),
    measure("blocked", "blocked", "a share of net time", "the unit is done and there is no room for it"),
    measure(
        "waiting for the signal",
        "waiting_for_the_signal",
        "a share of net time",
        "the unit is done, or the place is empty, and the push has not come",
    ),
    measure("starved", "starved", "a share of net time", "no unit is in the bay and none comes"),
    measure(
        "units_gained",
        "units_gained",
        "units",
        "units more per shift if the attended minutes of this station took 0.95 of their time, on the same random days; holds are never touched",
    ),
];

#[cfg(test)]
mod tests {
    use super::MEASURES;

    /// Measures that stand in the record of balancing or on the page of `check`, not in the report.
    const ELSEWHERE: [&str; 3] = ["line_efficiency", "balance_delay", "smoothness"];

    #[test]
    fn every_measure_is_found_in_the_published_reports() {
        let report = include_str!("../../docs/report.schema.json");
        let page =
            serde_json::to_string(&schemars::schema_for!(taktwright::report::CheckPage)).expect("a schema");
        for measure in MEASURES.iter().filter(|m| !ELSEWHERE.contains(&m.key)) {
            let key = format!("\"{}\"", measure.key);
            assert!(report.contains(&key) || page.contains(&key), "`{}` names no key: {key}", measure.name);
        }
    }

    #[test]
    fn no_two_measures_have_one_name() {
        let mut names: Vec<&str> = MEASURES.iter().map(|m| m.name).collect();
        names.sort_unstable();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
    }
}
