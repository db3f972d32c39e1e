//! How long a unit is fixed where it failed a test.

use super::load::DRAWS;
use crate::draws::Sampler;
use crate::line::{Fix, SharedBy};

/// Mean time of a fix with everybody who may share it: the unit is alone with the full crew.
pub(super) fn mean_of_fix(fix: &Fix, model: usize) -> f64 {
    let law = Sampler::new(&fix.time);
    let mean = law.mean();
    let Some(shared) = &fix.shared else { return mean };
    let needed = fix.needs.iter().map(|need| need.count).sum();
    let time = |micros: f64| shared.by.time(micros, needed, shared.most_people(model));
    match shared.by {
        // A share of whatever it takes.
        SharedBy::Table(_) | SharedBy::Power { fixed: 0.0, .. } => time(mean),
        SharedBy::Power { .. } if fix.time.as_constant().is_some() => time(mean),
        // Bent where it is shorter than what is fixed: by its quantiles, in the middle of equal shares.
        SharedBy::Power { .. } => {
            let middle = |k: u64| (k as f64 + 0.5) / DRAWS as f64;
            (0..DRAWS).map(|k| time(law.quantile(middle(k)))).sum::<f64>() / DRAWS as f64
        }
    }
}
