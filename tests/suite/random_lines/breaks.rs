//! Work that minds the breaks, and holds that mind the cold.

use super::features::Feature;
use super::write::Writer;

impl Writer {
    /// Fewer people on the second shift, perhaps nobody.
    pub(super) fn fewer_later(&mut self, text: &mut String) {
        let fit = text.split("people fit ").nth(1).and_then(|rest| rest.lines().next());
        let Some(fit) = fit.and_then(|count| count.parse::<u32>().ok()) else { return };
        let second = ["shift late ", "shift night ", "shift half "];
        let Some(shift) = second.iter().find_map(|shift| text.find(shift)) else { return };
        if self.wants(Feature::FewerLater, 100) {
            let end = shift + text[shift..].find('\n').expect("it ends with its line") + 1;
            text.insert_str(end, &format!("  with {} fit\n", self.dice.from(0, fit)));
        }
    }

    /// What a task does where a break comes.
    pub(super) fn at_breaks(&mut self) -> &'static str {
        if self.wants(Feature::ThroughBreaks, 15) {
            "  through breaks"
        } else if self.wants(Feature::MustFit, 15) {
            "  only if it fits"
        } else {
            ""
        }
    }

    /// How warm it must be for a hold, which has a length of its own or not.
    pub(super) fn warm(&mut self, own_length: bool) -> &'static str {
        if !self.wants(Feature::Warmth, 50) {
            return "";
        }
        match self.dice.chance(if own_length { 80 } else { 50 }) {
            true => "  when hall at least 15 C, else it waits",
            false => "  when hall at least 15 C",
        }
    }

    /// How warm the hall is, where a hold asks: an hour or more of warm time between two cold spells.
    pub(super) fn temperature(&mut self) -> String {
        if !self.features.used.contains(&Feature::Warmth) {
            return String::new();
        }
        let mut text = "temperature hall 18 C".to_string();
        for hour in [7, 10, 13] {
            let minute = self.dice.from(0, 59);
            if self.dice.chance(60) {
                text.push_str(&format!(", 12.5 C from {hour:02}:00 to {hour:02}:{:02}", minute.max(1)));
            }
        }
        if self.dice.chance(50) {
            text.push_str(", 14.9 C from 22:00 to 05:30 on sun to wed");
        }
        text.push('\n');
        text
    }
}

impl Writer {
    /// Overtime of the day shift, where no other follows it at once, and a shift on Saturday if the week lacks
    /// units.
    pub(super) fn decided_on_the_day(&mut self, late_at_once: bool) -> String {
        let mut text = String::new();
        if !late_at_once && self.wants(Feature::Overtime, 100) {
            let (lasts, under) = (self.dice.from(5, 55), self.dice.from(2, 40));
            let (hour, minute) = (self.dice.from(7, 12), self.dice.from(0, 59));
            text.push_str(&format!(
                "overtime day {lasts} min when under {under} units at {hour:02}:{minute:02}"
            ));
            if self.dice.chance(50) {
                text.push_str(&format!(", at most {} days a week", self.dice.from(1, 3)));
            }
            if self.dice.chance(50) {
                text.push_str(" times x 1.15");
            }
            text.push('\n');
        }
        if self.wants(Feature::ExtraShift, 100) {
            let under = self.dice.from(5, 150);
            text.push_str(&format!("shift extra 06:00 to 11:00 on sat when under {under} units that week\n"));
        }
        text
    }
}
