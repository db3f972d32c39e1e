//! What a lever costs once, and after how many shifts its gain has paid that back.
//!
//! Owns the arithmetic and nothing that is not stated: without a cost of its own a lever has no payback.

use super::make::Lever;
use crate::line::Line;
use crate::report::{Difference, Estimate, LeverKind};
use crate::stats::counts_a_year;
use crate::study::values::nearest;

/// What the user says of money, in that of the file.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Purse {
    /// What a good unit earns above what is bought for it.
    pub earns: f64,
    /// What a lever costs once, by its name or the noun of its kind; a name stands above a kind.
    pub once: Vec<(String, f64)>,
}

/// What is said of one lever.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Payback {
    pub once: f64,
    /// In shifts (hours without shifts), where the gain is sure and earns more than it costs to run.
    pub after: Option<Estimate>,
    /// Nothing is gained, or what is gained earns no more than it costs to run.
    pub never: bool,
}

impl Purse {
    /// What this lever costs once.
    fn of(&self, lever: &Lever) -> Option<f64> {
        let by = |name: &str| self.once.iter().find(|(said, _)| said == name).map(|(_, cost)| *cost);
        by(&lever.name).or_else(|| by(lever.kind.words()))
    }

    /// The first name that is neither that of a lever nor of a kind, and the nearest that is.
    pub fn unknown(&self, levers: &[Lever]) -> Option<(String, Option<String>)> {
        let kinds = LeverKind::ALL.iter().map(|kind| kind.words());
        let known: Vec<&str> = kinds.chain(levers.iter().map(|lever| lever.name.as_str())).collect();
        let (name, _) = self.once.iter().find(|(name, _)| !known.contains(&name.as_str()))?;
        Some((name.clone(), nearest(name, known.into_iter())))
    }

    /// `None` where nothing is said of what the lever costs. A shift earns its gain less its part of what a year
    /// with the lever costs more; the ends of the band are those of the gain and change places. No interest.
    pub(super) fn payback(
        &self,
        base: &Line,
        lever: &Lever,
        verdict: Difference,
        gained: Option<&Estimate>,
        cost_per_year: Option<f64>,
    ) -> Option<Payback> {
        let once = self.of(lever)?;
        let to_run = cost_per_year.unwrap_or(0.0) / counts_a_year(base);
        let left = |units: f64| units * self.earns - to_run;
        let after = |units: f64| once / left(units);
        let never = match (verdict, gained) {
            (Difference::Worse | Difference::Equal, _) => true,
            (Difference::Better, Some(gained)) => left(gained.mean) <= 0.0,
            (Difference::Better | Difference::CannotTell, _) => false,
        };
        let sure = gained.filter(|_| verdict == Difference::Better && !never).and_then(|gained| {
            let (low, high) = gained.low.zip(gained.high)?;
            let latest = (left(low) > 0.0).then(|| after(low));
            Some(Estimate { mean: after(gained.mean), low: Some(after(high)), high: latest, ..*gained })
        });
        Some(Payback { once, after: sure, never })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::MapSources;

    const TWO: &str = "line \"Two\"\nshift day 06:00 to 14:00 on mon to fri\nstation S1 crew 1\n\
                       task one takes 10 min by 1\n";

    fn payback(purse: &Purse, verdict: Difference, gained: [f64; 3], a_year: Option<f64>) -> Option<Payback> {
        let read = crate::read("two.line", &MapSources::one("two.line", TWO), &[]);
        let lever =
            Lever { kind: LeverKind::Bay, name: "one more bay at S1".to_string(), edit: String::new() };
        let [mean, low, high] = gained;
        let gained = Estimate { mean, low: Some(low), high: Some(high), confidence: 0.95, n: 20 };
        purse.payback(&read.layouts[0], &lever, verdict, Some(&gained), a_year)
    }

    fn purse(name: &str) -> Purse {
        Purse { earns: 100.0, once: vec![(name.to_string(), 6000.0)] }
    }

    /// By hand: 2 units (1 to 3) a shift at 100 are 200 (100 to 300); 6,000 are back after 30 (20 to 60) shifts. A year
    /// has 5 x 365/7 shifts; one that costs 150 a shift more leaves 50 (-50 to 150): 120 (40 or more).
    #[test]
    fn a_cost_is_paid_back_by_what_its_gain_leaves() {
        let found = payback(&purse("bay"), Difference::Better, [2.0, 1.0, 3.0], None).expect("it has a cost");
        let after = found.after.expect("it pays");
        assert_eq!((found.once, after.mean, after.low, after.high), (6000.0, 30.0, Some(20.0), Some(60.0)));
        let a_year = 150.0 * 5.0 * 365.0 / 7.0;
        let found =
            payback(&purse("bay"), Difference::Better, [2.0, 1.0, 3.0], Some(a_year)).expect("a cost");
        let after = found.after.expect("it pays at its mean");
        assert!((after.mean - 120.0).abs() < 1e-9 && (after.low.expect("an end") - 40.0).abs() < 1e-9);
        assert_eq!((after.high, found.never), (None, false), "at the low end it never pays");
    }

    #[test]
    fn what_gains_nothing_or_too_little_never_pays_and_nothing_is_invented() {
        let equal = payback(&purse("bay"), Difference::Equal, [0.0, 0.0, 0.0], None).expect("it has a cost");
        assert_eq!((equal.after, equal.never), (None, true));
        let dear = payback(&purse("bay"), Difference::Better, [2.0, 1.0, 3.0], Some(1e6)).expect("a cost");
        assert_eq!((dear.after, dear.never), (None, true));
        let open = payback(&purse("bay"), Difference::CannotTell, [2.0, -1.0, 3.0], None).expect("a cost");
        assert_eq!((open.after, open.never), (None, false));
        assert_eq!(payback(&purse("slot"), Difference::Better, [2.0, 1.0, 3.0], None), None);
    }

    #[test]
    fn a_name_stands_above_its_kind_and_an_unknown_one_is_told() {
        let mut both = purse("bay");
        both.once.push(("one more bay at S1".to_string(), 100.0));
        let found = payback(&both, Difference::Better, [2.0, 1.0, 3.0], None).expect("it has a cost");
        assert_eq!(found.once, 100.0);
        assert_eq!(both.unknown(&[]).map(|(name, _)| name), Some("one more bay at S1".to_string()));
        assert_eq!(purse("bai").unknown(&[]), Some(("bai".to_string(), Some("bay".to_string()))));
        assert_eq!(purse("bay").unknown(&[]), None);
    }
}
