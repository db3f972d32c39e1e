//! What the verdicts of a test say wrongly: sound units that fail, faulty ones that pass.

use super::TestId;

/// The stated share that passes is what is observed, right and wrong verdicts together.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct WrongVerdicts {
    /// Which of the outcomes is that of a false alarm: nothing is done to the unit, and it is tested again.
    pub alarm: Option<usize>,
    /// Per model: the share of sound units that pass; empty without false alarms.
    pub sound: Vec<f64>,
    /// The share of passes that are faulty, and the later test that finds them.
    pub escapes: Option<(f64, TestId)>,
}

impl WrongVerdicts {
    /// The share of sound units that pass, where a share `passes`, of the passes a share `escapes` is faulty
    /// and of the fails a share `alarms` is sound (Bayes' theorem): p (1 - e) / (p (1 - e) + (1 - p) f).
    pub fn share_of_sound(passes: f64, escapes: f64, alarms: f64) -> f64 {
        let (right, wrong) = (passes * (1.0 - escapes), (1.0 - passes) * alarms);
        if right + wrong > 0.0 { right / (right + wrong) } else { 1.0 }
    }
}
