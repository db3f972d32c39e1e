//! A line of the size of a real hall, made by rule: 1,000 tasks on 60 stations, three models, crews of one to
//! three, zones, a skill, holds and tests. Shared by the bench and the suite.

use std::fmt::Write as _;

/// Whole numbers by rule: the minimal standard generator (Park & Miller, CACM 31, 1988), from memory.
struct Rule(u64);

impl Rule {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0 * 48_271 % 0x7fff_ffff;
        self.0 * n / 0x7fff_ffff
    }

    fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
}

/// What such a line is like.
#[derive(Clone, Copy)]
pub struct Hall {
    pub tasks: usize,
    pub stations: usize,
    /// Times are drawn (three-point), else fixed.
    pub drawn: bool,
    pub seed: u64,
}

/// The text of the line. Today's stations have the tasks in their order, as many each, so that some have far too
/// much and others next to nothing; all work together takes about 93 % of the people's time at a pace of 25 min.
pub fn hall(of: Hall) -> String {
    let mut rule = Rule(of.seed);
    let mut text = String::from(
        "line \"Large hall\"\npace 25 min\nmodel X 50 %\nmodel Y 30 %\nmodel Z 20 %\n\
         people fitters 500\npeople plumbers 100 can plumb\n\
         zone left up to 2 people\nzone right up to 2 people\nzone under up to 1 people\n",
    );
    let crews: Vec<u64> = (0..of.stations).map(|k| [2, 1, 2, 3, 2, 3][k % 6]).collect();
    for (k, people) in crews.iter().enumerate() {
        let _ = match k % 2 {
            0 => writeln!(text, "station S{k} crew {} fitters, 1 plumbers", people - u64::from(*people > 1)),
            _ => writeln!(text, "station S{k} crew {people} fitters"),
        };
    }
    let seats: u64 = crews.iter().enumerate().map(|(k, n)| if k % 2 == 0 && *n == 1 { 2 } else { *n }).sum();
    // Hundredths of a minute for one person, on average.
    let share = seats * 25 * 93 / of.tasks as u64;
    for k in 0..of.tasks {
        let station = k * of.stations / of.tasks;
        let pair = crews[station] > 1 && rule.chance(12);
        let plumb = !pair && station.is_multiple_of(2) && rule.chance(20);
        let only = rule.chance(15);
        let people = if pair { 2 } else { 1 };
        // Those that only some units have are longer, so that the sum comes out.
        let time = share * (40 + rule.below(121)) / 100 / if pair { 2 } else { 1 };
        let _ = match of.drawn {
            true => write!(
                text,
                "task t{k} takes {}/{}/{} min",
                shown(time * 85 / 100),
                shown(time * 95 / 100),
                shown(time * 120 / 100)
            ),
            false => write!(text, "task t{k} takes {} min", shown(time)),
        };
        if rule.chance(20) {
            text.push_str(" for Y x 1.2 for Z x 0.8");
        }
        if only {
            text.push_str(["", " only X, Y", " only Z, X"][rule.below(3) as usize]);
        }
        let _ = write!(text, " by {people}{}", if plumb { " plumb" } else { "" });
        let zone = ["left", "right", "under"][rule.below(3) as usize];
        if !pair && rule.chance(30) {
            let _ = write!(text, " in {zone}");
        }
        let mut after: Vec<usize> = Vec::new();
        for _ in 0..rule.below(3) {
            let back = 1 + rule.below(45) as usize;
            if back <= k && !after.contains(&(k - back)) {
                after.push(k - back);
            }
        }
        if !after.is_empty() {
            let names: Vec<String> = after.iter().map(|a| format!("t{a}")).collect();
            let _ = write!(text, " after {}", names.join(", "));
        }
        let _ = writeln!(text, " at S{station}");
        if k % 50 == 25 {
            let _ = writeln!(text, "hold h{k} at least 4 min after t{k} at S{station}");
        }
    }
    text
}

/// Hundredths of a minute as minutes.
fn shown(hundredths: u64) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}
