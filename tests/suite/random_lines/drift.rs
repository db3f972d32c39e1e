//! Crews of a pushed stretch that drift.

use super::features::Feature;
use super::write::Writer;

impl Writer {
    /// Lets the crews of some stations of the pushed stretch finish work in the next place, in the sentences
    /// of the places, which are written.
    pub(super) fn let_drift(&mut self, text: &mut String) {
        let Some((first, last)) = self.pushed else { return };
        let walks = self.features.used.contains(&Feature::Walks);
        let by_signal = text.contains("pushed every") && (!walks || self.wants(Feature::EarlyWalks, 100));
        for p in first..=last {
            let sentence = format!("station {} ", self.places[p].name);
            let Some(start) = text.find(&sentence) else { continue };
            let on = p < last && self.wants(Feature::Drift, 60);
            let per_bay = self.places[p].crew.per_bay;
            let early = p > first && by_signal && self.wants(Feature::Early, 60);
            let early = early && (!per_bay || self.wants(Feature::EarlyPerBay, 100));
            let how = match (on, early) {
                (false, false) => continue,
                (true, false) => "",
                (false, true) => " early",
                (true, true) => " both ways",
            };
            let end = start + text[start..].find('\n').expect("it ends with its line");
            text.insert_str(end, &format!("  drift 0.{} min{how}", self.dice.from(2, 9)));
        }
    }
}
