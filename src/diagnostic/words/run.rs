//! What can go wrong in a run: T903, T904.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::{Time, count_of};

/// Which replication failed, and when.
#[derive(Clone, Copy, Debug)]
pub struct Run {
    pub replication: u32,
    pub seed: u64,
    /// Clock time since 00:00 of the first day.
    pub at: Time,
}

/// One waiting unit of a lock-up.
#[derive(Clone, Copy, Debug)]
pub struct Party<'a> {
    pub unit: u64,
    pub place: &'a str,
    pub wants: &'a str,
    pub span: Option<Span>,
}

impl Run {
    fn said(&self) -> String {
        let (day, of_day) =
            (self.at.0.div_euclid(Time::DAY.0), self.at.0.rem_euclid(Time::DAY.0) / Time::MINUTE.0);
        format!(
            "replication {} of seed {}, day {} at {:02}:{:02}",
            self.replication + 1,
            self.seed,
            day + 1,
            of_day / 60,
            of_day % 60
        )
    }
}

/// Units none of which can go on unless another of them does.
pub fn lock_up(anywhere: Span, run: &Run, parties: &[Party<'_>]) -> Diagnostic {
    let first = parties.iter().find_map(|party| party.span).unwrap_or(anywhere);
    let headline = format!(
        "the line locks up: {} wait for one another ({})",
        count_of(parties.len(), "unit"),
        run.said()
    );
    let mut fault = Diagnostic::new(Code::LockUp, first, headline);
    for party in parties {
        let text = format!("unit {} at {} waits for {}", party.unit, party.place, party.wants);
        fault = match party.span {
            Some(span) if span == first && fault.marker.is_empty() => fault.marked(text),
            Some(span) => fault.label(span, text),
            None => fault.help(text),
        };
    }
    fault.help(
        "give a returning unit somewhere to stand: slots before the place it returns to, or a repair bay",
    )
}

pub fn no_legal_order(span: Span, run: &Run, looked_at: u32) -> Diagnostic {
    Diagnostic::new(
        Code::RunFailed,
        span,
        format!(
            "none of the next {} may be released under the spacing rules ({})",
            count_of(looked_at as usize, "order"),
            run.said()
        ),
    )
    .marked("these rules")
    .help("loosen a rule, or look further ahead: `looking 200 orders ahead`")
}

/// A line that starts full, where lanes are for some models only.
pub fn nobody_stands(span: Span, run: &Run, looked_at: u32) -> Diagnostic {
    Diagnostic::new(
        Code::RunFailed,
        span,
        format!(
            "none of the first {} may stand in a lane ({})",
            count_of(looked_at as usize, "order"),
            run.said()
        ),
    )
    .marked("full at the start")
    .help("let the lanes take models that are built more often, or start empty")
}

pub fn over_limit(span: Span, run: &Run, what: &str, limit: u64) -> Diagnostic {
    Diagnostic::new(
        Code::RunFailed,
        span,
        format!("more than {limit} {what} in one replication ({})", run.said()),
    )
    .help("count a shorter run (`--shifts`, `--units`, `--for`), or release less than the line can do")
}

/// Units named that stand in a line that has come to a stand; the others are counted.
const STANDING_NAMED: usize = 3;

/// Nothing is left to happen: `standing` units by number and place, and stores by name that are `full`.
pub fn dried(
    span: Span,
    run: &Run,
    finished: u64,
    (standing, full): (&[(u64, String)], &[String]),
) -> Diagnostic {
    let headline = format!(
        "nothing is left to happen after {} and the run is not over ({})",
        count_of(usize::try_from(finished).unwrap_or(usize::MAX), "finished unit"),
        run.said()
    );
    let fault = Diagnostic::new(Code::RunFailed, span, headline);
    if standing.is_empty() {
        return fault.help("release more units, or count fewer (`--units`)");
    }
    let mut named: Vec<String> =
        standing.iter().take(STANDING_NAMED).map(|(unit, place)| format!("unit {unit} at {place}")).collect();
    if standing.len() > STANDING_NAMED {
        named.push(format!("{} more", standing.len() - STANDING_NAMED));
    }
    let fault = fault.help(format!("stand there for good: {}", named.join(", ")));
    match full {
        [] => {
            fault.help("release more units, if those wait for others behind them, or count fewer (`--units`)")
        }
        full => fault.help(format!(
            "full of parts for other units: {}; let the store hold more, or no unit overtake another",
            full.join(", ")
        )),
    }
}

/// Work that is begun only if it fits, and is longer than any attended stretch.
pub fn never_fits(span: Span, step: &str, takes: &str, longest: &str) -> Diagnostic {
    let headline = format!(
        "{step} takes {takes} on average and is begun only if it fits: people never work longer than {longest} on end"
    );
    Diagnostic::new(Code::RunFailed, span, headline)
        .marked("never begun")
        .help("let it rest over a break: leave out `only if it fits`")
}

/// A window that a unit misses again and again.
pub fn never_in_time(span: Span, run: &Run, (unit, closing): (u64, &str), times: u32) -> Diagnostic {
    let headline = format!(
        "unit {unit} comes too late for {closing} {times} times, and begins anew each time ({})",
        run.said()
    );
    Diagnostic::new(Code::RunFailed, span, headline).marked("never kept").help(
        "look at what the steps of the window wait for: people, equipment or parts come too seldom for it",
    )
}
