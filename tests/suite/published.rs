//! Published values that the whole way from text to observations must reproduce.
//!
//! The source stands beside every value; the pass rule is in `rule`.

pub mod chain;
pub mod rule;

use rule::{Length, THROUGHPUT, Value, WAIT, WAIT_UNDER_HIGH_LOAD, minutes_between, must_give, per_minute};
use statrs::distribution::{ContinuousCDF, Gamma};
use taktwright::simulate::Replication;

/// Stations in a row, each with one person and one bay, never short of units.
fn row_of(title: &str, times: &[String], between: u32) -> String {
    let mut text = format!("line \"{title}\"\nmodel A 100 %\nrelease saturated\n");
    for k in 1..=times.len() {
        let slots = if k > 1 && between > 0 { format!("  slots {between}") } else { String::new() };
        text.push_str(&format!("station S{k}  crew 1{slots}\n"));
    }
    for (k, time) in times.iter().enumerate() {
        let after = if k > 0 { format!("  after t{k}") } else { String::new() };
        text.push_str(&format!("task t{}  takes {time}  by 1{after}  at S{}\n", k + 1, k + 1));
    }
    text
}

fn alike(time: &str, stations: usize) -> Vec<String> {
    vec![time.to_string(); stations]
}

fn throughput_of(text: &str, exact: f64) {
    let length = Length { replications: 20, warm_up: 500, units: 40_000 };
    must_give(text, length, &[Value { what: "units per minute", exact, cap: THROUGHPUT, of: per_minute }]);
}

/// Saturated rows with exponential times of mean 1: (stations, places between, throughput).
const EXPONENTIAL_ROWS: [(usize, u32, f64); 17] = [
    // Hunt, "Sequential arrays of waiting lines", Operations Research 4 (1956).
    (2, 0, 0.666667),
    (3, 0, 0.564103),
    (4, 0, 0.514775),
    (5, 0, 0.485798),
    // Hillier & Boling, "Finite queues in series with exponential or Erlang service times",
    // Operations Research 15 (1967); two stations: (b + 2) / (b + 3).
    (2, 1, 0.750000),
    (2, 2, 0.800000),
    (2, 3, 0.833333),
    (2, 5, 0.875000),
    (2, 10, 0.923077),
    (3, 1, 0.670466),
    (3, 2, 0.734017),
    (3, 3, 0.776712),
    (3, 5, 0.830759),
    (3, 10, 0.894419),
    (4, 1, 0.631153),
    (4, 3, 0.747710),
    (4, 10, 0.879115),
];

#[test]
fn rows_of_exponential_stations_give_the_published_throughput() {
    for (stations, between, exact) in EXPONENTIAL_ROWS {
        let title = format!("{stations} exponential stations, {between} between");
        throughput_of(&row_of(&title, &alike("exponential mean 1 min", stations), between), exact);
    }
}

#[test]
fn the_published_rows_of_exponential_stations_follow_from_their_markov_chains() {
    for (stations, between, exact) in EXPONENTIAL_ROWS.into_iter().filter(|(n, b, _)| *n < 4 || *b < 10) {
        let solved = chain::throughput(&vec![1.0; stations], between as usize);
        assert!((solved - exact).abs() < 6e-7, "{stations} stations, {between} between: {solved}");
    }
}

#[test]
fn rows_of_erlang_stations_give_the_published_throughput() {
    // Hillier & Boling (1967), two stages.
    let rows = [
        (2, 0, 0.727273),
        (2, 1, 0.821429),
        (2, 2, 0.868217),
        (2, 3, 0.895683),
        (3, 0, 0.640409),
        (3, 1, 0.761307),
        (3, 2, 0.821886),
        (3, 3, 0.857953),
    ];
    for (stations, between, exact) in rows {
        let title = format!("{stations} Erlang stations, {between} between");
        throughput_of(&row_of(&title, &alike("erlang 2 mean 1 min", stations), between), exact);
    }
}

/// Three exponential stations with these means in minutes.
fn three(title: &str, means: [&str; 3], between: u32) -> String {
    let times: Vec<String> = means.iter().map(|m| format!("exponential mean {m} min")).collect();
    row_of(title, &times, between)
}

#[test]
fn a_row_of_unequal_stations_gives_what_its_markov_chain_gives() {
    // Means 1, 1.1, 1.2, one place between: 0.605910 (no published source; solved here).
    let solved = chain::throughput(&[1.0, 1.1, 1.2], 1);
    assert!((solved - 0.605910).abs() < 6e-7, "{solved}");
    throughput_of(&three("unequal stations", ["1", "1.1", "1.2"], 1), 0.605910);
}

#[test]
fn less_work_in_the_middle_gives_the_bowls_throughput() {
    // Hillier & Boling, "The effect of some design factors on the efficiency of production lines with
    // variable operation times", J. Industrial Engineering 17 (1966).
    let bowl = three("bowl", ["1.0855", "0.829", "1.0855"], 0);
    throughput_of(&bowl, 0.567182);
    let solved = chain::throughput(&[1.0855, 0.829, 1.0855], 0);
    assert!((solved - 0.567182).abs() < 6e-7, "{solved}");
    let level = chain::throughput(&[1.0; 3], 0);
    assert!((solved / level - 1.0055).abs() < 5e-5, "{}", solved / level);
}

// ---------------------------------------------------------------- queues at a test station

/// Units come to one test station; `release` and `time` as the file writes them.
fn test_station(title: &str, release: &str, bays: u32, time: &str, verdict: &str) -> String {
    let crew = if bays > 1 { "crew 1 per bay" } else { "crew 1" };
    format!(
        "line \"{title}\"\nmodel A 100 %\nrelease every {release}\nstation T  {crew}  bays {bays}\n\
         task t  takes {time}  by 1  at T\ntest q  of t  at T  {verdict}\n"
    )
}

fn share_that_waits(report: &Replication) -> f64 {
    report.tests[0].waited as f64 / report.tests[0].waits.count() as f64
}

/// Minutes.
fn mean_wait(report: &Replication) -> f64 {
    report.tests[0].waits.mean().expect("units came") / 60e6
}

/// Minutes.
fn p95_wait(report: &Replication) -> f64 {
    report.tests[0].waits.quantile(0.95).expect("units came") as f64 / 60e6
}

fn mean_queue(report: &Replication) -> f64 {
    report.tests[0].queue as f64 / report.clock.0 as f64
}

fn mean_present(report: &Replication) -> f64 {
    (report.tests[0].queue + report.tests[0].busy) as f64 / report.clock.0 as f64
}

fn utilisation(report: &Replication) -> f64 {
    report.tests[0].busy as f64 / report.clock.0 as f64
}

/// Minutes from release to finish.
fn mean_time_from_release(report: &Replication) -> f64 {
    report.flow_from_release.mean().expect("units finish") / 60e6
}

/// M/M/c (Erlang C; any queueing text): one row of the table.
struct Row {
    release: &'static str,
    bays: u32,
    /// One unit of time of the row, in minutes.
    scale: f64,
    waits: f64,
    wait: f64,
    queue: f64,
    p95: f64,
    cap: f64,
    units: u64,
}

fn row_holds(row: &Row) {
    let time = format!("exponential mean {} s", row.scale * 60.0);
    let text = test_station("M/M/c", row.release, row.bays, &time, "passes 100 %");
    let length = Length { replications: 40, warm_up: 2_000, units: row.units };
    let values = [
        Value { what: "share that waits", exact: row.waits, cap: THROUGHPUT, of: share_that_waits },
        Value { what: "mean wait", exact: row.wait * row.scale, cap: row.cap, of: mean_wait },
        Value { what: "mean queue", exact: row.queue, cap: row.cap, of: mean_queue },
        Value { what: "p95 of waits", exact: row.p95 * row.scale, cap: row.cap, of: p95_wait },
    ];
    must_give(&text, length, &values);
}

#[test]
fn one_two_and_three_test_bays_give_erlangs_waits() {
    row_holds(&Row {
        release: "exponential mean 80 s",
        bays: 1,
        scale: 1.0,
        waits: 0.750000,
        wait: 3.00000,
        queue: 2.25000,
        p95: 10.8322,
        cap: WAIT,
        units: 50_000,
    });
    row_holds(&Row {
        release: "exponential mean 40 s",
        bays: 2,
        scale: 1.0,
        waits: 0.642857,
        wait: 1.28571,
        queue: 1.92857,
        p95: 5.10780,
        cap: WAIT,
        units: 60_000,
    });
    // 2.7 units in 27 s, service 27 s.
    row_holds(&Row {
        release: "exponential mean 10 s",
        bays: 3,
        scale: 0.45,
        waits: 0.817061,
        wait: 2.72354,
        queue: 7.35355,
        p95: 9.31230,
        cap: WAIT_UNDER_HIGH_LOAD,
        units: 120_000,
    });
}

#[test]
fn one_test_bay_gives_the_waits_of_pollaczek_and_khinchine() {
    // Pollaczek-Khinchine; any queueing text.
    let length = Length { replications: 40, warm_up: 2_000, units: 50_000 };
    let wait = |exact, cap| [Value { what: "mean wait", exact, cap, of: mean_wait }];
    let always = test_station("M/D/1", "exponential mean 75 s", 1, "60 s", "passes 100 %");
    must_give(&always, length, &wait(2.0, WAIT));
    // Triangular 10, 15, 30 and 0.045 arrivals, in units of 9 min: load 0.825.
    let three = test_station("M/G/1", "exponential mean 200 min", 1, "90/135/270 min", "passes 100 %");
    must_give(&three, length, &wait(45.5357 * 9.0, WAIT_UNDER_HIGH_LOAD));
    let skewed =
        test_station("M/G/1", "exponential mean 25 min", 1, "lognormal mean 20 sd 8 min", "passes 100 %");
    must_give(&skewed, length, &wait(46.4, WAIT));
}

#[test]
fn even_arrivals_give_the_wait_of_the_root() {
    // GI/M/1: sigma solves s = exp(-(1 - s) / 0.8), 0.628630; wait sigma / (1 - sigma).
    let text = test_station("D/M/1", "75 s", 1, "exponential mean 60 s", "passes 100 %");
    let length = Length { replications: 40, warm_up: 2_000, units: 50_000 };
    must_give(&text, length, &[Value { what: "mean wait", exact: 1.69273, cap: WAIT, of: mean_wait }]);
}

#[test]
fn retests_that_queue_again_give_the_numbers_of_jackson() {
    // Open Jackson network (1957): arrivals 0.7, service 1, 10 % fail; unit of time 7 min.
    let text = test_station(
        "M/M/1 with retest",
        "exponential mean 10 min",
        1,
        "exponential mean 7 min",
        "passes 90 %  on fail 100 % retest in queue",
    );
    let length = Length { replications: 40, warm_up: 2_000, units: 60_000 };
    let values = [
        Value { what: "utilisation", exact: 0.777778, cap: THROUGHPUT, of: utilisation },
        Value { what: "mean number", exact: 3.5, cap: WAIT, of: mean_present },
        Value { what: "mean time to the pass", exact: 35.0, cap: WAIT, of: mean_time_from_release },
        Value { what: "mean wait of a visit", exact: 3.5 * 7.0, cap: WAIT, of: mean_wait },
    ];
    must_give(&text, length, &values);
}

#[test]
fn retests_in_place_give_the_numbers_of_one_long_service() {
    // A geometric number of exponential services is exponential: M/M/1 at 0.777778.
    let text = test_station(
        "M/M/1 with retest in place",
        "exponential mean 10 min",
        1,
        "exponential mean 7 min",
        "passes 90 %  on fail 100 % retest in place",
    );
    let length = Length { replications: 40, warm_up: 2_000, units: 60_000 };
    let values = [
        Value { what: "utilisation", exact: 0.777778, cap: THROUGHPUT, of: utilisation },
        Value { what: "mean number", exact: 3.5, cap: WAIT, of: mean_present },
        Value { what: "mean time to the pass", exact: 35.0, cap: WAIT, of: mean_time_from_release },
        Value { what: "mean wait of a unit", exact: 3.88889 * 7.0, cap: WAIT, of: mean_wait },
    ];
    must_give(&text, length, &values);
}

// ---------------------------------------------------------------- pushed lines

/// A row whose units all move together.
fn pushed_row(title: &str, time: &str, stations: usize, rule: &str) -> String {
    let row = row_of(title, &alike(time, stations), 0);
    format!("{row}segment all S1 to S{stations}  {rule}\n")
}

fn interval_of(text: &str, exact: f64, units: u64) {
    let length = Length { replications: 20, warm_up: 100, units };
    must_give(
        text,
        length,
        &[Value { what: "minutes between units", exact, cap: THROUGHPUT, of: minutes_between }],
    );
}

#[test]
fn pushes_when_all_are_ready_come_at_the_harmonic_numbers() {
    // E[max of N exponentials] = 1 + 1/2 + ... + 1/N; any order-statistics text.
    let mut exact = 1.0;
    for (stations, printed) in [(2, 1.500000), (3, 1.833333), (4, 2.083333), (5, 2.283333)] {
        exact += 1.0 / stations as f64;
        assert!((exact - printed).abs() < 6e-7);
        let text = pushed_row("pushed", "exponential mean 1 min", stations, "pushed when all are ready");
        interval_of(&text, printed, 20_000);
    }
}

#[test]
fn pushes_at_a_beat_that_wait_for_the_last_come_at_the_mean_of_the_later() {
    // E[max(2, max of 3 exponentials)] = 2 + 3 e^-2 - 1.5 e^-4 + e^-6 / 3 (closed form, no source).
    let exact = 2.0 + 3.0 * libm::exp(-2.0) - 1.5 * libm::exp(-4.0) + libm::exp(-6.0) / 3.0;
    assert!((exact - 2.379359_f64).abs() < 6e-7, "{exact}");
    let text = pushed_row("pushed every 2 min", "exponential mean 1 min", 3, "pushed every 2 min");
    interval_of(&text, 2.379359, 10_000);
}

#[test]
fn a_grid_that_is_caught_up_loses_nothing() {
    // The mean of the slowest of three, 11/6 min, lies under the 2 min of the grid: a queue of owed
    // pushes that stays finite, so in the long run one unit leaves for each signal.
    let text = pushed_row("grid", "exponential mean 1 min", 3, "pushed every 2 min on the grid");
    interval_of(&text, 2.0, 10_000);
}

/// E[largest of n] of gamma times of mean 1, by the trapezoid rule on 1 - F^n.
fn mean_of_largest(n: i32, cv: f64) -> f64 {
    let shape = 1.0 / (cv * cv);
    let gamma = Gamma::new(shape, shape).expect("a shape above nothing");
    let step = 1e-3;
    let steps = (1.0 + 12.0 * cv) / step;
    let tail = |x: f64| 1.0 - std::iter::repeat_n(gamma.cdf(x), n as usize).product::<f64>();
    let inner: f64 = (1..steps as usize).map(|k| tail(k as f64 * step)).sum();
    step * (inner + 0.5)
}

#[test]
fn pushing_together_costs_the_mean_of_the_slowest() {
    // Computed here from the gamma distribution (no source); the printed values have two digits.
    let printed =
        [(8, 0.1, 1.15), (12, 0.1, 1.17), (20, 0.1, 1.20), (8, 0.2, 1.30), (12, 0.2, 1.35), (20, 0.2, 1.41)];
    for (stations, cv, shown) in printed {
        let exact = mean_of_largest(stations, cv);
        assert!((exact - shown).abs() < 0.0051, "{stations} stations, cv {cv}: {exact}");
        let time = format!("gamma mean 1 sd {cv} min");
        let text = pushed_row("coupled", &time, stations as usize, "pushed when all are ready");
        interval_of(&text, exact, 2_000);
    }
}
