//! False alarms and escapes against Bayes' theorem, and their loads against their runs.

use crate::follow::text::{line_of, settings_of};
use statrs::distribution::{Binomial, DiscreteCDF};
use taktwright::simulate::{Horizon, Replication, Unwatched, replicate};

const UNITS: u64 = 40_000;
/// Of the first attempts pass, of the passes are wrong, of the fails are none.
const PASS: f64 = 0.9;
const ESCAPES: f64 = 0.1;
const ALARMS: f64 = 0.5;

fn run(alarm: &str) -> Replication {
    let line = line_of(&format!(
        "line \"Verdicts\"\nstation S1 crew 1\ntask a takes 2 min by 1\n\
         test early of a passes 90 %, again 100 % on fail fixed in place takes 1 min by 1 {alarm} escapes 10 % to late\n\
         station S2 crew 1\ntask b takes 1 min by 1 after a\n\
         test late of b passes 100 % on fail fixed in place takes 1 min by 1\n"
    ));
    replicate(&line, &settings_of(7, Horizon::Units(UNITS)), 0, &mut Unwatched).expect("it runs")
}

/// Within what chance lets happen once in a thousand (the binomial law of the statrs library).
fn is_share(hits: u64, of: u64, share: f64) {
    let law = Binomial::new(share, of).expect("a share");
    let (low, high) = (law.inverse_cdf(0.0005), law.inverse_cdf(0.9995));
    assert!((low..=high).contains(&hits), "{hits} of {of}, where {share} would be {low} to {high}");
}

/// P(pass | sound) = p (1 - e) / (p (1 - e) + (1 - p) f), Bayes' theorem as any textbook has it.
#[test]
fn a_sound_unit_passes_its_next_attempt_as_bayes_says() {
    let seen = run("false alarm 50 % of fails");
    let test = &seen.tests[0];
    is_share(test.first_passes, test.first_attempts, PASS);
    let fails = test.attempts - test.passed;
    is_share(test.alarms, fails, ALARMS);
    // Who is fixed passes; so every fail after the first attempt is that of a unit that had a false alarm.
    let first_fails = test.first_attempts - test.first_passes;
    let sound = PASS * (1.0 - ESCAPES) / (PASS * (1.0 - ESCAPES) + (1.0 - PASS) * ALARMS);
    is_share(fails - first_fails, test.alarms, 1.0 - sound);
}

#[test]
fn what_escapes_fails_the_test_that_finds_it_and_no_other_unit_does() {
    let seen = run("");
    let (early, late) = (&seen.tests[0], &seen.tests[1]);
    is_share(early.escaped, early.passed, ESCAPES);
    // One unit at most is between the two when the count ends.
    assert!(early.escaped - late.found <= 1 && late.found > 0);
    assert_eq!(late.attempts - late.passed, late.found, "passes 100 % by itself");
    // A pass right after a false alarm is right.
    let seen = run("false alarm 50 %");
    let (early, late) = (&seen.tests[0], &seen.tests[1]);
    let sound = PASS * (1.0 - ESCAPES) / (PASS * (1.0 - ESCAPES) + (1.0 - PASS) * ALARMS);
    // x: fails for which the unit was not known to be sound before: the first, and those in a row of alarms.
    let alarms_of_a_unit = (1.0 - PASS) * ALARMS / (1.0 - (1.0 - sound) * ALARMS);
    let unsure = 1.0 - alarms_of_a_unit * sound;
    is_share(early.escaped, early.passed, ESCAPES * unsure);
    assert!(early.escaped - late.found <= 1);
}

/// Loads with what is tested again, beside the run: time at work of S1 a unit.
#[test]
fn loads_count_what_false_alarms_and_escapes_cost() {
    let line = line_of(
        "line \"Loads\"\npace 4 min\nstation S1 crew 1\ntask a takes 2 min by 1\n\
         test early of a passes 80 %, again 90 % on fail fixed in place takes 1 min by 1 false alarm 40 % escapes 20 % to late\n\
         station S2 crew 1\ntask b takes 1 min by 1 after a\n\
         test late of b passes 90 % on fail fixed in place takes 1 min by 1 escapes 30 % to list\n\
         station S3 crew 1\ntask c takes 1 min by 1 after b\n\
         gate list finds 0.8 per unit takes 0.5/1/3 min by 1 after c at most 1 go on to S4\nstation S4 crew 1\n",
    );
    let seen = replicate(&line, &settings_of(3, Horizon::Units(UNITS)), 0, &mut Unwatched).expect("it runs");
    let loads = taktwright::balance::loads(&line);
    for (place, load) in loads.iter().enumerate() {
        let said = load.mean_share_with_retests(&line) * 4.0;
        let worked = seen.crews[place].busy as f64 / 60e6 / seen.finished as f64;
        assert!((said - worked).abs() < 0.01 * worked, "{said} min by the loads, {worked} by the run");
    }
}
