//! Time that is decided on the day, worked out a second time: overtime where the count is low, shifts that are
//! worked only if the week lacks units.

use super::Follower;
use super::unit::{Running, What};
use taktwright::line::{AtBreaks, Calendar, WeekShift};
use taktwright::units::Time;

/// What has been decided.
#[derive(Default)]
pub struct Decided {
    /// Starts of the shifts that last longer.
    longer: Vec<Time>,
    /// The run owes the word that it has decided so.
    longer_due: Option<Time>,
    left_out_due: bool,
}

fn monday(calendar: &Calendar) -> i64 {
    i64::from(calendar.first_weekday) * Time::DAY.0
}

/// The shift of the week that begins at `start` on the clock of the run.
fn stated(calendar: &Calendar, start: Time) -> Option<&WeekShift> {
    let of_week = Time((start.0 + monday(calendar)).rem_euclid(Time::WEEK.0));
    calendar.week.iter().find(|shift| shift.start == of_week)
}

impl Follower<'_> {
    /// The next instant before `at` at which something is to be decided.
    pub fn decision_before(&self, at: Time) -> Option<Time> {
        let decided = self.days.shifts.iter().filter_map(|shift| shift.decided);
        decided.filter(|decided| *decided > self.now && *decided < at).min()
    }

    /// It is that instant, or a shift begins: decides.
    pub fn decide(&mut self) {
        let (Some(calendar), Some(index)) = (&self.line.calendar, self.days.shift_at(self.now)) else {
            return;
        };
        let shift = self.days.shifts[index];
        let Some(stated) = stated(calendar, shift.start) else { return };
        let week = |time: Time| (time.0 + monday(calendar)).div_euclid(Time::WEEK.0);
        let finishes = &self.totals.finishes;
        let since = |from: Time| finishes.iter().filter(|at| **at >= from && **at < self.now).count();
        if let Some(under) = stated.only_under.filter(|_| shift.start == self.now) {
            // Whoever finished before this week's first shift did so in another week.
            let monday = Time(week(shift.start) * Time::WEEK.0 - monday(calendar));
            let shifts = self.days.shifts.iter().map(|other| other.start);
            let first = shifts.filter(|start| *start >= monday).min().unwrap_or(self.now);
            if since(first) >= under as usize {
                self.attended_time_changes(shift.start, None);
                self.decided.left_out_due = true;
                return;
            }
        }
        if let Some(overtime) = stated.overtime.filter(|_| shift.decided == Some(self.now)) {
            let days = self.decided.longer.iter().filter(|other| week(**other) == week(shift.start)).count();
            let days_left = overtime.most_days.is_none_or(|most| days < most as usize);
            if since(shift.start) < overtime.under as usize && days_left {
                self.decided.longer.push(shift.start);
                self.decided.longer_due = Some(overtime.lasts);
                self.attended_time_changes(shift.start, Some(overtime.lasts));
            }
        }
    }

    fn attended_time_changes(&mut self, start: Time, change: Option<Time>) {
        let in_net_time = |run: &&Running| match run.what {
            _ if run.paused.is_some() || !self.is_of_the_line(run.what) => false,
            _ if run.walkers.is_some() => true,
            What::Fix(_) => true,
            What::Step(step) => {
                let step = &self.line.steps[step.index()];
                match step.hold() {
                    Some(hold) => hold.attended,
                    None => step.at_breaks != AtBreaks::Through,
                }
            }
        };
        let mut left: Vec<(u64, What, Time)> = Vec::new();
        for (number, unit) in &self.units {
            for run in unit.running.iter().filter(in_net_time) {
                left.push((*number, run.what, self.days.net(run.ends) - self.days.net(self.now)));
            }
        }
        let now = self.now;
        let parts = (0..self.line.parts.len()).map(taktwright::line::PartId::from_index);
        let feeders = &self.line.feeders;
        let own = |part| feeders.iter().any(|f| f.part == part && self.hours_at(f.first) > 0);
        let of_line: Vec<bool> = parts.map(|part| !own(part)).collect();
        let re_kits = self.laid.iter_mut().flat_map(|laid| laid.re_kits(now, &of_line));
        let re_kits: Vec<Time> = re_kits.map(|until| self.days.net(*until) - self.days.net(now)).collect();
        let re_kitted: Vec<&mut Time> =
            self.laid.iter_mut().flat_map(|laid| laid.re_kits(now, &of_line)).collect();
        self.days.change(start, change);
        for (until, left) in re_kitted.into_iter().zip(re_kits) {
            *until = self.days.end_of_work(now, left);
        }
        for (number, what, left) in left {
            let ends =
                self.warm_hold_ends(number, what).unwrap_or_else(|| self.days.end_of_work(self.now, left));
            if let Some(unit) = self.units.get_mut(&number) {
                unit.running.iter_mut().filter(|run| run.what == what).for_each(|run| run.ends = ends);
            }
        }
    }

    /// When an attended hold that must be warm ends, by attended time as it is now.
    fn warm_hold_ends(&self, number: u64, what: What) -> Option<Time> {
        let What::Step(step) = what else { return None };
        let hold = self.line.steps[step.index()].hold()?;
        let unit = &self.units[&number];
        let run = unit.running.iter().find(|run| run.what == what)?;
        let since = unit.holds.iter().rfind(|hold| hold.step == step && !hold.ended)?.started;
        let warm = hold.warm.as_ref()?;
        Some(self.warm_end((warm, Some(&self.days)), since, run.length))
    }

    /// The factor on what people begin now: tired people.
    pub fn overtime_pace(&self) -> f64 {
        let (Some(calendar), Some(index)) = (&self.line.calendar, self.days.shift_at(self.now)) else {
            return 1.0;
        };
        let shift = self.days.shifts[index];
        let Some(stated) =
            stated(calendar, shift.start).filter(|_| self.decided.longer.contains(&shift.start))
        else {
            return 1.0;
        };
        // Without overtime the work would be over before the cleaning at the end of the shift.
        let planned = stated.work_ends() - stated.start;
        let factor = stated.overtime.map_or(1.0, |overtime| overtime.factor);
        if self.now >= shift.start + planned { factor } else { 1.0 }
    }

    pub fn overtime_begins(&mut self, by: Time) {
        if self.decided.longer_due.take() != Some(by) {
            self.fault(None, None, format!("the shift lasts {by} longer, and should not"));
        }
    }

    pub fn shift_left_out(&mut self) {
        if !std::mem::take(&mut self.decided.left_out_due) {
            self.fault(None, None, "a shift is left out that should be worked");
        }
    }

    /// At the end of an instant everything that was decided has been said.
    pub fn judge_decisions(&mut self) {
        if self.decided.longer_due.take().is_some() {
            self.fault(None, None, "the count is low, and the shift does not last longer");
        }
        if std::mem::take(&mut self.decided.left_out_due) {
            self.fault(None, None, "a shift is worked though its week has units enough");
        }
    }
}
