//! People who move the units of a stretch, with a push or one by one.

use super::features::Feature;
use super::write::Writer;

impl Writer {
    /// Sometimes some of the crews of the stretch; nothing where nobody is sure to be in one.
    pub(super) fn movers_text(&mut self, first: usize, last: usize, percent: u32) -> String {
        let stations = self.places[first..=last].iter().filter(|place| !place.is_rack);
        let alone = stations.filter(|place| place.crew.team.is_none());
        let fit: u32 =
            alone.map(|place| place.crew.fit * if place.crew.per_bay { place.bays } else { 1 }).sum();
        if fit == 0 || !self.wants(Feature::Movers, percent) {
            return String::new();
        }
        let skilled = self.features.allows(Feature::Skills) && self.dice.chance(50);
        let count = self.dice.from(1, fit.min(4));
        if skilled && count > 1 && self.dice.chance(60) {
            return format!("  by {} fit, 1", count - 1);
        }
        format!("  by {count}{}", if skilled { " fit" } else { "" })
    }
}
