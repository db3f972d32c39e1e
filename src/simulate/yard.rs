//! The yard behind the line: finished units stand there until a lorry comes.

use super::queue::{Class, Entry};
use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::line::Calendar;
use crate::units::Time;

/// What an entry of a delivery says that is none.
pub(super) const LORRY: u16 = 2;

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct YardState {
    pub level: u32,
    /// Lorries that have come.
    lorries: u64,
    since: i64,
}

impl<W: Watcher> Run<'_, W> {
    /// There is room behind the line.
    #[inline]
    pub(super) fn yard_has_room(&self) -> bool {
        self.c.line.yard.as_ref().is_none_or(|yard| self.around.yard.level < yard.places)
    }

    pub(super) fn schedule_lorry(&mut self) {
        let Some(yard) = &self.c.line.yard else { return };
        if let Some(at) = nth_in_week(&yard.lorries, self.around.yard.lorries, self.c.line.calendar.as_ref())
        {
            self.queue.push(Entry::new(at, Class::Delivery, 0, 0, LORRY));
        }
    }

    pub(super) fn lorry_comes(&mut self) {
        let Some(yard) = &self.c.line.yard else { return };
        self.close_yard();
        let load = yard.load.min(self.around.yard.level);
        self.around.yard.level -= load;
        self.around.yard.lorries += 1;
        let counts = &mut self.seen.yard;
        counts.lorries += 1;
        counts.taken += u64::from(load);
        counts.part_loads += u64::from(load < yard.load);
        self.see(Event::LorryCame { load });
        self.schedule_lorry();
        if load > 0 {
            self.standstill.note(true);
            self.touch(self.c.line.places.len());
            self.check_stretch_of(self.c.line.on_line - 1);
        }
    }

    /// A finished unit stands in the yard.
    pub(super) fn yard_takes_one(&mut self) {
        if self.c.line.yard.is_some() {
            self.close_yard();
            self.around.yard.level += 1;
        }
    }

    /// Something waits for a lorry.
    pub(super) fn lorries_may_help(&self) -> bool {
        !self.yard_has_room()
    }

    pub(super) fn yard_from_now(&mut self) {
        self.around.yard.since = self.clock.now();
    }

    /// Books the level that has held up to now.
    pub(super) fn close_yard(&mut self) {
        let now = self.clock.now();
        let held = now - self.around.yard.since;
        self.around.yard.since = now;
        self.seen.yard.level += i128::from(held) * i128::from(self.around.yard.level);
        if !self.yard_has_room() {
            self.seen.yard.full += Time(held);
        }
    }
}

/// Time since the start of the run of the k-th (from 0) of what comes every week at these offsets from
/// Monday 00:00.
pub(super) fn nth_in_week(dues: &[Time], k: u64, calendar: Option<&Calendar>) -> Option<i64> {
    // The first day stands so many days into its week.
    let begun = Calendar::since_monday(calendar).0;
    let past = dues.iter().filter(|due| due.0 < begun).count() as i64;
    let (k, n) = (k as i64 + past, dues.len() as i64);
    (n > 0).then(|| k / n * Time::WEEK.0 + dues[(k % n) as usize].0 - begun)
}
