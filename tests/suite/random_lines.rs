//! Random small lines under the follower: whatever a line holds, the run must keep the rules.

mod apart;
mod around;
mod breaks;
pub mod dice;
mod drift;
mod features;
mod feeders;
mod fetching;
mod lanes;
mod movers;
mod pulling;
mod stops;
mod turns;
pub mod write;

use crate::follow::text;
use features::Feature;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use taktwright::line::Line;
use taktwright::simulate::{RunError, RunErrorKind, Settings};
use write::{RandomLine, line_for};

const LINES: u64 = 2_000;

/// What came of the lines.
#[derive(Default)]
struct Tally {
    refused: Vec<(u64, Vec<String>)>,
    faulty: Vec<(u64, Vec<String>)>,
    /// Lines whose units came to wait for one another, or for what never comes in time: the run says so, as it should.
    locked: Vec<u64>,
    /// Features of the lines that ran.
    ran: Vec<Vec<Feature>>,
}

fn run(line: &RandomLine, tally: &Mutex<Tally>) {
    let note = |f: &dyn Fn(&mut Tally)| f(&mut tally.lock().expect("no thread panics while it counts"));
    let checked = match text::read(&line.text) {
        Ok(checked) => checked,
        Err(errors) => return note(&|t| t.refused.push((line.seed, errors.clone()))),
    };
    let Some(faults) = faults_of(&checked, &line.settings) else {
        return note(&|t| t.locked.push(line.seed));
    };
    note(&|t| {
        t.ran.push(line.used.clone());
        if !faults.is_empty() {
            t.faulty.push((line.seed, faults.clone()));
        }
    });
}

/// Whatever is wrong with one run; a panic of the engine is one of these things. `None` for a lock-up of
/// kept equipment, or a window that is never kept for want of parts, up to which nothing was wrong.
fn faults_of(line: &Line, settings: &Settings) -> Option<Vec<String>> {
    let faults = match catch_unwind(AssertUnwindSafe(|| text::follow(line, settings))) {
        Ok(Ok((_, faults))) => faults,
        Ok(Err((RunError { kind: RunErrorKind::LockUp { .. }, .. }, faults)))
            if faults.is_empty() && !line.keeps.is_empty() =>
        {
            return None;
        }
        // A window that what it waits for can never keep: the run names it.
        Ok(Err((RunError { kind: RunErrorKind::NeverInTime { .. }, .. }, faults)))
            if faults.is_empty() && (!line.parts.is_empty() || line.has_walks()) =>
        {
            return None;
        }
        // A store full of parts for units behind the one that waits; the follower has looked.
        Ok(Err((RunError { kind: RunErrorKind::Dried { .. }, .. }, faults)))
            if faults.is_empty() && !line.feeders.is_empty() =>
        {
            return None;
        }
        Ok(Err((error, mut faults))) => {
            faults.push(format!("the run stopped: {error:?}"));
            faults
        }
        Err(panic) => {
            let text = panic.downcast_ref::<String>().cloned();
            let text = text.or_else(|| panic.downcast_ref::<&str>().map(|s| (*s).to_string()));
            if text.as_deref() == Some(crate::follow::SELDOM_IN_TIME) {
                return None;
            }
            vec![format!("the engine panicked: {}", text.unwrap_or_default())]
        }
    };
    Some(faults)
}

/// The sentence without its numbers, to count sentences of one kind.
fn kind_of(fault: &str) -> String {
    let words = fault.split([' ', '\n']).filter(|word| !word.contains(|c: char| c.is_ascii_digit()));
    words.collect::<Vec<&str>>().join(" ")
}

/// How often each kind of sentence was said first, with a seed that says it.
fn kinds(faulty: &[(u64, Vec<String>)]) -> String {
    let mut kinds: BTreeMap<String, (usize, u64, String)> = BTreeMap::new();
    for (seed, faults) in faulty {
        let kind = kinds.entry(kind_of(&faults[0])).or_insert((0, *seed, faults[0].clone()));
        kind.0 += 1;
    }
    let mut rows: Vec<_> = kinds.into_values().collect();
    rows.sort_by_key(|(count, seed, _)| (usize::MAX - count, *seed));
    rows.iter().map(|(count, seed, text)| format!("{count:5} x (seed {seed}) {text}\n")).collect()
}

fn run_all(seeds: std::ops::Range<u64>) -> Tally {
    run_some(seeds, |_| true)
}

fn run_some(seeds: std::ops::Range<u64>, wanted: impl Fn(&RandomLine) -> bool + Sync) -> Tally {
    let (next, tally) = (AtomicU64::new(seeds.start), Mutex::new(Tally::default()));
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                loop {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if seed >= seeds.end {
                        return;
                    }
                    let line = line_for(seed);
                    if wanted(&line) {
                        run(&line, &tally);
                    }
                }
            });
        }
    });
    let mut tally = tally.into_inner().expect("no thread panics while it counts");
    tally.faulty.sort_by_key(|(seed, _)| *seed);
    tally.refused.sort_by_key(|(seed, _)| *seed);
    tally
}

#[test]
fn two_thousand_random_small_lines_are_clean() {
    let tally = run_all(0..LINES);
    for feature in Feature::ALL {
        let count = tally.ran.iter().filter(|used| used.contains(feature)).count();
        println!("{count:5}  {}", feature.words());
        assert!(count > 0, "no line that ran had {}", feature.words());
    }
    println!("{} ran, {} were refused, locked up: {:?}", tally.ran.len(), tally.refused.len(), tally.locked);
    assert!(tally.locked.len() <= 20, "{} lines locked up", tally.locked.len());
    println!("{}", kinds(&tally.refused));
    if let Some((seed, faults)) = tally.faulty.first() {
        let line = line_for(*seed);
        let others: Vec<u64> = tally.faulty.iter().map(|(seed, _)| *seed).collect();
        panic!(
            "{} lines are faulty, seeds {others:?}:\n{}\nthe first, seed {seed}:\n{}\n{:?}\n{faults:#?}",
            others.len(),
            kinds(&tally.faulty),
            line.text,
            line.settings
        );
    }
    let refused = tally.refused.len() as f64 / LINES as f64;
    assert!(refused <= 0.15, "{refused} of the lines were refused:\n{}", kinds(&tally.refused));
}

/// Prints how often each pair of features stood together in a line that ran.
#[test]
#[ignore = "prints a matrix to read, judges nothing but that it is not empty"]
fn pairs_of_features_stand_together() {
    let tally = run_all(0..LINES);
    let mut together = 0_usize;
    for (row, a) in Feature::ALL.iter().enumerate() {
        let counts: Vec<String> = Feature::ALL[..=row]
            .iter()
            .map(|b| {
                let count = tally.ran.iter().filter(|used| used.contains(a) && used.contains(b)).count();
                together += usize::from(count > 0);
                format!("{count:5}")
            })
            .collect();
        println!("{:>24} {}", a.words(), counts.join(""));
    }
    assert!(together > Feature::ALL.len());
}

/// A number that the environment may give.
fn asked(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|s| s.parse().ok()).unwrap_or(otherwise)
}

/// So many, from the seed `TAKTWRIGHT_LINE_SEED` on, or those of them that hold one of some features
/// (`TAKTWRIGHT_LINES_WITH="lanes+tests|carriers"`: lanes and tests, or carriers), and how often each feature stood in one of them.
#[test]
#[ignore = "for a slow machine: TAKTWRIGHT_LINES=150 cargo test some_random_lines -- --ignored --nocapture"]
fn some_random_lines_are_clean() {
    let first = asked("TAKTWRIGHT_LINE_SEED", 0);
    let with = std::env::var("TAKTWRIGHT_LINES_WITH").unwrap_or_default();
    let holds = |line: &RandomLine, words: &str| line.used.iter().any(|feature| feature.words() == words);
    let has = |line: &RandomLine| with.split('|').any(|all| all.split('+').all(|words| holds(line, words)));
    let tally = run_some(first..first + asked("TAKTWRIGHT_LINES", 100), |line| with.is_empty() || has(line));
    for feature in Feature::ALL {
        let count = tally.ran.iter().filter(|used| used.contains(feature)).count();
        println!("{count:5}  {}", feature.words());
    }
    let faulty: Vec<u64> = tally.faulty.iter().map(|(seed, _)| *seed).collect();
    println!("{}\n{}faulty: {faulty:?}", kinds(&tally.refused), kinds(&tally.faulty));
    assert!(tally.faulty.is_empty() && !tally.ran.is_empty());
}

/// One seed from the environment, with everything that is known of it.
#[test]
#[ignore = "for one seed: TAKTWRIGHT_LINE_SEED=17 cargo test one_random_line -- --ignored --nocapture"]
fn one_random_line() {
    let line = line_for(asked("TAKTWRIGHT_LINE_SEED", 0));
    println!("{}\n{:?}", line.text, line.settings);
    let checked = text::line_of(&line.text);
    let trace = text::trace(&checked, &line.settings);
    println!("{trace}");
    match text::follow(&checked, &line.settings) {
        Ok((report, faults)) => {
            println!("{report:?}");
            assert!(faults.is_empty(), "{faults:#?}");
        }
        Err((error, faults)) => panic!("{error:?}\n{faults:#?}"),
    }
}
