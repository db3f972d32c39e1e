//! Statements that no plan keeps together: by hand, and against brute force over all subsets and placings.

use crate::harness::taktwright;
use proptest::prelude::*;
use std::fmt::Write as _;
use taktwright::balance::{Caps, Clash, Said, clash};
use taktwright::diagnostic::MapSources;
use taktwright::line::{Line, StepId};

fn line_of(text: &str) -> Line {
    let mut read = taktwright::read("f.line", &MapSources::one("f.line", text), &[]);
    assert!(!read.layouts.is_empty(), "{:?}\n{text}", read.faults);
    read.layouts.remove(0)
}

fn found(tasks: &str) -> Option<Clash> {
    let text = format!(
        "line \"Two\"\npace 10 min\npeople p 1 can plumb\npeople q 3\nstation S1 crew 1 p\nstation S2 crew 2 q\n{tasks}"
    );
    clash(&line_of(&text), Caps::default())
}

fn step(k: u32) -> StepId {
    StepId::from_index(k as usize)
}

#[test]
fn small_clashes_are_those_found_by_hand() {
    // Alone too long: 12 of 10 min.
    let one = found("task a takes 12 min at S1\ntask b takes 3 min at S2\n").expect("it clashes");
    assert_eq!((one.said, one.smallest), (vec![Said::Takes(step(0))], true));
    // 6 and 5 min with one who can plumb, who stands at S1: nothing stays, all four bind.
    let skilled = found(
        "task a takes 6 min by 1 plumb at S1\ntask b takes 5 min by 1 plumb at S1\ntask c takes 9 min at S2\n",
    );
    let said = skilled.expect("it clashes").said;
    let expected =
        vec![Said::Takes(step(0)), Said::Skill(step(0)), Said::Takes(step(1)), Said::Skill(step(1))];
    assert_eq!(said, expected);
    // a has to stay at the last station, so what follows it stands there too: 21 of 20 min.
    let after = found(
        "task a takes 8 min stays at S2\ntask b takes 6 min after a at S2\ntask c takes 7 min after a at S2\n",
    );
    let after = after.expect("it clashes");
    assert!(after.said.contains(&Said::After(step(1), step(0))) && after.smallest, "{after:?}");
    assert_eq!(after.said.len(), 6);
    // Kept together 11 + 10 of 20 at S2, and more than S1 has; that a stays doesn't matter.
    let beside = found(
        "task a takes 10 min stays at S2\ntask b takes 6 min beside a at S2\ntask c takes 5 min beside b at S2\n",
    );
    let said = beside.expect("it clashes").said;
    assert!(said.iter().all(|said| !matches!(said, Said::Stays(..))) && said.len() == 5, "{said:?}");
    // All of it fits: nothing clashes.
    assert_eq!(found("task a takes 6 min at S1\ntask b takes 5 min at S1\n"), None);
}

#[test]
fn a_clash_is_told_with_the_lines_of_its_statements() {
    let text = "line \"Two\"\npace 10 min\nstation S1 crew 1\nstation S2 crew 1\n\
                task a takes 6 min at S1\ntask b takes 5 min beside a at S1\ntask c takes 3 min at S2\n";
    taktwright("balance two.line --reproducible")
        .file("two.line", text)
        .stdout_holds(&[
            "What clashes",
            "No plan keeps all of these 3 at 10 min; no smaller set clashes:",
            "line 5: a takes 6 min with 1 person",
            "line 6: b takes 5 min with 1 person",
            "line 6: b is kept beside a",
        ])
        .status(1)
        .run();
    let json = taktwright("balance two.line --reproducible --format json")
        .file("two.line", text)
        .stdout_holds(&["\"clash\""])
        .status(1)
        .run();
    let report: serde_json::Value = serde_json::from_str(&json).expect("valid JSON");
    assert_eq!(report["clash"]["smallest"], true);
    assert_eq!(report["clash"]["statements"][2]["line"], 6);
    assert_eq!(report["clash"]["statements"][2]["file"], "two.line");
}

/// A small question: whole minutes, one model, a pace of 10 min.
#[derive(Clone, Debug)]
struct Case {
    /// People of each station, one of whom may plumb.
    crews: Vec<(u32, bool)>,
    tasks: Vec<Task>,
    after: Vec<(usize, usize)>,
    beside: Option<(usize, usize)>,
    apart: Option<(usize, usize)>,
}

#[derive(Clone, Debug)]
struct Task {
    time: u32,
    people: u32,
    at: usize,
    plumb: bool,
    stays: bool,
    may: Option<[usize; 2]>,
}

impl Case {
    fn text(&self) -> String {
        let mut text = String::from("line \"Case\"\npace 10 min\npeople p 9 can plumb\npeople q 9\n");
        for (k, (people, plumber)) in self.crews.iter().enumerate() {
            let _ = match (people, plumber) {
                (1, true) => writeln!(text, "station S{k} crew 1 p"),
                (n, true) => writeln!(text, "station S{k} crew {} q, 1 p", n - 1),
                (n, false) => writeln!(text, "station S{k} crew {n} q"),
            };
        }
        for (k, task) in self.tasks.iter().enumerate() {
            let _ = write!(text, "task t{k} takes {} min by {}", task.time, task.people);
            text.push_str(if task.plumb { " plumb" } else { "" });
            let firsts: Vec<String> =
                self.after.iter().filter(|(_, b)| *b == k).map(|(a, _)| format!("t{a}")).collect();
            if !firsts.is_empty() {
                let _ = write!(text, " after {}", firsts.join(", "));
            }
            for (pair, word) in [(self.beside, "beside"), (self.apart, "apart from")] {
                if let Some((a, b)) = pair.filter(|(a, _)| *a == k) {
                    assert!(a != b);
                    let _ = write!(text, " {word} t{b}");
                }
            }
            if let Some([one, other]) = task.may {
                let _ = write!(text, " may stand at S{one}, S{other}");
            }
            let _ = writeln!(text, "{} at S{}", if task.stays { " stays" } else { "" }, task.at);
        }
        text
    }

    /// Are these statements kept by the placing?
    fn keeps(&self, said: &[Said], at: &[usize]) -> bool {
        let place = |s: &StepId| at[s.index()];
        let task = |s: &StepId| &self.tasks[s.index()];
        let kept = said.iter().all(|said| match said {
            Said::Takes(s) => task(s).time <= 10,
            Said::Stays(s, _) => place(s) == task(s).at,
            Said::Range(s) => task(s).may.as_ref().is_none_or(|may| may.contains(&place(s))),
            Said::Skill(s) => self.crews[place(s)].1,
            Said::People(s) => self.crews[place(s)].0 >= task(s).people,
            Said::Beside(a, b) => place(a) == place(b),
            Said::Apart(a, b) => place(a) != place(b),
            Said::After(later, first) => place(first) <= place(later),
            Said::Travels(_) | Said::Reach(_) | Said::Room(_) => unreachable!("no case has any"),
        });
        // Minutes of work of the people of each station, of 10 each.
        kept && self.crews.iter().enumerate().all(|(p, (people, _))| {
            let works = |k: &usize| said.contains(&Said::Takes(StepId::from_index(*k)));
            let here = (0..at.len()).filter(|k| at[*k] == p).filter(works);
            here.map(|k| self.tasks[k].time * self.tasks[k].people).sum::<u32>() <= 10 * people
        })
    }

    fn clashes(&self, said: &[Said]) -> bool {
        let (n, m) = (self.tasks.len() as u32, self.crews.len());
        !(0..m.pow(n)).any(|code| {
            let at: Vec<usize> = (0..n).map(|k| code / m.pow(k) % m).collect();
            self.keeps(said, &at)
        })
    }
}

prop_compose! {
    fn cases()(stations in 2usize..4, n in 3usize..6)(
        crews in prop::collection::vec((1u32..3, any::<bool>()), stations),
        tasks in prop::collection::vec((3u32..12, 1u32..3, 0..stations, any::<bool>(), prop::bool::weighted(0.3), prop::option::of(0..stations)), n),
        after in prop::collection::vec((0..n, 0..n), 0..n),
        beside in (0..n, 0..n),
        apart in (0..n, 0..n),
    ) -> Case {
        let mut at: Vec<usize> = tasks.iter().map(|t| t.2).collect();
        at.sort_unstable();
        // The file as it stands keeps what it says: people and skills that are there, and the order of work.
        let tasks: Vec<Task> = tasks.into_iter().zip(at).map(|((time, people, _, plumb, stays, may), at)| {
            let plumb = plumb && crews[at].1;
            Task { time, people: if plumb { 1 } else { people.min(crews[at].0) }, at, plumb, stays, may: may.map(|other| [at, other]) }
        }).collect();
        let mut after: Vec<(usize, usize)> =
            after.into_iter().filter(|(a, b)| a != b).map(|(a, b)| (a.min(b), a.max(b))).collect();
        after.sort_unstable();
        after.dedup();
        let same = |(a, b): &(usize, usize)| tasks[*a].at == tasks[*b].at;
        let beside = Some(beside).filter(|p| p.0 != p.1 && same(p));
        let apart = Some(apart).filter(|p| p.0 != p.1 && !same(p));
        Case { crews, tasks, after, beside, apart }
    }
}

/// Every set of `size` of them.
fn subsets(said: &[Said], size: usize) -> Vec<Vec<Said>> {
    match (said.split_first(), size) {
        (_, 0) => vec![Vec::new()],
        (None, _) => Vec::new(),
        (Some((first, rest)), _) => {
            let with = subsets(rest, size - 1).into_iter().map(|set| [vec![first.clone()], set].concat());
            with.chain(subsets(rest, size)).collect()
        }
    }
}

/// Everything that a case says, by itself and not by the balancer's account.
fn all_said(case: &Case, given: &[Said]) -> Vec<Said> {
    let id = StepId::from_index;
    let mut said = Vec::new();
    for (k, task) in case.tasks.iter().enumerate() {
        said.push(Said::Takes(id(k)));
        if task.stays {
            // Why it stays is the balancer's word; what it means is ours.
            let of = |s: &&Said| matches!(s, Said::Stays(step, _) if *step == id(k));
            let holding = taktwright::balance::Holding::Said;
            said.push(given.iter().find(of).cloned().unwrap_or(Said::Stays(id(k), holding)));
        } else {
            said.extend(task.plumb.then(|| Said::Skill(id(k))));
            said.extend(task.may.map(|_| Said::Range(id(k))));
            said.push(Said::People(id(k)));
        }
    }
    said.extend(case.beside.map(|(a, b)| Said::Beside(id(a), id(b))));
    said.extend(case.apart.map(|(a, b)| Said::Apart(id(a), id(b))));
    said.extend(case.after.iter().map(|(a, b)| Said::After(id(*b), id(*a))));
    said
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_clash_is_a_smallest_set_that_brute_force_finds(case in cases()) {
        let found = clash(&line_of(&case.text()), Caps::default());
        let given = found.as_ref().map_or(&[][..], |clash| clash.said.as_slice());
        let all = all_said(&case, given);
        prop_assert_eq!(found.is_some(), case.clashes(&all), "{}", case.text());
        let Some(found) = found else { return Ok(()) };
        prop_assert!(found.smallest, "{}", case.text());
        prop_assert!(found.said.iter().all(|said| all.contains(said)), "{found:?}");
        prop_assert!(case.clashes(&found.said), "{}\n{found:?}", case.text());
        // No smaller set does: not those with one statement less of this one, and none of all the others.
        for smaller in subsets(&all, found.said.len() - 1) {
            prop_assert!(!case.clashes(&smaller), "{}\n{found:?}\n{smaller:?}", case.text());
        }
    }
}
