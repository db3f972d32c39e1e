//! Rates of the engine and of the checker: figures to compare with other programs in the same
//! sitting, never a test. `cargo bench --bench speed [-- UNITS]`.

use std::fmt::Write as _;
use std::time::Instant;
use taktwright::diagnostic::MapSources;
use taktwright::line::Line;
use taktwright::simulate::{Horizon, Settings, Unattended, WarmUp, simulate};

#[expect(clippy::disallowed_methods, reason = "a bench takes its one number from the command line")]
fn units_asked() -> Option<u64> {
    std::env::args().filter_map(|a| a.parse().ok()).next()
}

fn main() {
    let units: u64 = units_asked().unwrap_or(300_000);
    for (name, text) in
        [("serial20", include_str!("lines/serial20.line")), ("testbay", include_str!("lines/testbay.line"))]
    {
        let line = read(text);
        for round in 1..=3 {
            let one = rate(&line, 1, 1, units);
            let two = rate(&line, 2, 2, units);
            println!(
                "{name} round {round}: {:.2} M events/s on one thread, {:.2} on two ({:.2} times)",
                one / 1e6,
                two / 1e6,
                two / one
            );
        }
    }
    check_speed(10_000);
}

#[expect(clippy::disallowed_methods, reason = "a bench measures wall-clock time")]
fn now() -> Instant {
    Instant::now()
}

fn read(text: &str) -> Line {
    let mut read = taktwright::read("bench.line", &MapSources::one("bench.line", text), &[]);
    assert!(!read.layouts.is_empty(), "{:?}", read.faults);
    read.layouts.remove(0)
}

/// Events per second over `replications` of `units` each.
fn rate(line: &Line, threads: usize, replications: u32, units: u64) -> f64 {
    let settings = Settings {
        seed: 1,
        first: 0,
        count: replications,
        horizon: Horizon::Units(units),
        warm_up: WarmUp::Units(2_000),
        record_finishes: false,
        faster: None,
    };
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads can be had");
    let start = now();
    let seen = pool.install(|| simulate(line, &settings, &Unattended)).expect("the line runs");
    let events: u64 = seen.replications.iter().map(|r| r.events).sum();
    events as f64 / start.elapsed().as_secs_f64()
}

/// Reads and checks a file of many tasks.
fn check_speed(tasks: usize) {
    let mut text = String::from("line \"Many tasks\"\npace 20 min\n");
    for k in 0..tasks {
        if k % 10 == 0 {
            let _ = writeln!(text, "station S{}  crew 2", k / 10);
        }
        let after = if k % 10 == 0 { String::new() } else { format!("  after t{}", k - 1) };
        let _ = writeln!(
            text,
            "task t{k} \"Task number {k}\"  takes 1/{}/4 min  by 1{after}  at S{}",
            2 + k % 2,
            k / 10
        );
    }
    for round in 1..=3 {
        let start = now();
        let line = read(&text);
        println!(
            "{} tasks read and checked in {:.3} s (round {round})",
            line.steps.len(),
            start.elapsed().as_secs_f64()
        );
    }
}
