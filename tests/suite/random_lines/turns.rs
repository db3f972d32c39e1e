//! Work that turns units, and work that needs them to stand in some way.

use super::features::Feature;
use super::write::Writer;

impl Writer {
    /// The ways in which units stand, and in the sentences of some tasks which of them are needed.
    pub(super) fn turn_units(&mut self) -> String {
        if !self.features.allows(Feature::Turns) {
            return String::new();
        }
        let made = self.what_turns();
        if made.is_empty() {
            return String::new();
        }
        self.features.note(Feature::Turns);
        let mut text = "orientation low\n".to_string();
        for (way, steps) in made.iter().enumerate() {
            let names: Vec<&str> = steps.iter().map(|step| self.steps[*step].name.as_str()).collect();
            text.push_str(&format!("orientation high{way} after {}\n", names.join(", ")));
        }
        for step in 0..self.steps.len() {
            if self.steps[step].name.starts_with('t') && self.dice.chance(50) {
                let mut needs = self.may_stand(step, &made);
                // One too few is refused, as a rule.
                if needs.len() > 1 && self.dice.chance(3) {
                    needs.pop();
                }
                let sentence = format!("task {} ", self.steps[step].name);
                let start = self.step_text.find(&sentence).expect("its sentence was written");
                let end = start + self.step_text[start..].find('\n').expect("it ends with its line");
                self.step_text.insert_str(end, &format!("  needs {}", needs.join(", ")));
            }
        }
        text
    }

    /// Per way the tasks that turn units so, none of which is done again; a lane may turn it, or every lane of a group.
    fn what_turns(&mut self) -> Vec<Vec<usize>> {
        let free = |writer: &Writer, step: usize| {
            let step = &writer.steps[step];
            step.name.starts_with('t') && !step.bound
        };
        let mut open: Vec<usize> = (0..self.steps.len()).filter(|step| free(self, *step)).collect();
        let mut made = Vec::new();
        let lanes = self.lane_count();
        let of_lane = |writer: &Writer, lane: usize| {
            open.iter().copied().find(|step| writer.lane_of(writer.steps[*step].place) == Some(lane))
        };
        let each: Vec<usize> = (0..lanes).filter_map(|lane| of_lane(self, lane)).collect();
        if !each.is_empty() && self.wants(Feature::TurnsInLanes, 100) {
            let some = if self.dice.chance(60) { each } else { vec![*self.dice.one_of(&each)] };
            open.retain(|step| !some.contains(step));
            made.push(some);
        }
        open.retain(|step| self.all_come(self.steps[*step].place));
        while made.len() < 2 && !open.is_empty() && self.dice.chance(70) {
            let at = self.dice.from(0, open.len() as u32 - 1) as usize;
            made.push(vec![open.remove(at)]);
        }
        made
    }

    /// In which ways a step may find a unit, as far as places say: what stands later has not turned it, and what stands
    /// earlier has, if it is done to every unit that comes here.
    fn may_stand(&self, step: usize, made: &[Vec<usize>]) -> Vec<String> {
        let place = self.steps[step].place;
        // How far back along the line it has surely been turned.
        let surely = made.iter().filter_map(|steps| self.surely_turned_at(steps, place)).max();
        let mut found: Vec<String> = Vec::new();
        for (way, steps) in made.iter().enumerate() {
            let may = |other: &&usize| {
                let there = self.steps[**other].place;
                **other != step
                    && there <= place
                    && self.may_follow(place, there)
                    && surely.is_none_or(|at| there >= at)
            };
            if steps.iter().any(|other| may(&other)) {
                found.push(format!("high{way}"));
            }
        }
        if surely.is_none() {
            found.push("low".to_string());
        }
        found
    }

    /// The first place from which on it is surely turned for who comes to a later place, if there is one.
    fn surely_turned_at(&self, steps: &[usize], place: usize) -> Option<usize> {
        let over = |step: &&usize| self.steps[**step].for_all && self.steps[**step].place < place;
        let here = |step: &&usize| {
            let there = self.steps[**step].place;
            self.all_come(there) || self.same_lane(there, place)
        };
        let alone = steps.iter().filter(over).filter(here).map(|step| self.steps[*step].place).max();
        let lanes = self.lane_count();
        let in_each =
            lanes > 0 && steps.len() == lanes && steps.iter().all(|step| over(&step)) && self.all_come(place);
        alone.or(in_each.then(|| steps.iter().map(|step| self.steps[*step].place).min()).flatten())
    }
}
