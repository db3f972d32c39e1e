//! Equipment that is fetched, and tasks that get it before others.

use super::features::Feature;
use super::write::{Writer, minutes};

impl Writer {
    /// What the statement of the rig says of its way and of who goes first.
    pub(super) fn fetching(&mut self) -> String {
        let mut text = String::new();
        if self.wants(Feature::Fetched, 100) {
            text.push_str(&format!("  moving {}", minutes(self.dice.from(2, 12))));
        }
        let with_rig = self.step_text.lines().filter(|sentence| sentence.contains("  with rig"));
        let names = with_rig.filter_map(|sentence| sentence.split(' ').nth(1).map(str::to_string));
        let mut names: Vec<String> = names.collect();
        if names.len() > 1 && self.wants(Feature::Ranks, 100) {
            if self.dice.chance(60) {
                names.reverse();
            }
            let ranks = self.dice.from(1, names.len() as u32 - 1) as usize;
            text.push_str(&format!("  first {}", names[..ranks].join(" then ")));
        }
        text
    }
}
