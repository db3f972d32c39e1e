//! The quicker way through plain lines gives the counts of the general run, bit for bit.

use crate::follow::text;
use crate::random_lines::dice::Dice;
use crate::random_lines::write::line_for;
use std::fmt::Write as _;
use taktwright::line::Line;
use taktwright::simulate::{
    Horizon, Replication, Settings, Unattended, Unwatched, WarmUp, replicate, replicate_plainly, simulate,
};
use taktwright::units::Time;

/// Fields that differ, as text.
fn differences(quick: &Replication, general: &Replication) -> String {
    let (quick, general) = (format!("{quick:#?}"), format!("{general:#?}"));
    let pairs = quick.lines().zip(general.lines()).filter(|(a, b)| a != b);
    pairs.take(12).map(|(a, b)| format!("{a} | {b}\n")).collect()
}

fn a_time(dice: &mut Dice, long: bool) -> String {
    let (low, high) = if long { (20, 60) } else { (4, 9) };
    let mean = dice.from(low, high);
    match dice.from(0, 6) {
        0 => format!("exponential mean {mean} min"),
        1 => format!("{}/{mean}/{} min", mean / 2, mean * 2),
        2 => format!("lognormal mean {mean} sd 3 min"),
        3 => format!("gamma mean {mean} sd 3 min"),
        4 => format!("{mean} to {} min", mean + 5),
        5 => format!("about {mean} min sd 1"),
        _ => format!("{mean} min"),
    }
}

/// A line of single stations, places with several bays, holds, tests with repair and scrap.
fn plain_line(seed: u64) -> (String, Settings) {
    let mut dice = Dice::new(seed);
    let mut text = String::from("line \"Plain\"\nrelease saturated\nstart empty\n");
    let places = dice.from(1, 7);
    let only_stations = dice.chance(30);
    let (mut steps, mut tests, mut repairs) = (String::new(), String::new(), 0);
    for place in 0..places {
        let bays = if only_stations || dice.chance(60) { 1 } else { dice.from(2, 4) };
        let slots = dice.from(0, 4);
        let turn = if dice.chance(50) { "  returns in turn" } else { "" };
        let _ = writeln!(text, "station P{place}  bays {bays}  slots {slots}{turn}");
        let count = if only_stations || dice.chance(60) { 1 } else { dice.from(2, 3) };
        let mut all = Vec::new();
        for step in 0..count {
            let after = if step == 0 { String::new() } else { format!("  after s{place}x{}", step - 1) };
            if step > 0 && dice.chance(50) {
                let _ = writeln!(
                    steps,
                    "hold s{place}x{step}  at least {} min{after}  at P{place}",
                    dice.from(5, 30)
                );
            } else {
                let time = a_time(&mut dice, bays > 2);
                let _ = writeln!(steps, "task s{place}x{step}  takes {time}{after}  at P{place}");
            }
            all.push(format!("s{place}x{step}"));
        }
        if !only_stations && dice.chance(35) {
            let passes = dice.from(60, 95);
            let tries = if dice.chance(50) { "  at most 3 tries" } else { "" };
            let _ =
                write!(tests, "test t{place} of {}  at P{place}  passes {passes} %{tries}", all.join(", "));
            let time = a_time(&mut dice, false);
            let _ = match dice.from(0, 2) {
                0 => writeln!(tests, "  on fail scrapped"),
                1 => writeln!(tests, "  on fail 70 % to R takes {time}\n  on fail 30 % scrapped"),
                _ => writeln!(tests, "  on fail to R takes {time}"),
            };
            repairs += 1;
        }
    }
    if repairs > 0 {
        let _ = writeln!(text, "repair R  places {}", dice.from(1, 2));
    }
    let (horizon, warm_up) = match dice.from(0, 4) {
        0 => (Horizon::Units(60), WarmUp::None),
        1 => (Horizon::Units(60), WarmUp::Units(20)),
        2 => (Horizon::For(Time::from_minutes(900)), WarmUp::None),
        3 => (Horizon::For(Time::from_minutes(900)), WarmUp::For(Time::from_minutes(200))),
        _ => (Horizon::Units(40), WarmUp::For(Time::from_minutes(200))),
    };
    let settings = Settings {
        seed,
        first: 0,
        count: 1,
        horizon,
        warm_up,
        record_finishes: dice.chance(50),
        faster: None,
    };
    (text + &steps + &tests, settings)
}

fn general(line: &Line, settings: &Settings) -> Replication {
    replicate(line, settings, 0, &mut Unwatched).expect("a plain line runs")
}

#[test]
fn six_hundred_random_plain_lines_run_alike_both_ways() {
    let (mut read, mut quick_ones) = (0, 0);
    for seed in 0..600 {
        let (text, settings) = plain_line(seed);
        let line = match text::read(&text) {
            Ok(line) => line,
            Err(faults) => panic!("seed {seed}: {faults:#?}\n{text}"),
        };
        read += 1;
        let Some(quick) = replicate_plainly(&line, &settings, 0).expect("a plain line runs") else {
            continue;
        };
        quick_ones += 1;
        let general = general(&line, &settings);
        assert!(
            quick == general,
            "seed {seed}, {settings:?}\n{text}\nquick | general\n{}",
            differences(&quick, &general)
        );
    }
    println!("{quick_ones} of {read} lines ran the quick way");
    assert!(quick_ones * 10 >= read * 6, "only {quick_ones} of {read} lines ran the quick way");
}

#[test]
fn random_lines_of_every_kind_run_alike_both_ways() {
    for seed in 0..400 {
        let random = line_for(seed);
        let Ok(line) = text::read(&random.text) else { continue };
        let settings = Settings { first: 0, count: 1, ..random.settings.clone() };
        let Ok(general) = replicate(&line, &settings, 0, &mut Unwatched) else { continue };
        let seen = simulate(&line, &settings, &Unattended).expect("it ran a moment ago");
        assert!(seen.replications[0] == general, "seed {seed}\n{}", random.text);
    }
}

#[test]
fn the_lines_of_the_bench_run_the_quick_way() {
    for text in [include_str!("../bench/lines/serial20.line"), include_str!("../bench/lines/testbay.line")] {
        let line = text::line_of(text);
        for (horizon, warm_up) in [
            (Horizon::Units(3_000), WarmUp::Units(500)),
            (Horizon::For(Time::from_minutes(3_000)), WarmUp::For(Time::from_minutes(500))),
        ] {
            let settings = Settings {
                seed: 3,
                first: 0,
                count: 1,
                horizon,
                warm_up,
                record_finishes: true,
                faster: None,
            };
            let quick = replicate_plainly(&line, &settings, 0).expect("it runs").expect("it is plain");
            let general = general(&line, &settings);
            assert!(quick == general, "quick | general\n{}", differences(&quick, &general));
        }
    }
}

/// Twins finish at one instant, and which of them is first decides who takes the place downstream.
#[test]
fn ends_at_one_instant_are_left_to_the_general_run() {
    let text = "line \"Twins\"\nrelease saturated\nstart empty\n\
                station A  bays 2\nstation B\ntask a takes 4 min at A\ntask b takes 1 min at B\n";
    let line = text::line_of(text);
    let settings = Settings {
        seed: 1,
        first: 0,
        count: 1,
        horizon: Horizon::Units(50),
        warm_up: WarmUp::None,
        record_finishes: false,
        faster: None,
    };
    assert_eq!(replicate_plainly(&line, &settings, 0).expect("it runs"), None);
    assert_eq!(
        simulate(&line, &settings, &Unattended).expect("it runs").replications[0],
        general(&line, &settings)
    );
}

#[test]
#[ignore = "one seed"]
fn one_plain_line() {
    let seed = std::env::var("TAKTWRIGHT_LINE_SEED").ok().and_then(|s| s.parse().ok()).unwrap_or(0);
    let (text, settings) = plain_line(seed);
    let line = text::line_of(&text);
    let quick = replicate_plainly(&line, &settings, 0).expect("runs").expect("plain");
    let general = general(&line, &settings);
    println!("{text}\n{settings:?}\n{}", differences(&quick, &general));
    println!("{:#?}\n{:#?}", quick.tests, quick.places);
    println!("{}", text::trace(&line, &settings));
}
