//! Lanes among the places of a random line.

use super::features::Feature;
use super::write::Writer;
use std::fmt::Write;

/// Lanes side by side.
pub(super) struct Lanes {
    rule: Rule,
    /// First and last place of each.
    lanes: Vec<(usize, usize)>,
    /// The model that only the second lane takes.
    only: Option<&'static str>,
}

#[derive(Clone, Copy, PartialEq)]
enum Rule {
    Model,
    Share,
    Queue,
}

impl Writer {
    /// Cuts a row of places that are not pushed, with one before and one behind, into two or three lanes.
    pub(super) fn lay_out_lanes(&mut self) {
        let count = self.places.len();
        if count < 4 || !self.wants(Feature::Lanes, 100) {
            return;
        }
        let first = self.dice.from(1, count as u32 - 3) as usize;
        let last = self.dice.from(first as u32 + 1, count as u32 - 2) as usize;
        let touches = |(a, b): (usize, usize)| a <= last + 1 && first - 1 <= b;
        if self.pushed.is_some_and(touches) && self.dice.chance(60) {
            self.pushed = None;
        }
        if self.pushed.is_some_and(touches) {
            self.features.used.retain(|feature| *feature != Feature::Lanes);
            return;
        }
        let mut lanes = Vec::new();
        let mut at = first;
        while at <= last {
            let most = (last - at) as u32;
            // Two lanes at least.
            let more = if lanes.is_empty() { most.saturating_sub(1) } else { most };
            let to = at + self.dice.from(0, more.min(1)) as usize;
            lanes.push((at, to));
            at = to + 1;
        }
        let rule = match (self.dice.from(0, 3), self.models.len() > 1 && lanes.len() == 2) {
            (0, true) => Rule::Model,
            (0 | 1, _) => Rule::Share,
            (_, _) => Rule::Queue,
        };
        let some = rule == Rule::Model || (rule == Rule::Queue && self.dice.chance(40));
        let only = (some && self.models.len() > 1).then(|| *self.dice.one_of(&["A", "B"]));
        for (from, _) in &lanes {
            if rule == Rule::Queue && self.wants(Feature::InTurnInLanes, 60) {
                self.places[*from].in_turn = true;
            }
        }
        self.lanes = Some(Lanes { rule, lanes, only });
    }

    /// The lane in which a place stands.
    pub(super) fn lane_of(&self, place: usize) -> Option<usize> {
        let lanes = self.lanes.as_ref()?;
        lanes.lanes.iter().position(|(from, to)| *from <= place && place <= *to)
    }

    /// A lane to which the shortest queue sends units begins here, and units return to it in turn.
    pub(super) fn begins_in_turn(&self, place: usize) -> bool {
        let begins =
            |lanes: &Lanes| lanes.rule == Rule::Queue && lanes.lanes.iter().any(|(first, _)| *first == place);
        self.places[place].in_turn && self.lanes.as_ref().is_some_and(begins)
    }

    pub(super) fn lane_count(&self) -> usize {
        self.lanes.as_ref().map_or(0, |lanes| lanes.lanes.len())
    }

    /// What is begun at one place and ended at another has both in one lane, or none in any.
    pub(super) fn same_lane(&self, one: usize, other: usize) -> bool {
        self.lane_of(one) == self.lane_of(other)
    }

    /// Work at one place may follow work at another: no unit passes two lanes.
    pub(super) fn may_follow(&self, place: usize, before: usize) -> bool {
        match (self.lane_of(place), self.lane_of(before)) {
            (Some(here), Some(there)) => here == there,
            (_, _) => true,
        }
    }

    /// The statements before the station at a place, and after it.
    pub(super) fn lane_text(&self, place: usize) -> (String, &'static str) {
        let (Some(lanes), Some(lane)) = (&self.lanes, self.lane_of(place)) else {
            return (String::new(), "");
        };
        let (from, to) = lanes.lanes[lane];
        let mut text = String::new();
        if place == from {
            if lane == 0 {
                let by = match lanes.rule {
                    Rule::Model => "model",
                    Rule::Share => "share",
                    Rule::Queue => "the shortest queue",
                };
                let _ = writeln!(text, "lanes ways chosen by {by}");
            }
            let share = match (lanes.rule, lanes.lanes.len(), lane) {
                (Rule::Model | Rule::Queue, _, _) => String::new(),
                (Rule::Share, 2, 0) => " 30 %".to_string(),
                (Rule::Share, 2, _) => " 70 %".to_string(),
                (Rule::Share, 3, 2) => " 50 %".to_string(),
                (Rule::Share, 3, _) => " 25 %".to_string(),
                // Alike, but for the last one.
                (Rule::Share, all, lane) if lane + 1 < all => format!(" {} %", 100 / all),
                (Rule::Share, all, _) => format!(" {} %", 100 - (all - 1) * (100 / all)),
            };
            let _ = writeln!(text, "lane way{}{share} of ways{} {{", lane + 1, self.only_text(lane));
        }
        (text, if place == to { "}\n" } else { "" })
    }

    /// Where the model decides, the second lane has one of them; where the queues do, it alone takes it.
    fn only_text(&self, lane: usize) -> String {
        let Some((lanes, only)) = self.lanes.as_ref().and_then(|lanes| Some((lanes, lanes.only?))) else {
            return String::new();
        };
        let others: Vec<&str> = self.models.iter().copied().filter(|model| *model != only).collect();
        match (lanes.rule, lane) {
            (_, 0) => format!(" only {}", others.join(", ")),
            (Rule::Model, _) => format!(" only {only}"),
            (_, _) => String::new(),
        }
    }

    /// Every unit comes to a place, of whatever model.
    pub(super) fn all_come(&self, place: usize) -> bool {
        self.lane_of(place).is_none()
    }
}
