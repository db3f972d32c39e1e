//! Who comes to work at the start of a shift, and who goes on with what has begun.

use super::floaters::FloatPlan;
use super::helping::Help;
use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::draws::{Purpose, Stream};
use crate::line::{CrewId, Group, GroupId, Line, PlaceId, VISITOR, WeekShift};
use crate::schedule::{Handover, NodeKind, Shop, heads, seats};
use crate::units::Time;

/// Who is who, where people may be absent.
#[derive(Clone, Debug)]
pub struct Roster {
    /// Per weekday, 0 = Monday: chance of everybody to be away.
    by_weekday: [f64; 7],
    first_weekday: i64,
    /// Per group and shift of the week: its draws, and how many people it has. A person of two shifts is two people.
    shifts: Vec<Vec<(Stream, u32)>>,
    /// Per gang and seat: number of the person within the group.
    person: Vec<Vec<u32>>,
    /// Per group: people who have a seat; the others are spare.
    seated: Vec<u32>,
    /// Who stands in.
    floats: FloatPlan,
}

/// Who is away now.
#[derive(Clone, Debug)]
pub(super) struct Away {
    /// Per crew: seats that nobody sits in. Per group: people who are absent.
    pub crews: Vec<i64>,
    pub groups: Vec<i64>,
    /// Per crew: seats whose people are not on the shift; empty where every shift has everybody.
    pub not_on_shift: Vec<i64>,
}

impl Away {
    pub fn new(line: &Line) -> Away {
        let crews = line.crews.len();
        let not_on_shift = vec![0; if line.has_fewer_on_a_shift() { crews } else { 0 }];
        Away { crews: vec![0; crews], groups: vec![0; line.groups.len()], not_on_shift }
    }
}

impl Roster {
    /// `None` where everybody always comes.
    pub fn new(line: &Line, shop: &Shop, seed: u64) -> Option<Roster> {
        if !line.people_come_and_go() {
            return None;
        }
        let stream = |group: &str, shift: &str| {
            Stream::new(seed, 0, Purpose::Absence, &format!("{group} in shift {shift}"))
        };
        let of_group = |(g, group): (usize, &Group)| {
            let id = GroupId::from_index(g);
            let week = line.calendar_of(line.hours_of_group(id)).map_or(&[][..], |own| &own.week);
            let of = |shift: &WeekShift| (stream(&group.name, &shift.name), shift.people_of(id, group.count));
            week.iter().map(of).collect()
        };
        let mut seated = vec![0u32; line.groups.len()];
        let mut seat = |group: &u16| {
            seated[*group as usize] += 1;
            seated[*group as usize] - 1
        };
        let person =
            shop.gangs.iter().map(|gang| gang.own_groups().iter().map(&mut seat).collect()).collect();
        Some(Roster {
            by_weekday: line.absence.map_or([0.0; 7], |absence| absence.by_weekday),
            first_weekday: line.calendar.as_ref().map_or(0, |calendar| i64::from(calendar.first_weekday)),
            shifts: line.groups.iter().enumerate().map(of_group).collect(),
            person,
            seated,
            floats: FloatPlan::new(line, shop, seed),
        })
    }
}

/// Is this person of the stream's group away on the day? Drawn only where somebody may be.
pub(super) fn is_away(stream: &Stream, person: u32, day: i64, chance: f64) -> bool {
    chance > 0.0 && stream.uniform(u64::from(person) << 32 | day as u64, 0) < chance
}

impl<W: Watcher> Run<'_, W> {
    /// A shift of these hours begins: who is away is drawn person by person, spare people of the same group sit in
    /// for them, crew by crew in the order of the file.
    pub(super) fn people_come(&mut self, hours: usize) {
        let c = self.c;
        let Some(roster) = &c.roster else { return };
        let shift = self.shift_of(hours);
        let span = self.clock_of_mut(hours).shift(shift);
        let day = span.start.div_euclid(Time::DAY.0);
        let weekday = (roster.first_weekday + day).rem_euclid(7) as usize;
        let chance = roster.by_weekday[weekday];
        let away = self.draw_who_is_away(roster, hours, (span.of_week, day), chance);
        let seated = away.iter().zip(&roster.seated);
        let mut spare: Vec<u32> = seated
            .map(|(away, seated)| away.iter().skip(*seated as usize).filter(|away| !**away).count() as u32)
            .collect();
        let spare_who_came = spare.clone();
        let missing: Vec<u32> =
            away.iter().map(|away| away.iter().filter(|away| **away).count() as u32).collect();
        let mut here: Vec<u128> = c
            .shop
            .gangs
            .iter()
            .zip(&roster.person)
            .enumerate()
            .map(|(of, (gang, people))| {
                let mut here = 0u128;
                if self.hours_of_gang(of) != hours {
                    return self.floor.gangs[of].here;
                }
                for (seat, (group, person)) in gang.groups.iter().zip(people).enumerate() {
                    let group = *group as usize;
                    let there = !away[group][*person as usize];
                    let sits_in = !there && spare[group] > 0;
                    spare[group] -= u32::from(sits_in);
                    here |= u128::from(there || sits_in) << seat;
                }
                here
            })
            .collect();
        let sit_in = spare_who_came.iter().zip(&spare).map(|(came, left)| came - left).collect();
        self.helpers_come(hours, &away, sit_in);
        self.send_floaters(hours, &roster.floats, &mut here, chance);
        self.book_absence(hours, &missing, &here);
        self.book_not_on_shift(hours, span.of_week);
        for (gang, here) in here.iter().enumerate().filter(|(gang, _)| c.shop.gangs[*gang].crew.is_some()) {
            if self.hours_of_gang(gang) == hours {
                self.gang_comes(gang, *here);
            }
        }
        // Whoever sits in for nobody can mend.
        self.menders_come(hours, &spare);
    }

    /// Of each group whose hours these are: who is not there, by number.
    fn draw_who_is_away(
        &self,
        roster: &Roster,
        hours: usize,
        (of_week, day): (usize, i64),
        chance: f64,
    ) -> Vec<Vec<bool>> {
        let away_of = |(g, group): (usize, &Group)| -> Vec<bool> {
            if self.hours_of_group(g) != hours {
                return Vec::new();
            }
            // Visitors come in their hours, whoever it is.
            let chance = if group.skills & VISITOR != 0 { 0.0 } else { chance };
            let (stream, has) = &roster.shifts[g][of_week];
            let stream = stream.of_replication(self.replication);
            // The last ones of a group are not on a shift that has fewer.
            (0..group.count).map(|person| person >= *has || is_away(&stream, person, day, chance)).collect()
        };
        self.c.line.groups.iter().enumerate().map(away_of).collect()
    }

    fn gang_comes(&mut self, gang: usize, here: u128) {
        let c = self.c;
        let compiled = &c.shop.gangs[gang];
        self.see(Event::Came { crew: CrewId(compiled.crew.unwrap_or(0)), gang: compiled.instance, here });
        let mut handed = std::mem::take(&mut self.handed);
        let moving = self.floor.gangs[gang].moving;
        self.floor.comes(&c.shop, gang, here, &mut handed);
        self.movers_left(gang, moving);
        for bay in c.shop.bays_of(gang) {
            self.book(bay);
        }
        self.hand_all_over(handed);
    }

    /// Net time of those who are away and of crews that are short; `missing` per group, `here` per gang.
    fn book_absence(&mut self, hours: usize, missing: &[u32], here: &[u128]) {
        let net = self.net_of(hours);
        for (g, missing) in missing.iter().enumerate() {
            if self.hours_of_group(g) != hours {
                continue;
            }
            let change = i64::from(*missing) - self.away.groups[g];
            self.away.groups[g] += change;
            self.seen.group_absent[g] -= change * net;
        }
        let mut away = vec![0i64; self.away.crews.len()];
        for (gang, here) in self.c.shop.gangs.iter().zip(here) {
            if let Some(crew) = gang.crew {
                away[crew as usize] += i64::from((gang.all & !here).count_ones());
            }
        }
        for (crew, away) in away.iter().enumerate() {
            if self.hours_of_crew(crew) != hours {
                continue;
            }
            let change = away - self.away.crews[crew];
            self.away.crews[crew] += change;
            let counts = &mut self.seen.crews[crew];
            counts.absent -= change * net;
            counts.shifts += u64::from(self.counted);
            counts.short_shifts += u64::from(self.counted && *away > 0);
        }
    }

    /// Net time of seats whose people are not on the shift: nobody is paid for it.
    fn book_not_on_shift(&mut self, hours: usize, of_week: usize) {
        let c = self.c;
        let Some(roster) = c.roster.as_ref().filter(|_| !self.away.not_on_shift.is_empty()) else { return };
        let mut seats = vec![0i64; self.away.not_on_shift.len()];
        for (at, (gang, people)) in c.shop.gangs.iter().zip(&roster.person).enumerate() {
            if self.hours_of_gang(at) != hours {
                continue;
            }
            let empty =
                |(group, person): &(&u16, &u32)| **person >= roster.shifts[usize::from(**group)][of_week].1;
            if let Some(crew) = gang.crew {
                seats[usize::from(crew)] += gang.groups.iter().zip(people).filter(empty).count() as i64;
            }
        }
        let net = self.net_of(hours);
        for (crew, seats) in seats.into_iter().enumerate() {
            if self.hours_of_crew(crew) == hours {
                let change = seats - std::mem::replace(&mut self.away.not_on_shift[crew], seats);
                self.seen.crews[crew].not_on_shift -= change * net;
            }
        }
    }

    /// Those of a gang who have come free go on with what stands still for want of people.
    pub(super) fn take_over(&mut self, gang: usize) {
        if self.floor.gangs[gang].unmanned {
            let mut handed = std::mem::take(&mut self.handed);
            self.floor.take_over(&self.c.shop, gang, &mut handed);
            self.hand_all_over(handed);
        }
    }

    fn hand_all_over(&mut self, mut handed: Vec<Handover>) {
        for handover in handed.drain(..) {
            self.hand_over(handover);
        }
        self.handed = handed;
    }

    /// Other people go on with a task, or nobody does: then it pauses until somebody can.
    fn hand_over(&mut self, handover: Handover) {
        let (bay, local) = (handover.bay as usize, handover.node);
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        let goes_on = !self.pauses.is_paused(at);
        if goes_on {
            self.at_task(bay, at, handover.before, -1);
        }
        self.others_walk(at, handover.now);
        if goes_on {
            self.at_task(bay, at, handover.now, 1);
        }
        self.show_handover(bay, local, handover.now);
        self.review_step(bay, local);
        // It may be in a bay of another crew: begun early there, or drifted.
        self.book(bay);
    }

    /// Work of this gang has begun and nobody goes on with it.
    pub(super) fn stands_still(&self, gang: usize) -> bool {
        self.c.roster.is_some()
            && self.floor.reach_of(&self.c.shop, gang).into_iter().any(|bay| {
                let nodes = self.c.shop.nodes_of(self.c.shop.bay_place[bay] as usize);
                let waits = |local: usize| {
                    self.floor.is_unmanned(&self.c.shop, bay, local)
                        && self.floor.gang_of(&self.c.shop, bay, local) == gang
                };
                self.pauses.work[bay] > 0 && (0..nodes.len()).any(waits)
            })
    }

    fn show_handover(&mut self, bay: usize, local: u16, people: u128) {
        if W::WATCHING {
            let shop = &self.c.shop;
            let (unit, place, at) = (self.number(bay), PlaceId(shop.bay_place[bay]), self.bay_in_place(bay));
            let step = match shop.node(bay, local as usize).kind {
                NodeKind::Fix { test, .. } => Err(crate::line::TestId(test)),
                NodeKind::Work | NodeKind::Hold { .. } | NodeKind::Verdict { .. } => {
                    Ok(crate::line::StepId(shop.node(bay, local as usize).step))
                }
            };
            self.see(Event::HandedOver { unit, what: step, place, bay: at, people });
        }
    }

    pub(super) fn people_start(&mut self, gang: usize, people: u128) {
        self.people_change(gang, people, 1);
    }

    pub(super) fn people_end(&mut self, gang: usize, people: u128) {
        self.people_change(gang, people, -1);
    }

    /// People enter work with minus now and leave it with plus now.
    fn people_change(&mut self, at: usize, people: u128, sign: i64) {
        let net = self.net_of_gang(at);
        let gang = &self.c.shop.gangs[at];
        let heads = i64::from(heads(people & gang.all));
        if people & !gang.all != 0 {
            self.helpers_change(at, people, sign, Help::Works);
        }
        if let Some(crew) = gang.crew {
            self.crew_running[crew as usize] += sign * heads;
            self.seen.crews[crew as usize].busy -= sign * heads * net;
        }
        if let Some(group) = gang.one_group.filter(|_| people & !gang.all == 0) {
            self.group_running[group as usize] += sign * heads;
            self.seen.group_busy[group as usize] -= sign * heads * net;
            return;
        }
        for seat in seats(people) {
            let group = gang.groups[seat] as usize;
            self.group_running[group] += sign;
            self.seen.group_busy[group] -= sign * net;
        }
    }
}
