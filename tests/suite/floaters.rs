//! Floaters: how many crews are short, against every way in which people can be absent.

use crate::follow::text::{line_of, settings_of};
use crate::harness::taktwright;
use statrs::distribution::{Beta, ContinuousCDF};
use taktwright::simulate::{Horizon, Settings, Unwatched, replicate};
use taktwright::units::Time;

const AWAY: f64 = 0.15;

/// Crews: two fitters; a plumber and a fitter, whose work asks for a plumber; two fitters. One floater who can
/// plumb. Which crews are short when bit k of `there` says whether person k is there, 6 being the floater?
fn short(there: u32) -> [bool; 3] {
    let mut crews = [[0, 1], [2, 3], [4, 5]].map(|seats| seats.map(|k: u32| there >> k & 1 == 1));
    if there >> 6 & 1 == 1 {
        let present = |crew: &[bool; 2]| crew.iter().filter(|seat| **seat).count();
        if !crews[1][0] {
            crews[1][0] = true;
        } else if let Some(worst) =
            (0..3).filter(|c| present(&crews[*c]) < 2).min_by_key(|c| (present(&crews[*c]), *c))
        {
            let seat = crews[worst].iter().position(|seat| !seat).expect("a seat is empty");
            crews[worst][seat] = true;
        }
    }
    crews.map(|crew| crew.contains(&false))
}

fn text(floaters: &str) -> String {
    format!(
        "line \"three crews\"\nshift day 06:00 to 07:00 on mon to fri\npeople fitters 5\n\
         people plumbers 1 can plumb\nabsent 15 %\n{floaters}release saturated\n\
         station S1 crew 2 fitters\nstation S2 crew 1 plumbers, 1 fitters\nstation S3 crew 2 fitters\n\
         task a takes 20 min by 2 at S1\ntask b takes 20 min by 1 plumb after a at S2\n\
         task c takes 20 min by 2 after b at S3\n"
    )
}

/// Shifts, shifts in which each crew was short, and the floater's minutes in a seat and away.
fn counted(text: &str) -> (u64, [u64; 3], i64, i64) {
    let line = line_of(text);
    let (mut shifts, mut short, mut standing_in, mut absent) = (0, [0; 3], 0, 0);
    for replication in 0..20 {
        let settings = Settings { count: 20, ..settings_of(5, Horizon::Shifts(200)) };
        let run = replicate(&line, &settings, replication, &mut Unwatched).expect("it runs");
        shifts += run.crews[0].shifts;
        for (sum, crew) in short.iter_mut().zip(&run.crews) {
            *sum += crew.short_shifts;
        }
        standing_in += run.floaters.iter().map(|f| f.standing_in).sum::<i64>();
        absent += run.floaters.iter().map(|f| f.absent).sum::<i64>();
    }
    (shifts, short, standing_in / Time::HOUR.0, absent / Time::HOUR.0)
}

/// Exact chances over all 2^7 ways to be there or not, each judged against the exact interval of Clopper &
/// Pearson (1934; the beta quantiles of the statrs library) at 99.9 % of 4,000 shifts; so, too, how often the
/// floater stands in (whenever anybody else is absent) and is away.
#[test]
fn so_many_crews_are_short_as_the_enumeration_says() {
    let mut chance = [0.0; 3];
    let mut stands_in = 0.0;
    for there in 0..1u32 << 7 {
        let here = there.count_ones() as i32;
        let weight = (1.0 - AWAY).powi(here) * AWAY.powi(7 - here);
        for (sum, short) in chance.iter_mut().zip(short(there)) {
            *sum += if short { weight } else { 0.0 };
        }
        stands_in += if there >> 6 & 1 == 1 && there & 63 != 63 { weight } else { 0.0 };
    }
    let (shifts, short, standing_in, absent) = counted(&text("floaters 1 can plumb\n"));
    assert_eq!(shifts, 4_000);
    let judge = |what: &str, hits: f64, exact: f64| {
        let (all, tail) = (shifts as f64, 0.0005);
        let low = Beta::new(hits, all - hits + 1.0).expect("legal").inverse_cdf(tail);
        let high = Beta::new(hits + 1.0, all - hits).expect("legal").inverse_cdf(1.0 - tail);
        assert!(low <= exact && exact <= high, "{what}: exact {exact}, found {low} to {high}");
    };
    for (crew, (hits, exact)) in short.iter().zip(chance).enumerate() {
        judge(&format!("crew {crew}"), *hits as f64, exact);
    }
    judge("standing in", standing_in as f64, stands_in);
    judge("away", absent as f64, AWAY);
}

/// The same people are away with floaters and without: no crew is short more often with one.
#[test]
fn a_floater_leaves_every_absence_as_it_is() {
    let (_, without, ..) = counted(&text(""));
    let (_, with, ..) = counted(&text("floaters 1 can plumb\n"));
    let (_, unskilled, ..) = counted(&text("floaters 1\n"));
    let (_, elsewhere, ..) = counted(&text("floaters 9 can plumb, covering S3\n"));
    assert!((0..3).all(|crew| with[crew] < without[crew]), "{with:?} {without:?}");
    assert_eq!(elsewhere[..2], without[..2], "nobody stands in where they do not cover");
    assert_eq!(elsewhere[2], 0, "nine are enough for two seats");
    assert!(unskilled[1] > with[1], "who can't plumb sits in for no plumber: {unskilled:?} {with:?}");
}

#[test]
fn the_report_shows_where_their_time_goes() {
    let shown = taktwright("simulate crews.line --shifts 100 --replications 20 --format json --reproducible")
        .file("crews.line", text("floaters 1 \"Helper\" can plumb\n"))
        .simulating()
        .stdout_holds(&["\"floaters\"", "\"standing_in\""])
        .run();
    let report: serde_json::Value = serde_json::from_str(&shown).expect("a report");
    let row = &report["floaters"][0];
    assert_eq!(row["label"], "Helper");
    let share = |name: &str| row["shares"][name].as_f64().expect("a share");
    assert!((share("standing_in") + share("spare") + share("absent") - 1.0).abs() < 1e-9, "{row}");
}

/// A task that one absence would stop is no doubt where somebody floats who may sit in.
#[test]
fn a_floater_who_may_sit_in_takes_the_doubt_away() {
    let line = |floaters: &str| {
        format!(
            "shift day 06:00 to 14:00\npeople plumbers 1 can plumb\nabsent 5 %\n{floaters}\
             station S1 crew 1 plumbers\ntask t takes 5 min by 1 plumb at S1\n"
        )
    };
    let doubts = |floaters: &str| {
        let case = taktwright("check a.line --format json").file("a.line", line(floaters));
        case.stdout_holds(&["\"diagnostics\""]).run().matches("T803").count()
    };
    assert_eq!(doubts(""), 1);
    assert_eq!(doubts("floaters 1\n"), 1, "who can't plumb does not help");
    assert_eq!(doubts("floaters 1 can plumb\n"), 0);
}
