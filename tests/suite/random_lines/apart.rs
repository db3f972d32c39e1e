//! Work that is kept apart.

use super::features::Feature;
use super::write::Writer;

impl Writer {
    /// `exclude` statements over steps that are there.
    pub fn keep_apart(&mut self) -> String {
        let mut text = String::new();
        if self.features.allows(Feature::Apart) {
            let pairs: Vec<(usize, usize)> = (0..self.steps.len())
                .flat_map(|a| (0..self.steps.len()).map(move |b| (a, b)))
                .filter(|(a, b)| a != b && self.steps[*a].place == self.steps[*b].place)
                .filter(|(_, b)| !self.moving.contains(b))
                .filter(|(a, _)| self.steps[*a].name.starts_with('t'))
                .collect();
            if !pairs.is_empty() {
                let (a, b) = *self.dice.one_of(&pairs);
                self.features.note(Feature::Apart);
                text.push_str(&format!("exclude {} while {} runs\n", self.steps[a].name, self.steps[b].name));
            }
            let chosen = self.step_text.contains("z1 or z") || self.step_text.contains("or z1");
            let wanted = !chosen || self.wants(Feature::ApartSides, 100);
            if self.step_text.contains("in z1") && wanted && self.dice.chance(40) {
                let in_zone = |line: &str| line.starts_with("task") && line.contains("in z1");
                let zoned = self.step_text.lines().find(|line| in_zone(line)).unwrap_or_default();
                let name = zoned.split(' ').nth(1).unwrap_or_default();
                let place = self.steps.iter().find(|s| s.name == name).map(|s| s.place);
                let moves = |name: &str| self.moving.iter().any(|s| self.steps[*s].name == name);
                let other =
                    self.steps.iter().find(|s| Some(s.place) == place && s.name != name && !moves(&s.name));
                if let Some(other) = other {
                    text.push_str(&format!("exclude work in z1 while {} runs\n", other.name));
                }
            }
        }
        if self.features.allows(Feature::ApartNear) {
            let tasks: Vec<usize> =
                (0..self.steps.len()).filter(|s| self.steps[*s].name.starts_with('t')).collect();
            let a = *self.dice.one_of(&tasks);
            let b = self.dice.from(0, self.steps.len() as u32 - 1) as usize;
            let gap = self.steps[a].place.abs_diff(self.steps[b].place) as u32;
            let reach = gap + self.dice.from(0, 1);
            let meet = self.may_follow(self.steps[a].place, self.steps[b].place);
            if meet && reach <= self.places.len() as u32 && !self.moving.contains(&b) {
                self.features.note(Feature::ApartNear);
                let (a, b) = (&self.steps[a].name, &self.steps[b].name);
                text.push_str(&format!("exclude {a} while {b} run within {reach} places\n"));
            }
        }
        text
    }
}
