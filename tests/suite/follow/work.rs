//! Steps and fixes: when they may start, who may do them, when they must end.

use super::Follower;
use super::people::can_fill;
use super::unit::{Asked, HoldNow, Running, What};
use taktwright::line::{CrewId, Dist, OutcomeKind, PlaceId, Shape, StepId, TestId};
use taktwright::simulate::Spot;
use taktwright::units::Time;

/// What the event says of the work that starts.
#[derive(Clone, Copy, Debug)]
pub struct Stated {
    pub place: PlaceId,
    pub bay: u16,
    pub crew: Option<(CrewId, u16)>,
    pub people: u128,
    pub length: Time,
    pub ends: Time,
}

/// Least and greatest value of a distribution times a factor, in microseconds.
pub fn bounds(dist: &Dist, factor: f64) -> (f64, f64) {
    let (low, high) = match &dist.shape {
        Shape::Constant { value } => (*value, *value),
        Shape::Triangular { low, high, .. }
        | Shape::Pert { low, high, .. }
        | Shape::Uniform { low, high } => (*low, *high),
        Shape::Normal { .. }
        | Shape::Lognormal { .. }
        | Shape::Gamma { .. }
        | Shape::Erlang { .. }
        | Shape::Exponential { .. }
        | Shape::Weibull { .. } => (0.0, f64::INFINITY),
        Shape::OneOf { values } => (
            values.iter().map(|(v, _)| *v).fold(f64::INFINITY, f64::min),
            values.iter().map(|(v, _)| *v).fold(0.0, f64::max),
        ),
        Shape::Observed { values } => (values[0], values[values.len() - 1]),
        Shape::Faults(faults) => super::around::bounds_of_faults(faults, None, 1.0),
    };
    (low * factor, high * factor)
}

impl Follower<'_> {
    /// A step started on a unit.
    pub fn step_started(&mut self, number: u64, step: StepId, visit: u32, stated: Stated) {
        let walked = self.arrive(number, What::Step(step), stated);
        self.learn(number, stated.crew, stated.people);
        self.check_standing(number, step);
        let name = self.line.steps[step.index()].name.clone();
        let place = stated.place;
        let Some(unit) = self.units.get(&number) else {
            return self.fault(
                Some(number),
                Some(place),
                format!("{name} starts on a unit that is not there"),
            );
        };
        let line = self.line;
        let mut wrong: Vec<String> = Vec::new();
        if unit.bay() != Some((place, stated.bay)) {
            wrong.push(format!("{name} starts where the unit does not stand"));
        } else if unit.arrives > self.now {
            wrong.push(format!("{name} starts before the unit has arrived"));
        }
        let early = self.may_begin_early(number, step) || walked.as_ref().is_some_and(|walk| walk.early);
        if unit.place_of(line, step) != place && !early {
            wrong.push(format!("{name} starts at a place that is not its own"));
        }
        if !unit.applies(line, step) {
            wrong.push(format!("{name} does not apply to the unit"));
        }
        if unit.done[step.index()] {
            wrong.push(format!("{name} starts again though it is done"));
        }
        if unit.is_running(What::Step(step)) {
            wrong.push(format!("{name} starts while it runs"));
        }
        if walked.is_none() && !unit.may_follow(line, step) {
            wrong.push(format!("{name} starts before a step that it follows is done"));
        } else if walked.is_none() && !early && !unit.is_ready(line, step, place) && wrong.is_empty() {
            // Another test of the unit may fail while people walk: they begin all the same.
            wrong.push(format!("{name} starts though the last verdict asks for something else"));
        }
        let way = walked.as_ref().map_or_else(|| self.way_of(unit, step, place), |walk| walk.way);
        self.check_end(&name, What::Step(step), stated, &mut wrong);
        // Who has set out for it begins: whether it fits was asked then.
        if walked.is_none() && self.is_too_long(number, What::Step(step), Time::ZERO) {
            wrong.push(format!("{name} starts and does not fit before the break"));
        }
        // The rest is without the way to the equipment.
        let whole = stated;
        let stated = Stated { length: whole.length - way, ..whole };
        let brought = unit.travels[step.index()];
        let goes_on = unit.has_begun_elsewhere(step);
        // Going on with work that was cut off is no new start.
        let start = unit.visits[step.index()] - u32::from(goes_on);
        if visit != start {
            wrong.push(format!("{name} is called start {visit} and is {start}"));
        }
        match brought.filter(|left| *left != Time::NEVER) {
            Some(left) => {
                let asked: u32 = self.asks_of(unit, What::Step(step)).iter().map(|n| n.count).sum();
                let taken: u32 = self.needs_of(unit, What::Step(step)).iter().map(|n| n.count).sum();
                let longer = match asked == taken {
                    true => left.0 as f64,
                    false => left.0 as f64 * f64::from(asked) / f64::from(taken),
                };
                let shares = stated.people.count_ones() > asked;
                let (low, high) = self.share_of_time(unit, step, stated.people.count_ones());
                let within = (left.0 as f64 * low - 1.5..=left.0 as f64 * high + 1.5)
                    .contains(&(stated.length.0 as f64));
                let as_said =
                    if shares { within } else { Time(longer.round_ties_even() as i64) == stated.length };
                if !as_said {
                    wrong.push(format!("{name} lasts {} and {left} of it is left", stated.length));
                }
            }
            None => self.check_length(number, step, stated, walked.as_ref(), &mut wrong),
        }
        if self.is_barred(unit, What::Step(step), place) {
            wrong.push(format!("{name} starts though it is stopped"));
        }
        self.check_equipment_and_room(number, step, stated, &walked, &mut wrong);
        if walked.is_none() && !goes_on && !self.uses_what_lies_there(number, step) {
            self.take_parts(number, step);
        }
        for text in wrong {
            self.fault(Some(number), Some(place), text);
        }
        self.follow_holds(number, step);
        if walked.is_none() {
            self.note_passed(number, step);
        }
        self.begin(number, What::Step(step), stated, walked);
        self.judge_window_at_start(number, step);
        let now = self.now;
        if let Some(unit) = self.units.get_mut(&number) {
            unit.visits[step.index()] += u32::from(!goes_on);
            if line.steps[step.index()].hold().is_some() {
                // Held again (after a fail or a missed window): only the last is followed.
                unit.holds.retain(|hold| hold.step != step);
                unit.holds.push(HoldNow { step, started: now, ended: false });
            }
            for (k, keep) in line.keeps.iter().enumerate() {
                unit.kept[k] |= keep.from == step;
            }
        }
        let redo = self.units[&number].again[step.index()].map(|(_, w)| w);
        self.open_windows(number, step, false, redo);
        self.recount(number);
    }

    /// Length within what the file allows; end by the clock or in attended time.
    fn check_length(
        &self,
        number: u64,
        step: StepId,
        stated: Stated,
        walked: Option<&Running>,
        wrong: &mut Vec<String>,
    ) {
        let (line, unit) = (self.line, &self.units[&number]);
        let what = &line.steps[step.index()];
        let own = &what.times[unit.model.index()];
        let window = unit.again[step.index()].map(|(_, w)| &line.windows[w]);
        let stretch = match walked {
            // Whoever set out does it, whatever another shift has begun since.
            Some(_) => self.asked_over(unit, What::Step(step), stated.people).max(1.0),
            None => self.stretch(unit, What::Step(step)),
        };
        let redo_time = window.filter(|w| w.redo.first() == Some(&step)).and_then(|w| w.redo_time.as_ref());
        let travel = what.travel.filter(|_| unit.travels[step.index()].is_some());
        let travel = travel.map_or(1.0, |travel| travel.factor);
        let law = redo_time.map_or((&own.dist, own.factor * travel), |dist| (dist, 1.0));
        let shared = self.shared_bounds(unit, What::Step(step), stated.people, law);
        let (mut low, mut high) = match redo_time {
            _ if shared.is_some() => shared.expect("it is shared"),
            Some(dist) => bounds(dist, stretch),
            None => {
                let factor = own.factor * stretch * travel;
                match own.dist.faults() {
                    Some(faults) => super::around::bounds_of_faults(faults, unit.mends[step.index()], factor),
                    None => bounds(&own.dist, factor),
                }
            }
        };
        if let Some(hold) = what.hold() {
            low = low.max(hold.minimum.0 as f64);
            high = high.max(hold.minimum.0 as f64);
            if stated.length < hold.minimum {
                wrong.push(format!(
                    "hold {} is {} shorter than its minimum",
                    what.name,
                    hold.minimum - stated.length
                ));
            }
        }
        self.check_bounds(&what.name, stated.length, (low, high), wrong);
    }

    fn check_bounds(&self, name: &str, length: Time, (low, high): (f64, f64), wrong: &mut Vec<String>) {
        let length = length.0 as f64;
        let pace = self.learned.pace;
        // A microsecond for a factor that comes by another way.
        let (low, high) = if pace == 1.0 { (low, high) } else { (low * pace - 1.0, high * pace + 1.0) };
        if length < low.round_ties_even() || length > high.round_ties_even() {
            wrong.push(format!("{name} lasts {length} us, outside {low} to {high}"));
        }
    }

    fn check_end(&self, name: &str, what: What, stated: Stated, wrong: &mut Vec<String>) {
        let ends = self.due(what, stated.length);
        if ends != stated.ends {
            let text = super::clock_text(stated.ends);
            wrong.push(format!("{name} is to end at {text} and ends at {}", super::clock_text(ends)));
        }
        if !self.runs_at_any_time(what) && !self.attended_at(stated.place) {
            wrong.push(format!("{name} starts outside attended time"));
        }
    }

    /// Room is taken by those who set out; a hold that begins while they walk asks nobody.
    fn check_equipment_and_room(
        &self,
        number: u64,
        step: StepId,
        stated: Stated,
        walked: &Option<Running>,
        wrong: &mut Vec<String>,
    ) {
        let unit = &self.units[&number];
        let name = &self.line.steps[step.index()].name;
        if !self.has_equipment(unit, step) {
            wrong.push(format!("{name} takes equipment that is not free"));
        }
        if walked.is_none() && !self.has_room(unit, step, stated.place) {
            wrong.push(format!("{name} starts where there is no room for it"));
        }
    }

    /// A fix of a failed unit started.
    pub fn fix_started(&mut self, number: u64, test: TestId, stated: Stated) {
        let walked = self.arrive(number, What::Fix(test), stated);
        self.learn(number, stated.crew, stated.people);
        let name = format!("the fix after {}", self.line.tests[test.index()].name);
        let Some(unit) = self.units.get(&number) else {
            return self.fault(
                Some(number),
                Some(stated.place),
                format!("{name} starts on a unit that is not there"),
            );
        };
        let mut wrong = Vec::new();
        if unit.bay() != Some((stated.place, stated.bay)) {
            wrong.push(format!("{name} starts where the unit does not stand"));
        } else if unit.arrives > self.now {
            wrong.push(format!("{name} starts before the unit has arrived"));
        }
        if self.is_barred(unit, What::Fix(test), stated.place) {
            wrong.push(format!("{name} starts though it is stopped"));
        }
        match unit.asked {
            Some(Asked::Fix(asked, index)) if asked == test && !unit.is_running(What::Fix(test)) => {
                let stretch = match walked {
                    Some(_) => self.asked_over(unit, What::Fix(test), stated.people),
                    None => self.stretch(unit, What::Fix(test)),
                };
                let outcome = &self.line.tests[test.index()].outcomes[index].kind;
                if let OutcomeKind::FixedInPlace(fix) | OutcomeKind::ToRepair { fix, .. } = outcome {
                    let people = stated.people;
                    let shared = self.shared_bounds(unit, What::Fix(test), people, (&fix.time, 1.0));
                    let allowed = shared.unwrap_or_else(|| bounds(&fix.time, stretch));
                    self.check_bounds(&name, stated.length, allowed, &mut wrong);
                }
                self.check_end(&name, What::Fix(test), stated, &mut wrong);
            }
            Some(_) | None => wrong.push(format!("{name} starts though no verdict asks for it")),
        }
        for text in wrong {
            self.fault(Some(number), Some(stated.place), text);
        }
        self.begin(number, What::Fix(test), stated, walked);
    }

    /// People and bookkeeping of whatever starts, or sets out; those who have walked were looked at then.
    pub fn begin(&mut self, number: u64, what: What, stated: Stated, walked: Option<Running>) {
        if walked.is_none() {
            self.check_people(number, what, stated);
        }
        // Who sets out has not begun yet.
        if let Some((crew, _)) = stated.crew.filter(|_| !self.sets_out) {
            self.count_help(crew, stated.people);
        }
        let (started, net) = (self.now, self.net);
        let early = self.units.get(&number).is_some_and(|unit| self.is_early(unit, what));
        if let Some(unit) = self.units.get_mut(&number) {
            match early {
                // Who is on the way has not begun.
                true if self.sets_out => {}
                true => {
                    unit.early_since.get_or_insert(net);
                }
                false => unit.done_at = None,
            }
            let Stated { crew, people, length, ends, .. } = stated;
            unit.running.push(Running {
                what,
                started,
                ends,
                length,
                crew,
                people,
                heads: walked.map_or(people.count_ones(), |walk| walk.heads),
                paused: None,
                carried: false,
                early,
                walkers: None,
                way: Time::ZERO,
                opened: Vec::new(),
            });
        }
        if let Some(gang) = stated.crew.filter(|_| stated.people != 0) {
            self.are_at(number, gang, stated.people);
        }
    }

    fn check_people(&mut self, number: u64, what: What, stated: Stated) {
        let name = self.said(what);
        let needs = self.needs_of(&self.units[&number], what);
        let wanted: u32 = needs.iter().map(|n| n.count).sum();
        let mut wrong = Vec::new();
        let shares = stated.crew.is_some_and(|gang| {
            stated.people.count_ones() > wanted
                && self.may_share(&self.units[&number], what, gang, stated.people)
        });
        if shares {
            let more = stated.people.count_ones() - wanted;
            if !self.has_room_for(&self.units[&number], what, stated.place, wanted + more) {
                wrong.push(format!("{name} lets too many people into a zone"));
            }
        } else if stated.people.count_ones() != wanted {
            wrong.push(format!("{name} takes {} people and needs {wanted}", stated.people.count_ones()));
        }
        if wanted > 0 && stated.crew != self.gang_for(&self.units[&number], what) {
            wrong.push(format!("{name} is done by a crew that is not its place's"));
        }
        match stated.crew.filter(|_| stated.people != 0) {
            Some((crew, gang)) if usize::from(gang) < self.gangs[crew.index()].len() => {
                let everybody = self.here((crew, gang)) | self.helpers_here(crew);
                wrong.extend(self.check_help(number, what, (crew, gang), stated.people));
                if stated.people & !everybody != 0 {
                    wrong.push(format!("{name} takes people who are not in the crew or not there"));
                }
                if stated.people & self.outside_hours(crew) != 0 {
                    wrong.push(format!("{name} takes a visitor outside their hours"));
                }
                let now = self.gang((crew, gang));
                if now.busy & stated.people != 0 {
                    wrong.push(format!("{name} takes a person who is at work on another step"));
                }
                if now.home {
                    wrong.push(format!("{name} starts after its crew went home"));
                }
                if !shares && !can_fill(&needs, &self.skills_with_help(crew), stated.people & everybody) {
                    wrong.push(format!("{name} is done by people without the skill"));
                }
                // Said before anybody is noted there.
                let walks = self.must_walk(number, stated.place, (crew, gang), stated.people);
                if walks != 0 && !self.sets_out {
                    wrong.push(format!("{name} begins and its people have yet to walk there"));
                }
                self.check_kept_back((crew, gang), stated.people, &mut wrong);
                self.note_suspects(number, what, (crew, gang), stated.people);
                self.note_shared(number, what, stated);
                self.gangs[crew.index()][usize::from(gang)].busy |= stated.people;
            }
            Some(_) => wrong.push(format!("{name} is done by a crew that does not exist")),
            None => {}
        }
        for text in wrong {
            self.fault(Some(number), Some(stated.place), text);
        }
    }

    /// Takes the running piece of work off the unit and lets its people go.
    fn end(&mut self, number: u64, what: What, place: PlaceId, bay: u16) -> Option<Running> {
        let name = self.said(what);
        let now = self.now;
        let Some(unit) = self.units.get_mut(&number) else {
            self.fault(Some(number), Some(place), format!("{name} ends on a unit that is not there"));
            return None;
        };
        let stands = unit.spot == Spot::Bay(place, bay);
        let found = unit.running.iter().position(|r| r.what == what).map(|i| unit.running.remove(i));
        if !stands {
            self.fault(Some(number), Some(place), format!("{name} ends where the unit does not stand"));
        }
        let Some(run) = found else {
            self.fault(Some(number), Some(place), format!("{name} ends and did not run"));
            return None;
        };
        if run.paused.is_some() {
            self.fault(Some(number), Some(place), format!("{name} ends while it pauses"));
        } else if now != run.ends {
            let text = format!("{name} ends {} us after its time", now.0 - run.ends.0);
            self.fault(Some(number), Some(place), text);
        }
        if let Some((crew, gang)) = run.crew
            && let Some(gang) = self.gangs[crew.index()].get_mut(usize::from(gang))
        {
            gang.busy &= !run.people;
        }
        Some(run)
    }

    /// A step ended.
    pub fn step_ended(&mut self, number: u64, step: StepId, place: PlaceId, bay: u16) {
        let Some(run) = self.end(number, What::Step(step), place, bay) else { return };
        let (line, now) = (self.line, self.now);
        let what = &line.steps[step.index()];
        if let Some(hold) = what.hold() {
            let lasted = now - run.started;
            if lasted < hold.minimum || lasted < run.length {
                let text = format!("hold {} ends {} short", what.name, hold.minimum.max(run.length) - lasted);
                self.fault(Some(number), Some(place), text);
            }
            self.totals.hold_ended(line, step);
        }
        let redo = self.units.get(&number).and_then(|unit| unit.again[step.index()]).map(|(_, w)| w);
        if let Some(unit) = self.units.get_mut(&number) {
            unit.done[step.index()] = true;
            unit.stands = super::standing::turned(line, unit, step);
            unit.again[step.index()] = None;
            unit.travels[step.index()] = None;
            for hold in unit.holds.iter_mut().filter(|h| h.step == step) {
                hold.ended = true;
            }
            for (k, keep) in line.keeps.iter().enumerate() {
                unit.kept[k] &= keep.to != step;
            }
        }
        self.recount(number);
        self.open_windows(number, step, true, redo);
        self.judge_window_at_end(number, step);
        self.note_done(number, place);
    }

    /// A fix ended: in place the test comes again; in the repair bay the route goes on.
    pub fn fix_ended(&mut self, number: u64, test: TestId, place: PlaceId, bay: u16) {
        if self.end(number, What::Fix(test), place, bay).is_none() {
            return;
        }
        if let Some(unit) = self.units.get_mut(&number) {
            unit.asked = None;
            unit.mend = None;
        }
        self.note_done(number, place);
    }

    /// Notes when the last thing to do at its place was done.
    pub fn note_done(&mut self, number: u64, place: PlaceId) {
        let (line, now) = (self.line, self.now);
        if let Some(unit) = self.units.get_mut(&number) {
            if unit.asked == Some(Asked::Leave) {
                // Ready to return once nothing runs on it: its wait for the route begins.
                if unit.running.is_empty() {
                    unit.done_at.get_or_insert(now);
                }
                return;
            }
            let done = unit.bay().is_some_and(|(p, _)| p == place) && unit.is_done_at(line, place);
            unit.done_at = match (done, unit.done_at) {
                (true, Some(since)) => Some(since),
                (true, None) => Some(now.max(unit.arrives)),
                (false, _) => None,
            };
        }
    }

    /// The first start of a step that follows a hold ends what the audit of that hold measures.
    fn follow_holds(&mut self, number: u64, step: StepId) {
        let (line, now) = (self.line, self.now);
        let Some(unit) = self.units.get_mut(&number) else { return };
        let mut audited = Vec::new();
        unit.holds.retain(|hold| {
            let follows = line.steps[step.index()].after.contains(&hold.step);
            if follows {
                audited.push((hold.step, now - hold.started, hold.ended));
            }
            !follows
        });
        for (hold, lasted, ended) in audited {
            self.audit(number, hold, lasted, ended);
        }
    }

    /// A hold is over for good: the next step starts or the unit moves.
    pub fn audit(&mut self, number: u64, step: StepId, lasted: Time, ended: bool) {
        let line = self.line;
        let what = &line.steps[step.index()];
        if let Some(hold) = what.hold() {
            if lasted < hold.minimum || !ended {
                let text = format!("hold {} is cut short after {lasted}", what.name);
                self.fault(Some(number), Some(what.place), text);
            }
            self.totals.hold_followed(line, step, lasted);
        }
    }
}
