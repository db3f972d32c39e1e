//! People of no crew who lend a hand: whether they may, and whether they would have had to.
//!
//! In a crew that they cover they have seats behind its own people, in the order of the file.

use super::Follower;
use super::people::{can_fill, skills_of};
use super::stops::in_no_crew;
use super::totals::Differences;
use super::unit::{Asked, Unit, What};
use taktwright::line::{CrewId, Dist, GroupId, Line, Need, OutcomeKind, Shape};
use taktwright::simulate::HelpCounts;
use taktwright::units::Time;

/// One of them.
#[derive(Clone, Debug)]
pub struct HelperNow {
    statement: usize,
    pub group: GroupId,
    /// Number among those of the group who are in no crew.
    person: u32,
    pub there: bool,
    /// The cause whose stop it mends.
    pub mends: Option<usize>,
    /// Net time that is left to help in this shift.
    left: i64,
}

impl HelperNow {
    pub fn all(line: &Line) -> Vec<HelperNow> {
        let left = in_no_crew(line);
        let of = |(statement, helping): (usize, &taktwright::line::Helping)| {
            let group = helping.group;
            let each = 0..left[group.index()] as u32;
            let fresh =
                move |person| HelperNow { statement, group, person, there: false, mends: None, left: 0 };
            each.map(fresh)
        };
        line.helping.iter().enumerate().flat_map(of).collect()
    }
}

/// Net time of those of one statement, person-microseconds.
#[derive(Clone, Copy, Default, Debug)]
pub struct Help {
    pub busy: i64,
    pub walking: i64,
    pub mending: i64,
    /// Absent, or in the seat of somebody who is.
    pub gone: i64,
}

/// Mean in microseconds; `None` for laws of which the checker knows no mean by itself.
fn mean_of(dist: &Dist) -> Option<f64> {
    Some(match &dist.shape {
        Shape::Constant { value } => *value,
        Shape::Triangular { low, mode, high } => (low + mode + high) / 3.0,
        Shape::Pert { low, mode, high } => (low + 4.0 * mode + high) / 6.0,
        Shape::Uniform { low, high } => (low + high) / 2.0,
        Shape::OneOf { values } => values.iter().map(|(value, share)| value * share).sum(),
        Shape::Observed { values } => values.iter().sum::<f64>() / values.len() as f64,
        Shape::Lognormal { mean, .. }
        | Shape::Gamma { mean, .. }
        | Shape::Erlang { mean, .. }
        | Shape::Exponential { mean }
        | Shape::Weibull { mean, .. } => *mean,
        Shape::Faults(faults) => {
            let (mut chance, mut faults_mended) = ((-faults.mean).exp(), 0.0);
            for n in 1..400u32 {
                chance *= faults.mean / f64::from(n);
                faults_mended += chance * f64::from(faults.taken.of(n));
            }
            faults_mended * mean_of(&faults.each)?
        }
        // The cut at 0 moves it.
        Shape::Normal { .. } => return None,
    })
}

impl Follower<'_> {
    /// Those who help a crew, by their seats behind its own.
    fn seats_of(&self, crew: CrewId) -> Vec<usize> {
        let covers = |helper: &HelperNow| {
            let covering = &self.line.helping[helper.statement].covering;
            let places = &self.line.crews[crew.index()].places;
            covering.as_ref().is_none_or(|covering| places.iter().any(|place| covering.contains(place)))
        };
        (0..self.helpers.len()).filter(|h| covers(&self.helpers[*h])).collect()
    }

    /// Skills of a crew's people and of those who may help it.
    pub fn skills_with_help(&self, crew: CrewId) -> Vec<u64> {
        let mut skills = skills_of(self.line, crew);
        let seats = self.seats_of(crew).into_iter();
        skills.extend(seats.map(|h| self.line.groups[self.helpers[h].group.index()].skills));
        skills
    }

    /// The helpers among these people of a crew, with their bits.
    pub fn helpers_in(&self, crew: CrewId, people: u128) -> Vec<(usize, u128)> {
        let own = self.line.crews[crew.index()].size();
        let seats = self.seats_of(crew).into_iter().enumerate().map(|(k, h)| (h, 1u128 << (own + k as u32)));
        seats.filter(|(_, bit)| people & bit != 0).collect()
    }

    /// Bits of those who help a crew and are there in this shift.
    pub fn helpers_here(&self, crew: CrewId) -> u128 {
        let there = self.helpers_in(crew, u128::MAX).into_iter().filter(|(h, _)| self.helpers[*h].there);
        there.fold(0, |mask, (_, bit)| mask | bit)
    }

    pub fn helps_somewhere(&self, helper: usize) -> bool {
        self.gangs.iter().enumerate().any(|(crew, gangs)| {
            let busy = gangs.iter().fold(0, |mask, gang| mask | gang.busy);
            self.helpers_in(CrewId::from_index(crew), busy).iter().any(|(h, _)| *h == helper)
        })
    }

    /// Those of a group who help and could mend; `None` where nobody of it helps.
    pub fn could_mend(&self, group: usize) -> Option<i64> {
        self.line.helping.iter().any(|helping| helping.group.index() == group).then(|| {
            let of = |h: &usize| self.helpers[*h].group.index() == group && self.helpers[*h].there;
            (0..self.helpers.len()).filter(|h| of(h) && !self.helps_somewhere(*h)).count() as i64
        })
    }

    pub fn helpers_came(&mut self, group: GroupId, here: u128) {
        let hours = self.hours_of_group(group.index());
        let days = self.days_of(hours);
        let Some(shift) = days.shift_at(self.now).map(|i| days.shifts[i]) else {
            return self.fault(None, None, "people come to help outside every shift");
        };
        if shift.start != self.now {
            self.fault(None, None, "people come to help though no shift begins");
        }
        if here >> self.helpers.iter().filter(|helper| helper.group == group).count() != 0 {
            self.fault(None, None, "more people come to help than there are");
        }
        let calendar = match hours {
            0 => self.line.calendar.as_ref().expect("help is said of shifts"),
            own => &self.line.own_hours[usize::from(own) - 1],
        };
        let ends = (shift.end.0 + i64::from(calendar.first_weekday) * Time::DAY.0).rem_euclid(Time::WEEK.0);
        let of_week = calendar.week.iter().find(|s| s.end.0.rem_euclid(Time::WEEK.0) == ends);
        let net = of_week.map_or(0, |s| {
            let pauses: i64 = s.pauses.iter().map(|pause| pause.end.0 - pause.start.0).sum();
            s.end.0 - s.start.0 - pauses
        });
        for helper in self.helpers.iter_mut().filter(|helper| helper.group == group) {
            let share = self.line.helping[helper.statement].share;
            helper.left = (net as f64 * share).round_ties_even() as i64;
            helper.there = here >> helper.person & 1 == 1;
        }
    }

    /// How long something takes on average with so many people, microseconds.
    fn planned(&self, unit: &Unit, what: What, people: u32) -> Option<f64> {
        let asked: u32 = self.asks_of(unit, what).iter().map(|need| need.count).sum();
        let mean = match what {
            What::Step(id) => {
                let step = &self.line.steps[id.index()];
                let window = unit.again[id.index()].map(|(_, w)| &self.line.windows[w]);
                let redo = window.filter(|w| w.redo.first() == Some(&id)).and_then(|w| w.redo_time.as_ref());
                let own = &step.times[unit.model.index()];
                let travel = step.travel.filter(|_| unit.travels[id.index()].is_some());
                match redo {
                    Some(dist) => mean_of(dist)?,
                    None => mean_of(&own.dist)? * own.factor * travel.map_or(1.0, |t| t.factor),
                }
            }
            What::Fix(test) => match unit.asked {
                Some(Asked::Fix(_, index)) => match &self.line.tests[test.index()].outcomes[index].kind {
                    OutcomeKind::FixedInPlace(fix) | OutcomeKind::ToRepair { fix, .. } => mean_of(&fix.time)?,
                    OutcomeKind::BackTo { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => 0.0,
                },
                Some(Asked::Leave | Asked::Scrap | Asked::SetAside) | None => 0.0,
            },
        };
        Some(mean * f64::from(asked) / f64::from(people.max(1)))
    }

    /// Microseconds that somebody who helps is on the way to a unit.
    fn way_of_help(&self, unit: &Unit, helper: usize) -> f64 {
        let walk = unit.bay().map_or(Time::ZERO, |(place, _)| self.line.places[place.index()].walk);
        walk.max(self.answering_of(helper)).0 as f64
    }

    pub fn answering_of(&self, helper: usize) -> Time {
        self.line.helping[self.helpers[helper].statement].answering
    }

    /// Those who could help with it now; `claimed` are asked for by others.
    fn could_help(&self, unit: &Unit, what: What, crew: CrewId, needs: &[Need], claimed: u128) -> u128 {
        let people = needs.iter().map(|need| need.count).sum();
        let Some(planned) = self.planned(unit, what, people) else { return 0 };
        // Two microseconds for what is rounded by another way.
        let can = |h: usize| {
            let helper = &self.helpers[h];
            let planned = planned + self.way_of_help(unit, h);
            let free = helper.mends.is_none() && !self.is_waited_for(helper.group);
            helper.there && free && helper.left as f64 >= planned + 2.0 && !self.helps_somewhere(h)
        };
        let seats = self.helpers_in(crew, u128::MAX).into_iter().filter(|(h, _)| can(*h));
        seats.fold(0, |mask, (_, bit)| mask | bit) & !claimed
    }

    /// Would it have people with the help of those who are free for it?
    pub fn has_help(&self, number: u64, what: What, gang: (CrewId, u16), free: u128, claimed: u128) -> bool {
        if self.helpers.is_empty() {
            return false;
        }
        let unit = &self.units[&number];
        let needs = self.needs_of(unit, what);
        let helpers = self.could_help(unit, what, gang.0, &needs, claimed);
        helpers != 0 && can_fill(&needs, &self.skills_with_help(gang.0), free | helpers)
    }

    /// Something starts with these people: whoever helps must be free, there, and have time left for it, and
    /// without them it could not have begun.
    pub fn check_help(&mut self, number: u64, what: What, gang: (CrewId, u16), people: u128) -> Vec<String> {
        let (crew, name) = (gang.0, self.said(what));
        let helpers = self.helpers_in(crew, people);
        let mut wrong = Vec::new();
        if helpers.is_empty() {
            return wrong;
        }
        let unit = &self.units[&number];
        let planned = self.planned(unit, what, people.count_ones());
        for (h, _) in &helpers {
            let helper = &self.helpers[*h];
            if !helper.there {
                wrong.push(format!("{name} takes help from somebody who is not there"));
            }
            if helper.mends.is_some() || self.is_waited_for(helper.group) {
                wrong.push(format!("{name} takes help from somebody who mends, or is waited for"));
            }
            if self.helps_somewhere(*h) {
                wrong.push(format!("{name} takes help from somebody who helps elsewhere"));
            }
            let way = self.way_of_help(&self.units[&number], *h);
            if planned.is_some_and(|planned| (helper.left as f64) < planned + way - 2.0) {
                wrong.push(format!("{name} takes help from somebody with too little time left for it"));
            }
        }
        let own = self.free_of(gang);
        let free = own & !self.claims_before(number, what, gang);
        if self
            .needs_today(unit, what)
            .is_some_and(|needs| can_fill(&needs, &skills_of(self.line, crew), free))
        {
            wrong.push(format!("{name} takes help and has people of its own"));
        }
        wrong
    }

    /// A task begins with these people: once for each statement of which somebody helps.
    pub fn count_help(&mut self, crew: CrewId, people: u128) {
        let helpers = self.helpers_in(crew, people);
        let mut statements: Vec<usize> = helpers.iter().map(|(h, _)| self.helpers[*h].statement).collect();
        statements.dedup();
        for statement in statements {
            self.totals.help_tasks[statement] += 1;
        }
    }

    /// Net time passes for those of a crew who help it, at work or on their way.
    pub fn help_passes(&mut self, crew: usize, at_work: u128, walking: u128, net: i64) {
        for (h, bit) in self.helpers_in(CrewId::from_index(crew), at_work | walking) {
            let helper = &mut self.helpers[h];
            helper.left -= net;
            let (of, help) = (helper.group.index(), &mut self.totals.help[helper.statement]);
            match at_work & bit != 0 {
                true => {
                    self.totals.group_busy[of] += net;
                    help.busy += net;
                }
                false => {
                    self.totals.group_walking[of] += net;
                    help.walking += net;
                }
            }
        }
    }

    /// Net time passes: who helps is not there, or sits in for somebody.
    pub fn helpers_are_gone(&mut self, nets: &[i64]) {
        for helper in self.helpers.iter().filter(|helper| !helper.there) {
            let hours = self.hours_of_group(helper.group.index());
            self.totals.help[helper.statement].gone += nets[usize::from(hours)];
        }
    }

    /// What the report says of those who help.
    pub fn help_reported(&self, reported: &[HelpCounts], before: &[Help], said: &mut Differences) {
        for (k, counts) in reported.iter().enumerate() {
            let (now, then) = (self.totals.help[k], before[k]);
            let who = &self.line.groups[self.line.helping[k].group.index()].name;
            let mut exact = |what: &str, own: i64, said_to_be: i64| {
                said.exact(&format!("{what} of {who} who help"), own.into(), said_to_be.into());
            };
            exact("work", now.busy - then.busy, counts.busy);
            exact("walks", now.walking - then.walking, counts.walking);
            exact("repairs", now.mending - then.mending, counts.mending);
            exact("time away", now.gone - then.gone, counts.standing_in + counts.absent);
        }
    }
}
