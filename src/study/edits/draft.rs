//! A line with some of its numbers set anew, and the edits that say so.
//!
//! Whoever changes two things at once gets one edit for each statement: people are hired for what all
//! changes together want, and a segment that is parted keeps the pace that was set.

use super::{Dial, say};
use crate::line::{Crew, GroupId, Line, MoveRule, PlaceId, SegmentId, wanted};
use crate::units::Time;

/// A stretch of the line as it is to move.
#[derive(Clone, Debug)]
struct Stretch {
    name: String,
    first: PlaceId,
    last: PlaceId,
    rule: MoveRule,
    /// The segment of the file that it is, or is what is left of.
    of: Option<SegmentId>,
}

/// The numbers of a line, some of them set anew.
#[derive(Clone, Debug)]
pub struct Draft<'l> {
    line: &'l Line,
    /// The stated pace, where it is set with the signals.
    pace: Option<Time>,
    stretches: Vec<Stretch>,
    bays: Vec<u32>,
    slots: Vec<u32>,
    crews: Vec<Crew>,
    /// People of each group besides those that the crews want more.
    hired: Vec<i64>,
    floaters: Vec<u32>,
    equipment: Vec<u32>,
    stores: Vec<u32>,
    carriers: Vec<u32>,
    /// Places of the yard, where there is one.
    yard: Option<u32>,
}

impl<'l> Draft<'l> {
    pub fn of(line: &'l Line) -> Draft<'l> {
        let stretches = line.segments.iter().enumerate().map(|(k, segment)| Stretch {
            name: segment.name.clone(),
            first: segment.first,
            last: segment.last,
            rule: segment.rule,
            of: Some(SegmentId::from_index(k)),
        });
        Draft {
            line,
            pace: None,
            stretches: stretches.collect(),
            bays: line.places.iter().map(|place| place.bays).collect(),
            slots: line.places.iter().map(|place| place.slots).collect(),
            crews: line.crews.clone(),
            hired: vec![0; line.groups.len()],
            floaters: line.floaters.iter().map(|floaters| floaters.count).collect(),
            equipment: line.equipment.iter().map(|equipment| equipment.count).collect(),
            stores: line.parts.iter().map(|part| part.places).collect(),
            carriers: line.carriers.iter().map(|carriers| carriers.count).collect(),
            yard: line.yard.as_ref().map(|yard| yard.places),
        }
    }

    /// Sets a dial; numbers that no line can have are for the checker to refuse.
    pub fn set(&mut self, dial: &Dial, value: i64) {
        let count = u32::try_from(value.max(0)).unwrap_or(u32::MAX);
        match dial {
            Dial::Pace { segments, named } => self.set_pace(segments, *named, Time(value)),
            Dial::Places(place) => self.bays[place.index()] = count,
            Dial::Slots(place) => self.set_slots(*place, count),
            Dial::Crew { crew, member } => self.crews[crew.index()].members[*member].0 = count,
            Dial::People(group) => {
                let today = self.line.groups[group.index()].count;
                self.hired[group.index()] = i64::from(count) - i64::from(today);
            }
            Dial::Floaters(k) => self.floaters[*k] = count,
            Dial::Equipment(id) => self.equipment[id.index()] = count,
            Dial::Carriers(k) => self.carriers[*k] = count,
            Dial::Yard => self.yard = Some(count),
            Dial::Store(part) => self.stores[part.index()] = count,
        }
    }

    fn set_pace(&mut self, segments: &[SegmentId], named: bool, pace: Time) {
        for stretch in &mut self.stretches {
            let own = self
                .line
                .segments
                .iter()
                .position(|segment| segment.first <= stretch.first && stretch.last <= segment.last);
            let meant = own.is_some_and(|own| segments.contains(&SegmentId::from_index(own)));
            if let (true, MoveRule::PushedEvery { every, .. }) = (meant, &mut stretch.rule) {
                *every = pace;
            }
        }
        if !named && is_stated_pace(self.line, segments) {
            self.pace = Some(pace);
        }
    }

    /// Slots inside a pushed segment need a signal of their own behind them.
    fn set_slots(&mut self, place: PlaceId, slots: u32) {
        self.slots[place.index()] = slots;
        if slots == 0 || self.line.inside_a_push(place).is_none() {
            return;
        }
        let Some(at) = self.stretches.iter().position(|s| s.first < place && place <= s.last) else { return };
        let whole = &mut self.stretches[at];
        let root = whole.of.map_or(whole.name.clone(), |of| self.line.segments[of.index()].name.clone());
        let behind = Stretch {
            name: format!("{root}-from-{}", self.line.places[place.index()].name),
            first: place,
            last: whole.last,
            rule: whole.rule,
            of: None,
        };
        whole.last = PlaceId::from_index(place.index() - 1);
        self.stretches.insert(at + 1, behind);
    }

    /// The changes, in sentences of the language; empty where nothing is changed.
    pub fn edits(&self) -> Vec<String> {
        let line = self.line;
        let mut edits: Vec<String> =
            self.pace.map(|pace| format!("change pace {}", say::time(pace))).into_iter().collect();
        edits.extend(self.stretches.iter().filter_map(|stretch| self.moves(stretch)));
        for (k, place) in line.places.iter().enumerate() {
            if self.bays[k] != place.bays {
                edits.push(say::places(line, PlaceId::from_index(k), self.bays[k]));
            }
            if self.slots[k] != place.slots {
                edits.push(format!("change station {} slots {}", place.name, self.slots[k]));
            }
        }
        for (crew, today) in self.crews.iter().zip(&line.crews) {
            if crew.members != today.members {
                let there: Vec<_> = crew.members.iter().filter(|(n, _)| *n > 0).copied().collect();
                let members = if there.is_empty() { &crew.members } else { &there };
                edits.push(say::crew(line, today, members));
            }
        }
        edits.extend(self.people());
        for (k, floaters) in line.floaters.iter().enumerate().filter(|(k, f)| self.floaters[*k] != f.count) {
            let label = match (&floaters.label, line.floaters.len()) {
                (Some(label), 2..) => format!(" \"{label}\""),
                _ => String::new(),
            };
            edits.push(match self.floaters[k] {
                0 => format!("remove floaters{label}"),
                count => format!("change floaters {count}{label}"),
            });
        }
        for (carriers, count) in line.carriers.iter().zip(&self.carriers) {
            if *count != carriers.count {
                edits.push(say::carriers(carriers, *count));
            }
        }
        if let (Some(yard), Some(places)) = (&line.yard, self.yard)
            && places != yard.places
        {
            edits.push(say::yard(yard, places));
        }
        for (equipment, count) in line.equipment.iter().zip(&self.equipment) {
            if *count != equipment.count {
                edits.push(format!("change equipment {} {count}", equipment.name));
            }
        }
        for (part, places) in line.parts.iter().zip(&self.stores) {
            if *places != part.places {
                let word = if part.origin.lots().is_some() { "supply" } else { "feeder" };
                let at_start = part.at_start.min(*places);
                edits.push(format!("change {word} {} store of {places}, {at_start} at start", part.name));
            }
        }
        edits
    }

    /// What is said anew of a stretch.
    fn moves(&self, stretch: &Stretch) -> Option<String> {
        let name = |place: PlaceId| self.line.places[place.index()].name.as_str();
        let span = format!("{} to {}", name(stretch.first), name(stretch.last));
        let Some(of) = stretch.of else {
            return Some(format!("segment {} {span} {}", stretch.name, say::rule(stretch.rule)));
        };
        let stated = &self.line.segments[of.index()];
        let mut said = vec![format!("change segment {}", stretch.name)];
        if (stretch.first, stretch.last) != (stated.first, stated.last) {
            said.push(span);
        }
        if let (MoveRule::PushedEvery { every, on_the_grid, .. }, true) =
            (stretch.rule, stretch.rule != stated.rule)
        {
            said.push(say::pushed_every(every, on_the_grid));
        }
        (said.len() > 1).then(|| said.join(" "))
    }

    /// People come and go with what the crews want, besides those that are set.
    fn people(&self) -> Vec<String> {
        let line = self.line;
        let groups = line.groups.len();
        let before = wanted(groups, &line.crews, |place| line.places[place.index()].bays);
        let after = wanted(groups, &self.crews, |place| self.bays[place.index()]);
        let more = (0..groups).map(|g| i64::from(after[g]) - i64::from(before[g]) + self.hired[g]);
        more.enumerate()
            .filter(|(_, more)| *more != 0)
            .filter_map(|(g, more)| {
                let count = i64::from(line.groups[g].count) + more;
                say::people(line, GroupId::from_index(g), u32::try_from(count.max(0)).unwrap_or(u32::MAX))
            })
            .collect()
    }
}

/// Does the file state a pace that these segments keep? (Where nothing is stated, takt is the pace.)
fn is_stated_pace(line: &Line, segments: &[SegmentId]) -> bool {
    let Some(pace) = line.pace.filter(|pace| line.takt.as_ref() != Some(pace)) else { return false };
    let keeps = |id: &SegmentId| match line.segments[id.index()].rule {
        MoveRule::PushedEvery { every, .. } => {
            i128::from(every.micros()) * pace.denominator == pace.numerator
        }
        MoveRule::PushedWhenReady { .. } | MoveRule::WhenReady { .. } => false,
    };
    segments.iter().all(keeps)
}
