//! Parts: lots come when they are due, stores never hold more than they can, tasks take what is there,
//! and who waits longest is served first.

use super::Follower;
use super::unit::{Unit, What};
use taktwright::line::{LotsWhen, Part, PartId, StepId};
use taktwright::simulate::{Event, Replication};
use taktwright::units::Time;

/// A store as it stands.
#[derive(Clone, Debug)]
pub struct StoreNow {
    pub pieces: u64,
    pub outside: u64,
    /// Where each piece is for one model.
    pub by_model: Option<Vec<u64>>,
    /// Units and steps that wait, in the order of their coming.
    pub queue: Vec<(u64, StepId)>,
    /// Lots that are ordered: when each will be there.
    pub coming: Vec<Time>,
    /// What was there at the end of the last instant.
    was_there: u64,
    /// Who has left the queue in this instant, with enough there for everybody who was ahead.
    served: Vec<(u64, StepId)>,
}

/// Who has joined the queues of stores in the walk that is heard of: it is said of all of them before what starts in
/// that walk, be it ahead of them on the list or behind.
#[derive(Clone, Default, Debug)]
pub struct Joins {
    who: Vec<(u64, StepId, PartId)>,
    /// The last event was about a queue, too.
    goes_on: bool,
}

/// Counted since the start.
#[derive(Clone, Default, Debug)]
pub struct StoreSum {
    pub level: i128,
    pub empty: i64,
    pub full: i64,
    pub came: u64,
    pub used: u64,
    pub starts: u64,
    pub waits: u64,
    pub lots: u64,
    pub on_order: i128,
    pub orders: u64,
    pub ran_out: u64,
    pub short: u64,
    pub wrong: u64,
    pub out_of_turn: u64,
}

impl StoreNow {
    pub fn new(part: &Part) -> StoreNow {
        StoreNow {
            pieces: part.at_start.into(),
            outside: 0,
            by_model: None,
            queue: Vec::new(),
            coming: Vec::new(),
            was_there: part.at_start.into(),
            served: Vec::new(),
        }
    }
}

impl Follower<'_> {
    /// Any event: a walk that is heard of begins, goes on or is over.
    pub fn note_who_joins(&mut self, event: &Event) {
        let was = std::mem::replace(&mut self.joins.goes_on, matches!(event, Event::WaitsForPart { .. }));
        let goes_on = match event {
            Event::WaitsForPart { .. } => was,
            Event::SetOut { .. } | Event::StepStarted { .. } | Event::FixStarted { .. } => true,
            event => matches!(event, Event::PartAmiss { .. }),
        };
        if !goes_on {
            self.joins.who.clear();
        }
        if let Event::WaitsForPart { unit, step, part, joined: true } = event {
            self.joins.who.push((*unit, *step, *part));
        }
    }

    /// One in a queue may have joined it after this task, which starts in the same walk, had taken its parts.
    fn may_have_joined_after(&self, (number, step): (u64, StepId), other: (u64, StepId, PartId)) -> bool {
        let (Some(unit), Some(older)) = (self.units.get(&number), self.units.get(&other.0)) else {
            return false;
        };
        self.joins.who.contains(&other)
            && (!super::people::is_older(older, unit) || self.goes_first(unit, What::Step(step)))
    }

    /// An event of a store.
    pub fn store_changes(&mut self, event: Event) {
        match event {
            Event::LotCame { part, pieces } => self.lot_came(part, pieces.into()),
            Event::Stored { part, pieces } => {
                if self.truck_comes(part, pieces.into()) {
                    return;
                }
                let places = u64::from(self.line.parts[part.index()].places);
                let store = &mut self.stores[part.index()];
                let fits = store.outside.min(places - store.pieces);
                store.outside = store.outside.saturating_sub(pieces.into());
                store.pieces += u64::from(pieces);
                self.totals.stores[part.index()].came += u64::from(pieces);
                if fits != u64::from(pieces) {
                    self.say_of(part, format!("takes {pieces} in and could take {fits}"));
                }
            }
            Event::WaitsForPart { unit, step, part, joined } => self.queue_changes(unit, step, part, joined),
            other => unreachable!("{other:?} is no event of a store"),
        }
    }

    fn say_of(&mut self, part: PartId, what: impl AsRef<str>) {
        let text = format!("the store of {} {}", self.line.parts[part.index()].name, what.as_ref());
        self.fault(None, None, text);
    }

    fn lot_came(&mut self, part: PartId, pieces: u64) {
        let stated = &self.line.parts[part.index()];
        let Some(stated) = stated.origin.lots() else {
            return self.say_of(part, "gets a lot though a feeder fills it");
        };
        let wanted = u64::from(stated.size);
        self.stores[part.index()].outside += pieces;
        self.totals.stores[part.index()].lots += 1;
        if pieces != wanted {
            self.say_of(part, format!("gets a lot of {pieces}, not {wanted}"));
        }
        // A lot is never early; one that is never late is exactly in time.
        let lots = self.totals.stores[part.index()].lots as i64;
        let at = match &stated.when {
            LotsWhen::Every { gap, on_the_clock } => {
                let Some(gap) = gap.as_constant() else { return };
                let due = Time(lots * gap as i64);
                match on_the_clock {
                    true => due,
                    false => self.days.end_of_work(Time::ZERO, due),
                }
            }
            LotsWhen::Days(dues) => {
                let first = self.line.calendar.as_ref().map_or(0, |c| i64::from(c.first_weekday));
                let days = (0..).map(|week| Time::WEEK * week - Time::DAY * first);
                let all = days.flat_map(|monday| dues.iter().map(move |due| monday + *due));
                all.filter(|at| *at >= Time::ZERO).nth(lots as usize - 1).expect("weeks do not end")
            }
            LotsWhen::AtLevel { .. } => {
                let coming = &mut self.stores[part.index()].coming;
                match coming.iter().position(|at| *at == self.now) {
                    Some(own) => drop(coming.remove(own)),
                    None => self.say_of(part, "gets a lot that nobody has ordered for now"),
                }
                return;
            }
        };
        let in_time = match stated.late {
            None => at == self.now,
            Some(_) => at <= self.now,
        };
        if !in_time {
            let text = format!("gets lot {lots} {} us after its time", self.now.0 - at.0);
            self.say_of(part, text);
        }
    }

    /// What is there, outside and on its way, less what is waited for; none where no level says when lots are ordered.
    fn over_its_level(&self, part: usize) -> Option<i64> {
        let lots = self.line.parts[part].origin.lots()?;
        let LotsWhen::AtLevel { level, .. } = lots.when else { return None };
        let store = &self.stores[part];
        let ordered = store.coming.len() as i64 * i64::from(lots.size);
        let waited_for: i64 = store.queue.iter().map(|(_, step)| self.wants(*step, part) as i64).sum();
        Some((store.pieces + store.outside) as i64 + ordered - waited_for - i64::from(level))
    }

    /// Not before it is down to its level, and for the time that the file says.
    pub fn lot_ordered(&mut self, part: PartId, arrives: Time) {
        let Some(over) = self.over_its_level(part.index()) else {
            return self.say_of(part, "has a lot ordered that comes by itself");
        };
        if over > 0 {
            self.say_of(part, format!("has a lot ordered with {over} more than its level"));
        }
        let lots = self.line.parts[part.index()].origin.lots().expect("it has a level");
        if let LotsWhen::AtLevel { lead, .. } = &lots.when
            && let Some(lead) = lead.as_constant()
        {
            let due = self.now + Time(lead as i64);
            if arrives < due || (lots.late.is_none() && arrives > due) {
                self.say_of(part, "has a lot ordered for another time than the file says");
            }
        }
        self.stores[part.index()].coming.push(arrives);
        self.totals.stores[part.index()].orders += 1;
    }

    fn queue_changes(&mut self, unit: u64, step: StepId, part: PartId, joined: bool) {
        if !joined && self.has_for_all_ahead(unit, step, part) {
            self.stores[part.index()].served.push((unit, step));
        }
        let queue = &mut self.stores[part.index()].queue;
        let own = queue.iter().position(|entry| *entry == (unit, step));
        match (joined, own) {
            (true, None) => {
                queue.push((unit, step));
                self.totals.stores[part.index()].waits += 1;
            }
            (false, Some(own)) => {
                queue.remove(own);
            }
            (true, Some(_)) | (false, None) => {
                self.say_of(part, "hears twice of one who waits, or leaves without having come");
            }
        }
    }

    fn wants(&self, step: StepId, part: usize) -> u64 {
        let uses = self.line.steps[step.index()].uses.iter();
        uses.filter(|(p, _)| p.index() == part).map(|(_, n)| u64::from(*n)).sum()
    }

    /// Is everything there that the step takes, and likewise for everybody ahead of it?
    pub fn has_parts(&self, number: u64, step: StepId) -> bool {
        if let Some(right) = self.laid_out(number, step) {
            return right;
        }
        if self.units[&number].has_begun_elsewhere(step) {
            return true;
        }
        self.line.steps[step.index()].uses.iter().all(|(part, pieces)| {
            let store = &self.stores[part.index()];
            self.there_for(number, *part) >= u64::from(*pieces)
                && (store.served.contains(&(number, step)) || self.has_for_all_ahead(number, step, *part))
        })
    }

    /// Pieces that a unit could take: where parts are for a model, those of its own.
    fn there_for(&self, number: u64, part: PartId) -> u64 {
        let (store, model) = (&self.stores[part.index()], self.units.get(&number).map(|unit| unit.model));
        match (&store.by_model, model) {
            (Some(kinds), Some(model)) => kinds[model.index()],
            (Some(_), None) => 0,
            (None, _) => store.pieces,
        }
    }

    /// Is enough there for each that is ahead of it in the queue? Where parts are for a model, only those of its own
    /// model are.
    fn has_for_all_ahead(&self, number: u64, step: StepId, part: PartId) -> bool {
        let store = &self.stores[part.index()];
        let model = |unit: &u64| self.units.get(unit).map(|unit| unit.model);
        let same = |other: &u64| store.by_model.is_none() || model(other) == model(&number);
        let there = self.there_for(number, part);
        let mut ahead = store.queue.iter().take_while(|entry| **entry != (number, step));
        ahead.all(|(unit, other)| {
            !same(unit)
                || there >= self.wants(*other, part.index())
                || self.may_have_joined_after((number, step), (*unit, *other, part))
        })
    }

    /// Is it in the queue of a store?
    pub fn waits_for_parts(&self, number: u64, what: What) -> bool {
        let waits = |step| self.stores.iter().any(|store| store.queue.contains(&(number, step)));
        match what {
            What::Step(step) => waits(step),
            What::Fix(_) => false,
        }
    }

    /// A step starts: it takes its parts.
    pub fn take_parts(&mut self, number: u64, step: StepId) {
        let model = self.units[&number].model.index();
        for (part, pieces) in &self.line.steps[step.index()].uses {
            let store = &mut self.stores[part.index()];
            let lacks = store.by_model.as_mut().is_some_and(|kinds| {
                let there = kinds[model];
                kinds[model] = there.saturating_sub(u64::from(*pieces));
                there < u64::from(*pieces)
            });
            let waits = store.queue.contains(&(number, step));
            let there = store.pieces;
            store.pieces = there.saturating_sub(u64::from(*pieces));
            let sum = &mut self.totals.stores[part.index()];
            sum.starts += 1;
            sum.used += u64::from(*pieces);
            if lacks {
                self.say_of(*part, "gives a part of another model");
            }
            if waits {
                self.say_of(*part, "serves one who is said to wait for it still");
            }
            if there < u64::from(*pieces) {
                self.say_of(*part, format!("gives {pieces} and holds {there}"));
            }
        }
    }

    /// The end of an instant, or of the run.
    pub fn instant_ends_in_stores(&mut self) {
        self.joins.who.clear();
        for (store, sum) in self.stores.iter_mut().zip(&mut self.totals.stores) {
            store.served.clear();
            sum.ran_out += u64::from(store.pieces == 0 && store.was_there > 0);
            store.was_there = store.pieces;
        }
    }

    /// The end of an attended instant: who is in a queue has work that is ready, and whoever lacks parts
    /// is in one.
    pub fn judge_stores(&mut self) {
        self.instant_ends_in_stores();
        if self.line.parts.is_empty() {
            return;
        }
        let mut wrong = Vec::new();
        for (p, store) in self.stores.iter().enumerate() {
            let part = PartId::from_index(p);
            let stated = &self.line.parts[p];
            if self.over_its_level(p).is_some_and(|over| over <= 0) {
                wrong.push((part, "is down to its level, and no lot is ordered".to_string()));
            }
            if store.outside > 0 && store.pieces < stated.places.into() {
                wrong.push((part, "has room, and parts wait outside".to_string()));
            }
            for (number, step) in &store.queue {
                let place = self.units.get(number).and_then(Unit::bay).map(|(place, _)| place);
                let ready = place.is_some_and(|at| self.ready_on(*number, at).contains(&What::Step(*step)));
                if !ready {
                    wrong.push((part, format!("is waited for by unit {number}, whose work is not ready")));
                }
            }
        }
        for (part, text) in wrong {
            self.say_of(part, text);
        }
    }

    pub fn integrate_stores(&mut self, clock: i64) {
        for ((store, sum), part) in self.stores.iter().zip(&mut self.totals.stores).zip(&self.line.parts) {
            sum.level += i128::from(store.pieces) * i128::from(clock);
            sum.empty += if store.pieces == 0 { clock } else { 0 };
            let lot = part.origin.lots().map_or(0, |lots| i128::from(lots.size));
            sum.on_order += store.coming.len() as i128 * lot * i128::from(clock);
            sum.full += if store.pieces == u64::from(part.places) { clock } else { 0 };
        }
    }

    /// What the report says of the stores: (what, at least, at most, reported).
    pub fn stores_reported(
        &self,
        report: &Replication,
        before: &[StoreSum],
        after: &[StoreSum],
    ) -> Vec<(String, i128, i128, i128)> {
        let mut rows = Vec::new();
        for (p, counts) in report.parts.iter().enumerate() {
            let (now, then, later) = (&self.totals.stores[p], &before[p], &after[p]);
            let name = &self.line.parts[p].name;
            let mut exact = |what: &str, own: i128, reported: i128| {
                rows.push((format!("{what} of {name}"), own, own, reported));
            };
            exact("level", now.level - then.level, counts.level);
            exact("time without any", (now.empty - then.empty).into(), counts.empty.0.into());
            exact("pieces on order", now.on_order - then.on_order, counts.on_order);
            exact("time full", (now.full - then.full).into(), counts.full.0.into());
            let mut count = |what: &str, of: fn(&StoreSum) -> u64, reported: u64| {
                let (least, most) = (of(now) - of(later), of(now) - of(then));
                rows.push((format!("{what} of {name}"), least.into(), most.into(), reported.into()));
            };
            count("pieces in", |s| s.came, counts.came);
            count("pieces used", |s| s.used, counts.used);
            count("starts on", |s| s.starts, counts.starts);
            count("waits for", |s| s.waits, counts.waits);
            count("lots", |s| s.lots, counts.lots);
            count("lots ordered", |s| s.orders, counts.orders);
            count("times without any", |s| s.ran_out, counts.ran_out);
            count("starts short of", |s| s.short, counts.short);
            count("starts with the wrong", |s| s.wrong, counts.wrong);
            count("starts out of turn on", |s| s.out_of_turn, counts.out_of_turn);
        }
        rows
    }
}
