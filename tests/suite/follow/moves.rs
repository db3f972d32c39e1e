//! Moves: whether the unit was there, may leave, may enter, and whose turn it was.

use super::Follower;
use super::feeders::maker;
use super::unit::{Asked, HoldNow, Running, Unit, What};
use taktwright::line::{Line, MoveRule, PlaceId, PlaceKind, StepId, TestId};
use taktwright::simulate::Spot;
use taktwright::units::Time;

/// The place a spot belongs to.
pub fn place_of(spot: Spot) -> PlaceId {
    match spot {
        Spot::Bay(place, _) | Spot::Slot(place) | Spot::Outside(place) => place,
    }
}

pub fn spot_text(follower: &Follower<'_>, spot: Spot) -> String {
    let name = |place: PlaceId| &follower.line.places[place.index()].name;
    match spot {
        Spot::Bay(place, bay) => format!("bay {bay} of {}", name(place)),
        Spot::Slot(place) => format!("the slots of {}", name(place)),
        Spot::Outside(place) => format!("outside {}", name(place)),
    }
}

/// The next place of the line, or of the feeder, after one on it; where lanes begin, the first of them.
pub fn next_of(line: &Line, place: PlaceId) -> Option<PlaceId> {
    let feeder = line.feeders.iter().find(|f| f.first <= place && place <= f.last);
    let end = feeder.map_or(line.on_line, |feeder| feeder.last.index() + 1);
    let next = super::lanes::behind(line, place).unwrap_or(place.index() + 1);
    (next < end).then(|| PlaceId::from_index(next))
}

/// A move that could be made: whose, from where, into which of these places (none: out of the line, or outside one).
pub struct MoveDue {
    pub number: u64,
    pub at: PlaceId,
    pub into: Vec<PlaceId>,
    pub text: &'static str,
}

impl Follower<'_> {
    pub fn is_pushed(&self, place: PlaceId) -> bool {
        self.line.rule_at(place).is_pushed()
    }

    /// The next place of the line after one on it.
    pub fn next_on_line(&self, place: PlaceId) -> Option<PlaceId> {
        next_of(self.line, place)
    }

    /// A unit moved.
    pub fn moved(&mut self, number: u64, from: Spot, to: Spot, arrives: Time) {
        let Some(unit) = self.units.get(&number) else {
            return self.fault(Some(number), Some(place_of(from)), "moves and is not there");
        };
        let placed = number < self.from_start && unit.on_line.is_none();
        if unit.spot != from {
            let text =
                format!("moves from {} and stands in {}", spot_text(self, from), spot_text(self, unit.spot));
            self.fault(Some(number), Some(place_of(from)), text);
        }
        if placed {
            return self.stand_from_start(number, to);
        }
        let moved_in = self.check_movers_into(number, from, to, arrives);
        let mut wrong = Vec::new();
        let place = place_of(to);
        if matches!(from, Spot::Bay(at, _) if self.is_halted(at)) {
            wrong.push("leaves a stopped place".to_string());
        }
        if matches!(to, Spot::Bay(at, _) if self.is_halted(at)) {
            wrong.push("enters a stopped place".to_string());
        }
        match from {
            Spot::Outside(at) => self.check_entry(number, at, to, &mut wrong),
            Spot::Slot(at) => self.check_from_slot(number, at, to, &mut wrong),
            Spot::Bay(at, bay) => self.check_from_bay(number, (at, bay), to, &mut wrong),
        }
        self.check_room(to, &mut wrong);
        self.check_arrival(from, to, arrives, &mut wrong);
        for text in wrong {
            self.fault(Some(number), Some(place), text);
        }
        self.count_drift(number, from);
        self.count_early(number);
        self.leave_spot(number);
        self.audit_all(number);
        self.take_spot(number, to, arrives);
        if let Some(segment) = moved_in {
            self.look_if_movers_lack(segment);
        }
    }

    /// One of the units that stand in the line at the start: all earlier work is done, and the
    /// holds of its own place.
    fn stand_from_start(&mut self, number: u64, to: Spot) {
        let mut wrong = Vec::new();
        self.check_room(to, &mut wrong);
        if self.now != Time::ZERO {
            wrong.push("is to stand in the line from the start and comes later".to_string());
        }
        let line = self.line;
        let place = place_of(to);
        let model = self.units[&number].model;
        let mut lanes = line.lanes.iter().flat_map(|lanes| &lanes.lanes);
        let lane = lanes.find(|lane| lane.first <= place && place <= lane.last);
        if lane.is_some_and(|lane| !lane.models[model.index()]) {
            wrong.push("stands in a lane that is not for its model".to_string());
        }
        for text in wrong {
            self.fault(Some(number), Some(place), text);
        }
        self.leave_spot(number);
        if let Some(unit) = self.units.get_mut(&number) {
            unit.from_start = true;
            unit.takes_lane_of(line, place);
            for (s, step) in line.steps.iter().enumerate() {
                let holds_here = matches!(to, Spot::Bay(..)) && step.place == place && step.hold().is_some();
                let earlier = step.place < place;
                unit.done[s] = (earlier || holds_here) && unit.applies(line, StepId::from_index(s));
            }
            for (t, test) in line.tests.iter().enumerate() {
                // A test of holds alone counts as passed with them.
                let done = test.steps.iter().all(|s| unit.done[s.index()] || !unit.applies(line, *s));
                unit.tests[t].passed = done && unit.is_tested(line, TestId::from_index(t));
            }
        }
        self.orders_known(number, |step| line.steps[step.index()].place >= place);
        self.take_spot(number, to, self.now);
        // The lowest number is the furthest on its way and leaves first.
        if let Spot::Bay(place, _) = to {
            let now = &mut self.places[place.index()];
            let mut bays: Vec<u16> = now.rotation.iter().copied().collect();
            bays.sort_by_key(|bay| (now.bays[usize::from(*bay)].unwrap_or(u64::MAX), *bay));
            now.rotation = bays.into();
        }
    }

    /// From outside: a new unit before the first place, or one that returns.
    fn check_entry(&mut self, number: u64, at: PlaceId, to: Spot, wrong: &mut Vec<String>) {
        let unit = &self.units[&number];
        if place_of(to) != at || matches!(to, Spot::Outside(_)) {
            wrong.push(format!("enters {} from outside another place", spot_text(self, to)));
        }
        if unit.on_line.is_none() {
            let ahead = self.places[at.index()]
                .outside
                .iter()
                .find(|other| **other != number && self.units[*other].on_line.is_none() && **other < number);
            if let Some(ahead) = ahead {
                wrong.push(format!("enters before unit {ahead}, which was released first"));
            }
            if matches!(to, Spot::Bay(..)) && !self.places[at.index()].slots.is_empty() {
                wrong.push("enters past the units in the slots".to_string());
            }
            if matches!(to, Spot::Bay(..)) {
                self.check_returns_first(number, at, wrong);
            }
        } else if unit.route.front() != Some(&at) {
            wrong.push("returns to a place that its route does not name".to_string());
        } else {
            self.check_turn_of_return(number, at, wrong);
        }
        if let Spot::Bay(place, bay) = to {
            self.check_push_entry((place, bay), unit.on_line.is_some(), wrong);
        }
    }

    fn check_from_slot(&mut self, number: u64, at: PlaceId, to: Spot, wrong: &mut Vec<String>) {
        if self.places[at.index()].slots.front() != Some(&number) {
            wrong.push("leaves its slot before the unit that came first".to_string());
        }
        match to {
            Spot::Bay(place, bay) if place == at => {
                let returning = self.units[&number].route.front() == Some(&at);
                if !returning {
                    self.check_returns_first(number, at, wrong);
                }
                self.check_push_entry((place, bay), false, wrong);
            }
            Spot::Bay(..) | Spot::Slot(_) | Spot::Outside(_) => {
                wrong.push(format!("leaves the slots for {}", spot_text(self, to)));
            }
        }
    }

    fn check_from_bay(&mut self, number: u64, from: (PlaceId, u16), to: Spot, wrong: &mut Vec<String>) {
        let (line, (at, bay)) = (self.line, from);
        let unit = &self.units[&number];
        // Who is on the way to begin something early turns back.
        if unit.running.iter().any(|r| !(r.carried || r.early && r.walkers.is_some())) {
            wrong.push("moves while a step runs on it".to_string());
        }
        if unit.arrives > self.now {
            wrong.push("moves on before it has arrived".to_string());
        }
        let to_place = place_of(to);
        match (unit.asked, unit.route.front()) {
            (Some(Asked::Leave), next) => {
                if next != Some(&to_place) {
                    wrong.push("is sent to a place that its route does not name".to_string());
                }
            }
            (_, Some(next)) => {
                self.check_done(unit, at, wrong);
                if *next != to_place {
                    wrong.push("goes to a place that its route does not name".to_string());
                }
                // Late work may travel along its way back, too: it goes with the push, and holds nobody behind it.
                if matches!(to, Spot::Bay(..)) {
                    self.check_push_exit((at, bay), wrong);
                }
            }
            (_, None) if self.is_pull(unit, at, to) => {
                self.check_pull((at, bay), wrong);
                self.pulled_off(number, at, to_place);
            }
            (_, None) => {
                self.check_done(unit, at, wrong);
                let kind = line.places[at.index()].kind;
                if kind == PlaceKind::Repair || !self.ways_on(unit, at).contains(&to_place) {
                    wrong.push(format!("goes on to {}, which does not come next", spot_text(self, to)));
                } else {
                    self.check_turn(number, at, to, wrong);
                }
                if self.is_to_be_pulled(at) {
                    wrong.push("goes on though the push takes it off the line".to_string());
                }
                self.check_push_exit((at, bay), wrong);
            }
        }
        if let Spot::Bay(place, bay) = to {
            self.check_push_entry((place, bay), false, wrong);
        }
    }

    /// Somebody who came to the place before still stands in it, and nobody may overtake there.
    pub fn is_behind_another(&self, unit: &Unit, place: PlaceId, or_with: bool) -> bool {
        let ordered = self.line.places[place.index()].ordered && !self.is_pushed(place);
        let ahead = |other: &Unit| {
            other.entered < unit.entered
                || (or_with && other.entered == unit.entered && other.spot != unit.spot)
        };
        ordered && self.places[place.index()].bays.iter().flatten().any(|u| ahead(&self.units[u]))
    }

    pub fn check_done(&self, unit: &Unit, at: PlaceId, wrong: &mut Vec<String>) {
        if unit.route.is_empty() && self.is_behind_another(unit, at, false) {
            wrong.push(format!("overtakes at {}, which is ordered", self.line.places[at.index()].name));
        }
        let goes_open = unit.takes_the_rest_along(self.line, at) || unit.is_carried_on(self.line, at);
        if !unit.is_done_at(self.line, at) && !goes_open {
            wrong.push(format!("leaves {} before it is done there", self.line.places[at.index()].name));
        }
    }

    /// Of the units that are done and wait, the one that has waited longest goes first.
    fn check_turn(&mut self, number: u64, at: PlaceId, to: Spot, wrong: &mut Vec<String>) {
        let to_place = place_of(to);
        match to {
            Spot::Outside(_) => wrong.push("waits outside though it does not return".to_string()),
            Spot::Bay(..) if !self.places[to_place.index()].slots.is_empty() => {
                wrong.push("goes past the units in the slots".to_string());
            }
            Spot::Bay(..) => self.check_returns_first(number, to_place, wrong),
            Spot::Slot(_) => {}
        }
        // Where nobody may overtake, who came first goes first.
        if self.is_pushed(at) || self.line.places[at.index()].ordered {
            return;
        }
        let own = self.units[&number].done_at;
        let longer = self.places[at.index()].bays.iter().flatten().find(|other| {
            let unit = &self.units[*other];
            **other != number
                && unit.route.is_empty()
                && unit.arrives <= self.now
                && unit.is_done_at(self.line, at)
                && unit.done_at < own
                && self.ways_on(unit, at).contains(&to_place)
        });
        if let Some(longer) = longer {
            wrong.push(format!("moves on before unit {longer}, which has been done longer"));
        }
        self.check_other_lanes(at, own, wrong);
    }

    /// No new unit takes a bay while one that returns waits for it.
    fn check_returns_first(&self, number: u64, place: PlaceId, wrong: &mut Vec<String>) {
        self.check_turn_of_new(number, place, wrong);
        if !self.line.places[place.index()].returns_first || self.is_pushed(place) {
            return;
        }
        let waiting = self.places[place.index()].outside.iter().find(|other| {
            let unit = &self.units[*other];
            **other != number && unit.on_line.is_some() && unit.entered < self.now
        });
        if let Some(waiting) = waiting {
            wrong.push(format!("takes the place that the returning unit {waiting} waits for"));
        }
    }

    fn check_room(&self, to: Spot, wrong: &mut Vec<String>) {
        let place = &self.line.places[place_of(to).index()];
        let now = &self.places[place_of(to).index()];
        match to {
            Spot::Bay(_, bay) => match now.bays.get(usize::from(bay)) {
                None => wrong.push(format!("{} has no bay {bay}", place.name)),
                Some(Some(other)) => wrong.push(format!("bay {bay} is taken by unit {other}")),
                Some(None) => {}
            },
            Spot::Slot(_) => {
                if now.slots.len() >= place.slots as usize {
                    wrong.push(format!("the {} slots of {} are full", place.slots, place.name));
                }
            }
            Spot::Outside(_) => {}
        }
    }

    /// A move into a bay lasts as long as the segment says; one out of a segment may take either's.
    fn check_arrival(&self, from: Spot, to: Spot, arrives: Time, wrong: &mut Vec<String>) {
        let lasts = arrives - self.now;
        let rule = |spot: Spot| self.line.rule_at(place_of(spot));
        let inside = self.line.places[place_of(from).index()].segment
            == self.line.places[place_of(to).index()].segment;
        let fits = match to {
            Spot::Bay(..) => lasts == rule(to).index() || (!inside && lasts == rule(from).index()),
            Spot::Slot(_) | Spot::Outside(_) => {
                lasts.is_zero() || lasts == rule(to).index() || lasts == rule(from).index()
            }
        };
        if !fits {
            let stated = match rule(to) {
                MoveRule::WhenReady { moving } => moving,
                MoveRule::PushedWhenReady { index } | MoveRule::PushedEvery { index, .. } => index,
            };
            wrong.push(format!("the move lasts {lasts} and should last {stated}"));
        }
    }

    /// Takes the unit out of where it stands.
    fn leave_spot(&mut self, number: u64) {
        let Some(unit) = self.units.get(&number) else { return };
        let now = &mut self.places[place_of(unit.spot).index()];
        match unit.spot {
            Spot::Bay(place, bay) => {
                if now.bays[usize::from(bay)] == Some(number) {
                    now.bays[usize::from(bay)] = None;
                }
                self.totals.left_bay(self.line, place, self.now - unit.entered);
            }
            Spot::Slot(_) => now.slots.retain(|u| *u != number),
            Spot::Outside(_) => now.outside.retain(|u| *u != number),
        }
    }

    fn audit_all(&mut self, number: u64) {
        let now = self.now;
        let Some(unit) = self.units.get_mut(&number) else { return };
        let runs_on = |hold: &HoldNow| {
            !hold.ended && unit.running.iter().any(|run| run.carried && run.what == What::Step(hold.step))
        };
        let (kept, over) = unit.holds.drain(..).partition(runs_on);
        unit.holds = kept;
        let over: Vec<HoldNow> = over;
        for hold in over {
            self.audit(number, hold.step, now - hold.started, hold.ended);
        }
    }

    fn take_spot(&mut self, number: u64, to: Spot, arrives: Time) {
        let (line, now) = (self.line, self.now);
        let place = place_of(to);
        let Some(unit) = self.units.get_mut(&number) else { return };
        let stands = &mut self.places[place.index()];
        let was_done = unit.done_at;
        // What is put there at the start has come before the count begins.
        let stood_there = unit.from_start && now == Time::ZERO && matches!(unit.spot, Spot::Outside(_));
        unit.spot = to;
        unit.arrives = arrives;
        unit.entered = now;
        // A hold that ended on the way is over when the unit has arrived.
        let holds = |run: &&mut Running| matches!(run.what, What::Step(step) if line.steps[step.index()].hold().is_some());
        unit.running.iter_mut().filter(holds).for_each(|run| run.ends = run.ends.max(arrives));
        if !matches!(to, Spot::Outside(_)) && unit.on_line.is_none() {
            unit.on_line = Some(now);
            self.totals.line_on += u64::from(maker(number).is_none());
        }
        match to {
            Spot::Slot(_) => stands.slots.push_back(number),
            Spot::Outside(_) => stands.outside.push(number),
            Spot::Bay(_, bay) => {
                if let Some(free) = stands.bays.get_mut(usize::from(bay)) {
                    *free = Some(number);
                }
                unit.in_bay.get_or_insert(now);
                // Not begun, and back at its own place, it is work like any other.
                for (travels, step) in unit.travels.iter_mut().zip(&line.steps) {
                    travels.take_if(|left| *left == Time::NEVER && step.place == place);
                }
                unit.stays += 1;
                unit.returning = unit.route.front() == Some(&place);
                if unit.returning {
                    unit.route.pop_front();
                }
                // Back on the line it is a unit like any other.
                if line.places[place.index()].kind != PlaceKind::Repair && unit.off.take().is_some() {
                    unit.returning = false;
                }
                if unit.asked == Some(Asked::Leave) {
                    unit.asked = None;
                }
                if let (Some((test, index)), PlaceKind::Repair) = (unit.mend, line.places[place.index()].kind)
                {
                    unit.asked = Some(Asked::Fix(test, index));
                }
                let waited =
                    was_done.filter(|_| !unit.from_start || unit.in_bay != Some(now) || now != Time::ZERO);
                unit.done_at = None;
                self.totals.entered_bay(line, place, waited.map(|since| now - since));
            }
        }
        if matches!(to, Spot::Slot(_) | Spot::Outside(_)) && unit.asked == Some(Asked::Leave) {
            unit.asked = None;
        }
        self.change_carriers(number, to);
        if matches!(to, Spot::Bay(..)) && !stood_there {
            self.come_to_gates(number, place);
        }
        self.recount(number);
        if matches!(to, Spot::Bay(..)) {
            self.note_done(number, place);
        }
    }

    /// A unit has gone: finished, scrapped or set aside.
    pub fn leave_line(&mut self, number: u64) {
        self.leave_spot(number);
        self.leave_carriers(number);
        self.forget_laid(number);
        self.audit_all(number);
        let now = self.now;
        if let Some(unit) = self.units.get_mut(&number)
            && !unit.running.is_empty()
        {
            let place = place_of(unit.spot);
            self.fault(Some(number), Some(place), "leaves the line while a step runs on it");
        }
        if let Some(unit) = self.units.get_mut(&number) {
            unit.kept.fill(false);
            unit.running.clear();
        }
        self.recount(number);
        if let Some(unit) = self.units.remove(&number).filter(|_| maker(number).is_none()) {
            self.totals.gone(&unit, now);
        }
    }

    /// A unit finished: it stood in the last place of the line and was done there.
    pub fn finished(&mut self, number: u64) {
        let last = PlaceId::from_index(self.line.on_line - 1);
        let Some(unit) = self.units.get(&number) else {
            return self.fault(Some(number), Some(last), "finishes and is not there");
        };
        let (mut wrong, mut exit) = (Vec::new(), None);
        if unit.bay().is_some_and(|(place, _)| self.is_halted(place)) {
            wrong.push("leaves a stopped place".to_string());
        }
        match unit.bay() {
            Some((place, _)) if unit.off == Some(last) => {
                // It was pulled off at the last station: nothing is behind it.
                self.check_done(unit, place, &mut wrong);
            }
            Some((place, bay)) if place == last => {
                self.check_done(unit, last, &mut wrong);
                if unit.arrives > self.now {
                    wrong.push("finishes before it has arrived".to_string());
                }
                if !unit.route.is_empty() {
                    wrong.push("finishes with places of its route unvisited".to_string());
                }
                exit = Some(bay);
            }
            Some(_) | None => wrong.push("finishes without standing in the last place".to_string()),
        }
        let missed = (0..self.line.steps.len()).map(StepId::from_index).find(|s| {
            let elsewhere = self.line.steps[s.index()].place.index() >= self.line.on_line;
            !elsewhere && unit.applies(self.line, *s) && !unit.done[s.index()]
        });
        if let Some(step) = missed {
            wrong.push(format!("finishes without {}", self.line.steps[step.index()].name));
        }
        if let Some(bay) = exit {
            self.check_push_exit((last, bay), &mut wrong);
        }
        for text in wrong {
            self.fault(Some(number), Some(last), text);
        }
        self.mark_before_finish();
        let own = &self.units[&number];
        self.totals.finish(own, self.now);
        self.yard_takes(number);
        self.leave_line(number);
    }

    /// At the end of an instant: nobody who is done may stand where there is room ahead.
    pub fn judge_moves(&mut self) {
        let due = self
            .moves_due()
            .into_iter()
            .filter(|due| due.into.is_empty() || due.into.iter().any(|place| self.may_be_moved_into(*place)));
        for due in due.collect::<Vec<MoveDue>>() {
            self.fault(Some(due.number), Some(due.at), due.text);
        }
    }

    /// Every move that could be made now, were there people for it where people move units.
    pub fn moves_due(&self) -> Vec<MoveDue> {
        let mut left = Vec::new();
        for (p, now) in self.places.iter().enumerate() {
            let place = PlaceId::from_index(p);
            if !self.attended_at(place) {
                continue;
            }
            let mut due = |number, into, text| left.push(MoveDue { number, at: place, into, text });
            for number in now.bays.iter().flatten() {
                let unit = &self.units[number];
                let may_leave = unit.arrives <= self.now && !self.is_halted(place);
                if may_leave && unit.is_done_at(self.line, place) && self.could_go(unit, place) {
                    let into = self.open_ways(unit, place);
                    due(*number, into, "is done, has room ahead and does not move");
                }
            }
            let free =
                now.bays.iter().any(Option::is_none) && !self.is_pushed(place) && !self.is_halted(place);
            // A move into a slot may take time; only a unit that has arrived can go on.
            let first = now.slots.front().filter(|u| self.units[*u].arrives <= self.now);
            if let (true, Some(number)) = (free, first) {
                due(*number, vec![place], "stands in a slot before a free bay");
            }
            // Nobody new passes a unit in the slots, not even one that is still on its way there.
            let in_turn = free && now.slots.is_empty();
            let room = in_turn || now.slots.len() < self.line.places[p].slots as usize;
            let enters = room && !self.is_going_home();
            let enters = enters && self.has_carriers(None, place);
            let waits = now.outside.iter().find(|u| match self.units[*u].on_line {
                None => enters,
                Some(_) => free && self.has_carriers(self.units.get(u), place),
            });
            if let Some(number) = waits {
                due(*number, vec![place], "waits outside a free place");
            }
            if p == 0 && enters && self.line.release == taktwright::line::Release::Saturated {
                let next = self.models_released.len() as u64;
                let text = "could enter the line, which takes units whenever there is room";
                due(next, vec![place], text);
            }
        }
        left
    }

    /// Where a unit that goes along the line may go now; nothing where it leaves the line or goes to a stop of its route.
    fn open_ways(&self, unit: &Unit, place: PlaceId) -> Vec<PlaceId> {
        if !unit.route.is_empty() || self.next_on_line(place).is_none() {
            return Vec::new();
        }
        if let Some(chosen) = self.choice_now(unit, place) {
            return chosen.into_iter().collect();
        }
        let open = |next: &PlaceId| self.has_place_for_new(*next) && self.has_carriers(Some(unit), *next);
        self.ways_on(unit, place).into_iter().filter(open).collect()
    }

    /// It could go, and somebody is there to move it, where people do.
    pub fn goes_now(&self, unit: &Unit, place: PlaceId) -> bool {
        let ways = self.open_ways(unit, place);
        self.could_go(unit, place)
            && (ways.is_empty() || ways.iter().any(|place| self.may_be_moved_into(*place)))
    }

    pub fn could_go(&self, unit: &Unit, place: PlaceId) -> bool {
        if !unit.route.is_empty() {
            // Waiting places outside are unlimited, so nothing keeps a returning unit.
            return !self.is_pushed(place);
        }
        if self.is_pushed(place) || self.is_behind_another(unit, place, true) {
            return false;
        }
        if self.next_on_line(place).is_none() {
            let at_end = place.index() + 1 == self.line.on_line || unit.off.is_some();
            return self.truck_has_room(place) && (!at_end || self.yard_has_room());
        }
        !self.open_ways(unit, place).is_empty()
    }

    /// Room at a place for a unit that comes along the line.
    pub fn has_place_for_new(&self, next: PlaceId) -> bool {
        let now = &self.places[next.index()];
        if now.slots.len() < self.line.places[next.index()].slots as usize {
            return true;
        }
        !self.is_pushed(next)
            && !self.is_halted(next)
            && now.slots.is_empty()
            && now.bays.iter().any(Option::is_none)
    }
}
