//! Pushes: all at once, not before the signal, bays in rotation, holes in their places.

use super::Follower;
use taktwright::line::{MoveRule, PlaceId, SegmentId};
use taktwright::units::Time;

/// What the follower keeps of a pushed segment.
#[derive(Default)]
pub struct SegmentNow {
    push: Option<PushNow>,
    /// When the moves of the last push end, when it began, and the net time of its signal.
    pub ends: Time,
    began: Time,
    signal: Time,
}

/// A push while its instant lasts.
struct PushNow {
    /// The bay that each place leaves, and who stood in it.
    fronts: Vec<(u16, Option<u64>)>,
    /// Sentences about places that were not ready, by their position in the segment.
    unready: Vec<(usize, Option<u64>, String)>,
    left: Vec<usize>,
    entered: Vec<usize>,
    returned: Option<usize>,
    /// Whose units leave the line, by their position.
    pulled: Vec<usize>,
    /// Somebody stood before the segment, and returning units before its places, as the push began.
    waiting: Option<u64>,
    waiting_returns: Vec<(usize, u64)>,
}

impl PushNow {
    /// The position from which on all move: a returning unit takes the place of a hole, or of those before it.
    fn moves_from(&self) -> usize {
        let hole = |p: usize| p == 0 || self.fronts[p - 1].1.is_none() || self.pulled.contains(&(p - 1));
        self.returned.filter(|p| !hole(*p)).unwrap_or(0)
    }
}

impl Follower<'_> {
    fn places_of(&self, segment: SegmentId) -> (usize, usize) {
        let segment = &self.line.segments[segment.index()];
        (segment.first.index(), segment.last.index())
    }

    /// Net time of the next signal; the start of the run counts as the end of a push.
    pub fn signal(&self, segment: SegmentId) -> Option<Time> {
        let now = &self.segments[segment.index()];
        match self.line.segments[segment.index()].rule {
            MoveRule::PushedEvery { every, on_the_grid: true, .. } => {
                Some(self.days.next_on_grid(now.signal, now.began, every))
            }
            MoveRule::PushedEvery { every, index, .. } => Some(self.days.net(now.ends) + every - index),
            MoveRule::PushedWhenReady { .. } | MoveRule::WhenReady { .. } => None,
        }
    }

    /// A segment was pushed; its single moves follow within the instant.
    pub fn pushed(&mut self, segment: SegmentId) {
        self.close_push(segment);
        let rule = self.line.segments[segment.index()].rule;
        let (first, last) = self.places_of(segment);
        let name = self.line.segments[segment.index()].name.clone();
        if !rule.is_pushed() {
            return self.fault(None, None, format!("segment {name} is pushed and moves when ready"));
        }
        if self.now < self.segments[segment.index()].ends {
            self.fault(None, None, format!("segment {name} is pushed while its last push still moves"));
        }
        if (first..=last).any(|p| self.is_halted(PlaceId::from_index(p))) {
            self.fault(None, None, format!("segment {name} is pushed and a place of it is stopped"));
        }
        let signal = self.signal(segment);
        if let Some(signal) = signal.filter(|s| self.net < *s) {
            let early = signal - self.net;
            self.fault(None, None, format!("segment {name} is pushed {early} before its signal"));
        }
        let mut push = PushNow {
            fronts: Vec::new(),
            unready: Vec::new(),
            left: Vec::new(),
            entered: Vec::new(),
            returned: None,
            pulled: Vec::new(),
            waiting: self.places[first].slots.front().copied(),
            waiting_returns: Vec::new(),
        };
        for p in first..=last {
            let place = PlaceId::from_index(p);
            let now = &self.places[p];
            let bay = now.rotation.front().copied().unwrap_or(0);
            let unit = now.bays[usize::from(bay)];
            push.fronts.push((bay, unit));
            if let Some(number) = unit {
                let text = match &self.units[&number] {
                    unit if unit.arrives > self.now => Some("is pushed on before it has arrived"),
                    unit if !unit.is_done_at(self.line, place)
                        && !self.may_go_open(unit, place)
                        && !self.may_drift(unit, place) =>
                    {
                        Some("is not done when its segment is pushed")
                    }
                    _ => None,
                };
                push.unready.extend(text.map(|text| (p - first, unit, text.to_string())));
            }
            let returns = now.outside.iter().filter(|u| {
                let unit = &self.units[*u];
                let may = self.has_carriers(Some(unit), place);
                may && unit.on_line.is_some() && unit.entered < self.now && self.line.places[p].returns_first
            });
            push.waiting_returns.extend(returns.map(|u| (p - first, *u)).next());
        }
        let fronts: Vec<Option<u64>> = push.fronts.iter().map(|(_, unit)| *unit).collect();
        push.pulled = self.who_is_pulled_off(segment, &fronts);
        push.unready.retain(|(position, ..)| !push.pulled.contains(position));
        let sum = &mut self.totals.pushes[segment.index()];
        sum.count += 1;
        match (rule, signal) {
            (MoveRule::PushedEvery { .. }, Some(signal)) => {
                sum.on_time += i64::from(self.net == signal);
                sum.delay += self.net - signal;
            }
            (MoveRule::PushedWhenReady { .. }, _) => sum.on_time += 1,
            (MoveRule::PushedEvery { .. }, None) | (MoveRule::WhenReady { .. }, _) => {}
        }
        let now = &mut self.segments[segment.index()];
        now.ends = self.now + rule.index();
        now.began = self.now;
        now.signal = signal.unwrap_or(Time::ZERO);
        now.push = Some(push);
        self.movers_are_due(segment);
    }

    /// A unit leaves a bay of a pushed segment along the line: only at a push, only the one whose
    /// turn it is.
    pub fn check_push_exit(&mut self, (place, bay): (PlaceId, u16), wrong: &mut Vec<String>) {
        let Some((segment, position)) = self.pushed_position(place) else { return };
        match &mut self.segments[segment.index()].push {
            None => wrong.push("leaves its place without a push".to_string()),
            Some(push) => {
                if push.fronts[position].0 != bay {
                    wrong.push(format!(
                        "leaves bay {bay}, and bay {} has the unit that is there longest",
                        push.fronts[position].0
                    ));
                }
                push.left.push(position);
            }
        }
    }

    /// A unit leaves the line: only at a push, and only if it would hold the line.
    pub fn check_pull(&mut self, (place, bay): (PlaceId, u16), wrong: &mut Vec<String>) {
        self.check_push_exit((place, bay), wrong);
        if !self.is_to_be_pulled(place) {
            wrong.push("is pulled off the line though it need not be, or may not".to_string());
        }
    }

    /// The push takes the unit of the place off the line.
    pub fn is_to_be_pulled(&self, place: PlaceId) -> bool {
        self.pushed_position(place).is_some_and(|(segment, position)| {
            self.segments[segment.index()].push.as_ref().is_some_and(|push| push.pulled.contains(&position))
        })
    }

    /// A unit enters a bay of a pushed segment: only at a push, only the bay that was left.
    pub fn check_push_entry(
        &mut self,
        (place, bay): (PlaceId, u16),
        returning: bool,
        wrong: &mut Vec<String>,
    ) {
        let Some((segment, position)) = self.pushed_position(place) else { return };
        match &mut self.segments[segment.index()].push {
            None => wrong.push("enters its place without a push".to_string()),
            Some(push) => {
                if push.fronts[position].0 != bay {
                    wrong.push(format!(
                        "enters bay {bay}, and the push leaves bay {}",
                        push.fronts[position].0
                    ));
                }
                push.entered.push(position);
                if returning {
                    push.returned = push.returned.max(Some(position));
                }
            }
        }
    }

    fn pushed_position(&self, place: PlaceId) -> Option<(SegmentId, usize)> {
        let segment = self.line.places[place.index()].segment.filter(|_| self.is_pushed(place))?;
        Some((segment, place.index() - self.line.segments[segment.index()].first.index()))
    }

    /// The bay whose unit leaves a place with the next push; what was pushed in this instant has moved.
    pub fn due_bay(&self, segment: SegmentId, place: PlaceId) -> Option<u16> {
        let (first, _) = self.places_of(segment);
        let push = self.segments[segment.index()].push.as_ref();
        let moved = push.is_some_and(|push| place.index() - first >= push.moves_from());
        let rotation = &self.places[place.index()].rotation;
        rotation.get(usize::from(moved) % rotation.len().max(1)).copied()
    }

    /// The instant of a push is over: everybody from the place that a returning unit took onwards
    /// has moved, nobody before it.
    fn close_push(&mut self, segment: SegmentId) {
        let Some(push) = self.segments[segment.index()].push.take() else { return };
        let (first, last) = self.places_of(segment);
        let from = push.moves_from();
        for (position, unit, text) in &push.unready {
            if *position >= from {
                self.fault(*unit, Some(PlaceId::from_index(first + position)), text);
            }
        }
        for position in 0..=last - first {
            let (place, (_, unit)) = (PlaceId::from_index(first + position), push.fronts[position]);
            let moved = push.left.contains(&position);
            if position >= from && unit.is_some() && !moved {
                self.fault(unit, Some(place), "stays though its segment was pushed");
            }
            if position < from && (moved || push.entered.contains(&position)) {
                self.fault(unit, Some(place), "moves though a returning unit took the place ahead");
            }
        }
        for (position, unit) in &push.waiting_returns {
            if *position >= push.returned.unwrap_or(0) && !push.entered.contains(position) {
                let place = PlaceId::from_index(first + position);
                self.fault(Some(*unit), Some(place), "returns and was passed over by a push");
            }
        }
        let entrance_empty = from == 0 && !push.entered.contains(&0);
        if let (true, Some(waiting)) = (entrance_empty, push.waiting) {
            let place = PlaceId::from_index(first);
            self.fault(Some(waiting), Some(place), "stands in a slot while a hole enters");
        }
        for place in &mut self.places[first + from..=last] {
            if let Some(bay) = place.rotation.pop_front() {
                place.rotation.push_back(bay);
            }
        }
    }

    /// Ends the pushes of the instant; a segment that is ready and has its signal must have gone.
    pub fn judge_pushes(&mut self) {
        for s in 0..self.line.segments.len() {
            self.close_push(SegmentId::from_index(s));
        }
        self.judge_movers();
        if !self.days.attended(self.now) || self.is_going_home() {
            return;
        }
        for s in 0..self.line.segments.len() {
            let segment = SegmentId::from_index(s);
            if self.line.segments[s].rule.is_pushed() && self.should_go(segment) {
                let name = self.line.segments[s].name.clone();
                self.fault(None, None, format!("segment {name} is ready and is not pushed"));
            }
        }
    }

    fn should_go(&self, segment: SegmentId) -> bool {
        self.has_movers(segment) && self.is_ready_but_for_people(segment)
    }

    pub fn is_ready_but_for_people(&self, segment: SegmentId) -> bool {
        let (first, last) = self.places_of(segment);
        let now = &self.segments[segment.index()];
        if now.ends > self.now || self.signal(segment).is_some_and(|signal| signal > self.net) {
            return false;
        }
        if (first..=last).any(|p| self.is_halted(PlaceId::from_index(p))) {
            return false;
        }
        let front = |p: usize| {
            let bay = self.places[p].rotation.front().copied().unwrap_or(0);
            self.places[p].bays[usize::from(bay)]
        };
        let fronts: Vec<Option<u64>> = (first..=last).map(front).collect();
        let pulled = self.who_is_pulled_off(segment, &fronts);
        let ready = (first..=last).all(|p| {
            pulled.contains(&(p - first))
                || front(p).is_none_or(|u| {
                    let unit = &self.units[&u];
                    let place = PlaceId::from_index(p);
                    unit.arrives <= self.now
                        && (unit.is_done_at(self.line, place)
                            || self.may_go_open(unit, place)
                            || self.may_drift(unit, place))
                })
        });
        let leaves = front(last).filter(|_| !pulled.contains(&(last - first)));
        let out = match (leaves, self.next_on_line(PlaceId::from_index(last))) {
            (Some(unit), Some(next)) => {
                self.has_place_for_new(next) && self.has_carriers(self.units.get(&unit), next)
            }
            (Some(_), None) => self.yard_has_room(),
            (None, _) => true,
        };
        ready && out && self.something_moves(segment)
    }

    /// By the clock holes are pushed, too; a push when all are ready needs a unit somewhere in the segment, or one that
    /// could enter it.
    fn something_moves(&self, segment: SegmentId) -> bool {
        if matches!(self.line.segments[segment.index()].rule, MoveRule::PushedEvery { .. }) {
            return true;
        }
        let (first, last) = self.places_of(segment);
        let entrance = &self.places[first];
        let carried = self.has_carriers(None, PlaceId::from_index(first));
        let waits = |u: &u64| self.units[u].on_line.is_some() || carried;
        let enters = !entrance.slots.is_empty()
            || entrance.outside.iter().any(waits)
            || (carried && first == 0 && self.line.release == taktwright::line::Release::Saturated);
        enters || self.places[first..=last].iter().any(|place| place.bays.iter().any(Option::is_some))
    }
}
