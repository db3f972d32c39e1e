//! Gates, carriers and a yard around the places of a random line.

use super::features::Feature;
use super::write::Writer;

impl Writer {
    /// A gate after a step at a place; what it leaves goes on to a later station, if it may.
    pub(super) fn gate(&mut self, place: usize, after: &str) {
        if !self.wants(Feature::Gates, 40) {
            return;
        }
        let (time, _) = self.time(5, 30, false);
        let finds = ["0.3", "0.8", "2"][self.dice.from(0, 2) as usize];
        let name = format!("list{}", place + 1);
        let mut text = format!("gate {name}  finds {finds} per unit  takes {time}  by 1  after {after}");
        text.push_str(&format!("  at {}", self.places[place].name));
        let later: Vec<usize> = (place + 1..self.places.len())
            .filter(|p| !self.places[*p].is_rack && self.same_lane(*p, place))
            .collect();
        if !later.is_empty() && self.wants(Feature::GoesOn, 70) {
            let to = *self.dice.one_of(&later);
            text.push_str(&format!("  at most {} go on to {}", self.dice.from(1, 3), self.places[to].name));
        }
        self.step_text.push_str(&format!("{text}\n"));
        self.gates.push((name, place));
    }

    /// Carriers over the whole line, or over part of it where no test sends units back.
    pub(super) fn carriers(&mut self) -> String {
        if !self.wants(Feature::Carriers, 100) {
            return String::new();
        }
        let (mut first, mut last) = (0, self.places.len() - 1);
        if !self.features.used.contains(&Feature::Tests) && self.dice.chance(60) {
            first = self.dice.from(0, last as u32) as usize;
            last = self.dice.from(first as u32, last as u32) as usize;
            // In a pushed stretch units take them where it begins.
            if let Some((from, to)) = self.pushed.filter(|(from, to)| *from < first && first <= *to) {
                first = from;
                last = last.max(to);
            }
            if !self.same_lane(first, last) {
                (first, last) = (0, self.places.len() - 1);
            }
        }
        let room: u32 = self.places[first..=last].iter().map(|place| place.bays + place.slots).sum();
        let least = if self.features.used.contains(&Feature::Full) { room } else { 1 };
        let count = self.dice.from(least, room + 2);
        let mut text =
            format!("carriers dolly {count}  from {} to {}", self.places[first].name, self.places[last].name);
        if self.dice.chance(60) {
            let (time, _) = self.time(5, 60, false);
            text.push_str(&format!("  returning in {time}"));
        }
        text.push('\n');
        text
    }

    pub(super) fn yard(&mut self) -> String {
        if !self.wants(Feature::Yard, 100) {
            return String::new();
        }
        let (places, load) = (self.dice.from(3, 30), self.dice.from(3, 20));
        let days = if self.dice.chance(30) { "  on mon to sat" } else { "" };
        format!("yard lot  places {places}, lorries of {load} at 07:00, 09:30, 12:15, 18:00{days}\n")
    }
}
