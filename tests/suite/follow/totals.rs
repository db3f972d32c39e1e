//! The follower's own counts and integrals, and their comparison with what the run reports.
//!
//! Integrals are exact. A count may differ by what falls on the very instant at which the warm-up
//! ends: whether that instant belongs to the window is not settled, so both readings are kept.

use super::Follower;
use super::attendance::{Attendance, Shift};
use super::feeders::maker;
use super::lanes::next_for;
use super::unit::{Unit, What};
use taktwright::line::{Line, PlaceId, StepId, StepKind, TestId};
use taktwright::simulate::{BayState, Horizon, Replication, Settings, Spot, WarmUp};
use taktwright::units::Time;

/// Counted on test bays.
#[derive(Clone, Default, Debug)]
pub struct TestSum {
    pub arrivals: u64,
    pub attempts: u64,
    pub first_attempts: u64,
    pub first_passes: u64,
    pub passed: u64,
    pub waits: u64,
    pub wait_sum: i128,
    pub waited: u64,
    pub services: u64,
    pub service_sum: i128,
    pub queue: i128,
    pub busy: i128,
}

#[derive(Clone, Default, Debug)]
pub struct WindowSum {
    pub judged: u64,
    pub missed: u64,
}

#[derive(Clone, Debug)]
pub struct HoldSum {
    pub ended: u64,
    pub followed: u64,
    pub shortest: Time,
    pub restarts: u64,
    pub moved: u64,
}

/// Of one cause of stops.
#[derive(Clone, Default, Debug)]
pub struct StopSum {
    pub count: u64,
    pub clock: i64,
    pub net: i64,
}

/// Of one segment.
#[derive(Clone, Default, Debug)]
pub struct PushSum {
    pub count: i64,
    pub on_time: i64,
    pub delay: Time,
}

#[derive(Clone, Default, Debug)]
pub struct PlaceSum {
    pub states: [i64; BayState::COUNT],
    pub holding_outside: i64,
    pub visits: u64,
    pub bay_levels: Vec<i64>,
    pub slot_levels: Vec<i64>,
    /// Units pushed on with work left, and the longest of it.
    /// Units pulled off the line here.
    pub pulled_off: u64,
    pub drifted: u64,
    pub drifted_left: i64,
    /// Units begun before they came here, and how long before their push.
    pub early: u64,
    pub early_by: i64,
}

/// Everything counted since the start of the run.
#[derive(Clone, Debug)]
pub struct Totals {
    pub released: u64,
    pub line_on: u64,
    pub finished: u64,
    pub first_pass: u64,
    pub scrapped: u64,
    pub set_aside: u64,
    pub by_model: Vec<u64>,
    pub flow: i128,
    pub flow_from_release: i128,
    pub places: Vec<PlaceSum>,
    pub tests: Vec<TestSum>,
    pub windows: Vec<WindowSum>,
    pub holds: Vec<HoldSum>,
    pub stops: Vec<StopSum>,
    pub pushes: Vec<PushSum>,
    pub crew_busy: Vec<i64>,
    pub crew_off: Vec<i64>,
    pub crew_absent: Vec<i64>,
    pub crew_not_on_shift: Vec<i64>,
    /// Per crew: the starts of its shifts, and whether a seat was empty.
    pub crew_shifts: Vec<Vec<(Time, bool)>>,
    pub crew_walking: Vec<i64>,
    pub group_walking: Vec<i64>,
    pub crew_moving: Vec<i64>,
    pub group_moving: Vec<i64>,
    pub group_busy: Vec<i64>,
    /// Per statement: tasks that began with somebody who helps.
    pub help_tasks: Vec<u64>,
    /// Per statement: their net time.
    pub help: Vec<super::helping::Help>,
    /// Off shift.
    pub group_off: Vec<i64>,
    pub equipment_busy: Vec<i64>,
    pub stores: Vec<super::parts::StoreSum>,
    pub feeders: Vec<super::feeders::FeederSum>,
    pub around: super::around::AroundSums,
    /// Unit-microseconds from the first waiting place, and from the first bay.
    pub presence: [i128; 2],
    /// Times from on to off, one pair per unit gone, from the first waiting place.
    pub stays: Vec<(Time, Time)>,
    /// Units that stood in the line at the start and have finished: no flow time can be said.
    pub finished_from_start: u64,
    pub finishes: Vec<Time>,
    pub shift_of_crews: Option<usize>,
}

/// Which part of the run is counted.
pub struct Window {
    /// Known from the start, or after so many finished units.
    start: Option<Time>,
    after_units: Option<u64>,
    horizon: Horizon,
    before: Option<Box<Totals>>,
    after: Option<Box<Totals>>,
}

impl Window {
    pub fn of(settings: &Settings, days: &Attendance) -> Window {
        let mut window =
            Window { start: None, after_units: None, horizon: settings.horizon, before: None, after: None };
        match (settings.warm_up, settings.horizon) {
            (WarmUp::None, Horizon::Shifts(_)) | (WarmUp::Shifts(0), _) => {
                window.start = days.shifts.first().map(|s| s.start);
            }
            (WarmUp::None, _) | (WarmUp::Units(0), _) => window.start = Some(Time::ZERO),
            (WarmUp::Units(n), _) => window.after_units = Some(n),
            (WarmUp::For(time), Horizon::Shifts(_)) => {
                window.start = days.shifts.iter().map(|s| s.start).find(|start| *start >= time);
            }
            (WarmUp::For(time), Horizon::Units(_) | Horizon::For(_)) => window.start = Some(time),
            (WarmUp::Shifts(n), _) => window.start = days.shifts.get(n as usize).map(|s| s.start),
        }
        window
    }
}

impl Totals {
    pub fn new(line: &Line) -> Totals {
        let place = |p: &taktwright::line::Place| PlaceSum {
            bay_levels: vec![0; p.bays as usize + 1],
            slot_levels: vec![0; p.slots as usize + 1],
            ..PlaceSum::default()
        };
        Totals {
            released: 0,
            line_on: 0,
            finished: 0,
            first_pass: 0,
            scrapped: 0,
            set_aside: 0,
            by_model: vec![0; line.models.len()],
            flow: 0,
            flow_from_release: 0,
            places: line.places.iter().map(place).collect(),
            tests: vec![TestSum::default(); line.tests.len()],
            windows: vec![WindowSum::default(); line.windows.len()],
            holds: line
                .steps
                .iter()
                .map(|_| HoldSum { ended: 0, followed: 0, shortest: Time::NEVER, restarts: 0, moved: 0 })
                .collect(),
            stops: vec![StopSum::default(); line.stops.len()],
            pushes: vec![PushSum::default(); line.segments.len()],
            crew_busy: vec![0; line.crews.len()],
            crew_off: vec![0; line.crews.len()],
            crew_absent: vec![0; line.crews.len()],
            crew_not_on_shift: vec![0; line.crews.len()],
            crew_shifts: vec![Vec::new(); line.crews.len()],
            crew_walking: vec![0; line.crews.len()],
            group_walking: vec![0; line.groups.len()],
            crew_moving: vec![0; line.crews.len()],
            group_moving: vec![0; line.groups.len()],
            group_busy: vec![0; line.groups.len()],
            help_tasks: vec![0; line.helping.len()],
            help: vec![super::helping::Help::default(); line.helping.len()],
            group_off: vec![0; line.groups.len()],
            equipment_busy: vec![0; line.equipment.len()],
            stores: vec![super::parts::StoreSum::default(); line.parts.len()],
            feeders: vec![super::feeders::FeederSum::default(); line.feeders.len()],
            around: super::around::AroundSums::new(line),
            presence: [0; 2],
            stays: Vec::new(),
            finished_from_start: 0,
            finishes: Vec::new(),
            shift_of_crews: None,
        }
    }

    pub fn verdict(&mut self, test: TestId, attempt: u32, passed: bool) {
        let sum = &mut self.tests[test.index()];
        sum.attempts += 1;
        sum.first_attempts += u64::from(attempt == 1);
        sum.first_passes += u64::from(attempt == 1 && passed);
        sum.passed += u64::from(passed);
    }

    pub fn hold_ended(&mut self, line: &Line, step: StepId) {
        if matches!(line.steps[step.index()].kind, StepKind::Hold(_)) {
            self.holds[step.index()].ended += 1;
        }
    }

    pub fn hold_followed(&mut self, line: &Line, step: StepId, lasted: Time) {
        if matches!(line.steps[step.index()].kind, StepKind::Hold(_)) {
            let sum = &mut self.holds[step.index()];
            sum.followed += 1;
            sum.shortest = sum.shortest.min(lasted);
        }
    }

    pub fn entered_bay(&mut self, line: &Line, place: PlaceId, waited: Option<Time>) {
        self.places[place.index()].visits += 1;
        for (test, sum) in line.tests.iter().zip(&mut self.tests) {
            if test.place == place {
                sum.arrivals += 1;
                if let Some(waited) = waited {
                    sum.waits += 1;
                    sum.wait_sum += i128::from(waited.0);
                    sum.waited += u64::from(waited > Time::ZERO);
                }
            }
        }
    }

    pub fn left_bay(&mut self, line: &Line, place: PlaceId, stayed: Time) {
        for (test, sum) in line.tests.iter().zip(&mut self.tests) {
            if test.place == place {
                sum.services += 1;
                sum.service_sum += i128::from(stayed.0);
            }
        }
    }

    pub fn finish(&mut self, unit: &Unit, at: Time) {
        self.finished += 1;
        self.finishes.push(at);
        self.by_model[unit.model.index()] += 1;
        self.first_pass += u64::from(unit.tests.iter().all(|t| !t.ever_failed));
        self.finished_from_start += u64::from(unit.from_start);
        self.flow += i128::from((at - unit.on_line.unwrap_or(at)).0);
        self.flow_from_release += i128::from((at - unit.released).0);
    }

    pub fn gone(&mut self, unit: &Unit, at: Time) {
        if let Some(on) = unit.on_line {
            self.stays.push((on, at));
        }
    }
}

impl Follower<'_> {
    /// Time passes from now to `to`; the window's start is marked on the way.
    pub fn let_pass(&mut self, to: Time) {
        if self.window.before.is_some() && self.window.after.is_none() {
            self.window.after = Some(Box::new(self.totals.clone()));
        }
        match self.window.start {
            Some(start) if start > self.now && start <= to => {
                self.integrate(self.now, start);
                self.window.before = Some(Box::new(self.totals.clone()));
                if start < to {
                    self.window.after = Some(Box::new(self.totals.clone()));
                }
                self.integrate(start, to);
            }
            Some(_) | None => self.integrate(self.now, to),
        }
    }

    /// A window that begins with the n-th finished unit, which is about to be counted.
    pub fn mark_before_finish(&mut self) {
        if self.window.after_units == Some(self.totals.finished + 1) && self.window.before.is_none() {
            self.window.start = Some(self.now);
            self.window.before = Some(Box::new(self.totals.clone()));
        }
    }

    fn integrate(&mut self, from: Time, to: Time) {
        let clock = (to - from).0;
        if clock == 0 {
            return;
        }
        let nets: Vec<i64> = (0..=self.own_days.len() as u16)
            .map(|hours| (self.days_of(hours).net(to) - self.days_of(hours).net(from)).0)
            .collect();
        let of_place = |place: usize| nets[usize::from(self.line.places[place].hours)];
        for (p, (now, sum)) in self.places.iter().zip(&mut self.totals.places).enumerate() {
            let net = of_place(p);
            for state in &now.states {
                sum.states[*state as usize] += net;
                if *state == BayState::Holding {
                    sum.holding_outside += clock - net;
                }
            }
            let taken = now.bays.iter().flatten().count();
            sum.bay_levels[taken] += clock;
            if let Some(level) = sum.slot_levels.get_mut(now.slots.len()) {
                *level += clock;
            }
        }
        let crews = (0..self.gangs.len()).map(taktwright::line::CrewId::from_index);
        let outside: Vec<u128> = crews.map(|crew| self.outside_hours(crew)).collect();
        for (crew, gangs) in self.gangs.clone().iter().enumerate() {
            let size = i64::from(self.line.crews[crew].size());
            let net = nets[usize::from(self.hours_at(self.line.crews[crew].places[0]))];
            let own = self.everybody(taktwright::line::CrewId::from_index(crew));
            self.totals.crew_not_on_shift[crew] += self.not_on_shift(crew, from) * net;
            for (g, gang) in gangs.iter().enumerate() {
                let (walking, waits) = self.on_the_way(crew, g);
                let at_work = gang.busy & !gang.resting & !gang.moving & !waits;
                self.totals.crew_moving[crew] += i64::from((gang.moving & own).count_ones()) * net;
                self.help_passes(crew, at_work, walking, net);
                let (at_work, walking) = (at_work & own, walking & own);
                self.totals.crew_walking[crew] += i64::from(walking.count_ones()) * net;
                self.totals.crew_busy[crew] += i64::from(at_work.count_ones()) * net;
                let here = gang.here.map_or(size, |here| i64::from(here.count_ones()));
                let outside = outside[crew] & !gang.busy & gang.here.unwrap_or(u128::MAX);
                let gone = if gang.home { here } else { i64::from(outside.count_ones()) };
                self.totals.crew_off[crew] += gone * net;
                self.totals.crew_absent[crew] += (size - here) * net;
                let mut person = 0;
                for (count, group) in &self.line.crews[crew].members {
                    let mask = if *count >= 128 { u128::MAX } else { ((1 << count) - 1) << person };
                    let busy = i64::from((at_work & mask).count_ones());
                    self.totals.group_busy[group.index()] += busy * net;
                    let moving = i64::from((gang.moving & mask).count_ones());
                    self.totals.group_moving[group.index()] += moving * net;
                    let walk = i64::from((walking & mask).count_ones());
                    self.totals.group_walking[group.index()] += walk * net;
                    let present = gang.here.unwrap_or(u128::MAX) & mask;
                    let gone = if gang.home { present } else { present & outside };
                    self.totals.group_off[group.index()] += i64::from(gone.count_ones()) * net;
                    person += count;
                }
            }
        }
        for e in 0..self.in_use.len() {
            let hours = self.hours_of_equipment(taktwright::line::EquipmentId::from_index(e));
            self.totals.equipment_busy[e] += i64::from(self.in_use[e]) * nets[usize::from(hours)];
        }
        self.helpers_are_gone(&nets);
        self.integrate_stores(clock);
        self.integrate_ways(clock);
        self.integrate_around(from, to);
        self.integrate_stops(from, to);
        self.integrate_units(from, to);
    }

    /// When counting began; the start, as long as that is not known.
    pub fn counted_from(&self) -> Time {
        self.window.start.filter(|start| *start <= self.now).unwrap_or(Time::ZERO)
    }

    fn integrate_units(&mut self, from: Time, to: Time) {
        let clock = i128::from((to - from).0);
        let line = self.line;
        for (_, unit) in self.units.iter().filter(|(number, _)| maker(**number).is_none()) {
            self.totals.presence[0] += if unit.on_line.is_some() { clock } else { 0 };
            self.totals.presence[1] += if unit.in_bay.is_some() { clock } else { 0 };
        }
        for (test, sum) in line.tests.iter().zip(&mut self.totals.tests) {
            let bays = &self.places[test.place.index()].bays;
            sum.busy += bays.iter().flatten().count() as i128 * clock;
            for unit in self.units.values() {
                let heads_there = match (unit.spot, unit.route.front()) {
                    (Spot::Slot(place) | Spot::Outside(place), _) => place == test.place,
                    (Spot::Bay(..), Some(next)) => *next == test.place,
                    (Spot::Bay(place, _), None) => next_for(line, unit, place) == Some(test.place),
                };
                if let (true, Some(since)) = (heads_there, unit.done_at) {
                    sum.queue += i128::from((to - since.max(from)).0.max(0));
                }
            }
        }
    }

    /// The run is over: its report must say what was seen.
    pub fn compare(&mut self, report: &Replication) {
        let Some(start) = self.window.start else {
            return self.fault(None, None, "the run ended before its warm-up did");
        };
        let end = start + report.clock;
        if end < self.now {
            let over = self.now - end;
            self.fault(None, None, format!("the run went on {over} after the end that it reports"));
        } else if end > self.now {
            self.pass_to(end);
        }
        self.instant_ends_in_stores();
        let net = self.days.net(end) - self.days.net(start);
        if net != report.net {
            self.fault(
                None,
                None,
                format!("net time of the window is {} us, reported {}", net.0, report.net.0),
            );
        }
        for (own, reported) in self.own_days.iter().zip(&report.own_net) {
            let net = own.net(end) - own.net(start);
            if net != *reported {
                let text = format!("own hours of the window are {} us, reported {}", net.0, reported.0);
                self.fault_count += 1;
                self.faults.push(text);
            }
        }
        let mut differences = Differences::default();
        let zero = Totals::new(self.line);
        let before = self.window.before.take().map_or_else(|| zero.clone(), |b| *b);
        let after = match (self.window.after.take(), start) {
            (Some(after), _) => *after,
            (None, Time::ZERO) => zero,
            (None, _) => self.totals.clone(),
        };
        self.compare_counts(report, &before, &after, &mut differences);
        self.compare_places(report, &before, &after, &mut differences);
        self.compare_tests(report, &before, &after, &mut differences);
        self.compare_rest(report, &before, &after, &mut differences);
        self.compare_presence(report, (start, end), &before, &mut differences);
        self.compare_shifts(report, (start, end), &mut differences);
        for text in differences.said {
            self.fault(None, None, text);
        }
        self.conserve_units();
    }

    fn compare_counts(&self, report: &Replication, before: &Totals, after: &Totals, said: &mut Differences) {
        let now = &self.totals;
        // Units that stand in the line at the start may count as released then or not at all.
        let from_start = if self.window.start == Some(Time::ZERO) { self.from_start } else { 0 };
        let mut count = |what: &str, of: fn(&Totals) -> u64, reported: u64, less: u64| {
            let (least, most) = ((of(now) - of(after)).saturating_sub(less), of(now) - of(before));
            said.between(what, i128::from(least), i128::from(most), i128::from(reported));
        };
        count("released", |t| t.released, report.released, from_start);
        count("line on", |t| t.line_on, report.line_on, from_start);
        count("finished", |t| t.finished, report.finished, 0);
        count("finished at the first pass", |t| t.first_pass, report.finished_first_pass, 0);
        count("scrapped", |t| t.scrapped, report.scrapped, 0);
        count("set aside", |t| t.set_aside, report.set_aside, 0);
        for (m, reported) in report.finished_by_model.iter().enumerate() {
            let (least, most) = (now.by_model[m] - after.by_model[m], now.by_model[m] - before.by_model[m]);
            said.between("finished by model", least.into(), most.into(), (*reported).into());
        }
        if let (Horizon::Units(wanted), finished) = (self.window.horizon, report.finished) {
            // Whoever finishes at the same instant as the last one wanted is counted too.
            let last = self.totals.finishes.last();
            let together = self.totals.finishes.iter().filter(|at| Some(*at) == last).count() as u64;
            let most = wanted + together.saturating_sub(1);
            said.between("finished at the end", wanted.into(), most.into(), finished.into());
        }
        said.between(
            "flow times",
            report.finished.into(),
            report.finished.into(),
            report.flow.count().into(),
        );
        if self.from_start == 0 && report.finished == now.finished - before.finished {
            said.exact("sum of flow times", now.flow - before.flow, report.flow.sum());
            let from_release = now.flow_from_release - before.flow_from_release;
            said.exact("sum of flow times from release", from_release, report.flow_from_release.sum());
        }
    }

    fn compare_places(&self, report: &Replication, before: &Totals, after: &Totals, said: &mut Differences) {
        let line = self.line;
        said.exact("places reported", line.places.len() as i128, report.places.len() as i128);
        for (p, counts) in report.places.iter().enumerate() {
            let name = &line.places[p].name;
            let (now, then) = (&self.totals.places[p], &before.places[p]);
            for state in BayState::ALL {
                let own = now.states[state as usize] - then.states[state as usize];
                let what = format!("{} at {name}", state.words());
                said.exact(&what, own.into(), counts.states[state as usize].into());
            }
            let sum: i64 = counts.states.iter().sum();
            let whole = i64::from(line.places[p].bays) * report.net_of(line.places[p].hours).0;
            said.exact(&format!("states of {name} together"), whole.into(), sum.into());
            let outside = now.holding_outside - then.holding_outside;
            said.exact(
                &format!("holding outside net time at {name}"),
                outside.into(),
                counts.holding_outside.0.into(),
            );
            let later = &after.places[p];
            for (what, least, most, reported) in [
                (
                    "units pulled off the line at",
                    now.pulled_off - later.pulled_off,
                    now.pulled_off - then.pulled_off,
                    counts.pulled_off,
                ),
                (
                    "units that drifted from",
                    now.drifted - later.drifted,
                    now.drifted - then.drifted,
                    counts.drifted,
                ),
                ("units begun early for", now.early - later.early, now.early - then.early, counts.early),
                (
                    "microseconds begun early for",
                    (now.early_by - later.early_by) as u64,
                    (now.early_by - then.early_by) as u64,
                    counts.early_by.0 as u64,
                ),
                (
                    "microseconds drifted from",
                    (now.drifted_left - later.drifted_left) as u64,
                    (now.drifted_left - then.drifted_left) as u64,
                    counts.drifted_left.0 as u64,
                ),
            ] {
                said.between(&format!("{what} {name}"), least.into(), most.into(), reported.into());
            }
            let from_start = if self.window.start == Some(Time::ZERO) { line.places[p].bays } else { 0 };
            let more = if self.from_start > 0 { u64::from(from_start) } else { 0 };
            let least = (now.visits - after.places[p].visits).saturating_sub(more);
            said.between(
                &format!("visits to {name}"),
                least.into(),
                (now.visits - then.visits).into(),
                counts.visits.into(),
            );
            for (k, reported) in counts.bay_levels.iter().enumerate() {
                let own = now.bay_levels[k] - then.bay_levels[k];
                said.exact(&format!("{k} bays of {name} taken"), own.into(), (*reported).into());
            }
            for (k, reported) in counts.slot_levels.iter().enumerate() {
                let own = now.slot_levels[k] - then.slot_levels[k];
                said.exact(&format!("{k} slots of {name} taken"), own.into(), (*reported).into());
            }
        }
    }

    fn compare_tests(&self, report: &Replication, before: &Totals, after: &Totals, said: &mut Differences) {
        for (t, counts) in report.tests.iter().enumerate() {
            let name = &self.line.tests[t].name;
            let (now, then, later) = (&self.totals.tests[t], &before.tests[t], &after.tests[t]);
            let count = |said: &mut Differences, what: &str, of: fn(&TestSum) -> u64, reported: u64| {
                let (least, most) = (of(now) - of(later), of(now) - of(then));
                said.between(&format!("{what} of {name}"), least.into(), most.into(), reported.into());
            };
            count(said, "attempts", |s| s.attempts, counts.attempts);
            count(said, "first attempts", |s| s.first_attempts, counts.first_attempts);
            count(said, "first passes", |s| s.first_passes, counts.first_passes);
            count(said, "passes", |s| s.passed, counts.passed);
            if self.from_start > 0 {
                continue;
            }
            count(said, "arrivals", |s| s.arrivals, counts.arrivals);
            count(said, "waits", |s| s.waits, counts.waits.count());
            count(said, "waits over nothing", |s| s.waited, counts.waited);
            if counts.waits.count() == now.waits - then.waits {
                said.exact(
                    &format!("sum of waits at {name}"),
                    now.wait_sum - then.wait_sum,
                    counts.waits.sum(),
                );
            }
            count(said, "visits ended", |s| s.services, counts.service.count());
            if counts.service.count() == now.services - then.services {
                let own = now.service_sum - then.service_sum;
                said.exact(&format!("sum of visits at {name}"), own, counts.service.sum());
            }
            said.exact(&format!("bays of {name} busy"), now.busy - then.busy, counts.busy);
            said.exact(&format!("queue of {name}"), now.queue - then.queue, counts.queue);
        }
    }

    fn compare_rest(&self, report: &Replication, before: &Totals, after: &Totals, said: &mut Differences) {
        let (line, now) = (self.line, &self.totals);
        for (c, counts) in report.crews.iter().enumerate() {
            let name = &line.crews[c].name;
            said.exact(
                &format!("work of crew {name}"),
                (now.crew_busy[c] - before.crew_busy[c]).into(),
                counts.busy.into(),
            );
            let off = now.crew_off[c] - before.crew_off[c];
            said.exact(&format!("time off of crew {name}"), off.into(), counts.off_shift.into());
            let absent = now.crew_absent[c] - before.crew_absent[c];
            said.exact(&format!("absence of crew {name}"), absent.into(), counts.absent.into());
            let not_on_shift = now.crew_not_on_shift[c] - before.crew_not_on_shift[c];
            said.exact(
                &format!("people of crew {name} not on the shift"),
                not_on_shift.into(),
                counts.not_on_shift.into(),
            );
            let shifts = &now.crew_shifts[c][before.crew_shifts[c].len()..];
            let short = shifts.iter().filter(|(_, short)| *short).count() as i128;
            said.exact(&format!("shifts of crew {name}"), shifts.len() as i128, counts.shifts.into());
            said.exact(&format!("short shifts of crew {name}"), short, counts.short_shifts.into());
        }
        for (g, reported) in report.group_off.iter().enumerate().filter(|_| !line.visitors.is_empty()) {
            let own = now.group_off[g] - before.group_off[g];
            said.exact(&format!("time off of {}", line.groups[g].name), own.into(), (*reported).into());
        }
        for (c, counts) in report.crews.iter().enumerate() {
            let own = now.crew_walking[c] - before.crew_walking[c];
            said.exact(&format!("walks of crew {}", line.crews[c].name), own.into(), counts.walking.into());
        }
        for (c, counts) in report.crews.iter().enumerate() {
            let own = now.crew_moving[c] - before.crew_moving[c];
            said.exact(&format!("moves of crew {}", line.crews[c].name), own.into(), counts.moving.into());
        }
        for (g, reported) in report.group_moving.iter().enumerate() {
            let own = now.group_moving[g] - before.group_moving[g];
            said.exact(&format!("moves of {}", line.groups[g].name), own.into(), (*reported).into());
        }
        for (g, reported) in report.group_walking.iter().enumerate() {
            let own = now.group_walking[g] - before.group_walking[g];
            said.exact(&format!("walks of {}", line.groups[g].name), own.into(), (*reported).into());
        }
        for (g, reported) in report.group_busy.iter().enumerate() {
            let own = now.group_busy[g] - before.group_busy[g];
            said.exact(&format!("work of {}", line.groups[g].name), own.into(), (*reported).into());
        }
        // Help counts when people set out here, and when they have arrived in the report.
        let runs = self.units.values().flat_map(|unit| &unit.running);
        let on_the_way = runs.filter(|run| run.walkers.is_some()).count() as u64;
        for (k, counts) in report.helping.iter().enumerate() {
            let least = (now.help_tasks[k] - after.help_tasks[k]).saturating_sub(on_the_way);
            let most = now.help_tasks[k] - before.help_tasks[k];
            said.between("tasks helped with", least.into(), most.into(), counts.tasks.into());
        }
        self.help_reported(&report.helping, &before.help, said);
        for (e, reported) in report.equipment_busy.iter().enumerate() {
            let own = now.equipment_busy[e] - before.equipment_busy[e];
            said.exact(&format!("use of {}", line.equipment[e].name), own.into(), (*reported).into());
        }
        let stores = self.stores_reported(report, &before.stores, &after.stores);
        let feeders = self.feeders_reported(report, &before.feeders, &after.feeders);
        let around = self.around_reported(report, &before.around, &after.around);
        for (what, least, most, reported) in stores.into_iter().chain(feeders).chain(around) {
            said.between(&what, least, most, reported);
        }
        for (w, counts) in report.windows.iter().enumerate() {
            let (own, then, later) = (&now.windows[w], &before.windows[w], &after.windows[w]);
            let bounds =
                |of: fn(&WindowSum) -> u64| (i128::from(of(own) - of(later)), i128::from(of(own) - of(then)));
            let (least, most) = bounds(|s| s.judged);
            let to = &line.steps[line.windows[w].closes.index()].name;
            said.between(&format!("windows to {to} judged"), least, most, counts.judged.into());
            let (least, most) = bounds(|s| s.missed);
            said.between(&format!("windows to {to} missed"), least, most, counts.missed.into());
        }
        let holds = line.steps.iter().enumerate().filter(|(_, s)| s.hold().is_some());
        for ((s, step), counts) in holds.zip(&report.holds) {
            let (own, then, later) = (&now.holds[s], &before.holds[s], &after.holds[s]);
            let minimum = step.hold().map_or(Time::ZERO, |hold| hold.minimum);
            said.exact(&format!("minimum of {}", step.name), minimum.0.into(), counts.minimum.0.into());
            let least = (own.followed - later.followed.max(then.ended).min(own.followed)).into();
            let most = (own.ended - then.followed.min(own.ended)).into();
            said.between(&format!("holds {}", step.name), least, most, counts.count.into());
            let (least, most) = (own.restarts - later.restarts, own.restarts - then.restarts);
            let what = format!("restarts of {}", step.name);
            said.between(&what, least.into(), most.into(), counts.restarts.into());
            let (least, most) = (own.moved - later.moved, own.moved - then.moved);
            let what = format!("moves of {}", step.name);
            said.between(&what, least.into(), most.into(), counts.moved.into());
            if counts.count > 0 && counts.shortest < minimum {
                said.say(format!(
                    "the shortest {} is {} and its minimum {minimum}",
                    step.name, counts.shortest
                ));
            }
            if self.window.start == Some(Time::ZERO)
                && counts.count == own.followed
                && own.followed == own.ended
            {
                said.exact(
                    &format!("shortest {}", step.name),
                    own.shortest.0.into(),
                    counts.shortest.0.into(),
                );
            }
        }
        for (s, counts) in report.stops.iter().enumerate() {
            let (own, then, later) = (&now.stops[s], &before.stops[s], &after.stops[s]);
            let name = &line.stops[s].name;
            let (least, most) = (own.count - later.count, own.count - then.count);
            said.between(&format!("stops of {name}"), least.into(), most.into(), counts.count.into());
            said.exact(
                &format!("time stopped of {name}"),
                (own.clock - then.clock).into(),
                counts.clock.0.into(),
            );
            let net = own.net - then.net;
            said.exact(&format!("net time stopped of {name}"), net.into(), counts.net.0.into());
        }
        for (s, counts) in report.segments.iter().enumerate() {
            if line.segments[s].rule.is_pushed() {
                let mut push = |what: &str, of: fn(&PushSum) -> i64, reported: i64| {
                    let [own, then, later] = [&now.pushes[s], &before.pushes[s], &after.pushes[s]].map(of);
                    said.between(what, (own - later).into(), (own - then).into(), reported.into());
                };
                push("pushes", |sum| sum.count, counts.pushes as i64);
                push("pushes on time", |sum| sum.on_time, counts.on_time as i64);
                push("delay of pushes", |sum| sum.delay.0, counts.delay.0);
            }
        }
    }

    /// Little's identity, exact, and the follower's own integral.
    fn compare_presence(
        &self,
        report: &Replication,
        (start, end): (Time, Time),
        before: &Totals,
        said: &mut Differences,
    ) {
        said.exact("Little: units present over time and times of units", report.presence, report.unit_time);
        let [from_slot, from_bay] = [0, 1].map(|k| self.totals.presence[k] - before.presence[k]);
        if report.presence != from_slot && report.presence != from_bay {
            said.say(format!(
                "presence is {from_slot} (or {from_bay} from the first bay), reported {}",
                report.presence
            ));
        }
        let inside = |on: Time, off: Time| i128::from((off.min(end) - on.max(start)).0.max(0));
        let gone: i128 = self.totals.stays.iter().map(|(on, off)| inside(*on, *off)).sum();
        let on_line = self.units.iter().filter(|(number, _)| maker(**number).is_none());
        let here: i128 = on_line.filter_map(|(_, u)| u.on_line).map(|on| inside(on, end)).sum();
        said.exact("times of units and the integral of their number", from_slot, gone + here);
    }

    /// Finished units of every whole shift; units that finish at the end of a shift are in time.
    fn compare_shifts(&self, report: &Replication, (start, end): (Time, Time), said: &mut Differences) {
        let inside = self.days.shifts.iter().filter(|s| s.start >= start && s.end <= end);
        let whole: Vec<Shift> = inside.copied().collect();
        // A window that begins in the very instant of a shift's start begins when everything of that
        // instant is done: with a count of units or a time, that shift is not whole.
        let cut = usize::from(whole.len() > report.per_shift.len() && whole[0].start == start);
        said.exact("whole shifts", (whole.len() - cut) as i128, report.per_shift.len() as i128);
        for (shift, reported) in whole[cut..].iter().zip(&report.per_shift) {
            let made = |inside: &dyn Fn(Time) -> bool| {
                self.totals.finishes.iter().filter(|t| inside(**t)).count() as i128
            };
            let ending = made(&|t| t > shift.start && t <= shift.end);
            let starting = made(&|t| t >= shift.start && t < shift.end);
            let (least, most) = (ending.min(starting), ending.max(starting));
            said.between("units of a shift", least, most, (*reported).into());
        }
    }

    /// Nobody is lost: released = present + finished + scrapped + set aside.
    fn conserve_units(&mut self) {
        let t = &self.totals;
        let here = self.units.keys().filter(|number| maker(**number).is_none()).count() as u64;
        let accounted = t.finished + t.scrapped + t.set_aside + here;
        if t.released != accounted {
            let text = format!("{} units were released and {accounted} are accounted for", t.released);
            self.fault(None, None, text);
        }
    }

    /// Work that runs on somebody, for the states of bays.
    pub fn is_attended_work(&self, what: What) -> bool {
        match what {
            What::Fix(_) => true,
            What::Step(step) => self.line.steps[step.index()].hold().is_none(),
        }
    }
}

/// Differences between the follower's figures and the report's.
#[derive(Default)]
pub struct Differences {
    said: Vec<String>,
}

impl Differences {
    fn say(&mut self, text: String) {
        self.said.push(text);
    }

    pub fn exact(&mut self, what: &str, own: i128, reported: i128) {
        self.between(what, own, own, reported);
    }

    fn between(&mut self, what: &str, least: i128, most: i128, reported: i128) {
        if reported < least || reported > most {
            match least == most {
                true => self.say(format!("{what}: {least}, reported {reported}")),
                false => self.say(format!("{what}: {least} to {most}, reported {reported}")),
            }
        }
    }
}
