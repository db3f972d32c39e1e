//! People and equipment: how their net time is spent.

use super::bands::{ratio_of, share_of};
use super::flow::each;
use super::quantiles::Banded;
use crate::line::{Crew, CrewId, EquipmentId, GroupId, Line};
use crate::simulate::{HelpCounts, Observations, Replication};

/// A crew or a group of people.
#[derive(Clone, PartialEq, Debug)]
pub struct PeopleFigures {
    pub who: Who,
    /// Heads, all bays together.
    pub count: u32,
    /// Shares of their net time; they sum to 1.
    pub working: Option<Banded>,
    pub waiting: Option<Banded>,
    /// On the way to a unit; only where the file says that people walk.
    pub walking: Option<Banded>,
    /// At moving the units of a segment; only where the file says who does.
    pub moving_units: Option<Banded>,
    /// Gone home early; visitors: outside their hours.
    pub off_shift: Option<Banded>,
    /// Absent for the whole shift; only where the file says who may be.
    pub absent: Option<Banded>,
    /// Share of a crew's shifts in which a seat was empty; likewise.
    pub short_shifts: Option<Banded>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Who {
    Crew(CrewId),
    /// Listed only where the file says who exists; otherwise every crew is its own group.
    Group(GroupId),
}

#[derive(Clone, PartialEq, Debug)]
pub struct EquipmentFigures {
    pub equipment: EquipmentId,
    pub count: u32,
    /// Share of net time in use or kept.
    pub in_use: Option<Banded>,
}

/// Heads of a crew, all bays together.
pub fn heads(line: &Line, crew: &Crew) -> u32 {
    crew.size() * line.gangs_of(crew)
}

pub fn people(line: &Line, observed: &Observations) -> Vec<PeopleFigures> {
    let runs = &observed.replications;
    let crews = line.crews.iter().enumerate().map(|(c, crew)| {
        let off = move |r: &Replication| r.crews[c].off_shift as f64;
        let who = Who::Crew(CrewId::from_index(c));
        let absent = move |r: &Replication| r.crews[c].absent as f64;
        let short_shifts = ratio_of(runs, line.confidence, |r| (r.crews[c].short_shifts, r.crews[c].shifts));
        let busy = move |r: &Replication| r.crews[c].busy as f64;
        let walking = move |r: &Replication| r.crews[c].walking as f64;
        let moving = move |r: &Replication| r.crews[c].moving as f64;
        let parts = Parts { busy: &busy, walking: &walking, moving: &moving, off: &off, absent: &absent };
        PeopleFigures { short_shifts, ..figures(line, runs, who, heads(line, crew), &parts) }
    });
    let groups = line.groups.iter().enumerate().filter(|_| line.people_stated).map(|(g, group)| {
        let off = move |r: &Replication| off_shift_of_group(line, r, g);
        let who = Who::Group(GroupId::from_index(g));
        let absent = move |r: &Replication| r.group_absent[g] as f64;
        let busy = move |r: &Replication| r.group_busy[g] as f64;
        let walking = move |r: &Replication| r.group_walking[g] as f64;
        let moving = move |r: &Replication| r.group_moving[g] as f64;
        let parts = Parts { busy: &busy, walking: &walking, moving: &moving, off: &off, absent: &absent };
        figures(line, runs, who, group.count, &parts)
    });
    crews.chain(groups).collect()
}

/// Person-microseconds of a replication.
struct Parts<'a> {
    busy: &'a dyn Fn(&Replication) -> f64,
    walking: &'a dyn Fn(&Replication) -> f64,
    moving: &'a dyn Fn(&Replication) -> f64,
    off: &'a dyn Fn(&Replication) -> f64,
    absent: &'a dyn Fn(&Replication) -> f64,
}

fn figures(line: &Line, runs: &[Replication], who: Who, count: u32, parts: &Parts) -> PeopleFigures {
    let Parts { busy, walking, moving, off, absent } = parts;
    let hours = match who {
        Who::Crew(crew) => line.hours_of_crew(&line.crews[crew.index()]),
        Who::Group(group) => line.hours_of_group(group),
    };
    let share = |part: &dyn Fn(&Replication, f64) -> f64| {
        let of_run = |r: &Replication| {
            let whole = f64::from(count) * r.net_of(hours).0 as f64;
            (whole > 0.0).then(|| part(r, whole) / whole)
        };
        share_of(&each(runs, of_run), line.confidence)
    };
    PeopleFigures {
        who,
        count,
        working: share(&|r, _| busy(r)),
        waiting: share(&|r, whole| whole - busy(r) - walking(r) - moving(r) - off(r) - absent(r)),
        walking: if line.has_walks() { share(&|r, _| walking(r)) } else { None },
        moving_units: if line.has_movers() { share(&|r, _| moving(r)) } else { None },
        off_shift: share(&|r, _| off(r)),
        absent: if line.people_come_and_go() { share(&|r, _| absent(r)) } else { None },
        short_shifts: None,
    }
}

/// Without visitors a crew goes home as a whole, so a group's part of it is the group's part of its members.
fn off_shift_of_group(line: &Line, run: &Replication, group: usize) -> f64 {
    if !line.visitors.is_empty() {
        return run.group_off[group] as f64;
    }
    let part = |crew: &Crew| {
        let members: u32 = crew.members.iter().filter(|(_, g)| g.index() == group).map(|(n, _)| n).sum();
        f64::from(members) / f64::from(crew.size().max(1))
    };
    line.crews.iter().zip(&run.crews).map(|(crew, counts)| counts.off_shift as f64 * part(crew)).sum()
}

pub fn equipment(line: &Line, observed: &Observations) -> Vec<EquipmentFigures> {
    let figures = |e: usize| {
        let count = line.equipment[e].count;
        let hours = line.hours_of_equipment(EquipmentId::from_index(e));
        let of_run = |r: &Replication| {
            let whole = f64::from(count) * r.net_of(hours).0 as f64;
            (whole > 0.0).then(|| r.equipment_busy[e] as f64 / whole)
        };
        EquipmentFigures {
            equipment: EquipmentId::from_index(e),
            count,
            in_use: share_of(&each(&observed.replications, of_run), line.confidence),
        }
    };
    (0..line.equipment.len()).map(figures).collect()
}

/// Those who help, of one statement: shares of their net time; they sum to 1.
#[derive(Clone, PartialEq, Debug)]
pub struct HelpFigures {
    /// Heads of the group who are in no crew.
    pub count: u32,
    pub helping: Option<Banded>,
    /// Work of their own, which is no part of the line.
    pub own: Option<Banded>,
    pub absent: Option<Banded>,
    /// In the seat of somebody absent; only where some of their group sit in crews.
    pub standing_in: Option<Banded>,
    /// At mending what is stopped; only where the file says that they do.
    pub mending: Option<Banded>,
    /// Tasks of all replications that began with one of them.
    pub tasks: u64,
}

pub fn helping(line: &Line, observed: &Observations) -> Vec<HelpFigures> {
    let figures = |k: usize| {
        let helping = &line.helping[k];
        let count = line.who_helps(helping).len() as u32;
        let hours = line.hours_of_group(helping.group);
        let share = |part: &dyn Fn(&HelpCounts, f64) -> f64| {
            let of_run = |r: &Replication| {
                let whole = f64::from(count) * r.net_of(hours).0 as f64;
                (whole > 0.0).then(|| part(&r.helping[k], whole) / whole)
            };
            share_of(&each(&observed.replications, of_run), line.confidence)
        };
        let helped = |h: &HelpCounts| (h.busy + h.walking) as f64;
        let taken = |h: &HelpCounts| helped(h) + (h.standing_in + h.mending + h.absent) as f64;
        let sits_in = line.helpers_sit_in(helping);
        let mends = line.mends(helping.group);
        HelpFigures {
            count,
            helping: share(&|h, _| helped(h)),
            own: share(&|h, whole| whole - taken(h)),
            absent: share(&|h, _| h.absent as f64),
            standing_in: if sits_in { share(&|h, _| h.standing_in as f64) } else { None },
            mending: if mends { share(&|h, _| h.mending as f64) } else { None },
            tasks: observed.replications.iter().map(|r| r.helping[k].tasks).sum(),
        }
    };
    (0..line.helping.len()).map(figures).collect()
}

/// The floaters of one statement: shares of their net time; they sum to 1.
#[derive(Clone, PartialEq, Debug)]
pub struct FloaterFigures {
    pub standing_in: Option<Banded>,
    pub absent: Option<Banded>,
    pub spare: Option<Banded>,
}

pub fn floaters(line: &Line, observed: &Observations) -> Vec<FloaterFigures> {
    let figures = |k: usize| {
        let hours = line.hours_of_cover(line.floaters[k].covering.as_deref());
        let share = |part: &dyn Fn(&Replication, f64) -> f64| {
            let of_run = |r: &Replication| {
                let whole = f64::from(line.floaters[k].count) * r.net_of(hours).0 as f64;
                (whole > 0.0).then(|| part(r, whole) / whole)
            };
            share_of(&each(&observed.replications, of_run), line.confidence)
        };
        FloaterFigures {
            standing_in: share(&|r, _| r.floaters[k].standing_in as f64),
            absent: share(&|r, _| r.floaters[k].absent as f64),
            spare: share(&|r, whole| whole - r.floaters[k].standing_in as f64 - r.floaters[k].absent as f64),
        }
    };
    (0..line.floaters.len()).map(figures).collect()
}
