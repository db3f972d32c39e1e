//! What is settled of how units stand, against every order of work of every unit, tried one by one.
//!
//! The lines are small enough for that: a few tasks before, in and behind lanes, some for a model or with an option,
//! and at most one test whose fails have some of them done again.

use super::*;
use crate::random_lines::dice::Dice;
use std::collections::BTreeSet;
use std::fmt::Write;

const FIRST: usize = 0;

struct Task {
    place: usize,
    after: Vec<usize>,
    only_t: bool,
    with_rail: bool,
    /// The way in which it leaves the unit.
    makes: Option<usize>,
    needs: Vec<usize>,
}

/// Places along the line; those of one group follow one another, a place per lane.
struct Shop {
    /// Per place: the group and the lane in it.
    lanes: Vec<Option<(usize, usize)>>,
    rules: Vec<&'static str>,
    tasks: Vec<Task>,
    /// The task that is tested, the place to which fails go back, and what is done again there.
    test: Option<(usize, usize, Vec<usize>)>,
}

/// A unit: its model, its option, its lane in each group.
struct Kind {
    is_t: bool,
    rail: bool,
    takes: Vec<usize>,
}

/// What came of trying all orders.
#[derive(Default)]
struct Tried {
    found_otherwise: bool,
    /// At a first fail, and after what is done again.
    was: BTreeSet<usize>,
    left: BTreeSet<usize>,
}

fn draw(dice: &mut Dice) -> Shop {
    let mut lanes = vec![None];
    let groups = dice.from(1, 2) as usize;
    let mut rules = Vec::new();
    for group in 0..groups {
        rules.push(*dice.one_of(&["share", "model", "the shortest queue"]));
        let count = if rules[group] == "model" { 2 } else { dice.from(2, 3) as usize };
        lanes.extend((0..count).map(|lane| Some((group, lane))));
        lanes.push(None);
    }
    let count = dice.from(4, 7) as usize;
    let mut places: Vec<usize> = (0..count).map(|_| dice.from(0, lanes.len() as u32 - 1) as usize).collect();
    places.sort_unstable();
    let ways = dice.from(2, 3);
    let mut tasks: Vec<Task> = Vec::new();
    for place in places {
        let near = |other: &usize| match (lanes[tasks[*other].place], lanes[place]) {
            (Some(there), Some(here)) => there.0 != here.0 || there == here,
            (_, _) => true,
        };
        let before: Vec<usize> = (0..tasks.len()).filter(near).filter(|_| dice.chance(30)).collect();
        let makes = dice.chance(45).then(|| dice.from(1, ways - 1) as usize);
        let needs = match dice.chance(25) {
            true => (0..ways as usize).filter(|_| dice.chance(50)).collect(),
            false => Vec::new(),
        };
        let by_model = lanes[place].is_some_and(|(group, _)| rules[group] == "model");
        tasks.push(Task {
            place,
            after: before,
            only_t: !by_model && dice.chance(15),
            with_rail: dice.chance(25),
            makes,
            needs,
        });
    }
    let test = dice.chance(70).then(|| test(&tasks, &lanes, dice)).flatten();
    Shop { lanes, rules, tasks, test }
}

fn test(
    tasks: &[Task],
    lanes: &[Option<(usize, usize)>],
    dice: &mut Dice,
) -> Option<(usize, usize, Vec<usize>)> {
    let tested = dice.from(0, tasks.len() as u32 - 1) as usize;
    let own = tasks[tested].place;
    let back: Vec<usize> = (0..tasks.len())
        .map(|task| tasks[task].place)
        .filter(|place| *place <= own && (lanes[*place].is_none() || *place == own))
        .collect();
    let to = *dice.one_of(&back);
    let there: Vec<usize> = (0..tasks.len()).filter(|task| tasks[*task].place == to).collect();
    let redo: Vec<usize> = there.iter().copied().filter(|_| dice.chance(60)).collect();
    (!redo.is_empty()).then_some((tested, to, redo))
}

impl Shop {
    fn text(&self) -> String {
        let mut text = "model S 50 %\nmodel T 50 %\norientation w0\n".to_string();
        for way in 1..3 {
            let makes = |task: &usize| self.tasks[*task].makes == Some(way);
            let after: Vec<String> = (0..self.tasks.len()).filter(makes).map(|t| format!("t{t}")).collect();
            if !after.is_empty() {
                let _ = writeln!(text, "orientation w{way} after {}", after.join(", "));
            }
        }
        if self.tasks.iter().any(|task| task.with_rail) {
            text.push_str("option rail 50 %\n");
        }
        for (place, lane) in self.lanes.iter().enumerate() {
            if let Some((group, lane)) = lane {
                let rule = self.rules[*group];
                if *lane == 0 {
                    let _ = writeln!(text, "lanes g{group} chosen by {rule}");
                }
                let count = self.lanes.iter().flatten().filter(|(other, _)| other == group).count();
                let share = match rule {
                    "share" if lane + 1 < count => " 20 %".to_string(),
                    "share" => format!(" {} %", 100 - 20 * lane),
                    _ => String::new(),
                };
                let only = match (rule, lane) {
                    ("model", 0) => " only S",
                    ("model", _) => " only T",
                    (_, _) => "",
                };
                let _ = writeln!(text, "lane l{place}{share} of g{group}{only} {{");
            }
            let _ = writeln!(text, "station P{place} crew 1");
            if lane.is_some() {
                text.push_str("}\n");
            }
        }
        for (index, task) in self.tasks.iter().enumerate() {
            let _ = write!(text, "task t{index} takes 1 min at P{}", task.place);
            let after: Vec<String> = task.after.iter().map(|before| format!("t{before}")).collect();
            if !after.is_empty() {
                let _ = write!(text, " after {}", after.join(", "));
            }
            let made = |way: &&usize| **way == FIRST || self.tasks.iter().any(|t| t.makes == Some(**way));
            let needs: Vec<String> = task.needs.iter().filter(made).map(|way| format!("w{way}")).collect();
            if !needs.is_empty() {
                let _ = write!(text, " needs {}", needs.join(", "));
            }
            text.push_str(if task.only_t { " only T" } else { "" });
            text.push_str(if task.with_rail { " only with rail" } else { "" });
            text.push('\n');
        }
        if let Some((tested, to, redo)) = &self.test {
            let redo: Vec<String> = redo.iter().map(|task| format!("t{task}")).collect();
            let (place, redo) = (self.tasks[*tested].place, redo.join(", "));
            let _ = writeln!(
                text,
                "test q of t{tested} at P{place} passes 90 % on fail back to P{to} redo {redo}"
            );
        }
        text
    }

    fn kinds(&self) -> Vec<Kind> {
        let mut found = Vec::new();
        for (is_t, rail) in [(false, false), (false, true), (true, false), (true, true)] {
            let mut ways: Vec<Vec<usize>> = vec![Vec::new()];
            for (group, rule) in self.rules.iter().enumerate() {
                let count = self.lanes.iter().flatten().filter(|(other, _)| *other == group).count();
                let may = |lane: &usize| *rule != "model" || (*lane == 1) == is_t;
                let longer = |way: &Vec<usize>| {
                    let lanes = (0..count).filter(may);
                    lanes.map(|lane| [way.as_slice(), &[lane]].concat()).collect::<Vec<Vec<usize>>>()
                };
                ways = ways.iter().flat_map(longer).collect();
            }
            found.extend(ways.into_iter().map(|takes| Kind { is_t, rail, takes }));
        }
        found
    }

    fn has(&self, kind: &Kind, task: usize) -> bool {
        let task = &self.tasks[task];
        (kind.is_t || !task.only_t) && (kind.rail || !task.with_rail) && self.passes(kind, task.place)
    }

    fn passes(&self, kind: &Kind, place: usize) -> bool {
        self.lanes[place].is_none_or(|(group, lane)| kind.takes[group] == lane)
    }

    /// A task on a unit that stands in some way.
    fn work(&self, task: usize, stands: usize, tried: &mut Tried) -> usize {
        let task = &self.tasks[task];
        let made = |way: usize| way == FIRST || self.tasks.iter().any(|other| other.makes == Some(way));
        let asks = task.needs.iter().any(|way| made(*way));
        tried.found_otherwise |= asks && !task.needs.contains(&stands);
        task.makes.unwrap_or(stands)
    }

    /// Every order of work of one unit.
    fn try_all(&self, kind: &Kind, tried: &mut Tried) {
        let mut open = vec![(0_u32, FIRST, false)];
        let mut seen = BTreeSet::new();
        while let Some((done, stands, failed)) = open.pop() {
            let done = self.pass_over(kind, done);
            if !seen.insert((done, stands, failed)) {
                continue;
            }
            let is_done = |task: usize| done & 1 << task != 0;
            let left: Vec<usize> =
                (0..self.tasks.len()).filter(|task| self.has(kind, *task) && !is_done(*task)).collect();
            let at = left.iter().map(|task| self.tasks[*task].place).min();
            for task in left.iter().filter(|task| Some(self.tasks[**task].place) == at) {
                if self.tasks[*task].after.iter().all(|before| is_done(*before)) {
                    open.push((done | 1 << task, self.work(*task, stands, tried), failed));
                }
            }
            let Some((tested, _, redo)) = &self.test else { continue };
            let place = self.tasks[*tested].place;
            // The verdict is given before anything begins that follows it.
            let ahead = (0..self.tasks.len()).any(|task| {
                let later = self.tasks[task].place > place || self.follows(task, *tested);
                self.has(kind, task) && is_done(task) && later
            });
            let tests_now = is_done(*tested) && self.passes(kind, place);
            if tests_now && !ahead && at.is_none_or(|at| at >= place) {
                if !failed {
                    tried.was.insert(stands);
                }
                let again = redo.iter().chain([tested]).filter(|task| self.has(kind, **task));
                let after = again.fold(stands, |stands, task| self.work(*task, stands, tried));
                tried.left.insert(after);
                open.push((done, after, true));
            }
        }
    }

    fn follows(&self, task: usize, other: usize) -> bool {
        self.tasks[task].after.iter().any(|before| *before == other || self.follows(*before, other))
    }

    /// What a unit doesn't have counts as done once all before it is.
    fn pass_over(&self, kind: &Kind, done: u32) -> u32 {
        let free = |done: u32| {
            let ready = |task: &usize| self.tasks[*task].after.iter().all(|before| done & 1 << before != 0);
            (0..self.tasks.len()).filter(ready).find(|task| !self.has(kind, *task) && done & 1 << task == 0)
        };
        let mut done = done;
        while let Some(task) = free(done) {
            done |= 1 << task;
        }
        done
    }
}

/// Refused exactly where some order of work of some unit finds it otherwise, or a fail leaves it as none was.
#[test]
fn just_what_some_order_of_work_would_find_otherwise_is_refused() {
    let mut dice = Dice::new(7);
    let (mut refused, mut taken, mut in_lanes) = (0, 0, 0);
    for _ in 0..1_500 {
        let shop = draw(&mut dice);
        let text = shop.text();
        let found = checked(&text);
        let errors: Vec<&Diagnostic> = found.faults.iter().filter(|fault| fault.is_error()).collect();
        assert!(errors.iter().all(|fault| fault.code.text() == "T409"), "{errors:#?}\n{text}");
        let mut wrong = false;
        for is_t in [false, true] {
            let mut tried = Tried::default();
            shop.kinds()
                .iter()
                .filter(|kind| kind.is_t == is_t)
                .for_each(|kind| shop.try_all(kind, &mut tried));
            wrong |= tried.found_otherwise || !tried.left.is_subset(&tried.was);
        }
        assert_eq!(!errors.is_empty(), wrong, "{:#?}\n{text}", said(&found));
        let turns_in_lane = shop.tasks.iter().any(|t| t.makes.is_some() && shop.lanes[t.place].is_some());
        let asks = shop.tasks.iter().any(|task| !task.needs.is_empty());
        in_lanes += u32::from(turns_in_lane && asks && !wrong);
        *(if wrong { &mut refused } else { &mut taken }) += 1;
    }
    println!("{refused} refused, {taken} taken, of these {in_lanes} with a turn in a lane and a need");
    assert!(refused > 500 && taken > 400 && in_lanes > 200);
}
