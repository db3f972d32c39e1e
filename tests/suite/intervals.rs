//! Do 95 % intervals hold the exact value in 95 % of runs? Counted over many independent runs.

use crate::follow::text;
use crate::published::rule::{Length, estimate, per_minute, run};
use taktwright::line::Line;
use taktwright::simulate::Replication;

const RUNS: u64 = 500;

/// Share of runs whose interval holds the exact value.
fn coverage(line: &Line, length: Length, exact: f64, of: fn(&Replication) -> f64) -> f64 {
    let held = (1..=RUNS).filter(|seed| {
        let values: Vec<f64> = run(line, *seed, length).iter().map(of).collect();
        let found = estimate(&values);
        (found.mean - exact).abs() <= found.half_width
    });
    held.count() as f64 / RUNS as f64
}

fn must_cover(share: f64) {
    assert!((0.93..=0.97).contains(&share), "{share} of the intervals hold the exact value");
}

fn mean_wait(report: &Replication) -> f64 {
    report.tests[0].waits.mean().expect("units came") / 60e6
}

#[test]
fn intervals_of_a_queues_wait_hold_the_exact_wait() {
    // M/M/1 at load 0.5: mean wait 1 min (any queueing text).
    let line = text::line_of(
        "line \"one bay\"\nmodel A 100 %\nrelease every exponential mean 2 min\nstation T  crew 1\n\
         task t  takes exponential mean 1 min  by 1  at T\ntest q  of t  at T  passes 100 %\n",
    );
    let length = Length { replications: 20, warm_up: 100, units: 800 };
    must_cover(coverage(&line, length, 1.0, mean_wait));
}

#[test]
fn intervals_of_a_rows_throughput_hold_the_exact_throughput() {
    // Three exponential stations without places between (Hunt 1956).
    let line = text::line_of(
        "line \"three stations\"\nmodel A 100 %\nrelease saturated\n\
         station S1  crew 1\nstation S2  crew 1\nstation S3  crew 1\n\
         task t1  takes exponential mean 1 min  by 1  at S1\n\
         task t2  takes exponential mean 1 min  by 1  after t1  at S2\n\
         task t3  takes exponential mean 1 min  by 1  after t2  at S3\n",
    );
    let length = Length { replications: 20, warm_up: 50, units: 500 };
    must_cover(coverage(&line, length, 0.564103, per_minute));
}
