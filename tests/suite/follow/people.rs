//! Who is free, who can fill a need, who has an older claim.

use super::Follower;
use super::unit::{Asked, Running, Unit, What};
use taktwright::line::{CrewId, EquipmentId, Line, Need, OutcomeKind, PlaceId, StepId, VISITOR};
use taktwright::simulate::{Event, Spot};
use taktwright::units::Time;

/// One crew, or one bay's of it.
#[derive(Clone, Default, Debug)]
pub struct Gang {
    pub busy: u128,
    /// Those among them whose work pauses, and those who move the units of a segment.
    pub resting: u128,
    pub moving: u128,
    /// A push waits for these: they begin nothing new.
    pub kept_back: u128,
    /// Who is there in this shift; everybody where nothing was said.
    pub here: Option<u128>,
    /// Went home early in the shift that began at this instant.
    pub home: bool,
}

/// A step took people while an older unit's step waited: wrong if that one lacked only people and
/// is still waiting when the instant ends.
#[derive(Clone, Copy, Debug)]
pub struct Suspect {
    pub unit: u64,
    pub step: What,
    pub older: u64,
    pub older_step: What,
}

/// Skills of every person of a crew, in their order.
pub fn skills_of(line: &Line, crew: CrewId) -> Vec<u64> {
    let members = &line.crews[crew.index()].members;
    members
        .iter()
        .flat_map(|(count, group)| std::iter::repeat_n(line.groups[group.index()].skills, *count as usize))
        .collect()
}

/// Can this person fill that need?
fn can(need: &Need, skills: u64) -> bool {
    match need.skill {
        Some(skill) => skills >> skill.index() & 1 == 1,
        // Visitors do only what asks for them.
        None => skills & VISITOR == 0,
    }
}

/// Can the people in `mask` fill all needs, one person one place? (Augmenting paths.)
pub fn can_fill(needs: &[Need], skills: &[u64], mask: u128) -> bool {
    let places: Vec<&Need> = needs.iter().flat_map(|n| std::iter::repeat_n(n, n.count as usize)).collect();
    let mut taken: Vec<Option<usize>> = vec![None; skills.len()];
    fn seat(
        place: usize,
        places: &[&Need],
        free: &dyn Fn(usize) -> bool,
        skills: &[u64],
        taken: &mut Vec<Option<usize>>,
        tried: &mut Vec<bool>,
    ) -> bool {
        for person in 0..skills.len() {
            if tried[person] || !free(person) || !can(places[place], skills[person]) {
                continue;
            }
            tried[person] = true;
            let moved = match taken[person] {
                None => true,
                Some(other) => seat(other, places, free, skills, taken, tried),
            };
            if moved {
                taken[person] = Some(place);
                return true;
            }
        }
        false
    }
    let free = |person: usize| mask >> person & 1 == 1;
    (0..places.len())
        .all(|place| seat(place, &places, &free, skills, &mut taken, &mut vec![false; skills.len()]))
}

/// The people who could fill any of the needs.
pub fn able(needs: &[Need], skills: &[u64]) -> u128 {
    skills
        .iter()
        .enumerate()
        .filter(|(_, s)| needs.iter().any(|need| need.count > 0 && can(need, **s)))
        .fold(0, |mask, (person, _)| mask | 1 << person)
}

/// Whether a unit enters as its move starts or as it ends is not settled: older by both.
pub fn is_older(other: &Unit, unit: &Unit) -> bool {
    other.entered < unit.entered && other.arrives < unit.arrives
}

impl Follower<'_> {
    /// The crew that works at a bay, and which of its gangs.
    pub fn gang_at(&self, place: PlaceId, bay: u16) -> Option<(CrewId, u16)> {
        let crew = self.line.places[place.index()].crew?;
        Some((crew, if self.line.crews[crew.index()].per_bay { bay } else { 0 }))
    }

    pub fn gang(&self, gang: (CrewId, u16)) -> &Gang {
        &self.gangs[gang.0.index()][usize::from(gang.1)]
    }

    /// Everybody of a crew.
    pub fn everybody(&self, crew: CrewId) -> u128 {
        let size = self.line.crews[crew.index()].size();
        if size >= 128 { u128::MAX } else { (1 << size) - 1 }
    }

    /// The people that something asks for by the file.
    pub fn asks_of(&self, unit: &Unit, what: What) -> Vec<Need> {
        match what {
            What::Step(step) => {
                let own = &self.line.steps[step.index()].needs[unit.model.index()];
                match unit.again[step.index()].map(|(_, window)| &self.line.windows[window]) {
                    Some(window) if window.redo.first() == Some(&step) => {
                        window.redo_needs.as_ref().unwrap_or(own).clone()
                    }
                    Some(_) | None => own.clone(),
                }
            }
            What::Fix(test) => match unit.asked {
                Some(Asked::Fix(_, index)) => match &self.line.tests[test.index()].outcomes[index].kind {
                    OutcomeKind::FixedInPlace(fix) | OutcomeKind::ToRepair { fix, .. } => fix.needs.clone(),
                    OutcomeKind::BackTo { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => {
                        Vec::new()
                    }
                },
                Some(Asked::Leave | Asked::Scrap | Asked::SetAside) | None => Vec::new(),
            },
        }
    }

    /// Pieces of equipment that a unit holds: what it keeps covers what its steps use.
    pub fn use_of(&self, unit: &Unit, equipment: EquipmentId, and_step: Option<StepId>) -> u32 {
        let line = self.line;
        let takes = |step: StepId| {
            let wanted = line.steps[step.index()].equipment.iter();
            wanted.filter(|(e, _)| *e == equipment).map(|(_, n)| n).sum::<u32>()
        };
        let begins = |k: usize| and_step.is_some_and(|s| line.keeps[k].from == s);
        let kept = (0..line.keeps.len())
            .filter(|k| line.keeps[*k].equipment == equipment && (unit.kept[*k] || begins(*k)))
            .count() as u32;
        let used: u32 = unit
            .running
            .iter()
            .filter_map(|r| match r.what {
                What::Step(step) => Some(step),
                What::Fix(_) => None,
            })
            .chain(and_step)
            .map(takes)
            .sum();
        kept.max(used)
    }

    /// Is there equipment for one more step of the unit?
    pub fn has_equipment(&self, unit: &Unit, step: StepId) -> bool {
        (0..self.line.equipment.len()).all(|e| {
            let id = EquipmentId::from_index(e);
            let wanted = self.use_of(unit, id, Some(step));
            self.in_use[e] - unit.uses[e] + wanted <= self.line.equipment[e].count || wanted == unit.uses[e]
        })
    }

    /// Was there equipment when the list was walked? What has started at this instant may have taken it
    /// since.
    fn had_equipment(&self, unit: &Unit, step: StepId) -> bool {
        let taken_now = |id: EquipmentId| {
            let running = self.units.values().flat_map(|unit| &unit.running);
            let steps = running.filter(|r| r.started == self.now).filter_map(|r| match r.what {
                What::Step(step) => Some(step),
                What::Fix(_) => None,
            });
            let wanted = steps.flat_map(|step| &self.line.steps[step.index()].equipment);
            wanted.filter(|(e, _)| *e == id).map(|(_, n)| n).sum::<u32>()
        };
        self.has_equipment(unit, step)
            || (0..self.line.equipment.len()).all(|e| {
                let id = EquipmentId::from_index(e);
                let more = self.use_of(unit, id, Some(step)).saturating_sub(unit.uses[e]);
                (self.in_use[e] + more).saturating_sub(taken_now(id)) <= self.line.equipment[e].count
            })
    }

    /// Notes what a unit holds now.
    pub fn recount(&mut self, number: u64) {
        let Some(unit) = self.units.get(&number) else { return };
        let uses: Vec<u32> = (0..self.line.equipment.len())
            .map(|e| self.use_of(unit, EquipmentId::from_index(e), None))
            .collect();
        let (before, place) = (unit.uses.clone(), super::moves::place_of(unit.spot));
        for (e, n) in uses.iter().enumerate() {
            self.in_use[e] = self.in_use[e] - before[e] + n;
            self.equipment_changes(e, (before[e], *n), place);
        }
        if let Some(unit) = self.units.get_mut(&number) {
            unit.uses = uses;
        }
    }

    /// People at work in the zones of a cap on this unit; `before` leaves out what started now.
    fn people_in(&self, unit: &Unit, cap: usize, before: bool) -> u32 {
        let cap = &self.line.room_caps[cap];
        let walked = unit.bay().map_or(self.now, |(place, _)| self.last_walk(place));
        unit.running
            .iter()
            .filter(|r| !before || r.started < walked)
            .filter(|r| match r.what {
                What::Step(step) => self.is_in(step, cap.zones.as_deref()),
                What::Fix(_) => false,
            })
            .map(|r| r.people.count_ones())
            .sum()
    }

    fn is_in(&self, step: StepId, zones: Option<&[taktwright::line::ZoneId]>) -> bool {
        let own = &self.line.steps[step.index()].zones;
        zones.is_none_or(|zones| own.iter().any(|z| zones.contains(z)))
    }

    /// Is there room for the people of one more step?
    pub fn has_room(&self, unit: &Unit, step: StepId, place: PlaceId) -> bool {
        self.had_room(unit, step, place, false)
    }

    /// When the crew of a place last walked its list, as far as anything was heard: what happens elsewhere makes no
    /// crew walk it anew.
    pub fn last_walk(&self, place: PlaceId) -> Time {
        let crew = self.line.places[place.index()].crew;
        let own = [place];
        let served = crew.map_or(&own[..], |crew| &self.line.crews[crew.index()].places);
        served.iter().map(|place| self.heard_of[place.index()]).max().unwrap_or(self.now)
    }

    /// Something is heard of a place: its crew looks at its work.
    pub fn note_where(&mut self, event: &Event) {
        let place = match event {
            Event::StepStarted { place, .. }
            | Event::StepEnded { place, .. }
            | Event::FixStarted { place, .. }
            | Event::FixEnded { place, .. }
            | Event::SetOut { place, .. }
            | Event::HandedOver { place, .. }
            | Event::Paused { place, .. }
            | Event::WentOn { place, .. } => *place,
            Event::Moved { to: Spot::Bay(place, _), .. } => *place,
            _ => return,
        };
        self.heard_of[place.index()] = self.now;
    }

    /// Was there room when the list was walked? A step that lacked only people then has barred younger
    /// units, even if another step of its unit has taken the room since, in the same walk.
    pub fn lacked_only_people(&self, number: u64, what: What, place: PlaceId) -> bool {
        let unit = &self.units[&number];
        match what {
            What::Step(step) => {
                // Who lacks people lets nobody go first.
                !(self.lets_pass(number, what) && self.finds_people(number, what))
                    && self.has_parts(number, step)
                    && self.had_equipment(unit, step)
                    && self.had_room(unit, step, place, true)
            }
            What::Fix(_) => true,
        }
    }

    /// Is there room for so many more people at a step?
    pub fn has_room_for(&self, unit: &Unit, what: What, place: PlaceId, people: u32) -> bool {
        let What::Step(step) = what else { return true };
        (0..self.line.room_caps.len()).all(|c| {
            let cap = &self.line.room_caps[c];
            !self.is_in(step, cap.zones.as_deref())
                || self.people_in(unit, c, false) + people <= cap.people_at(place)
        })
    }

    fn had_room(&self, unit: &Unit, step: StepId, place: PlaceId, before: bool) -> bool {
        let people: u32 = self.needs_of(unit, What::Step(step)).iter().map(|n| n.count).sum();
        let apart = self.must_keep_apart(unit, step, place, before);
        !apart
            && (0..self.line.room_caps.len()).all(|c| {
                let cap = &self.line.room_caps[c];
                !self.is_in(step, cap.zones.as_deref())
                    || people == 0
                    || self.people_in(unit, c, before) + people <= cap.people_at(place)
            })
    }

    /// Parts, equipment and room are there, so that people alone could be missing.
    pub fn has_all_but_people(&self, number: u64, what: What, place: PlaceId) -> bool {
        let unit = &self.units[&number];
        if self.is_barred(unit, what, place) {
            return false;
        }
        match what {
            What::Step(step) => {
                self.has_parts(number, step)
                    && self.has_equipment(unit, step)
                    && self.has_room(unit, step, place)
            }
            What::Fix(_) => true,
        }
    }

    /// Does starting this step close a window that is open on the unit?
    pub fn closes_window(&self, unit: &Unit, what: What) -> bool {
        self.line
            .windows
            .iter()
            .enumerate()
            .any(|(w, window)| what == What::Step(window.closes) && unit.windows[w].opened.is_some())
    }

    /// Does this step open a window so short that it may have to wait for the next stretch?
    pub fn may_wait_for_stretch(&self, what: What) -> bool {
        let hours = match what {
            What::Step(step) => self.hours_at(self.line.steps[step.index()].place),
            What::Fix(_) => return false,
        };
        let calendar = match hours {
            0 => self.line.calendar.as_ref(),
            own => self.line.own_hours.get(usize::from(own) - 1),
        };
        let weeks = calendar.iter().flat_map(|c| c.week.iter());
        let longest = weeks.map(taktwright::line::WeekShift::longest_stretch).max();
        self.line
            .windows
            .iter()
            .any(|w| what == What::Step(w.opens) && longest.is_some_and(|longest| w.limit < longest))
    }

    /// The units in the places that a crew serves, with where they stand.
    pub fn served_by(&self, gang: (CrewId, u16)) -> Vec<(u64, PlaceId, u16)> {
        let mut served = Vec::new();
        for place in &self.line.crews[gang.0.index()].places {
            for (bay, unit) in self.places[place.index()].bays.iter().enumerate() {
                if let (Some(unit), true) = (unit, self.gang_at(*place, bay as u16) == Some(gang)) {
                    served.push((*unit, *place, bay as u16));
                }
            }
        }
        served
    }

    /// What could start on a unit in a bay as far as the unit is concerned.
    pub fn ready_on(&self, number: u64, place: PlaceId) -> Vec<What> {
        let Some(unit) = self.units.get(&number) else { return Vec::new() };
        if unit.arrives > self.now {
            return Vec::new();
        }
        let mut ready: Vec<What> = (0..self.line.steps.len())
            .map(StepId::from_index)
            .filter(|s| unit.is_ready(self.line, *s, place))
            .map(What::Step)
            .collect();
        if let Some(Asked::Fix(test, _)) = unit.asked
            && !unit.is_running(What::Fix(test))
        {
            ready.push(What::Fix(test));
        }
        ready
    }

    /// It ranks before work of older units.
    pub fn goes_first(&self, unit: &Unit, what: What) -> bool {
        unit.returning || self.closes_window(unit, what) || self.is_brought(unit, what)
    }

    /// Notes the older units whose waiting steps could have used the people taken now.
    pub fn note_suspects(&mut self, number: u64, step: What, gang: (CrewId, u16), people: u128) {
        let Some(unit) = self.units.get(&number) else { return };
        if self.goes_first(unit, step) {
            return;
        }
        let skills = skills_of(self.line, gang.0);
        let mut found = Vec::new();
        for (older, place, _) in self.served_by(gang) {
            let Some(other) = self.units.get(&older) else { continue };
            if older == number || !is_older(other, unit) {
                continue;
            }
            for older_step in self.ready_on(older, place) {
                let needs = self.needs_of(other, older_step);
                if !needs.is_empty()
                    && self.needs_today(other, older_step).is_some()
                    && can_fill(&needs, &skills, self.here(gang) & !self.outside_hours(gang.0))
                    && able(&needs, &self.skills_with_help(gang.0)) & people != 0
                    && !self.may_wait_for_stretch(older_step)
                    && !self.fits_not(older, older_step)
                    && !self.waits_for_parts(older, older_step)
                    && !self.was_just_found(older, older_step)
                    && (!self.may_yield(older_step) || self.lacked_people(older, older_step, gang))
                    && self.has_all_but_people(older, older_step, place)
                {
                    found.push(Suspect { unit: number, step, older, older_step });
                }
            }
        }
        self.suspects.extend(found);
    }

    /// At the end of an instant: the suspects whose older step still waits, lacking only people.
    pub fn judge_suspects(&mut self) {
        for suspect in std::mem::take(&mut self.suspects) {
            let Some(older) = self.units.get(&suspect.older) else { continue };
            let Some((place, _)) = older.bay() else { continue };
            if self.ready_on(suspect.older, place).contains(&suspect.older_step)
                && self.has_all_but_people(suspect.older, suspect.older_step, place)
            {
                let text = format!(
                    "{} took people that {} of the older unit {} waits for",
                    self.said(suspect.step),
                    self.said(suspect.older_step),
                    suspect.older
                );
                self.fault(Some(suspect.unit), Some(place), text);
            }
        }
    }

    pub fn said(&self, what: What) -> String {
        match what {
            What::Step(step) => self.line.steps[step.index()].name.clone(),
            What::Fix(test) => format!("the fix after {}", self.line.tests[test.index()].name),
        }
    }

    /// A new shift brings everybody back.
    pub fn shifts_begin(&mut self) {
        let index = self.days.shift_at(self.now);
        let Some(index) = index else { return };
        if self.totals.shift_of_crews != Some(index) {
            self.totals.shift_of_crews = Some(index);
            for gang in self.gangs.iter_mut().flatten() {
                gang.home = false;
            }
        }
    }

    /// A crew leaves: the count is made, it is late enough, nobody works, nothing is left open.
    pub fn went_home(&mut self, crew: CrewId, gang: u16) {
        let who = self.line.crews[crew.index()].name.clone();
        if usize::from(gang) >= self.gangs[crew.index()].len() {
            return self.fault(None, None, format!("crew {who} has no gang {gang}"));
        }
        match self.days.shift_at(self.now).map(|i| self.days.shifts[i]) {
            Some(shift) => match shift.home {
                None => self.fault(None, None, format!("{who} goes home in a shift without a count")),
                Some((units, not_before)) => {
                    let made = self.finished_since(shift.start);
                    if made < u64::from(units) {
                        self.fault(None, None, format!("{who} goes home after {made} of {units} units"));
                    }
                    if self.now < not_before {
                        self.fault(None, None, format!("{who} goes home before it may"));
                    }
                }
            },
            None => self.fault(None, None, format!("{who} goes home outside every shift")),
        }
        let stands =
            |number: &u64| self.units.get(number).is_some_and(|u| u.running.iter().any(Running::is_unmanned));
        if self.served_by((crew, gang)).iter().any(|(number, ..)| stands(number)) {
            self.fault(None, None, format!("{who} goes home while begun work stands still"));
        }
        if self.gang((crew, gang)).busy != 0 {
            self.fault(None, None, format!("{who} goes home while somebody works"));
        }
        for (number, place, _) in self.served_by((crew, gang)) {
            let Some(unit) = self.units.get(&number) else { continue };
            let open =
                self.ready_on(number, place).into_iter().find(|what| !self.needs_of(unit, *what).is_empty());
            if let Some(what) = open {
                let text = format!("{who} goes home though {} is open", self.said(what));
                self.fault(Some(number), Some(place), text);
            }
        }
        self.gangs[crew.index()][usize::from(gang)].home = true;
    }

    /// The count of the shift is made and it is late enough: no new unit enters, nothing is pushed.
    pub fn is_going_home(&self) -> bool {
        let shift = self.days.shift_at(self.now).map(|i| self.days.shifts[i]);
        shift.is_some_and(|shift| {
            shift.home.is_some_and(|(units, not_before)| {
                self.now >= not_before && self.finished_since(shift.start) >= u64::from(units)
            })
        })
    }

    /// Units finished after `start`.
    fn finished_since(&self, start: Time) -> u64 {
        self.totals.finishes.iter().rev().take_while(|t| **t >= start).count() as u64
    }
}
