//! Verdicts and windows: what they must be judged on and what must follow.

use super::Follower;
use super::feeders::maker;
use super::unit::{Asked, Unit, What};
use taktwright::line::{Finder, StepId, TestId};

/// What the event says of a verdict.
#[derive(Clone, Copy, Debug)]
pub struct Said {
    pub attempt: u32,
    pub passed: bool,
    pub outcome: Option<u16>,
}

impl Follower<'_> {
    /// A verdict fell.
    pub fn verdict(&mut self, number: u64, test: TestId, said: Said) {
        let line = self.line;
        let what = &line.tests[test.index()];
        let Some(unit) = self.units.get(&number) else {
            return self.fault(Some(number), Some(what.place), "a verdict on a unit that is not there");
        };
        let mut wrong = Vec::new();
        if unit.bay().is_none_or(|(place, _)| place != what.place) {
            wrong.push(format!("the verdict of {} falls where the unit does not stand", what.name));
        }
        if what.steps.iter().any(|s| unit.applies(line, *s) && !unit.done[s.index()]) {
            wrong.push(format!("the verdict of {} falls before its steps are done", what.name));
        }
        if unit.tests[test.index()].passed {
            wrong.push(format!("{} is judged again though it was passed", what.name));
        }
        let attempt = unit.tests[test.index()].attempts + 1;
        if said.attempt != attempt {
            wrong.push(format!("attempt {attempt} of {} is called {}", what.name, said.attempt));
        }
        let (first, again) = what.passes[unit.model.index()];
        let share = match attempt {
            1 => first,
            _ if unit.tests[test.index()].alarmed => what.wrong.sound[unit.model.index()],
            _ => again,
        };
        let finds = unit
            .escaped
            .iter()
            .any(|from| line.tests[from.index()].wrong.escapes.is_some_and(|e| e.1 == Finder::Test(test)));
        if finds && (said.passed || said.outcome.is_some_and(|o| what.wrong.alarm == Some(usize::from(o)))) {
            wrong.push(format!("{} does not find what another test let through", what.name));
        }
        // What another test let through fails whatever the share.
        let share = if finds { share.min(0.5) } else { share };
        if (said.passed && share <= 0.0) || (!said.passed && share >= 1.0) {
            wrong.push(format!("the verdict of {} can't be so: {share} pass", what.name));
        }
        let out_of_tries = what.most_tries.is_some_and(|most| attempt >= most);
        match (said.passed, said.outcome) {
            (true, Some(_)) => wrong.push(format!("a passed {} has an outcome of a fail", what.name)),
            (false, None) if !out_of_tries => {
                wrong.push(format!("a failed {} has no outcome after {attempt} tries", what.name));
            }
            (false, Some(_)) if out_of_tries => {
                wrong.push(format!("{} is tried more often than it may be", what.name));
            }
            (false, Some(k)) if usize::from(k) >= what.outcomes.len() => {
                wrong.push(format!("{} has no outcome {k}", what.name));
            }
            (true, None) | (false, None | Some(_)) => {}
        }
        for text in wrong {
            self.fault(Some(number), Some(what.place), text);
        }
        self.totals.verdict(test, attempt, said.passed);
        self.follow_verdict(number, test, said);
        self.note_done(number, what.place);
    }

    /// A unit that has just passed is faulty.
    pub fn escaped(&mut self, number: u64, test: TestId) {
        let stated = self.line.tests[test.index()].wrong.escapes.is_some();
        let Some(unit) = self.units.get_mut(&number) else {
            return self.fault(Some(number), None, "a fault escapes in a unit that is not there");
        };
        let passed = unit.tests[test.index()].passed;
        unit.escaped.push(test);
        if !stated || !passed {
            self.fault(Some(number), None, "a fault escapes where none can");
        }
    }

    fn follow_verdict(&mut self, number: u64, test: TestId, said: Said) {
        let line = self.line;
        let outcomes = line.tests[test.index()].outcomes.len();
        let Some(unit) = self.units.get_mut(&number) else { return };
        let state = &mut unit.tests[test.index()];
        state.attempts += 1;
        state.passed = said.passed;
        state.alarmed =
            said.outcome.is_some_and(|o| line.tests[test.index()].wrong.alarm == Some(usize::from(o)));
        unit.escaped.retain(|from| {
            let finder = line.tests[from.index()].wrong.escapes.map(|(_, finder)| finder);
            *from != test && finder != Some(Finder::Test(test))
        });
        let state = &mut unit.tests[test.index()];
        if said.passed {
            return;
        }
        state.ever_failed = true;
        unit.undo_test(line, test);
        match said.outcome.map(usize::from) {
            None => unit.asked = Some(Asked::SetAside),
            Some(index) if index < outcomes => unit.send(line, test, index),
            Some(_) => {}
        }
    }

    /// Windows that a step opens, at its start or at its end.
    /// `redo`: the window for which the step is done again; with a time of its own it opens its window
    /// when it ends.
    pub fn open_windows(&mut self, number: u64, step: StepId, at_end: bool, redo: Option<usize>) {
        let (line, now) = (self.line, self.now);
        let Some(unit) = self.units.get_mut(&number) else { return };
        for (w, window) in line.windows.iter().enumerate() {
            let own_time =
                redo == Some(w) && window.redo_time.is_some() && window.redo.first() == Some(&step);
            if window.opens == step && (window.opens_at_end || own_time) == at_end {
                unit.windows[w].opened = Some(now);
            }
        }
    }

    /// A closing step may start only within the limit; late, it must be a miss instead.
    pub fn judge_window_at_start(&mut self, number: u64, step: StepId) {
        let (line, now) = (self.line, self.now);
        let Some(unit) = self.units.get_mut(&number) else { return };
        let mut late = Vec::new();
        for (w, window) in line.windows.iter().enumerate() {
            if window.closes == step
                && !window.judged_at_end
                && let Some(opened) = unit.windows[w].opened.take()
            {
                self.totals.windows[w].judged += 1;
                if now - opened > window.limit {
                    late.push(now - opened - window.limit);
                }
            }
        }
        for over in late {
            let name = &line.steps[step.index()].name;
            let text = format!("{name} starts {over} after its window closed, without the redo");
            self.fault(Some(number), Some(line.steps[step.index()].place), text);
        }
    }

    /// A window judged at the end of its closing step.
    pub fn judge_window_at_end(&mut self, number: u64, step: StepId) {
        let (line, now) = (self.line, self.now);
        let Some(unit) = self.units.get_mut(&number) else { return };
        for (w, window) in line.windows.iter().enumerate() {
            if window.closes == step && window.judged_at_end {
                match unit.windows[w].opened {
                    Some(opened) if now - opened > window.limit => unit.windows[w].late = true,
                    Some(_) => {
                        unit.windows[w].opened = None;
                        self.totals.windows[w].judged += 1;
                    }
                    None => {}
                }
            }
        }
    }

    /// A window was missed: it must be over its limit, and its steps are undone.
    pub fn window_missed(&mut self, number: u64, window: u16) {
        let (line, now) = (self.line, self.now);
        let Some(what) = line.windows.get(usize::from(window)) else {
            return self.fault(Some(number), None, format!("there is no window {window}"));
        };
        let w = usize::from(window);
        let closes = &line.steps[what.closes.index()];
        let Some(unit) = self.units.get_mut(&number) else {
            return self.fault(
                Some(number),
                Some(closes.place),
                "a window is missed on a unit that is not there",
            );
        };
        let opened = unit.windows[w].opened.take();
        let walk =
            unit.running.iter().position(|run| run.what == What::Step(what.closes) && run.walkers.is_some());
        let walk = walk.map(|run| unit.running.remove(run));
        unit.windows[w].late = false;
        for step in &what.undone {
            unit.done[step.index()] = false;
            unit.again[step.index()] = Some((closes.place, w));
        }
        self.totals.windows[w].judged += 1;
        self.totals.windows[w].missed += 1;
        match opened {
            None => self.fault(Some(number), Some(closes.place), "a window is missed that was not open"),
            Some(opened) if now - opened <= what.limit => {
                let text = format!("the window to {} is called missed within its limit", closes.name);
                self.fault(Some(number), Some(closes.place), text);
            }
            Some(_) => {}
        }
        if let Some(walk) = walk {
            self.arrived_too_late(number, &walk, closes.place);
        }
        self.note_done(number, closes.place);
    }

    /// At the end of an instant: what a verdict or a late step asked for must have happened.
    pub fn judge_consequences(&mut self) {
        let mut late = Vec::new();
        for (number, unit) in &self.units {
            let Some((place, _)) = unit.bay() else { continue };
            if unit.windows.iter().any(|w| w.late) {
                late.push((*number, place, "a step ended after its window closed, without the redo"));
            }
            let idle = unit.running.is_empty() && !self.is_halted(place);
            let attended = self.attended_at(place);
            match unit.asked {
                Some(Asked::Leave) if idle && attended => {
                    late.push((*number, place, "failed and is not sent away"));
                }
                Some(Asked::Scrap) if idle && attended => late.push((*number, place, "is scrap and stays")),
                Some(Asked::SetAside) if idle && attended => {
                    late.push((*number, place, "has no try left and stays"))
                }
                Some(_) | None => {}
            }
            if self.verdict_is_due(unit, place) {
                late.push((*number, place, "a test is done and no verdict falls"));
            }
        }
        for (number, place, text) in late {
            self.fault(Some(number), Some(place), text);
        }
    }

    fn verdict_is_due(&self, unit: &Unit, place: taktwright::line::PlaceId) -> bool {
        let line = self.line;
        line.tests.iter().enumerate().any(|(t, test)| {
            test.place == place
                && unit.asked.is_none()
                && !unit.tests[t].passed
                && unit.is_tested(line, TestId::from_index(t))
                && test.steps.iter().all(|s| unit.done[s.index()] || !unit.applies(line, *s))
        })
    }

    /// A unit leaves the line on a verdict.
    pub fn taken_off(&mut self, number: u64, asked: Asked) {
        let Some(unit) = self.units.get(&number) else {
            return self.fault(Some(number), None, "leaves the line and is not there");
        };
        let place = unit.bay().map(|(place, _)| place);
        if unit.asked != Some(asked) {
            self.fault(Some(number), place, "is taken off the line without a verdict that says so");
        }
        if maker(number).is_none() {
            let visits = self.units[&number].visits.clone();
            // What lies at it already is lost with it.
            let laid: Vec<bool> = (0..visits.len())
                .map(|step| self.laid_out(number, StepId::from_index(step)).is_some())
                .collect();
            self.cancel_order(number, |step| visits[step.index()] == 0 && !laid[step.index()]);
        }
        match asked {
            _ if maker(number).is_some() => self.part_lost(number),
            Asked::Scrap => self.totals.scrapped += 1,
            Asked::SetAside | Asked::Fix(..) | Asked::Leave => self.totals.set_aside += 1,
        }
        self.leave_line(number);
    }
}
