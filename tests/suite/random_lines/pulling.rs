//! Stations of a pushed stretch that pull late units off the line.

use super::features::Feature;
use super::write::{Crew, Writer};

/// Where units are pulled off to.
pub(super) struct Off {
    name: &'static str,
    people: u32,
}

impl Writer {
    /// A place off the line for late units, which failed ones may share; nothing where no signal is late.
    pub(super) fn off_line_text(&mut self) -> String {
        let by_signal = self.features.used.contains(&Feature::PushedEvery);
        if !by_signal || !self.features.allows(Feature::PullOff) {
            return String::new();
        }
        if self.has_repair && self.dice.chance(30) {
            self.off = Some(Off { name: "R1", people: 1 });
            return String::new();
        }
        let people = self.dice.from(1, 3);
        self.off = Some(Off { name: "O1", people });
        let crew = self.crew_text(Crew { fit: people, plu: 0, vis: 0, per_bay: false, team: None }, 1);
        let mut text = format!("repair O1  {crew}  places {}", self.dice.from(1, 3));
        if self.wants(Feature::Stops, 40) {
            text.push_str(&self.stopping());
        }
        text + "\n"
    }

    /// Some stations of the stretch pull units off, in their sentences, where something of their work can be gone on
    /// with there.
    pub(super) fn let_pull_off(&mut self, text: &mut String) {
        let (Some((first, last)), Some(off)) = (self.pushed, self.off.take()) else { return };
        for p in first..=last {
            let Some(start) = text.find(&format!("station {} ", self.places[p].name)) else { continue };
            if !self.dice.chance(60) || !self.goes_on_off_line(text, p, &off) {
                continue;
            }
            let end = start + text[start..].find('\n').expect("it ends with its line");
            text.insert_str(end, &format!("  pull off to {}", off.name));
            self.features.note(Feature::PullOff);
        }
    }

    /// A plain task stands at the place, for no more people than are there.
    fn goes_on_off_line(&self, text: &str, place: usize, off: &Off) -> bool {
        self.steps.iter().any(|step| {
            let sentence = text.lines().find(|line| line.starts_with(&format!("task {} ", step.name)));
            let by = sentence.and_then(|line| line.split("  ").find_map(|clause| clause.strip_prefix("by ")));
            let apart = |line: &str| {
                line.starts_with("exclude") && (line.contains("work in") || line.contains(&step.name))
            };
            step.place == place
                && !step.bound
                && sentence.is_some_and(|line| !line.contains(" for "))
                && by
                    .unwrap_or("1")
                    .split(" to ")
                    .next()
                    .unwrap_or("")
                    .parse::<u32>()
                    .is_ok_and(|heads| heads <= off.people)
                && !text.lines().any(apart)
        })
    }
}
