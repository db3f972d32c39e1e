//! From a text to a line and to a followed run.

use super::Follower;
use taktwright::check;
use taktwright::diagnostic::{FileId, MapSources};
use taktwright::line::Line;
use taktwright::simulate::{Event, Horizon, Replication, RunError, Settings, WarmUp, Watcher, replicate};
use taktwright::syntax;
use taktwright::units::Time;

/// Reads and checks a text; on errors their headlines.
pub fn read(text: &str) -> Result<Line, Vec<String>> {
    let parsed = syntax::parse(FileId(0), text);
    let sources = MapSources::one("test.line", text);
    let checked = check::check(&parsed.tree, &sources, &[]);
    let errors: Vec<String> = parsed
        .faults
        .iter()
        .chain(&checked.faults)
        .filter(|fault| fault.is_error())
        .map(|fault| {
            let row = text[..fault.primary.start as usize].lines().count().max(1);
            let code = fault.code.text();
            format!("{code} row {row}: {} ({})", fault.headline, fault.marker)
        })
        .collect();
    match checked.layouts.into_iter().next() {
        Some(line) if errors.is_empty() => Ok(line),
        Some(_) | None => Err(errors),
    }
}

/// The line of a text that must be legal.
pub fn line_of(text: &str) -> Line {
    read(text).unwrap_or_else(|errors| panic!("refused: {errors:#?}\n{text}"))
}

/// Settings of one replication without warm-up.
pub fn settings_of(seed: u64, horizon: Horizon) -> Settings {
    Settings {
        seed,
        first: 0,
        count: 1,
        horizon,
        warm_up: WarmUp::None,
        record_finishes: false,
        faster: None,
    }
}

/// Runs one replication under the follower; what it found wrong comes with the report.
pub fn follow(
    line: &Line,
    settings: &Settings,
) -> Result<(Replication, Vec<String>), (RunError, Vec<String>)> {
    let mut follower = Follower::new(line, settings);
    match replicate(line, settings, 0, &mut follower) {
        Ok(report) => {
            follower.compare(&report);
            Ok((report, follower.faults))
        }
        Err(error) => {
            follower.judge_stop(&error.kind);
            Err((error, follower.faults))
        }
    }
}

/// Writes down every event and lets the follower see it too.
pub struct Recorder<'a> {
    pub follower: Follower<'a>,
    pub events: Vec<(Time, Event)>,
}

impl Watcher for Recorder<'_> {
    const WATCHING: bool = true;

    fn see(&mut self, at: Time, net: Time, event: Event) {
        self.events.push((at, event));
        self.follower.see(at, net, event);
    }
}

/// Runs one replication, writes down its events, and insists that the follower finds nothing wrong.
pub fn record(line: &Line, horizon: Horizon) -> (Replication, Vec<(Time, Event)>) {
    let settings = settings_of(1, horizon);
    let mut recorder = Recorder { follower: Follower::new(line, &settings), events: Vec::new() };
    let report = replicate(line, &settings, 0, &mut recorder);
    let report = report.unwrap_or_else(|error| panic!("{error:?}\n{:#?}", recorder.follower.faults));
    recorder.follower.compare(&report);
    assert!(recorder.follower.faults.is_empty(), "{:#?}", recorder.follower.faults);
    (report, recorder.events)
}

/// Every event of a replication, one a row, as far as it got.
pub fn trace(line: &Line, settings: &Settings) -> String {
    let mut recorder = Recorder { follower: Follower::new(line, settings), events: Vec::new() };
    let outcome = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        replicate(line, settings, 0, &mut recorder).map(|_| ())
    }));
    let rows = recorder.events.iter().map(|(at, event)| format!("{} {event:?}\n", super::clock_text(*at)));
    rows.collect::<String>() + &format!("{outcome:?}\n")
}
