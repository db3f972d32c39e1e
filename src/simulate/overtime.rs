//! Time that is decided on the day: overtime where the count is low, shifts that are worked only if the week
//! lacks units.
//!
//! What is scheduled in net time falls at another instant once attended time changes; what is scheduled on the
//! clock stays. So every entry of the queue is taken out, and those that go by net time get their new instant.

use super::clock::Clock;
use super::drift::MAY_DRIFT;
use super::feeders::{ARRIVES, TRUCK};
use super::queue::{
    CARRIER_BACK, Class, Entry, MOVE_END, PART_RIGHT, PUSH_END, REKIT_END, REPAIR_END, SLOT_ARRIVAL,
};
use super::run::Run;
use super::stores::LATE;
use super::watcher::{Event, Watcher};
use super::yard::LORRY;
use crate::line::{Calendar, GapTime, LotsWhen, Mending, Overtime, Release, WeekShift};
use crate::schedule::NodeKind;
use crate::units::Time;

/// What has been decided in the week.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Week {
    /// Weeks since the Monday of the first one.
    number: i64,
    /// Units finished in it, and days of it with overtime.
    finished: u32,
    days: u32,
    /// Clock time at which the overtime of this shift begins.
    pub from: Option<i64>,
}

/// What an entry of the queue is about.
enum Due {
    /// A step of a bay ends.
    Node(usize, u16),
    /// A repair ends; a stop begins.
    Repair(usize),
    Stop(usize),
    /// A re-kit, in the hours of that number.
    Rekit(usize),
    /// A move, a carrier's way, a part that was short.
    OnTheClock,
    /// No end: the calendar, deliveries, releases, signals.
    Other,
}

impl<W: Watcher> Run<'_, W> {
    fn stated(&mut self, shift: usize) -> Option<&WeekShift> {
        let of_week = self.clock.shift(shift).of_week;
        self.c.line.calendar.as_ref()?.week.get(of_week)
    }

    /// Whether the shift that begins now is not worked; if so it is taken out of the calendar.
    pub(super) fn is_left_out(&mut self, shift: usize) -> bool {
        self.week_of(shift);
        let under = self.stated(shift).and_then(|stated| stated.only_under);
        if under.is_none_or(|under| self.week.finished < under) {
            return false;
        }
        let of_week = self.clock.shift(shift).of_week;
        self.seen.left_out[of_week] += 1;
        self.see(Event::ShiftLeftOut);
        self.attended_time_changes(|clock| clock.leave_out(shift));
        true
    }

    /// The week's count begins anew with its first shift.
    fn week_of(&mut self, shift: usize) {
        let monday = Calendar::since_monday(self.c.line.calendar.as_ref()).0;
        let number = (self.clock.shift(shift).start + monday).div_euclid(Time::WEEK.0);
        if number != self.week.number {
            self.week = Week { number, ..Week::default() };
        }
        self.week.from = None;
    }

    pub(super) fn week_counts(&mut self) {
        self.week.finished += 1;
    }

    /// It is time to decide on the overtime of this shift.
    pub(super) fn decide_overtime(&mut self) {
        let span = self.clock.shift(self.shift);
        if span.decides != Some(self.clock.now()) {
            return;
        }
        let Some(Overtime { lasts, under, most_days, .. }) = self.stated(self.shift).and_then(|s| s.overtime)
        else {
            return;
        };
        if self.shift_count >= under || most_days.is_some_and(|most| self.week.days >= most) {
            return;
        }
        self.week.days += 1;
        let shift = self.shift;
        let from = self.clock.last_stretch_end(shift);
        self.week.from = Some(from);
        self.seen.overtime[span.of_week] += 1;
        self.see(Event::OvertimeBegins { by: lasts });
        self.grids_go_on(shift, lasts.0);
        self.attended_time_changes(|clock| clock.extend(shift, lasts.0));
        // A signal may fall sooner than it would have: so do crews begin early before it.
        for s in 0..self.c.stretches.len() {
            if self.c.has_early && self.c.stretches[s].on_the_grid {
                self.early_after_push(s);
            }
        }
    }

    /// The factor on work that people begin now in the bay.
    pub(super) fn overtime_factor(&mut self, bay: usize) -> Option<f64> {
        let from = self.week.from.filter(|_| self.hours_in(bay) == 0)?;
        let now = self.clock.now();
        let factor = self.stated(self.shift)?.overtime?.factor;
        (now >= from && factor != 1.0).then_some(factor)
    }

    /// The shift lasts longer: signals on its grid fall on through the time that comes, before those of the next shift.
    fn grids_go_on(&mut self, shift: usize, lasts: i64) {
        let (begins, ends) = (self.clock.shift(shift).net, self.clock.shift(shift + 1).net);
        for (stretch, state) in self.c.stretches.iter().zip(&mut self.stretches) {
            let Some(every) = stretch.every.filter(|_| stretch.on_the_grid) else { continue };
            if state.signalled || state.signal_net <= ends {
                continue;
            }
            let next = begins + ((ends - begins) / every + 1) * every;
            state.signal_net = if next <= ends + lasts { next } else { state.signal_net + lasts };
        }
    }

    /// The net time of the signal on a grid that an entry stands for.
    fn signal_on_grid(&self, entry: Entry) -> Option<i64> {
        if entry.class() != Class::Signal as u8 || entry.step() == MAY_DRIFT {
            return None;
        }
        let s = self.c.stretches.len() - 1 - usize::from(entry.rank());
        self.c.stretches[s].on_the_grid.then_some(self.stretches[s].signal_net)
    }

    fn attended_time_changes(&mut self, change: impl FnOnce(&mut Clock)) {
        let now = self.clock.now();
        let entries = self.queue.take_all();
        let entries: Vec<Entry> = entries.into_iter().filter(|entry| !self.is_void(*entry)).collect();
        let nets: Vec<Option<i64>> = entries
            .iter()
            .map(|entry| {
                let moves = entry.at() > now && self.goes_by_net_time(*entry);
                moves.then(|| self.clock.net_at(entry.at()))
            })
            .collect();
        change(&mut self.clock);
        for (entry, net) in entries.into_iter().zip(nets) {
            let net = net.map(|net| self.signal_on_grid(entry).unwrap_or(net));
            let at = net.map_or(entry.at(), |net| {
                self.warm_hold_due(entry).unwrap_or_else(|| self.clock.clock_of_net(net))
            });
            self.is_due_at(entry, at);
            self.queue.push(entry.moved_to(at));
        }
    }

    /// When an attended hold ends that must be warm: not only net time counts for it.
    fn warm_hold_due(&mut self, entry: Entry) -> Option<i64> {
        match self.due_of(entry) {
            Due::Node(bay, local) => self.end_of_attended_hold(bay, local),
            Due::Repair(_) | Due::Stop(_) | Due::Rekit(_) | Due::OnTheClock | Due::Other => None,
        }
    }

    fn due_of(&self, entry: Entry) -> Due {
        let class = entry.class();
        if class == Class::Stop as u8 {
            return Due::Stop(entry.bay() as usize);
        }
        match entry.step() {
            _ if class != Class::End as u8 => Due::Other,
            REPAIR_END => Due::Repair(entry.bay() as usize),
            REKIT_END => Due::Rekit(entry.rank() as usize),
            MOVE_END | SLOT_ARRIVAL | PUSH_END | CARRIER_BACK | PART_RIGHT => Due::OnTheClock,
            local => {
                let place = self.c.place_of[entry.rank() as usize] as usize;
                Due::Node(self.c.shop.places[place].bay0 as usize + entry.bay() as usize, local)
            }
        }
    }

    /// The bay node of which the run knows when it is due; elsewhere an entry is never void.
    fn tracked(&self, bay: usize, local: u16) -> Option<usize> {
        let solo = self.c.solo[self.c.shop.bay_place[bay] as usize];
        (self.c.takes_back && !solo).then(|| self.c.shop.bay_node0[bay] as usize + local as usize)
    }

    /// Its end was taken back, or its stop comes at another time.
    fn is_void(&self, entry: Entry) -> bool {
        match self.due_of(entry) {
            Due::Repair(stop) => self.stops.causes[stop].mended_at != entry.at(),
            Due::Stop(stop) => self.stops.causes[stop].due != entry.at(),
            Due::Node(bay, local) => {
                self.tracked(bay, local).is_some_and(|at| self.pauses.due_at(at) != Some(entry.at()))
            }
            Due::Rekit(_) | Due::OnTheClock | Due::Other => false,
        }
    }

    /// What stands in the queue at `at` from now on is due then.
    fn is_due_at(&mut self, entry: Entry, at: i64) {
        match self.due_of(entry) {
            Due::Repair(stop) => self.stops.causes[stop].mended_at = at,
            Due::Stop(stop) => self.stops.causes[stop].due = at,
            Due::Node(bay, local) => {
                if let Some(node) = self.tracked(bay, local) {
                    self.pauses.will_end(node, at);
                }
            }
            Due::Rekit(_) | Due::OnTheClock | Due::Other => {}
        }
    }

    fn goes_by_net_time(&self, entry: Entry) -> bool {
        let line = self.c.line;
        match self.due_of(entry) {
            Due::OnTheClock => false,
            Due::Rekit(hours) => hours == 0,
            Due::Repair(stop) => match line.stops[stop].mending {
                Mending::OnTheClock => false,
                Mending::InNetTime | Mending::By { .. } => self.hours_of_mending(stop) == 0,
            },
            Due::Stop(stop) => match line.stops[stop].runs {
                GapTime::Clock => false,
                GapTime::Net | GapTime::Use => self.hours_of_stop(stop) == 0,
            },
            Due::Node(bay, _) if self.hours_in(bay) > 0 => false,
            Due::Node(bay, local) => match self.c.shop.node(bay, local as usize).kind {
                NodeKind::Hold { attended } => attended,
                NodeKind::Work | NodeKind::Fix { .. } | NodeKind::Verdict { .. } => {
                    !self.goes_through(bay, local as usize)
                }
            },
            Due::Other => self.delivers_or_releases_by_net_time(entry),
        }
    }

    /// Signals do; of lots, trucks and releases, those that the file does not put on the clock.
    fn delivers_or_releases_by_net_time(&self, entry: Entry) -> bool {
        let line = self.c.line;
        let lots_by_gaps = |part: usize| {
            let lots = line.parts[part].origin.lots();
            matches!(lots.map(|lots| &lots.when), Some(LotsWhen::Every { on_the_clock: false, .. }))
        };
        match entry.class() {
            c if c == Class::Delivery as u8 => match entry.step() {
                TRUCK => self.hours_of_feeder(entry.rank() as usize) == 0,
                LATE | LORRY | ARRIVES => false,
                _ => lots_by_gaps(entry.rank() as usize),
            },
            c if c == Class::Release as u8 => match line.release {
                Release::Every { on_the_clock, .. } => !on_the_clock,
                Release::Saturated | Release::ByTakt | Release::List(_) => true,
            },
            c => c == Class::Signal as u8,
        }
    }
}
