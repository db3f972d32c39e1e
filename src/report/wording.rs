//! Figures and verdicts as words: bands, shares, and the sentence that can be said aloud.

use super::record::{Estimate, Report, UnitsPerShift};
use super::rows::{ChosenBy, PromiseRow, Verdict};
use crate::units::{count_of, decimals, plural};

/// Decimals at which the band shows one digit that matters; never more than four digits or so in all.
fn places_for(e: &Estimate) -> usize {
    let most = match e.mean.abs() {
        m if m >= 100.0 => 1,
        m if m >= 10.0 => 2,
        _ => 3,
    };
    let least = i32::from(e.mean.abs() < 100.0);
    match half_width(e) {
        Some(half) if half > 0.0 => {
            let places = -(libm::floor(libm::log10(half)) as i32);
            usize::try_from(places.clamp(least, most)).unwrap_or(0)
        }
        Some(_) | None => usize::try_from(most.min(2)).unwrap_or(0),
    }
}

fn half_width(e: &Estimate) -> Option<f64> {
    let (low, high) = e.low.zip(e.high)?;
    Some((high - e.mean).max(e.mean - low))
}

/// What decides which lane a unit takes.
pub fn chosen_by(chosen: ChosenBy) -> &'static str {
    match chosen {
        ChosenBy::Model => "model",
        ChosenBy::Share => "share",
        ChosenBy::ShortestQueue => "the shortest queue",
    }
}

/// A name of the user's in a sentence.
pub fn quoted(name: &str) -> String {
    format!("\u{201c}{name}\u{201d}")
}

/// `-0.0` as `0.0`: what rounds to nothing has no sign.
fn signless_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_string(),
        Some(_) | None => text,
    }
}

/// `17.6 (17.4 to 17.8)`; `17.6` alone without a band.
pub fn banded(e: &Estimate) -> String {
    let places = places_for(e);
    let number = |x: f64| signless_zero(format!("{x:.places$}"));
    match (e.low, e.high) {
        (Some(low), Some(high)) if low == high => format!("{} (no spread)", decimals(e.mean, places)),
        (Some(low), Some(high)) => format!("{} ({} to {})", number(e.mean), number(low), number(high)),
        (Some(low), None) => format!("{} ({} or more)", number(e.mean), number(low)),
        (None, Some(high)) => format!("{} ({} or less)", number(e.mean), number(high)),
        (None, None) => decimals(e.mean, places),
    }
}

/// A share as `44 % (41 to 47)`.
pub fn banded_percent(e: &Estimate) -> String {
    let (value, band) = split_percent(e);
    match band {
        Some(band) => format!("{value} % ({band})"),
        None => format!("{value} %"),
    }
}

fn split_percent(e: &Estimate) -> (String, Option<String>) {
    let hundred = |x: f64| 100.0 * x;
    let e = Estimate { mean: hundred(e.mean), low: e.low.map(hundred), high: e.high.map(hundred), ..*e };
    let half = e.low.zip(e.high).map_or(0.0, |(low, high)| (high - low) / 2.0);
    // Whole percents, unless the band is narrower than one or the share would look like 0 or 1.
    let near_an_end = e.mean > 0.0 && e.mean < 1.0 || e.mean > 99.0 && e.mean < 100.0;
    let places = usize::from(half > 0.0 && half < 0.5 || near_an_end);
    let number = |x: f64| format!("{x:.places$}");
    let band = e.low.zip(e.high).map(|(low, high)| format!("{} to {}", number(low), number(high)));
    (number(e.mean), band)
}

/// `17.6 ± 0.2` for table cells; the figure alone without a band.
pub fn plus_minus(e: &Estimate) -> String {
    let places = places_for(e);
    match half_width(e) {
        Some(0.0) => format!("{} ± 0", decimals(e.mean, places)),
        Some(half) => format!("{:.places$} ± {half:.places$}", e.mean),
        None => decimals(e.mean, places),
    }
}

/// `44 ± 3` in percent, without the sign; `0 to 17` where a share was never (or always) seen.
pub fn percent_plus_minus(e: &Estimate) -> String {
    let (value, _) = split_percent(e);
    match (e.low, e.high) {
        // Never seen, or always: the bound on one side.
        (Some(low), Some(high)) if low < high && (e.mean <= 0.0 || e.mean >= 1.0) => {
            format!("{:.0} to {:.0}", 100.0 * low, 100.0 * high)
        }
        (Some(low), Some(high)) => {
            let half = 100.0 * (high - e.mean).max(e.mean - low);
            let places = value.split_once('.').map_or(0, |(_, after)| after.len());
            format!("{value} ± {half:.places$}")
        }
        _ => value,
    }
}

pub fn percent_of(share: f64) -> String {
    crate::units::percent(share)
}

/// Large counts with a comma between thousands: `43,210`.
pub fn thousands(n: u64) -> String {
    let digits = n.to_string();
    let mut text = String::new();
    for (k, digit) in digits.chars().enumerate() {
        if k > 0 && (digits.len() - k).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// Minutes as a person says them: `45 min`, `7 h 25 min`, `5 days`.
pub fn length(minutes: f64) -> String {
    crate::units::Time::from_micros_f64(minutes * 60e6)
        .map_or_else(|| format!("{minutes} min"), |time| time.to_string())
}

/// `Bath pod hall, layout today`
pub fn title(report: &Report) -> String {
    format!("{}, layout {}", report.line, report.layout)
}

/// How it was run: `20 replications of 20 shifts each; bands hold with 95 %; seed 1`
pub fn run_line(report: &Report) -> String {
    let n = count_of(report.replications as usize, "replication");
    let each = if report.replications == 1 { "" } else { " each" };
    let span = match report.shifts {
        Some(shifts) if shifts > 0 && report.replications > 0 => {
            let per_run = shifts as f64 / f64::from(report.replications);
            let noun = if per_run == 1.0 { "shift" } else { "shifts" };
            format!("{} {noun}{each}", decimals(per_run, 1))
        }
        _ => format!("{}{each}", length(report.horizon_min)),
    };
    let warm_up = match report.warm_up_min > 0.0 {
        true => format!(" after {} of warm-up", length(report.warm_up_min)),
        false => String::new(),
    };
    let stopped = if report.interrupted { ", stopped early" } else { "" };
    let confidence = decimals(100.0 * report.confidence, 2);
    format!("{n} of {span}{warm_up}{stopped}; bands hold with {confidence} %; seed {}", report.seed)
}

/// The sentence a manager can say aloud.
pub fn sentence(report: &Report) -> String {
    let measures = &report.line_measures;
    let run = runs(report);
    if report.replications == 0 {
        return "Nothing was simulated: no replication is finished.".to_string();
    }
    if measures.finished == 0 {
        let length = length(report.horizon_min);
        return format!("No good unit left this line in {run} of {length}{}.", each(report.replications));
    }
    let per = match (&measures.units_per_shift, &measures.units_per_hour) {
        (Some(shifts), _) => rate(report, &shifts.estimate(), "a shift"),
        (None, Some(hourly)) => rate(report, hourly, "an hour"),
        (None, None) => {
            let units = usize::try_from(measures.finished).unwrap_or(usize::MAX);
            format!("finished {} in {run}, in no net time at all", count_of(units, "good unit"))
        }
    };
    match measures.units_per_shift.as_ref().and_then(chance_clause) {
        Some(clause) => format!("This line {per}; {clause}."),
        None => format!("This line {per}."),
    }
}

fn each(replications: u32) -> &'static str {
    if replications == 1 { "" } else { " each" }
}

fn runs(report: &Report) -> String {
    count_of(report.replications as usize, "replication")
}

/// `makes 17.6 good units a shift (17.4 to 17.8)`: the band after the words.
fn rate(report: &Report, e: &Estimate, per: &str) -> String {
    let places = places_for(e);
    let noun = |value: &str| if value == "1" { "good unit" } else { "good units" };
    match (e.low, e.high) {
        (Some(low), Some(high)) if low < high => {
            let value = format!("{:.places$}", e.mean);
            format!("makes {value} {} {per} ({low:.places$} to {high:.places$})", noun(&value))
        }
        (Some(_), Some(_)) => {
            let value = decimals(e.mean, places);
            format!("makes {value} {} {per}, always", noun(&value))
        }
        _ => {
            let value = decimals(e.mean, places);
            format!("made {value} {} {per} in {}, too few to give a band", noun(&value), runs(report))
        }
    }
}

/// `it makes the count of 18 on 9 shifts of 20`
fn chance_clause(shifts: &UnitsPerShift) -> Option<String> {
    let (count, chance) = shifts.count.zip(shifts.chance_of_count.as_ref())?;
    let count = decimals(count, 2);
    let counted: u64 = shifts.histogram.iter().map(|s| s.shifts).sum();
    let twentieths = (20.0 * chance.mean).round();
    Some(match chance.mean {
        _ if counted == 1 && chance.mean > 0.0 => {
            format!("it made the count of {count} on the one shift counted")
        }
        _ if counted == 1 => format!("it missed the count of {count} on the one shift counted"),
        c if c <= 0.0 => format!("it never made the count of {count} in {} shifts", thousands(counted)),
        c if c >= 1.0 => {
            format!("it made the count of {count} on every one of {} shifts", thousands(counted))
        }
        c if counted < 20 => {
            let made = (c * counted as f64).round();
            format!("it made the count of {count} on {made} of the {counted} shifts counted")
        }
        _ if twentieths < 1.0 => format!("it makes the count of {count} on fewer than 1 shift of 20"),
        _ if twentieths > 19.0 => format!("it makes the count of {count} on more than 19 shifts of 20"),
        _ if twentieths == 1.0 => format!("it makes the count of {count} on 1 shift of 20"),
        _ => format!("it makes the count of {count} on {twentieths} shifts of 20"),
    })
}

/// The figure behind a verdict, and what would decide it: `62 % (56 to 69); about 260 more replications
/// would tell`. The promise's own words give unit and limit.
pub fn promise_detail(promise: &PromiseRow) -> String {
    let shown = match &promise.estimate {
        Some(e) if promise.unit.starts_with("share") => banded_percent(e),
        Some(e) => banded(e),
        None if promise.verdict == Verdict::Undecided => "nothing was counted".to_string(),
        None => String::new(),
    };
    match (promise.verdict, promise.more_replications) {
        (Verdict::Undecided, Some(more)) => {
            let noun = plural(usize::try_from(more).unwrap_or(usize::MAX), "replication");
            format!("{shown}; about {} more {noun} would tell", thousands(more))
        }
        (Verdict::Undecided, None) if promise.estimate.is_some() => {
            format!("{shown}; too near the limit for more replications to tell")
        }
        (Verdict::Undecided | Verdict::Kept | Verdict::Broken, _) => shown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn e(mean: f64, half: f64) -> Estimate {
        Estimate { mean, low: Some(mean - half), high: Some(mean + half), confidence: 0.95, n: 20 }
    }

    #[test]
    fn figures_show_the_digits_that_their_bands_leave_standing() {
        assert_eq!(banded(&e(17.613, 0.21)), "17.6 (17.4 to 17.8)");
        assert_eq!(banded(&e(17.613, 0.034)), "17.61 (17.58 to 17.65)");
        assert_eq!(banded(&e(1234.5, 60.0)), "1234 (1174 to 1294)");
        assert_eq!(banded(&e(401.9648, 0.002)), "402.0 (402.0 to 402.0)");
        assert_eq!(
            (banded(&e(17.0, 0.0)), plus_minus(&e(17.0, 0.0))),
            ("17 (no spread)".into(), "17 ± 0".into())
        );
        assert_eq!(banded(&Estimate { high: None, ..e(17.6, 0.2) }), "17.60 (17.40 or more)");
        let alone = Estimate { low: None, high: None, ..e(17.5, 0.0) };
        assert_eq!((banded(&alone), plus_minus(&alone)), ("17.5".to_string(), "17.5".to_string()));
        assert_eq!(plus_minus(&e(2.25, 0.3)), "2.2 ± 0.3");
    }

    #[test]
    fn shares_read_as_percents_and_never_round_to_certainty() {
        assert_eq!(banded_percent(&e(0.44, 0.03)), "44 % (41 to 47)");
        assert_eq!(banded_percent(&e(0.996, 0.002)), "99.6 % (99.4 to 99.8)");
        assert_eq!(percent_plus_minus(&e(0.44, 0.03)), "44 ± 3");
        assert_eq!(percent_plus_minus(&e(0.004, 0.001)), "0.4 ± 0.1");
        assert_eq!(percent_plus_minus(&Estimate { mean: 0.0, low: Some(0.0), ..e(0.0, 0.168) }), "0 to 17");
    }

    #[test]
    fn thousands_are_parted() {
        assert_eq!(["0", "999", "1,000", "1,234,567"], [0, 999, 1000, 1_234_567].map(thousands));
    }
}
