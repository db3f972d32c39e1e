//! Balancing of small real stations against brute force: every legal way to place the tasks, for every aim.

use crate::balance::plan_of;
use crate::follow::text;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::fmt::Write as _;
use taktwright::balance::{Aim, Goal, Stopped, improve};
use taktwright::line::{Line, PlaceId};

/// What a file may say of where a task stands.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Rule {
    None,
    Stays,
    /// From this station to that one.
    Range(u32, u32),
    Beside(usize),
    Apart(usize),
}

#[derive(Clone, Copy, Debug)]
struct SmallTask {
    minutes: u32,
    people: u32,
    at: u32,
    only_y: bool,
    in_zone: bool,
    /// `in left or right`, one head each: the side is the balancer's choice.
    either: bool,
    rule: Rule,
}

/// A small line: crews of one to three, tasks of one or two people, two models, a zone with room for one, a hold,
/// sometimes pushed.
#[derive(Clone, Debug)]
struct Small {
    crews: Vec<u32>,
    tasks: Vec<SmallTask>,
    arcs: Vec<(usize, usize)>,
    /// A hold of so many minutes after this task, at its station.
    hold: Option<(usize, u32)>,
    pushed: bool,
}

impl Small {
    fn text(&self) -> String {
        let mut text = String::from("line \"Small\"\npace 10 min\nmodel X 60 %\nmodel Y 40 %\n");
        if self.tasks.iter().any(|task| task.in_zone) {
            text.push_str("zone pit up to 1 people\n");
        }
        if self.tasks.iter().any(|task| task.either) {
            text.push_str("zone left up to 1 people\nzone right up to 1 people\n");
        }
        for (k, crew) in self.crews.iter().enumerate() {
            let _ = writeln!(text, "station S{k} crew {crew}");
        }
        if self.pushed {
            let last = self.crews.len() - 1;
            let _ = writeln!(text, "segment all S0 to S{last} pushed every 10 min index 1 min");
        }
        for (k, task) in self.tasks.iter().enumerate() {
            let _ = writeln!(text, "task t{k} {}", self.clauses(k, task));
        }
        if let Some((after, minutes)) = self.hold {
            let at = self.tasks[after].at;
            let _ = writeln!(text, "hold h at least {minutes} min after t{after} at S{at}");
        }
        text
    }

    fn clauses(&self, k: usize, task: &SmallTask) -> String {
        let SmallTask { minutes, people, at, .. } = task;
        let mut text = format!("takes {minutes} min by {people}");
        text.push_str(if task.in_zone { " in pit" } else { "" });
        text.push_str(if task.either { " in left or right" } else { "" });
        text.push_str(if task.only_y { " only Y" } else { "" });
        let after: Vec<String> =
            self.arcs.iter().filter(|(_, b)| *b == k).map(|(a, _)| format!("t{a}")).collect();
        if !after.is_empty() {
            let _ = write!(text, " after {}", after.join(", "));
        }
        let _ = match task.rule {
            Rule::None => Ok(()),
            Rule::Stays => write!(text, " stays"),
            Rule::Range(a, b) if a == b => write!(text, " may stand at S{a}"),
            Rule::Range(a, b) => write!(text, " may stand at S{a} to S{b}"),
            Rule::Beside(other) => write!(text, " beside t{other}"),
            Rule::Apart(other) => write!(text, " apart from t{other}"),
        };
        let _ = write!(text, " at S{at}");
        text
    }

    /// May the tasks stand so? (The hold stays.)
    fn allows(&self, line: &Line) -> bool {
        let at = |k: usize| line.steps[k].place.0 as u32;
        let in_order =
            line.steps.iter().all(|s| s.after.iter().all(|p| line.steps[p.index()].place <= s.place));
        let stands = |(k, task): (usize, &SmallTask)| {
            let rule = match task.rule {
                Rule::None => true,
                Rule::Stays => at(k) == task.at,
                Rule::Range(a, b) => (a..=b).contains(&at(k)),
                Rule::Beside(other) => at(k) == at(other),
                Rule::Apart(other) => at(k) != at(other),
            };
            rule && task.people <= self.crews[at(k) as usize]
        };
        in_order && self.tasks.iter().enumerate().all(stands)
    }

    /// Every line that comes of placing the tasks otherwise.
    fn placings(&self, line: &Line) -> Vec<Line> {
        let mut found = vec![line.clone()];
        for step in 0..self.tasks.len() {
            let at_each = |line: Line| {
                (0..line.on_line).map(move |place| {
                    let mut line = line.clone();
                    line.steps[step].place = PlaceId::from_index(place);
                    line
                })
            };
            found = found.into_iter().flat_map(at_each).collect();
        }
        found.retain(|line| self.allows(line));
        found
    }

    /// A line with its tasks on each way to take sides.
    fn sides(&self, line: &Line) -> Vec<Line> {
        let mut found = vec![line.clone()];
        for step in (0..self.tasks.len()).filter(|k| self.tasks[*k].either) {
            let on_each = |line: Line| {
                line.steps[step].sides.clone().into_iter().map(move |side| {
                    let mut line = line.clone();
                    line.steps[step].zones = vec![side];
                    line
                })
            };
            found = found.into_iter().flat_map(on_each).collect();
        }
        found
    }
}

prop_compose! {
    fn small_lines(most: usize)(stations in 2usize..4, n in 2usize..most)(
        crews in prop::collection::vec(1u32..4, stations),
        tasks in prop::collection::vec(
            (
                1u32..7,
                1u32..3,
                0..stations as u32,
                prop::bool::weighted(0.3),
                prop::bool::weighted(0.3),
                prop::bool::weighted(0.3),
            ),
            n,
        ),
        rules in prop::collection::vec((0u32..10, 0..stations as u32, 0..n), n),
        arcs in prop::collection::vec((0..n, 0..n), 0..n),
        hold in prop::option::weighted(0.3, (0..n, 1u32..5)),
        pushed in any::<bool>(),
    ) -> Small {
        // Places rise with the number, arcs go from lower to higher: today's line is in order.
        let mut at: Vec<u32> = tasks.iter().map(|task| task.2).collect();
        at.sort_unstable();
        let rule = |k: usize, (kind, place, other): (u32, u32, usize)| match kind {
            0 => Rule::Stays,
            1 | 2 => Rule::Range(at[k].min(place), at[k].max(place)),
            3 if other != k && at[other] == at[k] => Rule::Beside(other),
            4 if at[other] != at[k] => Rule::Apart(other),
            _ => Rule::None,
        };
        let task = |(k, (minutes, people, _, only_y, in_zone, either)): (usize, (u32, u32, u32, bool, bool, bool))| {
            let either = either && !in_zone;
            let people = if in_zone || either { 1 } else { people.min(crews[at[k] as usize]) };
            SmallTask { minutes, people, at: at[k], only_y, in_zone, either, rule: rule(k, rules[k]) }
        };
        let mut arcs: Vec<(usize, usize)> =
            arcs.into_iter().filter(|(a, b)| a != b).map(|(a, b)| (a.min(b), a.max(b))).collect();
        arcs.sort_unstable();
        arcs.dedup();
        let tasks = tasks.into_iter().enumerate().map(task).collect();
        Small { crews, tasks, arcs, hold, pushed }
    }
}

/// What brute force finds of one aim after the other.
struct Least {
    over: f64,
    pace: f64,
    smoothness: f64,
    stations: f64,
    people: f64,
}

/// The mix-weighted load of every station of a line as `check` has it, in windows.
fn shares(line: &Line) -> Vec<f64> {
    taktwright::balance::loads(line).iter().map(|load| load.mean_share_with_retests(line)).collect()
}

/// Of lines that differ in sides alone: least over the caps, then the shortest pace of every station, then the lowest
/// loads. A side is its own station's matter, so sums over the stations are least where each station's figure is.
fn lowest(lines: Vec<Line>, over: &dyn Fn(&Line) -> f64) -> Line {
    let figures = |line: &Line| {
        let loads = taktwright::balance::loads(line);
        let pace = |load: &taktwright::balance::Load| {
            let worst = load.with_retests.iter().flatten().fold(0.0, |m: f64, t| m.max(*t)) / 1.1;
            worst.max(load.mean_share_with_retests(line) * load.window) / load.window
        };
        [over(line), loads.iter().map(pace).sum(), shares(line).iter().sum()]
    };
    let better = |one: &[f64; 3], other: &[f64; 3]| {
        one.iter().zip(other).find(|(a, b)| (*a - *b).abs() > 1e-9).is_some_and(|(a, b)| a < b)
    };
    let mut lines = lines.into_iter().map(|line| (figures(&line), line));
    let first = lines.next().expect("a line has some way to take sides");
    lines.fold(first, |best, next| if better(&next.0, &best.0) { next } else { best }).1
}

fn least(small: &Small, line: &Line) -> Least {
    // Of the mix over the whole window, of each model over 110 % of it.
    let over = |line: &Line| -> f64 {
        let loads = taktwright::balance::loads(line);
        let of = loads.iter().map(|load| {
            let models = load.with_retests.iter().flatten().map(|t| (t / load.window - 1.1).max(0.0));
            (load.mean_share_with_retests(line) - 1.0).max(0.0) + models.sum::<f64>()
        });
        of.sum()
    };
    let smooth = |line: &Line| {
        let shares = shares(line);
        let largest = shares.iter().copied().fold(0.0, f64::max);
        shares.iter().map(|s| (largest - s) * (largest - s)).sum::<f64>().sqrt()
    };
    let index = if small.pushed { 60e6 } else { 0.0 };
    let pace = |line: &Line| {
        taktwright::balance::loads(line).iter().fold(0.0, |most: f64, load| {
            let worst = load.with_retests.iter().flatten().fold(0.0, |m: f64, t| m.max(*t));
            most.max(load.mean_share_with_retests(line) * load.window + index).max(worst / 1.1 + index)
        })
    };
    // Every station has a crew of its own: those of stations with work.
    let people = |line: &Line| {
        let crews = taktwright::balance::loads(line).into_iter().map(|load| small.crews[load.place.index()]);
        f64::from(crews.sum::<u32>())
    };
    // Each station takes its sides as its aim asks: little over its caps, or a short pace, then a low load.
    let all: Vec<Line> = small.placings(line).iter().flat_map(|line| small.sides(line)).collect();
    let least_of = |of: &dyn Fn(&Line) -> f64, among: &[&Line]| {
        among.iter().map(|line| of(line)).fold(f64::INFINITY, f64::min)
    };
    let every: Vec<&Line> = all.iter().collect();
    let least_over = least_of(&over, &every);
    let allowed: Vec<&Line> = all.iter().filter(|line| over(line) <= least_over + 1e-9).collect();
    let evened: Vec<Line> =
        small.placings(line).iter().map(|line| lowest(small.sides(line), &over)).collect();
    let even: Vec<&Line> = evened.iter().filter(|line| over(line) <= least_over + 1e-9).collect();
    Least {
        over: least_over,
        pace: least_of(&pace, &every),
        smoothness: least_of(&smooth, &even),
        stations: least_of(&|line| shares(line).len() as f64, &allowed),
        people: least_of(&people, &allowed),
    }
}

/// Every aim on `cases` lines that the checker accepts; always the same ones.
fn compare(cases: usize, most_tasks: usize) {
    let mut runner = TestRunner::deterministic();
    let (mut judged, mut ruled, mut sided) = (0, 0, 0);
    while judged < cases {
        let small = small_lines(most_tasks).new_tree(&mut runner).expect("a line comes of it").current();
        let said = small.text();
        let Ok(line) = text::read(&said) else { continue };
        judged += 1;
        ruled += usize::from(small.tasks.iter().any(|task| task.rule != Rule::None));
        sided += usize::from(small.tasks.iter().filter(|task| task.either).count() > 1);
        let least = least(&small, &line);
        let plan = plan_of(&line, Aim::Pace);
        assert_eq!(plan.stopped, Stopped::Proof, "{said}");
        assert!((plan.worth.pace - least.pace).abs() < 1.0, "{} for {}\n{said}", plan.worth.pace, least.pace);
        let plan = plan_of(&line, Aim::Smooth);
        assert!(
            (plan.worth.over - least.over).abs() < 1e-9,
            "{} for {}\n{said}",
            plan.worth.over,
            least.over
        );
        assert!((plan.worth.smoothness - least.smoothness).abs() < 1e-9, "{said}");
        let plan = plan_of(&line, Aim::Stations);
        assert_eq!(plan.worth.stations as f64, least.stations, "{said}");
        let plan = plan_of(&line, Aim::People);
        assert_eq!(f64::from(plan.worth.people), least.people, "{said}");
    }
    assert!(ruled > cases / 4, "{ruled} of {cases} lines say where a task may stand");
    assert!(sided > cases / 10, "{sided} of {cases} lines have sides to choose");
    println!("{judged} lines, {ruled} of them with rules, {sided} with sides");
}

#[test]
fn answers_for_small_real_stations_are_those_of_brute_force() {
    compare(150, 5);
}

#[test]
#[ignore = "two thousand of them: cargo test two_thousand_small -- --ignored --nocapture"]
fn two_thousand_small_real_stations_are_balanced_as_by_brute_force() {
    compare(2_000, 6);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_first_move_is_the_best_of_all_single_moves_and_swaps(small in small_lines(6)) {
        let text = small.text();
        let Ok(line) = text::read(&text) else { return Ok(()) };
        let plan = plan_of(&line, Aim::Moves);
        // No plan that differs by one task has less over its caps or a lower largest load than the answer,
        // by more than the least gain.
        let last = &plan.worth;
        let differs = |other: &Line| other.steps.iter().zip(&plan.at).filter(|(s, at)| s.place != **at).count() == 1;
        for other in small.placings(&line).into_iter().filter(differs) {
            let plan = improve(&other, &Goal { least_gain: 1e9, ..Goal::new(Aim::Moves) }, &|| false);
            let worth = plan.expect("a pace is stated").worth;
            let gained = (last.over - worth.over) + (last.largest - worth.largest) + 1e-3 * (last.squares - worth.squares);
            prop_assert!(gained < 0.002 + 1e-9, "{}\n{:?}", text, worth);
        }
    }
}
