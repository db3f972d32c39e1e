//! Stops of places, equipment and groups.

use super::features::Feature;
use super::write::Writer;

impl Writer {
    /// A `stopping` clause: seldom enough that holds come to their end.
    pub fn stopping(&mut self) -> String {
        let mean = self.dice.from(15, 60) * 10;
        let gap = match self.dice.from(1, 4) {
            1 => format!("every {mean} min"),
            2 => format!("every {mean} to {} min", 2 * mean),
            3 => return format!("  stopping 1 per hour for {}{}", self.repair(), self.mending()),
            _ => format!("every exponential mean {mean} min"),
        };
        let of = match self.dice.from(1, 3) {
            1 => " of net time",
            2 if self.wants(Feature::UseStops, 100) => " of use",
            _ => "",
        };
        format!("  stopping {gap}{of} for {}{}", self.repair(), self.mending())
    }

    fn repair(&mut self) -> String {
        match self.dice.from(1, 3) {
            1 => "7 min".to_string(),
            2 => "1/4/30 min".to_string(),
            _ => "exponential mean 9 min".to_string(),
        }
    }

    fn mending(&mut self) -> &'static str {
        if self.features.allows(Feature::Skills) && self.wants(Feature::Menders, 50) {
            self.menders += 1;
            return " by 1 mec";
        }
        if self.dice.chance(40) { " of net time" } else { "" }
    }

    pub fn equipment_stops(&mut self) -> String {
        if self.wants(Feature::EquipmentStops, 70) { self.stopping() } else { String::new() }
    }

    /// Calls for help and bad days.
    pub fn outside_stops(&mut self) -> String {
        let mut text = String::new();
        if self.wants(Feature::Calls, 100) {
            let answered = if self.dice.chance(50) { ", answered in 1/2/4 min" } else { "" };
            let of =
                if self.dice.chance(50) { format!(" of {}", self.places[0].name) } else { String::new() };
            let share = self.dice.from(20, 90);
            let lasts = self.repair();
            text.push_str(&format!(
                "calls rope 1 per hour{of}{answered}, solved {share} %, else stopping for {lasts}\n"
            ));
        }
        if self.wants(Feature::Weather, 100) {
            let last = self.places.len() - 1;
            let share = self.dice.from(5, 30);
            text.push_str(&format!("weather rain of {} on {share} % of days\n", self.places[last].name));
        }
        text
    }

    pub fn group_stops(&mut self) -> String {
        if !self.wants(Feature::GroupStops, 100) {
            return String::new();
        }
        let last = self.places.len() as u32 - 1;
        let from = self.dice.from(0, last);
        let to = self.dice.from(from, last);
        let of = match self.dice.chance(60) {
            true => {
                let name = |p: u32| &self.places[p as usize].name;
                let between = if self.same_lane(from as usize, to as usize) { " to " } else { ", " };
                match from == to {
                    true => format!("  of {}", name(from)),
                    false => format!("  of {}{between}{}", name(from), name(to)),
                }
            }
            false => String::new(),
        };
        let stopping = self.stopping();
        format!("stops gas{of}{stopping}\n")
    }
}
