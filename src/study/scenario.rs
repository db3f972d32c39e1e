//! Scenario files: which line, which layouts, how to run it, what to expect.
//!
//! Every fault of the file is reported at its place; unknown keys are refused with the nearest known
//! one. The keys are those of `schema.rs`, which a test holds to this reader.

use super::node::{Node, Value, read};
use super::plan::{Precision, RunChoices, WarmUpChoice};
use super::values::{nearest, read_share, read_time};
use crate::diagnostic::words::scenario as words;
use crate::diagnostic::{Diagnostic, FileId, Span};
use crate::simulate::Horizon;
use crate::units::Time;

/// Figures of a baseline may differ by so much of their value where the scenario says nothing.
pub const BAND: f64 = 0.001;

/// Keys of a scenario, in the order of the schema.
pub const KEYS: [&str; 7] = ["line", "layouts", "set", "run", "expect", "baseline", "band"];
/// Keys of `run`.
pub const RUN_KEYS: [&str; 8] =
    ["shifts", "units", "for", "replications", "within", "seed", "warm-up", "gains"];

/// A value and where it stands.
#[derive(Clone, PartialEq, Debug)]
pub struct Placed<T> {
    pub value: T,
    pub span: Span,
}

/// One scenario, read.
#[derive(Clone, PartialEq, Debug)]
pub struct Scenario {
    /// The line file, relative to the scenario's folder.
    pub line: Placed<String>,
    /// All of the file's when empty.
    pub layouts: Vec<Placed<String>>,
    /// Other values for `let` names of the file.
    pub set: Vec<(Placed<String>, String)>,
    pub run: RunChoices,
    pub expect: Vec<Expectation>,
    /// The baseline file, relative to the scenario's folder.
    pub baseline: Option<Placed<String>>,
    /// Relative difference that a figure of the baseline may show.
    pub band: f64,
}

/// One thing that is expected.
#[derive(Clone, PartialEq, Debug)]
pub struct Expectation {
    pub kind: ExpectationKind,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub enum ExpectationKind {
    /// A sentence as a `promise` statement has it: judged for every layout.
    Promise(String),
    /// `third bay better than today on units per shift`
    Better { layout: String, than: String, on: String },
}

impl Expectation {
    /// As a sentence.
    pub fn text(&self) -> String {
        match &self.kind {
            ExpectationKind::Promise(sentence) => sentence.clone(),
            ExpectationKind::Better { layout, than, on } => format!("{layout} better than {than} on {on}"),
        }
    }
}

/// Reads a scenario; `None` where a fault leaves nothing to run.
pub fn read_scenario(file: FileId, text: &str) -> (Option<Scenario>, Vec<Diagnostic>) {
    let root = match read(file, text) {
        Ok(root) => root,
        Err(fault) => return (None, vec![*fault]),
    };
    let mut reader = Reader { file, faults: Vec::new() };
    let scenario = reader.scenario(&root);
    let Reader { faults, .. } = reader;
    (scenario.filter(|_| faults.is_empty()), faults)
}

struct Reader {
    file: FileId,
    faults: Vec<Diagnostic>,
}

impl Reader {
    fn scenario(&mut self, root: &Node) -> Option<Scenario> {
        let example = "line: pod-hall.line";
        let entries = self.map(root, "a scenario", example)?;
        let mut scenario = Scenario {
            line: Placed { value: String::new(), span: root.span(self.file) },
            layouts: Vec::new(),
            set: Vec::new(),
            run: RunChoices { gains: 0, ..RunChoices::default() },
            expect: Vec::new(),
            baseline: None,
            band: BAND,
        };
        for (key, value) in entries {
            match self.key(key, "a scenario", &KEYS).as_deref() {
                Some("line") => scenario.line = self.path("line", value),
                Some("layouts") => scenario.layouts = self.layouts(value),
                Some("set") => scenario.set = self.set(value),
                Some("run") => scenario.run = self.run(value),
                Some("expect") => scenario.expect = self.expect(value),
                Some("baseline") => scenario.baseline = Some(self.path("baseline", value)),
                Some("band") => scenario.band = self.share("band", value).unwrap_or(BAND),
                Some(_) | None => {}
            }
        }
        if !entries.iter().any(|(key, _)| key.scalar().as_deref() == Some("line")) {
            let start = Span { end: root.span(self.file).start, ..root.span(self.file) };
            self.faults.push(words::missing_key(start, "line", example));
        }
        Some(scenario)
    }

    fn map<'n>(&mut self, node: &'n Node, what: &str, example: &str) -> Option<&'n [(Node, Node)]> {
        if let Value::Map(entries) = &node.value {
            return Some(entries);
        }
        self.faults.push(words::not_a_map(node.span(self.file), what, node.kind(), example));
        None
    }

    fn list<'n>(&mut self, node: &'n Node, what: &str, example: &str) -> &'n [Node] {
        if let Value::List(items) = &node.value {
            return items;
        }
        self.faults.push(words::not_a_list(node.span(self.file), what, node.kind(), example));
        &[]
    }

    /// A known key, or a fault with the nearest one.
    fn key(&mut self, key: &Node, within: &str, known: &[&str]) -> Option<String> {
        let text = key.scalar().unwrap_or_else(|| key.kind().to_string());
        if known.contains(&text.as_str()) {
            return Some(text);
        }
        let near = nearest(&text, known.iter().copied());
        self.faults.push(words::unknown_key(key.span(self.file), &text, within, near.as_deref(), known));
        None
    }

    fn bad(&mut self, node: &Node, key: &str, reason: &str) {
        self.faults.push(words::bad_value(node.span(self.file), key, reason));
    }

    /// A path with `/`, not from the root of a disk.
    fn path(&mut self, key: &str, node: &Node) -> Placed<String> {
        let span = node.span(self.file);
        let value = match &node.value {
            Value::Text(text) if text.starts_with('/') || text.contains(['\\', '\0']) => {
                self.bad(
                    node,
                    key,
                    "a path is written from the scenario's folder, with `/` between its parts",
                );
                String::new()
            }
            Value::Text(text) if !text.is_empty() => text.clone(),
            Value::Nothing
            | Value::Flag(_)
            | Value::Number(_)
            | Value::Text(_)
            | Value::List(_)
            | Value::Map(_) => {
                self.bad(node, key, "the path of a file is needed");
                String::new()
            }
        };
        Placed { value, span }
    }

    fn layouts(&mut self, node: &Node) -> Vec<Placed<String>> {
        let mut layouts: Vec<Placed<String>> = Vec::new();
        for item in self.list(node, "layouts", "layouts: [today, third bay]") {
            let span = item.span(self.file);
            match item.scalar() {
                Some(name) if layouts.iter().any(|other| other.value == name) => {
                    self.bad(item, "layouts", &format!("`{name}` stands twice"));
                }
                Some(value) => layouts.push(Placed { value, span }),
                None => self.bad(item, "layouts", "the name of a layout is needed"),
            }
        }
        layouts
    }

    fn set(&mut self, node: &Node) -> Vec<(Placed<String>, String)> {
        let Some(entries) = self.map(node, "`set`", "set: { welders: 3 }") else { return Vec::new() };
        let mut set = Vec::new();
        for (key, value) in entries {
            match (key.scalar(), value.scalar()) {
                (Some(name), Some(text)) => {
                    set.push((Placed { value: name, span: key.span(self.file) }, text));
                }
                (name, _) => {
                    let name = name.unwrap_or_else(|| "set".to_string());
                    self.bad(value, &name, "a number or a quantity is needed, as in `3` or `20 min`");
                }
            }
        }
        set
    }

    fn run(&mut self, node: &Node) -> RunChoices {
        let mut run = RunChoices { gains: 0, ..RunChoices::default() };
        let Some(entries) = self.map(node, "`run`", "run: { shifts: 20, replications: 200, seed: 7 }") else {
            return run;
        };
        let mut length: Option<String> = None;
        let mut count: Option<String> = None;
        for (key, value) in entries {
            let Some(name) = self.key(key, "`run`", &RUN_KEYS) else { continue };
            match name.as_str() {
                "shifts" | "units" | "for" => {
                    self.only_one(&mut length, &name, key);
                    run.horizon = self.horizon(&name, value);
                }
                "replications" | "within" => {
                    self.only_one(&mut count, &name, key);
                    if let Some(precision) = self.precision(&name, value) {
                        run.precision = precision;
                    }
                }
                "seed" => run.seed = self.whole("seed", value, 0, MOST_EXACT).unwrap_or(run.seed),
                "warm-up" => run.warm_up = self.warm_up(value),
                _ => run.gains = self.whole("gains", value, 0, 100_000).map_or(0, small),
            }
        }
        run
    }

    /// Refuses a second key of a kind of which one may stand.
    fn only_one(&mut self, first: &mut Option<String>, name: &str, key: &Node) {
        if let Some(first) = first {
            self.faults.push(words::one_of_two(key.span(self.file), first, name));
        }
        first.get_or_insert_with(|| name.to_string());
    }

    fn horizon(&mut self, name: &str, value: &Node) -> Option<Horizon> {
        match name {
            "shifts" => self.whole(name, value, 1, 100_000).map(|n| Horizon::Shifts(small(n))),
            "units" => self.whole(name, value, 1, 1_000_000_000).map(Horizon::Units),
            _ => self.time(name, value).map(Horizon::For),
        }
    }

    fn precision(&mut self, name: &str, value: &Node) -> Option<Precision> {
        match name {
            "within" => self.share(name, value).map(Precision::Within),
            _ => self.whole(name, value, 2, 1_000_000).map(|n| Precision::Replications(small(n))),
        }
    }

    fn warm_up(&mut self, value: &Node) -> Option<WarmUpChoice> {
        match value.scalar().as_deref() {
            Some("auto") => Some(WarmUpChoice::Auto),
            Some("none") => Some(WarmUpChoice::None),
            Some(_) | None => self.time("warm-up", value).map(WarmUpChoice::For),
        }
    }

    fn whole(&mut self, key: &str, node: &Node, least: u64, most: u64) -> Option<u64> {
        if let Value::Number(number) = node.value
            && number.fract() == 0.0
            && number >= least as f64
            && number <= most as f64
        {
            return Some(number as u64);
        }
        self.bad(node, key, &format!("a whole number from {least} to {most} is needed"));
        None
    }

    fn time(&mut self, key: &str, node: &Node) -> Option<Time> {
        let text = node.scalar().unwrap_or_else(|| node.kind().to_string());
        read_time(&text).map_err(|reason| self.bad(node, key, &reason)).ok()
    }

    fn share(&mut self, key: &str, node: &Node) -> Option<f64> {
        let text = node.scalar().unwrap_or_else(|| node.kind().to_string());
        read_share(&text).map_err(|reason| self.bad(node, key, &reason)).ok()
    }

    fn expect(&mut self, node: &Node) -> Vec<Expectation> {
        let items = self.list(node, "expect", "expect: [ { units per shift: { at least: 17.5 } } ]");
        items.iter().filter_map(|item| self.expectation(item)).collect()
    }

    fn expectation(&mut self, item: &Node) -> Option<Expectation> {
        let span = item.span(self.file);
        let before = self.faults.len();
        let kind = match &item.value {
            Value::Text(text) => Some(match better(text) {
                Some((layout, than, on)) => ExpectationKind::Better { layout, than, on },
                None => ExpectationKind::Promise(text.trim().to_string()),
            }),
            Value::Map(entries) => match entries.as_slice() {
                [(measure, limit)] => self.limit(measure, limit).map(ExpectationKind::Promise),
                _ => None,
            },
            Value::Nothing | Value::Flag(_) | Value::Number(_) | Value::List(_) => None,
        };
        if kind.is_none() && self.faults.len() == before {
            let text = item.scalar().map_or_else(|| item.kind().to_string(), |text| format!("`{text}`"));
            self.faults.push(words::not_an_expectation(span, &text));
        }
        kind.map(|kind| Expectation { kind, span })
    }

    /// `units per shift: { at least: 17.5 }` as a sentence.
    fn limit(&mut self, measure: &Node, limit: &Node) -> Option<String> {
        let measure = measure.scalar()?;
        let Value::Map(entries) = &limit.value else { return None };
        let [(side, amount)] = entries.as_slice() else { return None };
        let side = self.key(side, "a limit", &["at least", "at most"])?;
        Some(format!("{measure} {side} {}", amount.scalar()?))
    }
}

/// Whole numbers up to here are exact in YAML as read.
const MOST_EXACT: u64 = 1 << 53;

fn small(n: u64) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Splits `A better than B on M`; layout names may hold spaces.
fn better(text: &str) -> Option<(String, String, String)> {
    let (layout, rest) = text.split_once(" better than ")?;
    let (than, on) = rest.rsplit_once(" on ")?;
    let trimmed = |part: &str| part.trim().trim_matches('"').to_string();
    Some((trimmed(layout), trimmed(than), trimmed(on)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const HALL: &str = "\
line: ../pod-hall.line
layouts: [today, third bay]
set: { welders: 3, cure: 20 min }
run: { shifts: 20, replications: 200, seed: 7, warm-up: 2 h }
expect:
  - units per shift: { at least: 17.5 }
  - wait at rough p95: { at most: 20 min }
  - third bay better than today on units per shift
  - no hold under its minimum
baseline: pod-hall.expected.json
band: 1 %
";

    #[test]
    fn a_scenario_is_read_with_every_key_it_may_have() {
        let (scenario, faults) = read_scenario(FileId(0), HALL);
        assert_eq!(faults, []);
        let scenario = scenario.expect("a sound scenario");
        assert_eq!(scenario.line.value, "../pod-hall.line");
        assert_eq!(scenario.layouts[1].value, "third bay");
        assert_eq!(scenario.set[1].1, "20 min");
        assert_eq!(scenario.run.horizon, Some(Horizon::Shifts(20)));
        assert_eq!(scenario.run.warm_up, Some(WarmUpChoice::For(Time::HOUR * 2)));
        assert_eq!(scenario.band, 0.01);
        let texts: Vec<String> = scenario.expect.iter().map(Expectation::text).collect();
        assert_eq!(
            texts,
            [
                "units per shift at least 17.5",
                "wait at rough p95 at most 20 min",
                "third bay better than today on units per shift",
                "no hold under its minimum",
            ]
        );
    }

    #[test]
    fn all_faults_of_a_scenario_are_reported_each_at_its_place() {
        let text = "\
lines: a.line
run: { shift: 20, units: 3, for: 2 h, replications: 1, seed: 1.5 }
expect: [ { units per shift: { atleast: 3 } }, 4, [a] ]
layouts: today
band: 5
";
        let (scenario, faults) = read_scenario(FileId(0), text);
        assert_eq!(scenario, None);
        let said: Vec<(&str, &str)> = faults
            .iter()
            .map(|f| (&text[f.primary.start as usize..f.primary.end as usize], f.headline.as_str()))
            .collect();
        assert_eq!(
            said,
            [
                ("lines", "a scenario has no key `lines`"),
                ("shift", "`run` has no key `shift`"),
                ("for", "`for` can't stand beside `units`"),
                ("1", "`replications`: a whole number from 2 to 1000000 is needed"),
                ("1.5", "`seed`: a whole number from 0 to 9007199254740992 is needed"),
                ("atleast", "a limit has no key `atleast`"),
                ("4", "`4` is not an expectation"),
                ("[a", "a list is not an expectation"),
                ("today", "`layouts` is a list, here stands text"),
                ("5", "`band`: `5` has no `%`: write `5 %`"),
                ("", "a scenario needs the key `line`"),
            ]
        );
        assert_eq!(faults[0].help, ["did you mean `line`?"]);
        assert_eq!(faults[1].help, ["did you mean `shifts`?"]);
    }

    #[test]
    fn paths_stay_relative() {
        let (_, faults) = read_scenario(FileId(0), "line: /etc/passwd\n");
        assert!(faults[0].headline.contains("from the scenario's folder"), "{}", faults[0].headline);
    }
}
