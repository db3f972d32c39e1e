//! How near `balance` comes to its bound on lines of the size of a real hall, and how soon: figures, never a test.
//! Limits are seconds of one core where the system tells them, so that a busy machine measures the same.
//! `cargo bench --bench halls [-- SECONDS]`.

mod large;

use large::{Hall, hall};
use std::time::Instant;
use taktwright::balance::{Aim, Goal, improve};
use taktwright::diagnostic::MapSources;

#[expect(clippy::disallowed_methods, reason = "a bench takes its numbers from the command line")]
fn asked() -> Option<f64> {
    std::env::args().filter_map(|a| a.parse().ok()).next()
}

/// Seconds that this thread has had of a core; of the clock since `began` where the system does not say.
#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn spent(began: Instant) -> f64 {
    let said = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanos: Option<f64> = said.and_then(|text| text.split(' ').next()?.parse().ok());
    nanos.map_or_else(|| began.elapsed().as_secs_f64(), |nanos| nanos / 1e9)
}

#[expect(clippy::disallowed_methods, reason = "a bench measures time")]
fn now() -> Instant {
    Instant::now()
}

fn main() {
    let began = now();
    let limits: Vec<f64> = asked().map_or_else(|| vec![1.0, 10.0], |limit| vec![limit]);
    for (drawn, seed) in [(false, 7), (false, 11), (true, 7), (true, 11)] {
        let text = hall(Hall { tasks: 1_000, stations: 60, drawn, seed });
        let mut read = taktwright::read("hall.line", &MapSources::one("hall.line", &text), &[]);
        assert!(!read.layouts.is_empty(), "{:?}", read.faults);
        let line = read.layouts.remove(0);
        for limit in &limits {
            for aim in [Aim::Pace, Aim::Moves, Aim::Smooth, Aim::Stations] {
                let start = spent(began);
                let stop = || spent(began) - start > *limit;
                let plan = improve(&line, &Goal::new(aim), &stop).expect("it can be balanced");
                let bound = plan.lower_bound.unwrap_or(f64::NAN);
                println!(
                    "drawn {drawn} seed {seed} limit {limit} s {aim:?}: {:.2} s, over {:.4} -> {:.4}, pace {:.3} -> {:.3} min, \
                     largest {:.3}, stations {}, bound {:.3}, {} looks, {:?}",
                    spent(began) - start,
                    plan.worth_before.over,
                    plan.worth.over,
                    plan.worth_before.pace / 60e6,
                    plan.worth.pace / 60e6,
                    plan.worth.largest,
                    plan.worth.stations,
                    if aim == Aim::Pace { bound / 60e6 } else { bound },
                    plan.looks,
                    plan.stopped
                );
            }
        }
    }
}
