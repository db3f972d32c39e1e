//! How many published balancing questions are proven, and how soon: figures to compare with other
//! programs in the same sitting, never a test.
//! `cargo bench --bench balancing -- FILE.jsonl [SECONDS each] [every N-th]`; a line of the file is
//! `{"name", "cycle", "times", "arcs", "lower", "upper"}`, arcs counted from 1.

use serde_json::Value;
use std::time::{Duration, Instant};
use taktwright::balance::classic::{Budget, Tasks, fewest_stations};

#[expect(clippy::disallowed_methods, reason = "a bench takes its numbers from the command line")]
fn asked() -> Vec<String> {
    std::env::args().skip(1).filter(|a| a != "--bench").collect()
}

#[expect(clippy::disallowed_methods, reason = "a bench reads the questions it is given")]
fn read(path: &str) -> String {
    std::fs::read_to_string(path).expect("the file of questions can be read")
}

#[expect(clippy::disallowed_methods, reason = "a bench measures wall-clock time")]
fn now() -> Instant {
    Instant::now()
}

fn numbers(value: &Value) -> Vec<i64> {
    value.as_array().into_iter().flatten().filter_map(Value::as_i64).collect()
}

fn main() {
    let asked = asked();
    let Some(path) = asked.first() else {
        println!("no file of questions given: nothing measured");
        return;
    };
    let seconds: f64 = asked.get(1).and_then(|a| a.parse().ok()).unwrap_or(5.0);
    let every: usize = asked.get(2).and_then(|a| a.parse().ok()).unwrap_or(1);
    let from: usize = asked.get(3).and_then(|a| a.parse().ok()).unwrap_or(0);
    let text = read(path);
    let mut times = Vec::new();
    let (mut proven, mut wrong) = (0, 0);
    for line in text.lines().skip(from).step_by(every.max(1)) {
        let question: Value = serde_json::from_str(line).expect("a line is JSON");
        let arcs: Vec<(usize, usize)> = question["arcs"]
            .as_array()
            .into_iter()
            .flatten()
            .map(numbers)
            .map(|a| (a[0] as usize - 1, a[1] as usize - 1))
            .collect();
        let capacity = question["cycle"].as_i64().expect("a question has a cycle");
        let start = now();
        let stop = || start.elapsed() > Duration::from_secs_f64(seconds);
        let tasks = Tasks::new(numbers(&question["times"]), &arcs).expect("the tasks can be taken");
        let budget = Budget { stop: &stop, ..Budget::default() };
        let answer = fewest_stations(&tasks, capacity, &budget).expect("every task fits");
        let took = start.elapsed().as_secs_f64();
        assert!(tasks.accepts(&answer.station_of, answer.stations, capacity), "{line}");
        let known = (question["lower"].as_u64().unwrap_or(0), question["upper"].as_u64().unwrap_or(u64::MAX));
        let agrees = answer.lower_bound as u64 <= known.1 && answer.stations as u64 >= known.0;
        wrong += usize::from(!agrees);
        proven += usize::from(answer.is_proven());
        times.push(took);
        if took > 0.5 || !answer.is_proven() || !agrees {
            println!(
                "{} {}..{} (published {}..{}) {:.3} s {} M steps {:?}{}",
                question["name"].as_str().unwrap_or("?"),
                answer.lower_bound,
                answer.stations,
                known.0,
                known.1,
                took,
                answer.steps / 1_000_000,
                answer.stopped_by,
                if agrees { "" } else { "  DISAGREES" }
            );
        }
    }
    times.sort_by(f64::total_cmp);
    let n = times.len();
    println!(
        "{proven} of {n} proven, {wrong} disagree; median {:.2} ms, 90 % {:.2} ms, longest {:.2} s, all {:.1} s",
        times[n / 2] * 1e3,
        times[n * 9 / 10] * 1e3,
        times[n - 1],
        times.iter().sum::<f64>()
    );
}
