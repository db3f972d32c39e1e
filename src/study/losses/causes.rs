//! What a line can lose units to, and the line without it.
//!
//! Owns the order in which causes are switched off and what is left of a line then. No hold gets shorter: a
//! hold that draws its length takes the mean of its draws, which is never below its minimum.

use crate::draws::moments::mean;
use crate::line::{Comes, Dist, Finder, Line, Shape, StepKind, WrongVerdicts};
use crate::report::LossCause;
use crate::units::Time;

/// Causes in the order in which they are switched off, each on top of those before: all but the first two, which
/// no run can be without.
pub const ORDER: &[LossCause] = LossCause::ALL.split_at(2).1;

/// The line without the cause; `None` where it does not have it.
pub fn without(line: &Line, cause: LossCause) -> Option<Line> {
    let mut without = line.clone();
    match cause {
        // What the calendar and the plan cost is in no run.
        LossCause::PlannedStops | LossCause::Balance => return None,
        LossCause::Absence => without.absence = None,
        LossCause::Visitors => without.visitors.clear(),
        LossCause::NewPeople => without.learning.clear(),
        LossCause::Stops => without.stops.retain(|stop| cause_of(&stop.comes) != LossCause::Stops),
        LossCause::Calls => without.stops.retain(|stop| cause_of(&stop.comes) != LossCause::Calls),
        LossCause::Weather => without.stops.retain(|stop| cause_of(&stop.comes) != LossCause::Weather),
        LossCause::Fails => {
            for test in &mut without.tests {
                test.passes.iter_mut().for_each(|passes| *passes = (1.0, 1.0));
                test.wrong = WrongVerdicts::default();
            }
        }
        LossCause::Faults => find_nothing(&mut without),
        LossCause::Carriers => without.carriers.clear(),
        LossCause::Yard => without.yard = None,
        LossCause::Windows => without.windows.clear(),
        LossCause::Parts => without.steps.iter_mut().for_each(|step| step.uses.clear()),
        LossCause::Spread => steady(&mut without),
        LossCause::HomeEarly => {
            let shifts = without.calendar.iter_mut().flat_map(|calendar| &mut calendar.week);
            shifts.for_each(|shift| shift.home = None);
        }
    }
    (without != *line).then_some(without)
}

fn cause_of(comes: &Comes) -> LossCause {
    match comes {
        Comes::ByItself => LossCause::Stops,
        Comes::Calls { .. } => LossCause::Calls,
        Comes::Days { .. } => LossCause::Weather,
    }
}

/// No unit has a fault that a gate would find.
fn find_nothing(line: &mut Line) {
    for test in &mut line.tests {
        let to_a_gate = |(_, finder): &(f64, Finder)| matches!(finder, Finder::Gate(_));
        test.wrong.escapes = test.wrong.escapes.filter(|escapes| !to_a_gate(escapes));
    }
    for gate in std::mem::take(&mut line.gates) {
        for step in std::iter::once(gate.step).chain(gate.goes_on.map(|on| on.step)) {
            let mends = &mut line.steps[step.index()];
            mends.models.fill(false);
            mends.times.iter_mut().for_each(|time| time.dist = Dist::constant(Time::ZERO));
        }
    }
}

/// Every task and every hold takes its mean, whatever is drawn.
fn steady(line: &mut Line) {
    for step in &mut line.steps {
        let least = match &step.kind {
            StepKind::Task => 0.0,
            StepKind::Hold(hold) => hold.minimum.micros() as f64,
        };
        for time in &mut step.times {
            if !matches!(time.dist.shape, Shape::Constant { .. }) {
                let value = mean(&time.dist).max(least);
                time.dist = Dist { shape: Shape::Constant { value }, timings: time.dist.timings };
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::MapSources;

    fn line(text: &str) -> Line {
        let mut read = crate::read("shop.line", &MapSources::one("shop.line", text), &[]);
        assert_eq!(read.layouts.len(), 1, "{:?}", read.faults);
        read.layouts.remove(0)
    }

    #[test]
    fn a_line_that_has_no_cause_loses_none() {
        let plain = line("line \"Two\"\nstation S1 crew 1\ntask one takes 10 min by 1\n");
        assert!(ORDER.iter().all(|cause| without(&plain, *cause).is_none()));
    }

    /// (4 + 5 + 9) / 3 = 6 min; a hold of 2 to 10 min with a minimum of 5: 6 min on average as typed.
    #[test]
    fn times_become_their_means_and_no_hold_gets_shorter() {
        let text = "line \"Two\"\nstation S1 crew 1\ntask one takes 4/5/9 min by 1\n\
                    hold rest at least 5 min takes 2 to 10 min after one\n";
        let stated = line(text);
        let steady = without(&stated, LossCause::Spread).expect("it has a spread");
        let value = |step: usize| steady.steps[step].times[0].dist.as_constant().map(|v| v / 60e6);
        assert!((value(0).expect("a constant") - 6.0).abs() < 1e-9);
        assert!(value(1).expect("a constant") >= 5.0);
        assert_eq!(without(&steady, LossCause::Spread), None, "once is enough");
    }

    #[test]
    fn the_order_names_every_cause_once() {
        let mut causes = [ORDER, &[LossCause::PlannedStops, LossCause::Balance]].concat();
        causes.sort_unstable();
        assert_eq!(causes, LossCause::ALL);
    }
}
