//! What the verdicts of a test say wrongly: sound units that fail, faulty ones that pass.

use super::{Line, PlaceId, TestId};

/// The stated share that passes is what is observed, right and wrong verdicts together.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct WrongVerdicts {
    /// Which of the outcomes is that of a false alarm: nothing is done to the unit, and it is tested again.
    pub alarm: Option<usize>,
    /// Per model: the share of sound units that pass; empty without false alarms.
    pub sound: Vec<f64>,
    /// The share of passes that are faulty, and what finds them later.
    pub escapes: Option<(f64, Finder)>,
}

/// What finds a fault that a test has let through.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Finder {
    /// It fails the unit.
    Test(TestId),
    /// One more of the faults that the gate of that index finds.
    Gate(u16),
}

impl Line {
    /// Its name and where it stands.
    pub fn finder(&self, finder: Finder) -> (&str, PlaceId) {
        match finder {
            Finder::Test(test) => (&self.tests[test.index()].name, self.tests[test.index()].place),
            Finder::Gate(gate) => {
                let gate = &self.gates[usize::from(gate)];
                (&gate.name, gate.place)
            }
        }
    }

    /// Tests whose escapes it finds, and the share of their passes that are some.
    pub fn let_through_to(&self, finder: Finder) -> impl Iterator<Item = (TestId, f64)> {
        let tests = self.tests.iter().enumerate();
        tests.filter_map(move |(t, test)| {
            let (share, _) = test.wrong.escapes.filter(|(_, other)| *other == finder)?;
            Some((TestId::from_index(t), share))
        })
    }
}

impl WrongVerdicts {
    /// The share of sound units that pass, where a share `passes`, of the passes a share `escapes` is faulty
    /// and of the fails a share `alarms` is sound (Bayes' theorem): p (1 - e) / (p (1 - e) + (1 - p) f).
    pub fn share_of_sound(passes: f64, escapes: f64, alarms: f64) -> f64 {
        let (right, wrong) = (passes * (1.0 - escapes), (1.0 - passes) * alarms);
        if right + wrong > 0.0 { right / (right + wrong) } else { 1.0 }
    }
}
