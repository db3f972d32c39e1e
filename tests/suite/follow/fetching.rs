//! Equipment that is fetched from where it was last used, and who gets it first.

use super::Follower;
use super::unit::{Unit, What};
use taktwright::line::{CrewId, EquipmentId, PlaceId, StepId};
use taktwright::units::Time;

/// A task took equipment while another that goes first waited: wrong if that one still lacks nothing else when the
/// instant ends.
#[derive(Clone, Copy, Debug)]
pub struct Passed {
    pub unit: u64,
    pub step: StepId,
    pub other: u64,
    pub first: StepId,
}

impl Follower<'_> {
    fn takes_piece(&self, step: StepId, equipment: EquipmentId) -> bool {
        let line = self.line;
        line.steps[step.index()].equipment.iter().any(|(e, _)| *e == equipment)
            || line.keeps.iter().any(|keep| keep.equipment == equipment && keep.from == step)
    }

    /// Pieces that would have to come from another place: those that stand here go first, then those that nobody
    /// has used, then whoever has stood longest.
    fn chosen(&self, equipment: usize, pieces: u32, place: PlaceId) -> (Vec<Option<PlaceId>>, bool) {
        let mut stands = self.stands[equipment].clone();
        let mut fetches = false;
        for _ in 0..pieces {
            let of = |wanted: Option<PlaceId>| stands.iter().position(|at| *at == wanted);
            match of(Some(place)).or_else(|| of(None)) {
                Some(at) => drop(stands.remove(at)),
                None => {
                    fetches = true;
                    if !stands.is_empty() {
                        stands.remove(0);
                    }
                }
            }
        }
        (stands, fetches)
    }

    /// How long a step that starts now is on its way with equipment.
    pub fn way_of(&self, unit: &Unit, step: StepId, place: PlaceId) -> Time {
        // A hold begins in its time; what is kept from it comes meanwhile.
        if self.line.steps[step.index()].hold().is_some() {
            return Time::ZERO;
        }
        let all = self.line.equipment.iter().enumerate();
        let fetched = all.filter(|(e, equipment)| {
            let more =
                self.use_of(unit, EquipmentId::from_index(*e), Some(step)).saturating_sub(unit.uses[*e]);
            !equipment.moving.is_zero() && more > 0 && self.chosen(*e, more, place).1
        });
        fetched.map(|(_, equipment)| equipment.moving).max().unwrap_or(Time::ZERO)
    }

    /// A unit holds other pieces than before, where it stands.
    pub fn equipment_changes(&mut self, equipment: usize, (was, is): (u32, u32), place: PlaceId) {
        if is > was {
            self.stands[equipment] = self.chosen(equipment, is - was, place).0;
        } else {
            self.stands[equipment].extend((is..was).map(|_| Some(place)));
        }
    }

    /// Steps that wait, lack nothing but equipment and get it before this one.
    pub fn go_before(&self, number: u64, step: StepId) -> Vec<(u64, StepId)> {
        let ranked: Vec<usize> = (0..self.line.equipment.len())
            .filter(|e| !self.line.equipment[*e].first.is_empty())
            .filter(|e| self.takes_piece(step, EquipmentId::from_index(*e)))
            .collect();
        if ranked.is_empty() {
            return Vec::new();
        }
        let mut found = Vec::new();
        for (other, unit) in &self.units {
            let Some((place, _)) = unit.bay() else { continue };
            for what in self.ready_on(*other, place) {
                let What::Step(first) = what else { continue };
                let before = ranked.iter().any(|e| {
                    self.takes_piece(first, EquipmentId::from_index(*e))
                        && self.rank(*e, first) < self.rank(*e, step)
                });
                let itself = (*other, first) == (number, step);
                if before
                    && !itself
                    && !self.fits_not(*other, what)
                    && self.has_all_but_people(*other, what, place)
                    && self.finds_people(*other, what)
                {
                    found.push((*other, first));
                }
            }
        }
        found
    }

    /// It lets another that waits have its equipment first, and so has no claim on people: if it has its own.
    pub fn lets_pass(&self, number: u64, what: What) -> bool {
        matches!(what, What::Step(step) if !self.go_before(number, step).is_empty())
    }

    /// It may have let another pass in this instant, when its crew's work was looked through: one that started, or
    /// that waits, whatever it turned out to lack.
    pub fn may_yield(&self, what: What) -> bool {
        let What::Step(step) = what else { return false };
        let went = |(at, first): &(Time, StepId)| *at == self.now && self.goes_before(*first, step);
        let waits = |(number, unit): (&u64, &Unit)| {
            let Some((place, _)) = unit.bay() else { return false };
            let ready = self.ready_on(*number, place);
            ready.iter().any(|other| matches!(other, What::Step(first) if self.goes_before(*first, step)))
        };
        self.went_first.iter().any(went) || self.units.iter().any(waits)
    }

    /// How many ranks of tasks get a kind of equipment before this one.
    fn rank(&self, equipment: usize, step: StepId) -> usize {
        let first = &self.line.equipment[equipment].first;
        first.iter().position(|rank| rank.contains(&step)).unwrap_or(first.len())
    }

    /// Gets some equipment that both take before the other.
    fn goes_before(&self, first: StepId, step: StepId) -> bool {
        (0..self.line.equipment.len()).any(|e| {
            let takes = |s: StepId| self.takes_piece(s, EquipmentId::from_index(e));
            takes(first) && takes(step) && self.rank(e, first) < self.rank(e, step)
        })
    }

    /// People are there who could do it, whoever else has a claim on them.
    pub fn finds_people(&self, number: u64, what: What) -> bool {
        let Some((place, bay)) = self.units[&number].bay() else { return false };
        let needs = self.needs_of(&self.units[&number], what);
        let Some(gang) = self.gang_at(place, bay) else { return needs.is_empty() };
        if self.gang(gang).home || !self.attended_at(place) {
            return false;
        }
        let free = self.free_of(gang);
        needs.is_empty()
            || super::people::can_fill(&needs, &super::people::skills_of(self.line, gang.0), free)
    }

    /// Whenever its crew looked in this instant, even with those who have begun something since, people were missing: it let
    /// nobody go first.
    pub fn lacked_people(&self, number: u64, what: What, gang: (CrewId, u16)) -> bool {
        let running = self.units.values().flat_map(|unit| &unit.running);
        let begun = running.filter(|run| run.started == self.now && run.crew == Some(gang));
        let begun = begun.fold(0, |mask, run| mask | run.people);
        let free = self.here(gang) & !(self.gang(gang).busy & !begun) & !self.outside_hours(gang.0);
        let needs = self.needs_of(&self.units[&number], what);
        let helped = self.helpers_here(gang.0) != 0;
        !helped && !super::people::can_fill(&needs, &super::people::skills_of(self.line, gang.0), free)
    }

    /// Notes whoever should have gone first.
    pub fn note_passed(&mut self, number: u64, step: StepId) {
        let found = self.go_before(number, step);
        let now = self.now;
        self.went_first.retain(|(at, _)| *at == now);
        self.went_first.push((now, step));
        self.passed.extend(found.into_iter().map(|(other, first)| Passed {
            unit: number,
            step,
            other,
            first,
        }));
    }

    /// At the end of an instant: who was passed over and still waits for nothing but equipment?
    pub fn judge_passed(&mut self) {
        for passed in std::mem::take(&mut self.passed) {
            let Some((place, _)) = self.units.get(&passed.other).and_then(Unit::bay) else { continue };
            let what = What::Step(passed.first);
            let waits = !self.was_just_found(passed.other, what)
                && !self.fits_not(passed.other, what)
                && self.ready_on(passed.other, place).contains(&what)
                && !self.lets_pass(passed.other, what)
                && self.lacked_only_people(passed.other, what, place)
                && self.finds_people(passed.other, what);
            if waits {
                let (name, first) = (self.said(What::Step(passed.step)), self.said(what));
                let text = format!(
                    "{name} takes equipment before {first} of unit {}, which goes first",
                    passed.other
                );
                self.fault(Some(passed.unit), Some(place), text);
            }
        }
    }
}
