//! Promises about the share of units that a test passes at once, against the binomial law.

use crate::follow::text::{line_of, settings_of};
use statrs::distribution::{Binomial, DiscreteCDF};
use taktwright::line::Line;
use taktwright::simulate::{Horizon, Observations, Replication, Unwatched, replicate};
use taktwright::stats::{Verdict, judge};
use taktwright::study::{Comparison, Side, compare, measure_named};

/// Two tests in a row; the second one tests every unit twice at first fails, which counts for nothing here.
const ROW: &str = "line \"Two tests\"\nrelease saturated\nstation S1 crew 1\ntask a takes 2 min by 1\n\
     test early of a passes 90 %, again 50 % on fail fixed in place takes 1 min by 1\n\
     station S2 crew 1\ntask b takes 2 min by 1 after a\n\
     test late of b passes 80 %, again 100 % on fail retest in place\n\
     promise first pass yield at early at least 88 %\npromise first pass yield at late at least 88 %\n\
     promise first pass yield at late at most 88 %\npromise first pass yield at late p50 at least 10 %\n\
     promise first pass yield at least 88 %\npromise mean first pass yield at early at most 90 %\n";

fn observed(line: &Line) -> Observations {
    let run = |index| replicate(line, &settings_of(11, Horizon::Units(500)), index, &mut Unwatched);
    let replications = (0..40).map(|index| run(index).expect("it runs")).collect();
    Observations { seed: 11, replications, ..Observations::default() }
}

#[test]
fn a_promise_about_one_test_is_judged_on_its_first_verdicts() {
    let line = line_of(ROW);
    let seen = observed(&line);
    let judged: Vec<_> = line.promises.iter().map(|promise| judge(&line, &seen, &promise.kind)).collect();
    let verdicts: Vec<Verdict> = judged.iter().map(|judgement| judgement.verdict).collect();
    assert_eq!(
        verdicts[..5],
        [Verdict::Kept, Verdict::Broken, Verdict::Kept, Verdict::Kept, Verdict::Broken]
    );
    assert!(matches!(verdicts[5], Verdict::Undecided { .. }), "90 % is what it passes: {:?}", verdicts[5]);
    // Every unit has one first verdict at each test, each on its own: hits of n are binomial (statrs).
    for (judgement, test, share) in [(&judged[0], 0, 0.9), (&judged[1], 1, 0.8)] {
        let counts = || seen.replications.iter().map(|run| &run.tests[test]);
        let n: u64 = counts().map(|counts| counts.first_attempts).sum();
        assert!(n >= 40 * 500);
        let found = judgement.estimate.expect("units came");
        let law = Binomial::new(share, n).expect("a share");
        let (low, high) = (law.inverse_cdf(0.0005) as f64, law.inverse_cdf(0.9995) as f64);
        assert!((low..=high).contains(&(found.value * n as f64)), "{} of {n}, {share}", found.value);
        // Twenty groups: the half-width is t(19, 97.5 %) = 2.093 times the standard error, which is that of
        // the binomial law within what chance lets it be (chi-squared of 19 degrees, 0.05 % to 99.95 %:
        // 4.9 to 45.9, from memory).
        let exact = 2.093 * (share * (1.0 - share) / n as f64).sqrt();
        let half = (found.high.expect("a band") - found.low.expect("a band")) / 2.0;
        assert!((0.5..1.56).contains(&(half / exact)), "{half} where {exact} is expected");
    }
    // Both tests at once are what the line makes (early fails and late fails are drawn apart).
    let both = judged[4].estimate.expect("units came").value;
    assert!((both - 0.72).abs() < 0.013, "{both}: four standard errors are 0.0127");
}

#[test]
fn layouts_are_compared_on_the_yield_of_one_test_by_its_name() {
    let line = line_of(ROW);
    let other = line_of(&ROW.replace("passes 80 %", "passes 95 %"));
    let measure = "first pass yield at late";
    let (old_seen, new_seen) = (observed(&line), observed(&other));
    let old = Side::of(&line, measure, &old_seen).expect("it is known");
    let new = Side::of(&other, measure, &new_seen).expect("it is known");
    let compared = compare(&new, &old, 0.95);
    assert_eq!(compared.verdict, Comparison::Better);
    let mean = |seen: &Observations| {
        let of = |run: &Replication| run.tests[1].first_passes as f64 / run.tests[1].first_attempts as f64;
        seen.replications.iter().map(of).sum::<f64>() / seen.replications.len() as f64
    };
    let difference = compared.difference.expect("units came").mean;
    assert!((difference - (mean(&new_seen) - mean(&old_seen))).abs() < 1e-9, "{difference}");
    assert!((difference - 0.15).abs() < 0.012, "{difference}: 15 % more pass");
    assert_eq!(
        measure_named(&line, "first pass yield at lane").unwrap_err().as_deref(),
        Some("first pass yield at late")
    );
}
