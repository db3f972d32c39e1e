//! From a seed to the text of a small line that should be legal by construction.

use super::dice::Dice;
use super::features::{Feature, Features};
use super::feeders::Feeder;
use super::lanes::Lanes;
use super::pulling::Off;
use taktwright::simulate::{Horizon, Settings, WarmUp};
use taktwright::units::Time;

/// A text, its settings, what it holds.
pub struct RandomLine {
    pub seed: u64,
    pub text: String,
    pub settings: Settings,
    pub used: Vec<Feature>,
}

pub(super) struct PlaceText {
    pub(super) name: String,
    pub(super) is_rack: bool,
    pub(super) bays: u32,
    pub(super) slots: u32,
    pub(super) crew: Crew,
    pub(super) in_turn: bool,
}

#[derive(Clone, Copy)]
pub(super) struct Crew {
    pub(super) fit: u32,
    pub(super) plu: u32,
    /// Visitors, of whom `fit` and `plu` know nothing.
    pub(super) vis: u32,
    pub(super) per_bay: bool,
    /// Shared with the station before.
    pub(super) team: Option<u32>,
}

pub(super) struct StepText {
    pub(super) name: String,
    pub(super) place: usize,
    /// Longest possible time in tenths of a minute, where there is one.
    tenths: u32,
    /// Taken by a window, a keep or a test: not to be redone by a route.
    pub(super) bound: bool,
    pub(super) for_all: bool,
    people: bool,
    after: Vec<usize>,
}

pub(super) struct Writer {
    pub(super) dice: Dice,
    pub(super) features: Features,
    pub(super) places: Vec<PlaceText>,
    /// Pushed stretch, if any: first, last.
    pub(super) pushed: Option<(usize, usize)>,
    pub(super) steps: Vec<StepText>,
    pub(super) models: Vec<&'static str>,
    pub(super) step_text: String,
    test_text: String,
    fit_wanted: u32,
    plu_wanted: u32,
    vis_wanted: u32,
    zone_caps: Vec<u32>,
    limit: Option<u32>,
    pub(super) has_repair: bool,
    /// Where units are pulled off to.
    pub(super) off: Option<Off>,
    /// Gates and where they stand.
    pub(super) gates: Vec<(String, usize)>,
    /// The feeder, if any: it builds ahead, and a task takes its parts.
    pub(super) feeder: Option<Feeder>,
    /// Stops that people mend.
    pub(super) menders: u32,
    /// People of a feeder that has hours of its own.
    pub(super) own_wanted: u32,
    pub(super) lanes: Option<Lanes>,
    /// Holds that may move.
    pub(super) moving: Vec<usize>,
}

/// Tenths of a minute as the file writes them.
pub(super) fn minutes(tenths: u32) -> String {
    match tenths % 10 {
        0 => format!("{} min", tenths / 10),
        rest => format!("{}.{rest} min", tenths / 10),
    }
}

/// The line of a seed.
pub fn line_for(seed: u64) -> RandomLine {
    let mut dice = Dice::new(seed);
    let features = Features::draw(&mut dice);
    let mut writer = Writer {
        dice,
        features,
        places: Vec::new(),
        pushed: None,
        steps: Vec::new(),
        models: vec!["A"],
        step_text: String::new(),
        test_text: String::new(),
        fit_wanted: 0,
        plu_wanted: 0,
        vis_wanted: 0,
        zone_caps: Vec::new(),
        limit: None,
        has_repair: false,
        off: None,
        gates: Vec::new(),
        feeder: None,
        menders: 0,
        own_wanted: 0,
        lanes: None,
        moving: Vec::new(),
    };
    let text = writer.write(seed);
    let settings = writer.settings(seed);
    RandomLine { seed, text, settings, used: writer.features.used }
}

impl Writer {
    /// A feature that this seed allows, in so many of a hundred places where it could stand.
    pub(super) fn wants(&mut self, feature: Feature, percent: u32) -> bool {
        let wanted = self.features.allows(feature) && self.dice.chance(percent);
        if wanted {
            self.features.note(feature);
        }
        wanted
    }

    fn write(&mut self, seed: u64) -> String {
        let mut text = format!("line \"random {seed}\"\n");
        text.push_str(&self.calendar());
        text.push_str(&self.models());
        text.push_str(&self.release());
        self.lay_out_places();
        self.lay_out_zones();
        self.decide_feeder();
        self.write_steps();
        self.write_tests();
        text.push_str(&self.turn_units());
        text.push_str(&self.resources());
        text.push_str(&self.feeder_text());
        text.push_str(&self.place_texts());
        text.push_str(&self.temperature());
        text.push_str(&self.step_text);
        text.push_str(&self.test_text);
        text.push_str(&self.keep_apart());
        self.fewer_later(&mut text);
        self.let_pull_off(&mut text);
        text
    }

    fn calendar(&mut self) -> String {
        if !self.wants(Feature::Calendar, 100) {
            return String::new();
        }
        let mut text = "shift day 06:00 to 14:00 on mon to fri\n".to_string();
        if self.wants(Feature::Breaks, 100) {
            text.push_str("  break 08:30 lasting 10 min\n");
            if self.dice.chance(50) {
                text.push_str("  meal 11:00 lasting 30 min unpaid\n");
            }
            if self.dice.chance(40) {
                text.push_str("  meeting 8 min clean-up 7 min\n");
            }
            if self.dice.chance(30) {
                text.push_str("  stop 12:40 lasting 3.5 min\n");
            }
        }
        if self.wants(Feature::HomeAfter, 100) {
            let units = self.dice.from(6, 30);
            text.push_str(&format!("  home after {units} units"));
            if self.dice.chance(60) {
                text.push_str(&format!(", not before {:02}:00", self.dice.from(9, 13)));
            }
            text.push('\n');
        }
        let mut late_at_once = false;
        if self.wants(Feature::SecondShift, 100) {
            let which = self.dice.from(0, 2);
            late_at_once = which == 0;
            match which {
                0 => text.push_str("shift late 14:00 to 21:00 on mon to thu\n  break 17:00 lasting 15 min\n"),
                1 => text.push_str("shift night 22:00 to 04:00 on mon to thu\n  meal 01:00 lasting 20 min\n"),
                _ => text.push_str("shift half 15:00 to 18:30 on tue, thu\n"),
            }
        }
        text.push_str(&self.decided_on_the_day(late_at_once));
        if self.wants(Feature::Closed, 100) {
            // 2026-11-30 is a Monday; the start statement is written with the release.
            text.push_str("closed 2026-12-01\n");
        }
        text
    }

    fn models(&mut self) -> String {
        if !self.wants(Feature::Models, 100) {
            return "model A 100 %\n".to_string();
        }
        let mut text = match self.dice.from(0, 2) {
            0 => {
                self.models = vec!["A", "B"];
                "model A 70 %\nmodel B 30 %\n".to_string()
            }
            1 => {
                self.models = vec!["A", "B", "C"];
                "model A 50 %\nmodel B 30 %\nmodel C 20 %\n".to_string()
            }
            _ => {
                self.models = vec!["A", "B"];
                "model A 55 %\nmodel B 45 %\n".to_string()
            }
        };
        if self.wants(Feature::Levelled, 100) {
            text.push_str("sequence levelled");
        } else if self.wants(Feature::Pattern, 100) {
            text.push_str("sequence pattern A B A\n");
            return text;
        } else if self.wants(Feature::Batches, 100) {
            text.push_str(&format!("sequence batches of {}\n", self.dice.from(2, 4)));
            return text;
        } else {
            text.push_str("sequence random");
        }
        if self.wants(Feature::Spacing, 100) {
            let rare = self.models[self.models.len() - 1];
            match (self.models.len(), self.dice.from(0, 1)) {
                (3, 0) => text.push_str(&format!(", no two {rare} adjacent, at most 3 A of any 4")),
                (3, _) => text.push_str(&format!(", at most 1 {rare} of any 3")),
                (_, 0) => text.push_str(&format!(", at most 2 {rare} of any 3")),
                (_, _) => text.push_str(&format!(", no two {rare} adjacent")),
            }
        }
        text.push('\n');
        text
    }

    fn release(&mut self) -> String {
        let full = self.wants(Feature::Full, 100);
        let calendar = self.features.used.contains(&Feature::Calendar);
        let closed = self.features.used.contains(&Feature::Closed);
        let mut text = match (full, closed) {
            (true, true) => "start full on 2026-11-30\n".to_string(),
            (false, true) => "start empty on 2026-11-30\n".to_string(),
            (true, false) => "start full\n".to_string(),
            (false, false) => String::new(),
        };
        let tenths = self.dice.from(40, 160);
        if self.wants(Feature::ByTakt, 100) {
            match (calendar, self.dice.chance(50)) {
                (true, true) => {
                    text.push_str(&format!("demand {} per day\nrelease by takt\n", self.dice.from(25, 70)));
                }
                _ => text.push_str(&format!("takt {}\nrelease by takt\n", minutes(tenths))),
            }
        } else if self.wants(Feature::Every, 100) {
            let clock = if self.wants(Feature::OnTheClock, 100) { " on the clock" } else { "" };
            match self.dice.from(0, 3) {
                0 => text.push_str(&format!("release every {}{clock}\n", minutes(tenths))),
                _ => text.push_str(&format!("release every exponential mean {}{clock}\n", minutes(tenths))),
            }
        } else {
            text.push_str("release saturated\n");
        }
        text
    }

    fn lay_out_places(&mut self) {
        let more = if self.features.allows(Feature::Lanes) { 2 } else { 0 };
        let count = self.dice.from(2 + more, 6 + more / 2) as usize;
        let mut team = None;
        for p in 0..count {
            let is_rack = p > 0 && self.wants(Feature::Racks, 25);
            let bays = if self.wants(Feature::Bays, 45) { self.dice.from(2, 3) } else { 1 };
            let slots = if !is_rack && self.wants(Feature::Slots, 45) { self.dice.from(1, 3) } else { 0 };
            let size = self.dice.from(1, 3);
            let plu = if self.features.allows(Feature::Skills) { self.dice.from(0, 1) } else { 0 };
            let visited = self.features.used.contains(&Feature::Calendar) && plu + 1 < 4;
            let vis = u32::from(
                self.features.allows(Feature::Skills) && visited && self.wants(Feature::Visitors, 35),
            );
            let mut crew = Crew { fit: size, plu, vis, per_bay: false, team: None };
            if !is_rack {
                let before = self.places.iter().rposition(|p| !p.is_rack);
                match (team.take(), before) {
                    (Some(number), Some(before)) if self.wants(Feature::Team, 60) => {
                        crew = self.places[before].crew;
                        crew.team = Some(number);
                        self.places[before].crew.team = Some(number);
                        if self.dice.chance(30) {
                            team = Some(number);
                        }
                    }
                    _ => {
                        crew.per_bay = bays > 1 && self.wants(Feature::PerBay, 60);
                        if !crew.per_bay {
                            team = Some(p as u32 + 1);
                        }
                    }
                }
            }
            let in_turn = self.wants(Feature::InTurn, 40);
            let name = format!("{}{}", if is_rack { "H" } else { "S" }, p + 1);
            self.places.push(PlaceText { name, is_rack, bays, slots, crew, in_turn });
        }
        self.lay_out_segments();
        self.lay_out_lanes();
    }

    /// At most one pushed stretch; waiting places only at its entrance and right after it.
    fn lay_out_segments(&mut self) {
        let count = self.places.len();
        if !self.features.allows(Feature::PushedReady) && !self.features.allows(Feature::PushedEvery) {
            return;
        }
        let first = self.dice.from(0, count as u32 - 2) as usize;
        let first = if self.dice.chance(50) { 0 } else { first };
        let last = self.dice.from(first as u32 + 1, count as u32 - 1) as usize;
        // Racks take no slots: one right after the stretch is waiting room itself, and none opens it.
        if first > 0 && self.places[first].is_rack {
            return;
        }
        self.pushed = Some((first, last));
        for p in first + 1..=last {
            self.places[p].slots = 0;
        }
        if first > 0 {
            self.places[first].slots = self.places[first].slots.max(1);
        }
        if let Some(next) = self.places.get_mut(last + 1).filter(|next| !next.is_rack) {
            next.slots = next.slots.max(1);
        }
    }

    fn lay_out_zones(&mut self) {
        if self.features.allows(Feature::Zones) {
            self.zone_caps = vec![self.dice.from(1, 3), self.dice.from(2, 3)];
            if self.features.allows(Feature::Limits) {
                self.limit = Some(self.dice.from(2, 4));
            }
        }
    }

    /// A time with a mean of `low` to `high` tenths of a minute, and its longest value.
    pub(super) fn time(&mut self, low: u32, high: u32, bounded: bool) -> (String, u32) {
        let mean = self.dice.from(low, high);
        if !self.wants(Feature::Draws, 80) {
            return (minutes(mean), mean);
        }
        let (less, more) = (mean * 7 / 10, mean * 3 / 2);
        let plain = |tenths: u32| format!("{}.{}", tenths / 10, tenths % 10);
        let kinds = if bounded { 4 } else { 11 };
        match self.dice.from(0, kinds - 1) {
            0 => (format!("{}/{}/{} min", plain(less), plain(mean), plain(more)), more),
            1 => (format!("pert {}/{}/{} min", plain(less), plain(mean), plain(more)), more),
            2 => (format!("{} to {} min", plain(less), plain(more)), more),
            3 => (format!("one of {} 60 %, {} 40 %", minutes(less), minutes(more)), more),
            4 => (format!("about {} sd {}", minutes(mean), minutes(mean / 5)), 0),
            5 => (format!("lognormal mean {} sd {}", minutes(mean), minutes(mean / 3)), 0),
            6 => (format!("gamma mean {} sd {}", minutes(mean), minutes(mean / 3)), 0),
            7 => (format!("erlang 3 mean {}", minutes(mean)), 0),
            8 => (format!("exponential mean {}", minutes(mean)), 0),
            9 => (format!("weibull shape 1.8 mean {}", minutes(mean)), 0),
            _ => (minutes(mean), mean),
        }
    }

    fn write_steps(&mut self) {
        for p in 0..self.places.len() {
            if self.places[p].is_rack {
                if self.wants(Feature::Holds, 70) {
                    let after = self.any_before(p);
                    self.hold(p, &after);
                }
                continue;
            }
            let first = self.steps.len();
            for _ in 0..self.dice.from(1, 3) {
                let after = self.preds(p, first);
                if self.steps.len() > first && self.wants(Feature::Holds, 25) {
                    self.hold(p, &after);
                } else {
                    self.task(p, &after, true);
                }
            }
            if self.wants(Feature::Windows, 35) {
                self.window(p, first);
            }
            if let Some(last) = self.steps.get(first..).and_then(|here| here.last()) {
                let after = last.name.clone();
                self.gate(p, &after);
            }
        }
        self.keeps();
    }

    /// Steps before a new one: the last at its place, or a few, or one further back.
    fn preds(&mut self, place: usize, first: usize) -> Vec<usize> {
        let here: Vec<usize> = (first..self.steps.len()).filter(|s| self.steps[*s].place == place).collect();
        if here.is_empty() {
            return self.any_before(place);
        }
        if self.wants(Feature::Parallel, 50) {
            let kept: Vec<usize> = here.iter().copied().filter(|_| self.dice.chance(40)).collect();
            return kept;
        }
        vec![here[here.len() - 1]]
    }

    fn any_before(&mut self, place: usize) -> Vec<usize> {
        let earlier: Vec<usize> = (0..self.steps.len())
            .filter(|s| self.steps[*s].place < place && self.may_follow(place, self.steps[*s].place))
            .collect();
        if earlier.is_empty() || self.dice.chance(40) {
            return Vec::new();
        }
        vec![*self.dice.one_of(&earlier)]
    }

    fn after_text(&self, after: &[usize]) -> String {
        if after.is_empty() {
            return String::new();
        }
        let names: Vec<&str> = after.iter().map(|s| self.steps[*s].name.as_str()).collect();
        format!("  after {}", names.join(", "))
    }

    /// Who does it: at most the crew, at most what `most` allows.
    fn by(&mut self, place: usize, most: u32) -> (String, u32) {
        let crew = self.places[place].crew;
        if crew.vis > 0 && self.dice.chance(40) {
            return match most >= 2 && self.dice.chance(50) {
                true => ("1 look, 1".to_string(), 2),
                false => ("1 look".to_string(), 1),
            };
        }
        if crew.plu > 0 && self.wants(Feature::Skills, 45) {
            return match (self.dice.from(0, 2), most >= 2) {
                (0, true) => ("1 seal, 1".to_string(), 2),
                (1, _) => ("1 plu".to_string(), 1),
                _ => ("1 seal".to_string(), 1),
            };
        }
        let people = self.dice.from(1, (crew.fit + crew.plu).min(most).max(1));
        (people.to_string(), people)
    }

    /// Lets more people of the crew share it.
    fn more(&mut self, place: usize, most: u32, by: &str, count: u32) -> String {
        let crew = self.places[place].crew;
        let top = (crew.fit + crew.plu).min(most);
        if by.contains(' ') || top <= count || !self.wants(Feature::Shared, 50) {
            return String::new();
        }
        let top = self.dice.from(count + 1, top);
        match self.dice.from(0, 2) {
            0 => format!(" to {top}  shared power 0.8"),
            1 => format!(" to {top}  shared power 0.9, fixed 0.7 min"),
            _ => {
                let row = |n: u32| format!("{n} in {} %", 100 - 12 * (n - count));
                let rows: Vec<String> = (count + 1..=top).map(row).collect();
                format!(" to {top}  shared {}", rows.join(", "))
            }
        }
    }

    fn task(&mut self, place: usize, after: &[usize], free: bool) -> usize {
        let name = format!("t{}", self.steps.len() + 1);
        let (time, longest) = self.time(10, 60, !free);
        let mut text = format!("task {name}  takes {time}");
        let mut most = u32::MAX;
        let zone = self.zone_caps.len();
        if free && zone > 0 && self.wants(Feature::Zones, 50) {
            let z = self.dice.from(0, zone as u32 - 1) as usize;
            most = self.zone_caps[z].min(self.limit.unwrap_or(u32::MAX));
            text.push_str(&format!("  in z{}", z + 1));
            if zone > 1 && self.dice.chance(30) {
                let other = (z + 1) % zone;
                most = most.min(self.zone_caps[other]);
                text.push_str(&format!(" or z{}", other + 1));
            }
        }
        let mut people = false;
        if !(free && self.wants(Feature::Nobody, 25)) {
            let (by, count) = self.by(place, most);
            let more = self.more(place, most, &by, count);
            text.push_str(&format!("  by {by}{more}"));
            people = true;
            if self.wants(Feature::Exactly, 30) {
                text.push_str("  exactly");
            }
            if self.models.len() > 1 && count > 1 && !by.contains(' ') && self.wants(Feature::ModelPeople, 40)
            {
                text.push_str("  for B by 1");
            }
        }
        if free {
            text.push_str(self.at_breaks());
        }
        if free && self.wants(Feature::Equipment, 35) {
            text.push_str("  with rig");
        }
        let mut parts = Vec::new();
        if self.wants(Feature::Parts, 30) {
            parts.push(match self.dice.from(0, 3) {
                0 => "2 bolts",
                1 => "1 nuts, 1 bolts",
                _ => "nuts",
            });
        }
        // Where it builds for units, work that takes its part is done once.
        let takes_box = self.takes_box(free && self.all_come(place));
        if takes_box {
            parts.push("boxes");
        }
        if !parts.is_empty() {
            text.push_str(&format!("  uses {}", parts.join(", ")));
        }
        let once = takes_box && self.feeder.is_some_and(|feeder| feeder.ahead);
        let mut for_all = true;
        if self.models.len() > 1 && free {
            if self.wants(Feature::ModelTimes, 30) {
                text.push_str("  for B x 1.3");
            }
            if self.all_come(place) && self.wants(Feature::ModelOnly, 25) {
                let only = *self.dice.one_of(&["A", "B"]);
                // People by model would name a model that the step is not for.
                if !text.contains("for B") {
                    text.push_str(&format!("  only {only}"));
                    for_all = false;
                }
            }
        }
        if free && !once && self.wants(Feature::Options, 25) {
            text.push_str("  only with rail");
            for_all = false;
        }
        text.push_str(&self.after_text(after));
        text.push_str(&format!("  at {}\n", self.places[place].name));
        self.step_text.push_str(&text);
        let after = after.to_vec();
        let step = StepText { name, place, tenths: longest, bound: once, for_all, people, after };
        self.steps.push(step);
        self.steps.len() - 1
    }

    fn hold(&mut self, place: usize, after: &[usize]) -> usize {
        let name = format!("h{}", self.steps.len() + 1);
        let least = self.dice.from(50, 400);
        let mut text = format!("hold {name}  at least {}", minutes(least));
        let mut longest = least;
        let own_length = self.wants(Feature::HoldDraws, 50);
        if own_length {
            let (time, most) = self.time(least, least * 6 / 5, true);
            text.push_str(&format!("  takes {time}"));
            longest = longest.max(most);
        }
        if self.wants(Feature::AttendedHolds, 30) {
            text.push_str("  attended");
        } else {
            if self.dice.chance(30) {
                text.push_str("  through nights");
            }
        }
        text.push_str(self.warm(own_length));
        if self.dice.chance(30) {
            text.push_str("  safety");
        }
        text.push_str(&self.after_text(after));
        text.push_str(&format!("  at {}\n", self.places[place].name));
        self.step_text.push_str(&text);
        let after = after.to_vec();
        let step =
            StepText { name, place, tenths: longest, bound: false, for_all: true, people: false, after };
        self.steps.push(step);
        self.steps.len() - 1
    }

    /// A task, perhaps a hold, a closing task, and the window over them.
    fn window(&mut self, place: usize, first: usize) {
        let before = self.preds(place, first);
        let opens = self.task(place, &before, false);
        let mut between = vec![opens];
        if self.dice.chance(50) {
            between.push(self.hold(place, &[opens]));
        }
        let closes = self.task(place, &[between[between.len() - 1]], false);
        for step in between.iter().chain([&closes]) {
            self.steps[*step].bound = true;
        }
        let edge = if self.dice.chance(30) { "end" } else { "start" };
        let from = if self.dice.chance(20) { "start" } else { "end" };
        let limit = match (from, edge) {
            // Sometimes hardly more than the hold between: whoever has to walk comes too late.
            ("end", "start") if self.dice.chance(50) => {
                between[1..].iter().map(|s| self.steps[*s].tenths).sum::<u32>() + self.dice.from(1, 20)
            }
            _ => {
                let all = between.iter().chain([&closes]);
                all.map(|s| self.steps[*s].tenths).sum::<u32>() + self.dice.from(5, 400)
            }
        };
        let (o, c) = (&self.steps[opens].name, &self.steps[closes].name);
        let mut text = format!("window {o} {from} to {c} {edge}  within {}, else redo {o}", minutes(limit));
        if self.dice.chance(40) {
            let more = self.more(place, u32::MAX, "1", 1);
            text.push_str(&format!("  takes 2.5 min by 1{more}"));
        }
        self.test_text.push_str(&format!("{text}\n"));
        // Something that waits for the first as well, and isn't done again with it.
        if self.dice.chance(25) {
            self.task(place, &[opens], false);
        }
    }

    /// Equipment kept from one task to a later one, here or at the next stations.
    fn keeps(&mut self) {
        if !self.wants(Feature::Keep, 80) {
            return;
        }
        let from_hold = self.wants(Feature::KeepFromHold, 40);
        let fits = |s: &StepText| s.for_all && !s.bound && s.people;
        // It may begin with what closes a window.
        let closes = |s: &StepText| self.test_text.contains(&format!(" to {} start  within", s.name));
        let is_hold = |s: &StepText| s.for_all && !s.bound && s.name.starts_with('h');
        let begins = |s: &StepText| match from_hold {
            true => is_hold(s),
            false => fits(s) || s.for_all && s.people && closes(s),
        };
        let pairs: Vec<(usize, usize)> = (0..self.steps.len())
            .flat_map(|b| (0..b).map(move |a| (a, b)))
            .filter(|(a, b)| begins(&self.steps[*a]) && fits(&self.steps[*b]) && self.follows(*b, *a))
            .filter(|(a, b)| self.steps[*b].place - self.steps[*a].place <= 2)
            .filter(|(a, b)| self.same_lane(self.steps[*b].place, self.steps[*a].place))
            .collect();
        if pairs.is_empty() {
            self.features.used.retain(|f| !matches!(f, Feature::Keep | Feature::KeepFromHold));
            return;
        }
        let of_windows: Vec<_> = pairs.iter().copied().filter(|(a, _)| closes(&self.steps[*a])).collect();
        let (opens, closes) = match of_windows.is_empty() || self.dice.chance(40) {
            true => *self.dice.one_of(&pairs),
            false => *self.dice.one_of(&of_windows),
        };
        self.steps[opens].bound = true;
        self.steps[closes].bound = true;
        self.test_text
            .push_str(&format!("keep jig from {} to {}\n", self.steps[opens].name, self.steps[closes].name));
        self.uses_what_is_kept(opens, closes);
    }

    /// Some task where the jig is kept asks for one besides.
    fn uses_what_is_kept(&mut self, opens: usize, closes: usize) {
        let along = self.steps[opens].place..=self.steps[closes].place;
        let line_of = |name: &str| {
            let begins = self.step_text.find(&format!("task {name}  "))?;
            Some(begins..begins + self.step_text[begins..].find('\n')?)
        };
        let asks_for_none = |s: &StepText| {
            s.people
                && along.contains(&s.place)
                && line_of(&s.name).is_some_and(|own| !self.step_text[own].contains(" with "))
        };
        let tasks: Vec<usize> = (0..self.steps.len()).filter(|s| asks_for_none(&self.steps[*s])).collect();
        if tasks.is_empty() || !self.dice.chance(50) {
            return;
        }
        let name = self.steps[*self.dice.one_of(&tasks)].name.clone();
        if let Some(own) = line_of(&name) {
            self.step_text.insert_str(own.end, "  with jig");
        }
    }

    /// Does the later step come after the earlier one, by whatever way?
    fn follows(&self, later: usize, earlier: usize) -> bool {
        self.steps[later].after.iter().any(|before| *before == earlier || self.follows(*before, earlier))
    }

    /// Tests are written from the first place on, so the one before lets through what this one finds.
    fn escapes(&mut self, place: usize, text: &str) {
        if !self.all_come(place) {
            return;
        }
        // It may let them through to a gate instead.
        let before = self.test_text.rfind("test q").map(|at| at + 5);
        let before = before.filter(|at| !self.test_text[*at..].contains("escapes"));
        let name: String = text[5..].chars().take_while(|c| !c.is_whitespace()).collect();
        if let Some(before) = before.filter(|_| self.wants(Feature::Escapes, 50)) {
            let end = before + self.test_text[before..].find(' ').expect("its name ends");
            self.test_text.insert_str(end, &format!("  escapes {} % to {name}", self.dice.from(3, 40)));
        }
    }

    fn write_tests(&mut self) {
        for p in 0..self.places.len() {
            let often = if self.begins_in_turn(p) { 95 } else { 45 };
            if self.places[p].is_rack || !self.wants(Feature::Tests, often) {
                continue;
            }
            let last = (0..self.steps.len()).rev().find(|s| {
                let step = &self.steps[*s];
                step.place == p && !step.bound && step.for_all
            });
            let Some(last) = last else { continue };
            self.steps[last].bound = true;
            self.test_at(p, last);
        }
    }

    fn test_at(&mut self, place: usize, last: usize) {
        let name = format!("q{}", place + 1);
        let mut text = format!("test {name}  of {}  at {}", self.steps[last].name, self.places[place].name);
        let (first, again) = (self.dice.from(60, 95), self.dice.from(70, 100));
        text.push_str(&format!("  passes {first} %, again {again} %"));
        let mut outcomes = Vec::new();
        if self.wants(Feature::Fixed, 60) {
            let (time, _) = self.time(20, 80, false);
            let more = self.more(place, u32::MAX, "1", 1);
            outcomes.push(format!("fixed in place takes {time} by 1{more}"));
        }
        if self.wants(Feature::Back, 60) {
            outcomes.extend(self.back_to(place));
        }
        if self.wants(Feature::Repair, 60) {
            let (time, _) = self.time(40, 150, false);
            self.has_repair = true;
            outcomes.push(format!("to R1 takes {time} by 1"));
        }
        if self.wants(Feature::Scrap, 40) {
            outcomes.push("scrapped".to_string());
        }
        if self.wants(Feature::RetestInPlace, 40) {
            outcomes.push("retest in place".to_string());
        }
        let often = if self.begins_in_turn(place) { 90 } else { 40 };
        if outcomes.is_empty() || self.wants(Feature::RetestInQueue, often) {
            self.features.note(Feature::RetestInQueue);
            outcomes.push("retest in queue".to_string());
        }
        let shares: &[u32] = match outcomes.len() {
            1 => &[100],
            2 => &[65, 35],
            3 => &[50, 30, 20],
            4 => &[40, 30, 20, 10],
            5 => &[30, 25, 20, 15, 10],
            _ => &[25, 20, 20, 15, 10, 10],
        };
        for (outcome, share) in outcomes.iter().zip(shares) {
            text.push_str(&format!("\n  on fail {share} % {outcome}"));
        }
        if self.wants(Feature::FalseAlarms, 40) {
            let retest = self.dice.one_of(&["", ", retest in place", " of fails retest in queue"]);
            text.push_str(&format!("\n  false alarm {} %{retest}", self.dice.from(5, 60)));
        }
        self.escapes(place, &text);
        let gates = self.gates.iter().filter(|(_, at)| *at > place && self.same_lane(*at, place));
        let gates: Vec<String> = gates.map(|(gate, _)| gate.clone()).collect();
        if !gates.is_empty() && self.wants(Feature::EscapesToGates, 50) {
            let gate = self.dice.one_of(&gates);
            text.push_str(&format!("\n  escapes {} % to {gate}", self.dice.from(3, 40)));
        }
        if self.wants(Feature::Tries, 60) {
            text.push_str(&format!("\n  at most {} tries", self.dice.from(1, 4)));
        }
        self.test_text.push_str(&format!("{text}\n"));
        if self.wants(Feature::AfterTest, 40) {
            self.task(place, &[last], true);
        }
    }

    /// Back to an earlier station, with something redone there.
    fn back_to(&mut self, place: usize) -> Option<String> {
        let redone: Vec<usize> = (0..self.steps.len())
            .filter(|s| self.steps[*s].place < place && !self.steps[*s].bound && self.steps[*s].people)
            .filter(|s| self.all_come(self.steps[*s].place) || self.same_lane(self.steps[*s].place, place))
            .collect();
        if redone.is_empty() {
            return None;
        }
        let step = *self.dice.one_of(&redone);
        let to = self.steps[step].place;
        self.steps[step].bound = true;
        Some(format!("back to {} redo {}", self.places[to].name, self.steps[step].name))
    }

    pub(super) fn crew_text(&mut self, crew: Crew, bays: u32) -> String {
        let gangs = if crew.per_bay { bays } else { 1 };
        self.fit_wanted += crew.fit * gangs;
        self.plu_wanted += crew.plu * gangs;
        self.vis_wanted += crew.vis * gangs;
        let members = match (self.features.allows(Feature::Skills), crew.plu) {
            (false, _) => crew.fit.to_string(),
            (true, 0) => format!("{} fit", crew.fit),
            (true, plu) => format!("{} fit, {plu} plu", crew.fit),
        };
        let visitors = if crew.vis > 0 { format!(", {} vis", crew.vis) } else { String::new() };
        format!("crew {members}{visitors}{}", if crew.per_bay { " per bay" } else { "" })
    }

    fn resources(&mut self) -> String {
        let mut text = String::new();
        let uses = |writer: &Writer, clause: &str| writer.step_text.contains(clause);
        if uses(self, "only with rail") {
            match self.wants(Feature::EveryNth, 60) {
                true => text.push_str(&format!("option rail every {} units\n", self.dice.from(1, 4))),
                false => text.push_str(&format!("option rail {} %\n", self.dice.from(20, 80))),
            }
        }
        if uses(self, "with rig") {
            let count = self.dice.from(1, 2);
            let stopping = self.equipment_stops();
            let fetching = self.fetching();
            text.push_str(&format!("equipment rig {count}{fetching}{stopping}\n"));
        }
        for part in ["nuts", "bolts"] {
            if uses(self, part) {
                text.push_str(&self.supply(part));
            }
        }
        if self.test_text.contains("keep jig") {
            let places: u32 = self.places.iter().map(|p| p.bays + p.slots).sum();
            let enough = self.pushed.is_some() || self.features.used.contains(&Feature::Tests);
            let count = if enough { places + 6 } else { self.dice.from(1, 2) };
            let stopping = self.equipment_stops();
            text.push_str(&format!("equipment jig {count}{stopping}\n"));
        }
        for z in 0..self.zone_caps.len() {
            if uses(self, &format!("in z{}", z + 1)) || uses(self, &format!(" or z{}", z + 1)) {
                text.push_str(&format!("zone z{} up to {} people\n", z + 1, self.zone_caps[z]));
            }
        }
        let both = uses(self, "in z1") && uses(self, "in z2");
        if let (Some(limit), true) = (self.limit, both) {
            self.features.note(Feature::Limits);
            text.push_str(&format!("limit both of z1, z2 up to {limit} people\n"));
        }
        text
    }

    fn supply(&mut self, part: &str) -> String {
        let lot = self.dice.from(1, 9);
        let gap = match self.dice.from(0, 2) {
            0 => format!("exponential mean {}", minutes(lot * 60)),
            1 => format!("{} on the clock", minutes(lot * self.dice.from(20, 80))),
            _ => minutes(lot * self.dice.from(20, 60)),
        };
        let mut text = match self.wants(Feature::LotDays, 30) {
            // Enough for a few days: the line is to work, and to run dry now and then.
            true => format!(
                "supply {part} in lots of {} on mon, wed to fri at {:02}:20",
                lot * 20,
                self.dice.from(0, 23)
            ),
            false if self.wants(Feature::LotsAtLevel, 60) => {
                let (level, lead) = (self.dice.from(0, 8), minutes(self.dice.from(0, lot * 60)));
                format!("supply {part} in lots of {lot} ordered at {level}, arriving in {lead}")
            }
            false => format!("supply {part} in lots of {lot} every {gap}"),
        };
        if self.wants(Feature::LateLots, 60) {
            text.push_str(&format!(", {} % late by 3 to 90 min", self.dice.from(5, 100)));
        }
        let short = self.short_text();
        text.push_str(&short);
        let places = self.dice.from(2, 12);
        text.push_str(&format!("  store of {places}"));
        if self.dice.chance(40) {
            text.push_str(&format!(", {} at start", self.dice.from(0, places)));
        }
        text.push('\n');
        text
    }

    /// Nothing beside which nobody can be on the way to a unit.
    fn can_walk(&self) -> bool {
        let used = |feature| self.features.used.contains(&feature);
        let in_time = !used(Feature::Windows) || self.features.allows(Feature::LateWalks);
        in_time && (!used(Feature::Early) || self.features.allows(Feature::EarlyWalks))
    }

    fn place_texts(&mut self) -> String {
        let mut text = String::new();
        let mut teams: Vec<(u32, Crew, Vec<String>)> = Vec::new();
        for p in 0..self.places.len() {
            let PlaceText { is_rack, bays, slots, crew, in_turn, .. } = self.places[p];
            let name = self.places[p].name.clone();
            let mut row = match is_rack {
                true => format!("rack {name}  places {bays}"),
                false => format!("station {name}"),
            };
            match crew.team.filter(|_| !is_rack) {
                Some(number) => match teams.iter_mut().find(|(n, ..)| *n == number) {
                    Some((_, _, served)) => served.push(name),
                    None => teams.push((number, crew, vec![name])),
                },
                None if is_rack => {}
                None => row.push_str(&format!("  {}", self.crew_text(crew, bays))),
            }
            if bays > 1 && !is_rack {
                row.push_str(&format!("  bays {bays}"));
            }
            if slots > 0 {
                row.push_str(&format!("  slots {slots}"));
            }
            if in_turn && !is_rack {
                row.push_str("  returns in turn");
            }
            if bays > 1 && self.wants(Feature::Ordered, 60) {
                row.push_str("  ordered");
            }
            if !is_rack && self.wants(Feature::StationTimes, 50) {
                row.push_str(&format!("  times x {}", if self.dice.chance(50) { "0.95" } else { "1.2" }));
            }
            if !is_rack && self.can_walk() && self.wants(Feature::Walks, 60) {
                row.push_str(&format!("  walk {}", minutes(self.dice.from(2, 25))));
                if self.features.used.contains(&Feature::Windows) {
                    self.features.note(Feature::LateWalks);
                }
            }
            if self.wants(Feature::Stops, 40) {
                row.push_str(&self.stopping());
            }
            let (before, behind) = self.lane_text(p);
            text.push_str(&format!("{before}{row}\n{behind}"));
        }
        for (number, crew, served) in teams {
            let crew = self.crew_text(crew, 1);
            text.push_str(&format!("team w{number}  {crew}  serving {}\n", served.join(", ")));
        }
        if self.has_repair {
            let crew = Crew { fit: 1, plu: 0, vis: 0, per_bay: false, team: None };
            let crew = self.crew_text(crew, 1);
            text.push_str(&format!("repair R1  {crew}  places {}", self.dice.from(1, 2)));
            if self.wants(Feature::Stops, 40) {
                text.push_str(&self.stopping());
            }
            text.push('\n');
        }
        text.push_str(&self.carriers());
        text.push_str(&self.yard());
        text.push_str(&self.group_stops());
        text.push_str(&self.outside_stops());
        text.push_str(&self.segment_text());
        let off = self.off_line_text();
        text.push_str(&off);
        self.let_drift(&mut text);
        if self.features.allows(Feature::Skills) {
            let spare = u32::from(self.wants(Feature::Spare, 100));
            let help = if spare > 0 { self.helping(Feature::HelpersInCrews) } else { String::new() };
            let mut people = format!("people fit {}{help}\n", self.fit_wanted.max(1) + spare);
            if self.features.used.contains(&Feature::Calendar) && self.wants(Feature::Absence, 100) {
                people.push_str(&format!(
                    "absent {} %, mon {} %\n",
                    self.dice.from(5, 40),
                    self.dice.from(0, 60)
                ));
            }
            if self.features.used.contains(&Feature::Absence) && self.wants(Feature::Floaters, 100) {
                let can = if self.plu_wanted > 0 { " can seal" } else { "" };
                people.push_str(&format!("floaters {}{can}\n", self.dice.from(1, 3)));
            }
            if self.features.used.contains(&Feature::Calendar) && self.wants(Feature::Helpers, 100) {
                let can = if self.plu_wanted > 0 && self.dice.chance(60) { " can seal" } else { "" };
                let answers = self.can_walk() && self.wants(Feature::OnCall, 100);
                let answers = if answers {
                    format!(" answering in {}", minutes(self.dice.from(3, 30)))
                } else {
                    String::new()
                };
                people.push_str(&format!(
                    "people lea {}{can} helping up to {} %{answers}\n",
                    self.dice.from(1, 2),
                    self.dice.from(2, 40)
                ));
                if self.wants(Feature::HelpersLearn, 60) {
                    people.push_str("learning lea x 1.6 at first, 85 % with each doubling\n");
                }
            }
            if self.plu_wanted > 0 {
                people.push_str(&format!("people plu {} can seal\n", self.plu_wanted));
            }
            if self.wants(Feature::Learning, 100) {
                people.push_str(&format!(
                    "learning fit x 1.{} at first, {} % with each doubling\n",
                    self.dice.from(1, 9),
                    self.dice.from(70, 95)
                ));
            }
            if self.vis_wanted > 0 {
                let (from, to) = (self.dice.from(5, 10), self.dice.from(11, 15));
                people.push_str(&format!(
                    "visitor vis {} from {from:02}:00 to {to:02}:30 can look\n",
                    self.vis_wanted
                ));
            }
            if self.own_wanted > 0 {
                let spare = self.dice.from(0, 1);
                let help = if spare > 0 { self.helping(Feature::OwnHelp) } else { String::new() };
                people.push_str(&format!("people own {}{help}\n", self.own_wanted + spare));
                if self.features.used.contains(&Feature::Calendar) && self.wants(Feature::OwnHelp, 60) {
                    let share = self.dice.from(5, 60);
                    people.push_str(&format!("people lef 1 helping up to {share} %, covering F1\n"));
                }
                if self.features.used.contains(&Feature::Absence) && self.wants(Feature::OwnFloaters, 80) {
                    people.push_str("floaters 1 \"Night floater\" covering F1\n");
                }
            }
            if self.menders > 0 {
                let many = self.dice.from(1, 2);
                let may = self.features.used.contains(&Feature::Calendar);
                match may && self.wants(Feature::VisitorsMend, 40) {
                    true => {
                        let (from, to) = (self.dice.from(5, 10), self.dice.from(11, 20));
                        people.push_str(&format!("visitor mec {many} from {from:02}:00 to {to:02}:30\n"));
                    }
                    false => {
                        let help = self.helping(Feature::HelpersMend);
                        people.push_str(&format!("people mec {many}{help}\n"));
                    }
                }
            }
            text = people + &text;
        }
        text
    }

    /// People of a group that is there for something else lend a hand, too.
    fn helping(&mut self, feature: Feature) -> String {
        let may = self.features.used.contains(&Feature::Calendar) && self.wants(feature, 60);
        if may { format!(" helping up to {} %", self.dice.from(5, 60)) } else { String::new() }
    }

    /// Lets some tasks of the pushed stretch travel to the stations behind them; the clause of the segment.
    fn let_travel(&mut self, first: usize, last: usize) -> String {
        if !self.features.allows(Feature::LateWork) {
            return String::new();
        }
        let mut some = false;
        for s in 0..self.steps.len() {
            let (place, name) = (self.steps[s].place, self.steps[s].name.clone());
            if self.steps[s].bound || !name.starts_with('t') || place < first || place >= last {
                continue;
            }
            let start = self.step_text.find(&format!("task {name} ")).expect("its sentence was written");
            let end = start + self.step_text[start..].find('\n').expect("it ends with its line");
            let sentence = self.step_text[start..end].to_string();
            let by = sentence.split("  ").find_map(|clause| clause.strip_prefix("by "));
            let by = by.unwrap_or("1");
            let (fewest, shares) = by.split_once(" to ").map_or((by, false), |(fewest, _)| (fewest, true));
            let Ok(heads) = fewest.parse::<u32>() else { continue };
            if shares && !self.wants(Feature::SharedTravels, 80) {
                continue;
            }
            let can = |p: usize| {
                let at = &self.places[p];
                !at.is_rack && at.crew.fit + at.crew.plu >= heads
            };
            let reach = (place + 1..=last).take_while(|p| can(*p)).last();
            let Some(reach) = reach else { continue };
            if !self.dice.chance(60) {
                continue;
            }
            let to = self.dice.from(place as u32 + 1, reach as u32) as usize;
            let factor = if self.dice.chance(50) { "" } else { " x 1.4" };
            self.step_text.insert_str(end, &format!("  may travel to {}{factor}", self.places[to].name));
            some = true;
        }
        if !some {
            return String::new();
        }
        self.features.note(Feature::LateWork);
        match self.dice.chance(50) {
            true => "  late work travels".to_string(),
            false => format!("  late work travels up to {} items", self.dice.from(1, 3)),
        }
    }

    /// Lets some holds of the pushed stretch move with their units.
    fn let_holds_move(&mut self, first: usize, last: usize) {
        for s in 0..self.steps.len() {
            let (place, name) = (self.steps[s].place, self.steps[s].name.clone());
            let may = !self.steps[s].bound && name.starts_with('h') && first <= place && place < last;
            if !may || !self.wants(Feature::MovingHolds, 70) {
                continue;
            }
            let start = self.step_text.find(&format!("hold {name} ")).expect("its sentence was written");
            let end = start + self.step_text[start..].find('\n').expect("it ends with its line");
            self.step_text.insert_str(end, "  may move");
            self.moving.push(s);
        }
    }

    fn segment_text(&mut self) -> String {
        let mut text = String::new();
        let (first, last) = match self.pushed {
            None => {
                if self.wants(Feature::Moving, 70) {
                    let (a, z) = (&self.places[0].name, &self.places[self.places.len() - 1].name);
                    let (a, z) = (a.clone(), z.clone());
                    let movers = self.movers_text(0, self.places.len() - 1, 50);
                    text.push_str(&format!("segment flow {a} to {z}  moving {}{movers}\n", minutes(3)));
                }
                return text;
            }
            Some(stretch) => stretch,
        };
        let (a, z) = (self.places[first].name.clone(), self.places[last].name.clone());
        let every = self.features.allows(Feature::PushedEvery)
            && (!self.features.allows(Feature::PushedReady) || self.dice.chance(50));
        let rule = match every {
            true => {
                self.features.note(Feature::PushedEvery);
                let grid = if self.wants(Feature::OnTheGrid, 100) { " on the grid" } else { "" };
                format!("pushed every {}{grid}", minutes(self.dice.from(50, 250)))
            }
            false => {
                self.features.note(Feature::PushedReady);
                "pushed when all are ready".to_string()
            }
        };
        let index = match self.wants(Feature::Index, 100) {
            true => format!("  index {}", minutes(self.dice.from(3, 15))),
            false => String::new(),
        };
        let late = if every { self.let_travel(first, last) } else { String::new() };
        self.let_holds_move(first, last);
        let movers = if index.is_empty() { String::new() } else { self.movers_text(first, last, 100) };
        text.push_str(&format!("segment beat {a} to {z}  {rule}{index}{movers}{late}\n"));
        if let (Some(next), true) = (self.places.get(last + 1), self.features.allows(Feature::Moving)) {
            let (b, y) = (next.name.clone(), self.places[self.places.len() - 1].name.clone());
            let movers = self.movers_text(last + 1, self.places.len() - 1, 50);
            text.push_str(&format!("segment rest {b} to {y}  moving {}{movers}\n", minutes(4)));
            self.features.note(Feature::Moving);
        }
        text
    }

    fn settings(&mut self, seed: u64) -> Settings {
        let calendar = self.features.used.contains(&Feature::Calendar);
        let (horizon, warm_up) = match (calendar, self.dice.from(0, 3)) {
            (true, 0..=1) => {
                let warm = self.dice.from(0, 2);
                (
                    Horizon::Shifts(self.dice.from(2, 5)),
                    if warm == 0 { WarmUp::None } else { WarmUp::Shifts(warm) },
                )
            }
            (_, 2) => (
                Horizon::Units(u64::from(self.dice.from(10, 60))),
                WarmUp::Units(u64::from(self.dice.from(1, 12))),
            ),
            (_, _) => {
                let hours = Time::HOUR * i64::from(self.dice.from(8, 50));
                let warm = Time::MINUTE * i64::from(self.dice.from(1, 300));
                (Horizon::For(hours), if self.dice.chance(50) { WarmUp::None } else { WarmUp::For(warm) })
            }
        };
        Settings { seed, first: 0, count: 1, horizon, warm_up, record_finishes: false, faster: None }
    }
}
