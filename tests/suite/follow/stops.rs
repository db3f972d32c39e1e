//! Stops: when they may begin and end, what must pause and go on, who mends.

use super::Follower;
use super::unit::{Unit, What};
use super::work::bounds;
use taktwright::line::{
    Comes, EquipmentId, GapTime, GroupId, Line, Mending, PlaceId, StepId, Stopped, TestId,
};
use taktwright::units::Time;

/// One cause of stops.
#[derive(Clone, Copy)]
struct CauseNow {
    /// Clock and net time at which it stopped, if it is stopped; at which its repair began.
    stopped: Option<(Time, Time)>,
    mending: Option<(Time, Time)>,
    /// Net time of its repair that was broken off.
    mended: Time,
    /// Clock and net time at which its last stop ended, or the run began.
    ended: (Time, Time),
}

/// The causes of a line, and the people who mend.
pub struct StopsNow {
    causes: Vec<CauseNow>,
    /// Per group: people in no crew, and those of them free to mend.
    spare: Vec<i64>,
    menders: Vec<i64>,
    /// A shift has begun, and it is not known yet who of those who help mends what.
    pub deals: bool,
}

/// Of each group: how many sit in no crew.
pub fn in_no_crew(line: &Line) -> Vec<i64> {
    let mut left: Vec<i64> = line.groups.iter().map(|g| i64::from(g.count)).collect();
    for crew in &line.crews {
        let gangs = if crew.per_bay { line.places[crew.places[0].index()].bays } else { 1 };
        for (count, group) in &crew.members {
            left[group.index()] -= i64::from(count * gangs);
        }
    }
    left
}

impl StopsNow {
    pub fn of(line: &Line) -> StopsNow {
        let fresh =
            CauseNow { stopped: None, mending: None, mended: Time::ZERO, ended: (Time::ZERO, Time::ZERO) };
        let menders = in_no_crew(line);
        StopsNow { causes: vec![fresh; line.stops.len()], spare: menders.clone(), menders, deals: false }
    }
}

impl Follower<'_> {
    fn stops_place(&self, cause: usize, place: PlaceId) -> bool {
        matches!(&self.line.stops[cause].what, Stopped::Places(places) if places.contains(&place))
    }

    /// Does any cause stop this place now?
    pub fn is_halted(&self, place: PlaceId) -> bool {
        (0..self.stops.causes.len())
            .any(|c| self.stops.causes[c].stopped.is_some() && self.stops_place(c, place))
    }

    fn is_equipment_halted(&self, equipment: EquipmentId) -> bool {
        (0..self.stops.causes.len()).any(|c| {
            self.stops.causes[c].stopped.is_some() && self.line.stops[c].what == Stopped::Equipment(equipment)
        })
    }

    /// Can this neither start nor go on, for a stop of its place or of equipment?
    pub fn is_barred(&self, unit: &Unit, what: What, place: PlaceId) -> bool {
        if self.stops.causes.iter().all(|c| c.stopped.is_none()) {
            return false;
        }
        let line = self.line;
        let kept = line.keeps.iter().enumerate().any(|(k, keep)| {
            let opens = matches!(what, What::Step(step) if keep.from == step);
            (unit.kept[k] || opens) && self.is_equipment_halted(keep.equipment)
        });
        let used = match what {
            What::Step(step) => {
                line.steps[step.index()].equipment.iter().any(|(e, _)| self.is_equipment_halted(*e))
            }
            What::Fix(_) => false,
        };
        self.is_halted(place) || kept || used
    }

    pub fn stop_begins(&mut self, stop: u16) {
        let c = usize::from(stop);
        let Some(cause) = self.line.stops.get(c) else {
            return self.fault(None, None, format!("there is no cause {stop} of stops"));
        };
        let (now, net) = (self.now, self.net_of_stop(c));
        let state = self.stops.causes[c];
        if state.stopped.is_some() {
            self.fault(None, None, format!("{} stops and is stopped", cause.name));
        }
        let (clock_gap, net_gap) = (now - state.ended.0, net - state.ended.1);
        let (low, high) = bounds(&cause.gap, 1.0);
        let (low, high) = (low.round_ties_even().max(1.0), high.round_ties_even().max(1.0));
        let day = Time::DAY.0;
        let fits = match (&cause.comes, cause.runs) {
            (Comes::Days { .. }, _) => now.0 % day == 0 && clock_gap.0 >= 0,
            // Others may have been solved since, and it took its time to be answered.
            (Comes::Calls { .. }, _) => net_gap.0 > 0,
            (Comes::ByItself, runs) => match runs {
                GapTime::Clock => low <= clock_gap.0 as f64 && clock_gap.0 as f64 <= high,
                GapTime::Net => low <= net_gap.0 as f64 && net_gap.0 as f64 <= high,
                GapTime::Use => low <= net_gap.0 as f64,
            },
        };
        if !fits {
            let text = format!("{} stops {clock_gap} ({net_gap} net) after its last stop", cause.name);
            self.fault(None, None, text);
        }
        self.stops.causes[c].stopped = Some((now, net));
        self.totals.stops[c].count += 1;
    }

    pub fn mending_begins(&mut self, stop: u16) {
        let c = usize::from(stop);
        let cause = &self.line.stops[c];
        let Some(stopped) = self.stops.causes[c].stopped else {
            return self.fault(None, None, format!("{} is mended and is not stopped", cause.name));
        };
        match cause.mending {
            Mending::OnTheClock | Mending::InNetTime => {
                if stopped.0 != self.now {
                    self.fault(None, None, format!("the repair of {} begins late", cause.name));
                }
            }
            Mending::By { count, group } => {
                let earlier = (0..self.stops.causes.len()).find(|other| {
                    let state = self.stops.causes[*other];
                    let waits = state.stopped.filter(|_| state.mending.is_none());
                    let same =
                        matches!(self.line.stops[*other].mending, Mending::By { group: g, .. } if g == group);
                    same && *other != c && waits.is_some_and(|w| (w.0, *other) < (stopped.0, c))
                });
                if let Some(earlier) = earlier {
                    let before = &self.line.stops[earlier].name;
                    self.fault(None, None, format!("{} is mended before {before}", cause.name));
                }
                if !self.may_begin_to_mend(group.index()) {
                    let text = format!("the repair of {} begins outside the hours of visitors", cause.name);
                    self.fault(None, None, text);
                }
                if self.menders_left(group.index()) < i64::from(count) {
                    self.fault(None, None, format!("nobody is free to mend {}", cause.name));
                }
                self.stops.menders[group.index()] -= i64::from(count);
            }
        }
        self.stops.causes[c].mending = Some((self.now, self.net_of_mending(c)));
        self.deal_menders();
    }

    /// Too few of those who mend are there in this shift: the stop that came last is left.
    pub fn mending_pauses(&mut self, stop: u16) {
        let c = usize::from(stop);
        let state = self.stops.causes[c];
        let (Some(began), Mending::By { count, group }) = (state.mending, self.line.stops[c].mending) else {
            return self.fault(None, None, format!("the repair of cause {stop} pauses and nobody mends it"));
        };
        let later = (0..self.stops.causes.len()).any(|other| {
            let mends = matches!(self.line.stops[other].mending, Mending::By { group: g, .. } if g == group);
            let now = self.stops.causes[other];
            mends
                && now.mending.is_some()
                && (now.stopped.map(|s| s.0), other) > (state.stopped.map(|s| s.0), c)
        });
        if later || self.menders_left(group.index()) >= 0 {
            let name = &self.line.stops[c].name;
            self.fault(None, None, format!("{name} is left unmended though people are there for it"));
        }
        self.stops.menders[group.index()] += i64::from(count);
        let mended = self.net_of_mending(c) - began.1;
        self.stops.causes[c].mended += mended;
        self.stops.causes[c].mending = None;
        self.helpers_mend_no_more(c);
    }

    /// A shift begins; so many people of the group can mend.
    pub fn spare_come(&mut self, group: GroupId, here: u32) {
        if i64::from(here) > self.stops.spare[group.index()] {
            self.fault(None, None, "more people come than are in no crew");
        }
        let busy = self.mending_now(group.index());
        self.stops.menders[group.index()] = i64::from(here) - busy;
        self.stops.deals |= self.helpers.iter().any(|helper| helper.group == group);
    }

    /// People of a group who mend something.
    fn mending_now(&self, group: usize) -> i64 {
        let heads = |c: usize| match self.line.stops[c].mending {
            Mending::By { count, group: g } if g.index() == group => i64::from(count),
            Mending::By { .. } | Mending::OnTheClock | Mending::InNetTime => 0,
        };
        let mended = (0..self.stops.causes.len()).filter(|c| self.stops.causes[*c].mending.is_some());
        mended.map(heads).sum()
    }

    /// How many of a group could begin to mend; less than none where too many are at it. Who helps a crew can't.
    fn menders_left(&self, group: usize) -> i64 {
        match self.could_mend(group) {
            Some(there) => there - self.mending_now(group),
            None => self.stops.menders[group],
        }
    }

    /// A stop waits for people of this group.
    pub fn is_waited_for(&self, group: GroupId) -> bool {
        (0..self.stops.causes.len()).any(|c| {
            let state = self.stops.causes[c];
            state.stopped.is_some() && state.mending.is_none() && self.mends(c) == Some(group.index())
        })
    }

    /// Who of those who help mends what: whoever does goes on with it as long as they are there, and the first who are
    /// free sit in for the rest, the stop that began first before others.
    pub fn deal_menders(&mut self) {
        self.stops.deals = false;
        let gone = self.helpers.iter_mut().filter(|helper| !helper.there);
        gone.for_each(|helper| helper.mends = None);
        let mut mended: Vec<usize> =
            (0..self.stops.causes.len()).filter(|c| self.stops.causes[*c].mending.is_some()).collect();
        mended.sort_by_key(|c| (self.stops.causes[*c].stopped.map(|s| s.0), *c));
        for c in mended {
            let Mending::By { count, group } = self.line.stops[c].mending else { continue };
            let has = self.helpers.iter().filter(|helper| helper.mends == Some(c)).count();
            let free = (0..self.helpers.len()).filter(|h| {
                let helper = &self.helpers[*h];
                helper.group == group && helper.there && helper.mends.is_none() && !self.helps_somewhere(*h)
            });
            let take: Vec<usize> = free.take((count as usize).saturating_sub(has)).collect();
            take.into_iter().for_each(|h| self.helpers[h].mends = Some(c));
        }
    }

    fn helpers_mend_no_more(&mut self, cause: usize) {
        let mends = self.helpers.iter_mut().filter(|helper| helper.mends == Some(cause));
        mends.for_each(|helper| helper.mends = None);
    }

    pub fn stop_ends(&mut self, stop: u16) {
        let c = usize::from(stop);
        let cause = &self.line.stops[c];
        let state = self.stops.causes[c];
        let Some(began) = state.mending.filter(|_| state.stopped.is_some()) else {
            return self.fault(None, None, format!("the stop of {} ends and no repair began", cause.name));
        };
        let lasted = match cause.mending {
            Mending::OnTheClock => self.now - began.0,
            Mending::InNetTime | Mending::By { .. } => state.mended + (self.net_of_mending(c) - began.1),
        };
        let (low, high) = bounds(&cause.repair, 1.0);
        let length = lasted.0 as f64;
        if length < low.round_ties_even() || length > high.round_ties_even() {
            self.fault(None, None, format!("the repair of {} lasts {lasted}", cause.name));
        }
        if let Mending::By { count, group } = cause.mending {
            self.stops.menders[group.index()] += i64::from(count);
        }
        self.helpers_mend_no_more(c);
        self.stops.causes[c] = CauseNow {
            stopped: None,
            mending: None,
            mended: Time::ZERO,
            ended: (self.now, self.net_of_stop(c)),
        };
    }

    fn what_of(&self, (step, test): (Option<StepId>, Option<TestId>)) -> What {
        match (step, test) {
            (Some(step), _) => What::Step(step),
            (None, test) => What::Fix(test.unwrap_or(TestId(0))),
        }
    }

    pub fn paused(
        &mut self,
        number: u64,
        what: (Option<StepId>, Option<TestId>),
        (place, bay): (PlaceId, u16),
    ) {
        let what = self.what_of(what);
        let name = self.said(what);
        let (now, attended) = (self.now, self.is_attended_work(what));
        let Some(unit) = self.units.get(&number).filter(|u| u.bay() == Some((place, bay))) else {
            return self.fault(Some(number), Some(place), format!("{name} pauses where the unit is not"));
        };
        let unmanned = unit.running.iter().any(|r| r.what == what && r.is_unmanned());
        if !self.is_barred(unit, what, place) && !unmanned {
            self.fault(Some(number), Some(place), format!("{name} pauses though nothing stops it"));
        }
        let Some(run) = self.units[&number].running.iter().find(|r| r.what == what && r.paused.is_none())
        else {
            return self.fault(Some(number), Some(place), format!("{name} pauses and does not run"));
        };
        // Who arrived as a break began waits for its end, there already.
        let over = match run.walkers {
            Some(_) => self.days_at(place).end_of_work(run.ends, Time(1)) <= now,
            None => run.ends < now,
        };
        if over {
            self.fault(Some(number), Some(place), format!("{name} pauses after its end"));
        }
        let run = self.units[&number].running.iter().find(|r| r.what == what).expect("it was just found");
        let left = if attended { self.left_until(run) } else { run.length };
        if let (Some((crew, gang)), people) = (run.crew, run.people)
            && let Some(gang) = self.gangs[crew.index()].get_mut(usize::from(gang))
        {
            gang.resting |= people;
        }
        if let Some(unit) = self.units.get_mut(&number) {
            unit.running.iter_mut().filter(|r| r.what == what).for_each(|r| r.paused = Some(left));
        }
    }

    pub fn went_on(
        &mut self,
        number: u64,
        what: (Option<StepId>, Option<TestId>),
        (place, bay): (PlaceId, u16),
        ends: Time,
    ) {
        let what = self.what_of(what);
        let name = self.said(what);
        let (line, now, attended) = (self.line, self.now, self.is_attended_work(what));
        let Some(unit) = self.units.get(&number).filter(|u| u.bay() == Some((place, bay))) else {
            return self.fault(Some(number), Some(place), format!("{name} goes on where the unit is not"));
        };
        let barred = self.is_barred(unit, what, place);
        let run = unit.running.iter().find(|r| r.what == what);
        let walks = run.is_some_and(|r| r.walkers.is_some());
        let came = run.filter(|run| run.carried).and_then(|run| Some((run.crew?, run.people)));
        let Some((left, crew, people)) = run.and_then(|r| Some((r.paused?, r.crew, r.people))) else {
            return self.fault(Some(number), Some(place), format!("{name} goes on and does not pause"));
        };
        let moves = unit.arrives > now;
        if barred || moves || run.is_some_and(|r| r.is_unmanned()) {
            self.fault(Some(number), Some(place), format!("{name} goes on though it is stopped or unmanned"));
        }
        let wanted = if walks { self.days_at(place).end_of_work(now, left) } else { self.due(what, left) };
        if wanted != ends {
            let (said, wanted) = (super::clock_text(ends), super::clock_text(wanted));
            self.fault(Some(number), Some(place), format!("{name} is to end at {said} and ends at {wanted}"));
        }
        if let Some((crew, gang)) = crew
            && let Some(gang) = self.gangs[crew.index()].get_mut(usize::from(gang))
        {
            gang.resting &= !people;
        }
        // Whoever came along with the unit is at it, in its new place.
        if let Some((gang, people)) = came {
            self.are_at(number, gang, people);
        }
        let Some(unit) = self.units.get_mut(&number) else { return };
        for run in unit.running.iter_mut().filter(|r| r.what == what) {
            (run.paused, run.ends) = (None, ends);
            // What came along from the place behind, begun early, is work of this place now.
            if let What::Step(step) = what {
                run.carried &= line.steps[step.index()].place != place;
            }
            if !attended {
                run.started = now;
            }
        }
        if let What::Step(step) = what
            && line.steps[step.index()].hold().is_some()
        {
            unit.holds.iter_mut().filter(|h| h.step == step).for_each(|h| h.started = now);
            self.totals.holds[step.index()].restarts += 1;
        }
    }

    /// At the end of an instant what is stopped pauses and what is not goes on; who can mend mends.
    pub fn judge_stops(&mut self) {
        let pauses = self.units.values().any(|unit| unit.running.iter().any(|run| run.paused.is_some()));
        if self.line.stops.is_empty() && !self.line.people_come_and_go() && !pauses {
            return;
        }
        let mut wrong = Vec::new();
        for (number, unit) in &self.units {
            let Some((place, _)) = unit.bay() else { continue };
            for run in &unit.running {
                let name = self.said(run.what);
                let on_its_way = run.carried && unit.arrives > self.now;
                let is_hold =
                    matches!(run.what, What::Step(step) if self.line.steps[step.index()].hold().is_some());
                // A hold that moves with its unit runs on; the next place is looked at when it has arrived.
                if on_its_way && is_hold {
                    continue;
                }
                let rests = on_its_way;
                match (rests || self.is_barred(unit, run.what, place) || run.is_unmanned(), run.paused) {
                    (true, None) => {
                        wrong.push((*number, place, format!("{name} goes on and is stopped or unmanned")));
                    }
                    (false, Some(_)) => wrong.push((*number, place, format!("{name} pauses without a stop"))),
                    (true, Some(_)) | (false, None) => {}
                }
            }
        }
        for (number, place, text) in wrong {
            self.fault(Some(number), Some(place), text);
        }
        for g in 0..self.stops.menders.len() {
            if self.menders_left(g) < 0 {
                self.fault(None, None, "more people mend than are there");
            }
            let waits = |c: &usize| {
                let state = self.stops.causes[*c];
                state.stopped.is_some() && state.mending.is_none() && self.mends(*c) == Some(g)
            };
            let first = (0..self.stops.causes.len())
                .filter(waits)
                .min_by_key(|c| (self.stops.causes[*c].stopped.map(|s| s.0), *c));
            if let Some(c) = first
                && let Mending::By { count, .. } = self.line.stops[c].mending
                && self.menders_left(g) >= i64::from(count)
                && self.may_begin_to_mend(g)
            {
                let name = &self.line.stops[c].name;
                self.fault(None, None, format!("{name} waits for a repair and somebody is free"));
            }
        }
    }

    fn mends(&self, cause: usize) -> Option<usize> {
        match self.line.stops[cause].mending {
            Mending::By { group, .. } => Some(group.index()),
            Mending::OnTheClock | Mending::InNetTime => None,
        }
    }

    /// Time passes: stops last, and people mend.
    pub fn integrate_stops(&mut self, from: Time, to: Time) {
        for visitor in &self.line.visitors {
            let g = visitor.group.index();
            if (0..self.stops.causes.len()).any(|c| self.mends(c) == Some(g)) && !self.is_in_its_hours(g) {
                let days = self.days_of_group(g);
                self.totals.group_off[g] += self.stops.menders[g] * (days.net(to) - days.net(from)).0;
            }
        }
        for c in 0..self.stops.causes.len() {
            let state = self.stops.causes[c];
            let days = self.days_of_stop(c);
            let net = (days.net(to) - days.net(from)).0;
            if state.stopped.is_some() {
                self.totals.stops[c].clock += (to - from).0;
                self.totals.stops[c].net += net;
            }
            let days = self.days_of_mending(c);
            let net = (days.net(to) - days.net(from)).0;
            if let (Some(_), Mending::By { count, group }) = (state.mending, self.line.stops[c].mending) {
                self.totals.group_busy[group.index()] += i64::from(count) * net;
                if let Some(k) = self.line.helping.iter().position(|helping| helping.group == group) {
                    self.totals.help[k].mending += i64::from(count) * net;
                }
            }
        }
    }
}
