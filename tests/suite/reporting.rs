//! Summary and report of a small plant whose figures were worked out by hand.

mod balances;
mod page;
mod plant;
mod replaying;
mod reread;
mod schemas;
mod studies;
mod workbook;

use taktwright::line::{Line, PlaceId, PromiseKind};
use taktwright::report::{
    Caution, CheckPage, DiagnosticRow, Dress, Extras, FIRST_SCREEN, Format, LoadRow, PageExtras, Report,
    TimeRow, Warning, build, line_page, render, render_check, render_text, schema, sentence,
};
use taktwright::simulate::{BayState, Observations};
use taktwright::stats::{Banded, Beside, Gain, NoClosedForm, Summary, Verdict, gained, judge, summarise};
use taktwright::units::Time;

/// t(0.975, 19), any table.
const T19: f64 = 2.093_024;

fn summary(line: &Line, observed: &Observations) -> Summary {
    summarise(line, observed, &Beside::default())
}

fn report_of(line: &Line, observed: &Observations) -> Report {
    build(line, &summary(line, observed), &Extras::default())
}

fn full_report() -> Report {
    let line = plant::line();
    let warnings =
        vec![Warning { code: Some("W107".to_string()), text: "a02 may end after the break".into() }];
    let extras = Extras { loads: loads(), warnings, ..Extras::default() };
    build(&line, &summary(&line, &plant::observations(20)), &extras)
}

fn loads() -> Vec<LoadRow> {
    let row = |place, window_min, shower: f64, tub: f64| LoadRow {
        mean_with_retests: 1.1 * (0.7 * shower + 0.3 * tub),
        place: PlaceId::from_index(place),
        window_min,
        by_model: vec![Some(shower), Some(tub)],
        mean: 0.7 * shower + 0.3 * tub,
    };
    vec![
        row(plant::A01, 22.0, 0.96, 0.96),
        row(plant::A02, 22.0, 0.95, 1.16),
        row(plant::A11, 23.0, 0.78, 0.78),
    ]
}

#[track_caller]
fn close(value: f64, expected: f64) {
    assert!((value - expected).abs() <= 1e-6 * expected.abs().max(1.0), "{value} for {expected}");
}

#[track_caller]
fn banded(estimate: Option<Banded>, value: f64, half: f64) {
    let e = estimate.expect("a figure");
    close(e.value, value);
    close(e.half_width().expect("a band"), half);
}

/// Standard error x t of twenty values, half of them `d` above and half `d` below their mean.
fn half_of(d: f64) -> f64 {
    T19 * d / 19.0_f64.sqrt()
}

#[test]
fn the_count_has_a_band_of_its_mean_and_a_spread_of_its_shifts() {
    let s = summary(&plant::line(), &plant::observations(20));
    let shifts = s.count.per_shift.expect("a calendar");
    // Replications of 18 and 17.25 in turn.
    banded(Some(shifts.mean), 17.625, half_of(0.375));
    // 16 x 10, 17 x 20, 18 x 40, 19 x 10: squares about 17.625 are 26.40625 + 7.8125 + 5.625 + 18.90625 over 79.
    close(shifts.sd.unwrap(), (58.75_f64 / 79.0).sqrt());
    assert_eq!(shifts.shifts, 80);
    let seen: Vec<(u32, u64)> = shifts.histogram.iter().map(|s| (s.units, s.shifts)).collect();
    assert_eq!(seen, [(16, 10), (17, 20), (18, 40), (19, 10)]);
    close(shifts.p50.unwrap().value, 18.0);
    // 18 or more on 3 of 4 and on 2 of 4 shifts, each replication a group of its own.
    let asked = shifts.asked.unwrap();
    assert_eq!(asked.target.value(), 18.0);
    banded(asked.chance, 0.625, half_of(0.125));
    // 70.5 units in 4 x 445 min.
    banded(s.count.per_hour, 70.5 / (4.0 * 445.0 / 60.0), half_of(1.5 / (4.0 * 445.0 / 60.0)));
    assert_eq!((s.count.finished, s.count.scrapped), (1410, 10));
}

#[test]
fn a_count_never_missed_is_bounded_by_the_replications_and_never_certain() {
    let mut observed = plant::observations(20);
    observed.replications.iter_mut().for_each(|r| r.per_shift = vec![18, 19]);
    let chance = summary(&plant::line(), &observed).count.per_shift.unwrap().asked.unwrap().chance.unwrap();
    // Clopper & Pearson at 20 hits of 20: low = 0.025^(1/20).
    assert_eq!(chance.value, 1.0);
    close(chance.low.unwrap(), 0.831_566);
    assert_eq!(chance.high, Some(1.0));
}

#[test]
fn the_measures_of_the_whole_line_come_out_as_on_paper() {
    let s = summary(&plant::line(), &plant::observations(20));
    // 72 finished: 20, 24, 28 in turn, mean 24; 69 finished likewise.
    banded(s.flow.between_units.mean, 24.0, 0.0);
    close(s.flow.between_units.cv.unwrap().value, (32.0_f64 / 3.0 * 1410.0 / 1409.0).sqrt() / 24.0);
    close(s.flow.work_in_process.unwrap().value, 6.0);
    // (65 + 62)/2 of 72 and 69: from all data 1270 of 1410.
    close(s.flow.first_pass.unwrap().value, 1270.0 / 1410.0);
    close(s.flow.rolled.unwrap().value, 1290.0 / 1440.0);
    // 3738 + 1780 + 2492 person-minutes on 72 or 69 units.
    close(s.flow.labour.unwrap().value, (8010.0 / 72.0 + 8010.0 / 69.0) / 2.0);
    // 3 + 2 x 1 + 2 people for 1780 net minutes.
    close(s.flow.attended.unwrap().value, (12460.0 / 72.0 + 12460.0 / 69.0) / 2.0);
    assert!(s.books.balance());
    assert_eq!(s.books.little_residual, 0);
}

#[test]
fn stations_show_their_states_in_shares_that_fill_their_time() {
    let s = summary(&plant::line(), &plant::observations(20));
    let a02 = &s.places[plant::A02];
    close(a02.shares.of(BayState::Working), 0.81);
    close(a02.shares.of(BayState::ShortOfPeople), 0.09);
    for place in &s.places {
        assert_eq!(place.shares.millionths.iter().sum::<u32>(), 1_000_000);
    }
    // A01 works 0.815 and 0.805 of the time in turn, and moves 0.045.
    let a01 = &s.places[plant::A01];
    close(a01.shares.half_widths.unwrap()[BayState::Working as usize], half_of(0.005));
    banded(a01.in_use, 0.855, half_of(0.005));
    // Racks and slots: levels by the share of clock time.
    let rack = s.places[plant::H1].bays.as_ref().unwrap();
    banded(rack.mean, 2.06, 0.0);
    assert_eq!(rack.p95.unwrap().value, 4.0);
    close(rack.share_full.unwrap().value, 0.06);
    let slots = s.places[plant::A10].slots.as_ref().unwrap();
    banded(slots.mean, 0.104, 0.0);
    assert_eq!(slots.p95.unwrap().value, 1.0);
    assert!(s.places[plant::A11].slots.is_none(), "no slots, no figures");
    close(s.places[plant::H1].holding_outside.unwrap().value, 300.0);
}

#[test]
fn pushes_name_who_was_last_and_what_it_cost() {
    let s = summary(&plant::line(), &plant::observations(20));
    assert_eq!(s.pushes.len(), 1, "the unpaced stretch is not pushed");
    banded(s.pushes[0].on_time, 0.625, 0.0);
    close(s.pushes[0].delay.per_push.unwrap().value, 1.7);
    close(s.pushes[0].delay.per_shift.unwrap().value, 34.0);
    let a02 = &s.places[plant::A02];
    // Last at 60 and at 40 of 80 pushes in turn.
    banded(a02.last, 0.625, half_of(0.125));
    close(a02.delay.as_ref().unwrap().per_push.unwrap().value, 1.2);
    close(a02.delay.as_ref().unwrap().per_shift.unwrap().value, 24.0);
    assert!(s.places[plant::A10].delay.is_none());
    assert!(s.places[plant::A10].last.is_none());
}

#[test]
fn a_test_is_a_queue_with_its_formula_beside_it() {
    let line = plant::line();
    let t = &summary(&line, &plant::observations(20)).tests[0];
    close(t.arrivals_per_shift.unwrap().value, 20.0);
    close(t.first_pass.unwrap().value, 64.5 / 72.0);
    close(t.attempts.unwrap().value, 80.0 / 72.0);
    // 20 of 80 wait 5 or 7 minutes.
    banded(t.wait.mean, 1.5, half_of(0.25));
    assert_eq!(t.wait.max, Some(7.0));
    close(t.chance_of_wait.unwrap().value, 0.25);
    // 25 min blocked of 100 or 140.
    close(t.blocked_upstream.unwrap().value, (25.0 / 100.0 + 25.0 / 140.0) / 2.0);
    // 100 unit-minutes and 1600 bay-minutes in four days.
    close(t.queue.unwrap().value, 100.0 / 5760.0);
    close(t.busy_bays.unwrap().value, 1600.0 / 5760.0);
    // Allen-Cunneen by hand: load 80 x 20/5760 = 0.277778 on 2 bays; M/M/2 waits with
    // 2 u^2/(1 + u), u = 0.138889: 0.0338753; ca2 = 400/3600, ce2 = 25/400 (and 1600/1599 each).
    let form = t.closed_form.as_ref().expect("steady enough");
    close(form.load, 0.138_889);
    let spread = (400.0 / 3600.0 + 25.0 / 400.0) / 2.0 * 1600.0 / 1599.0;
    close(form.wait, spread * 0.033_875_34 / (2.0 - 0.277_777_8) * 20.0);
}

#[test]
fn no_formula_stands_where_its_assumptions_do_not() {
    let why = |change: &dyn Fn(&mut Line, &mut Observations)| {
        let (mut line, mut observed) = (plant::line(), plant::observations(20));
        change(&mut line, &mut observed);
        summary(&line, &observed).tests[0].closed_form.clone().expect_err("no formula")
    };
    let pushed = why(&|line, _| line.tests[0].place = PlaceId::from_index(plant::A02));
    assert_eq!(pushed, NoClosedForm::Pushed);
    let each = |observed: &mut Observations, change: &dyn Fn(&mut taktwright::simulate::TestCounts)| {
        observed.replications.iter_mut().for_each(|r| change(&mut r.tests[0]));
    };
    let breaks = why(&|_, observed| each(observed, &|t| t.visits_over_breaks = 9));
    assert_eq!(breaks, NoClosedForm::Breaks(9.0 / 80.0));
    let full = why(&|_, observed| each(observed, &|t| t.full = Time::from_minutes(72)));
    assert_eq!(full, NoClosedForm::PlacesFull(0.0125));
    let load =
        why(&|_, observed| observed.replications.iter_mut().for_each(|r| r.clock = Time::from_minutes(800)));
    assert_eq!(load, NoClosedForm::Overloaded(1.0));
    let none = why(&|_, observed| each(observed, &|t| *t = taktwright::simulate::TestCounts::default()));
    assert_eq!(none, NoClosedForm::TooFewVisits(0));
}

#[test]
fn the_audit_finds_a_hold_under_its_minimum_by_a_microsecond() {
    let line = plant::line();
    let mut observed = plant::observations(20);
    observed.replications[13].holds[1].shortest = Time::from_minutes(15) - Time::MICROSECOND;
    let s = summary(&line, &observed);
    assert!(s.holds[0].kept());
    assert!(!s.holds[1].kept());
    assert_eq!(judge(&line, &observed, &PromiseKind::NoHoldShort).verdict, Verdict::Broken);
    let report = build(&line, &s, &Extras::default());
    let text = render(&report, Format::Text);
    assert!(text.contains("a10 UNDER ITS MINIMUM"), "said on the first screen");
    assert!(text.contains("THE AUDIT FOUND A HOLD UNDER ITS MINIMUM"));
    assert!(!text.contains("exceeds the stated"), "no caution claims the contrary");
}

#[test]
fn promises_are_kept_broken_or_undecided_and_never_guessed() {
    let (line, observed) = (plant::line(), plant::observations(20));
    let s = summary(&line, &observed);
    let verdicts: Vec<Verdict> = s.promises.iter().map(|j| j.verdict).collect();
    // 17.625 +- 0.180: over 17; over 17.5 too little: 20 x ((0.180065/0.125)^2 - 1) = 21.5.
    let more = Some(22);
    let broken = Verdict::Broken;
    assert_eq!(verdicts, [Verdict::Kept, Verdict::Undecided { more }, broken, Verdict::Kept, Verdict::Kept]);
    let few = plant::observations(7);
    let count = &line.promises[2].kind;
    assert_eq!(judge(&line, &few, count).verdict, Verdict::Undecided { more: Some(13) });
    let (bare, unshifted) = plant::without_calendar();
    assert_eq!(judge(&bare, &unshifted, count).verdict, Verdict::Undecided { more: None });
}

#[test]
fn the_bottleneck_is_named_and_the_dissent_is_said() {
    let report = report_of(&plant::line(), &plant::observations(20));
    assert_eq!(report.bottleneck.station.as_deref(), Some("A02"));
    assert_eq!(
        report.bottleneck.sentence,
        "A02 (Walls up) holds the line back: delay caused, pushes last and the highest use point to it. \
         The methods disagree: the active period points to A11."
    );
}

#[test]
fn units_gained_decide_the_bottleneck_where_they_were_made() {
    let line = plant::line();
    let as_is = plant::observations(20);
    let mut faster = as_is.clone();
    // One unit more in every replication of four shifts, two in odd ones: 0.25 and 0.5 a shift.
    faster.replications.iter_mut().for_each(|r| r.finished += 1 + u64::from(r.index % 2));
    let made = |run: &Observations| run.made().collect::<Vec<_>>();
    let units = gained(&line, &made(&as_is), &made(&faster)).expect("pairs");
    banded(Some(units), 0.375, half_of(0.125));
    let nothing = gained(&line, &made(&as_is), &made(&as_is)).expect("pairs");
    let gains = [(plant::A11, units), (plant::A02, nothing)];
    let gains = gains.map(|(place, units)| Gain { place: PlaceId::from_index(place), units }).to_vec();
    let s = summarise(&line, &as_is, &Beside { gains });
    let report = build(&line, &s, &Extras::default());
    assert_eq!(report.bottleneck.station.as_deref(), Some("A11"));
    assert!(report.bottleneck.sentence.contains("units gained and the active period point to it"));
    assert!(report.bottleneck.sentence.contains("The methods disagree: delay caused points to A02"));
}

#[test]
fn people_and_equipment_are_at_work_or_waiting() {
    let s = summary(&plant::line(), &plant::observations(20));
    let shares: Vec<(u32, f64, f64, f64)> = s
        .people
        .iter()
        .map(|p| (p.count, p.working.unwrap().value, p.waiting.unwrap().value, p.off_shift.unwrap().value))
        .collect();
    let expected = [(3, 0.7, 0.3, 0.0), (2, 0.5, 0.5, 0.0), (2, 0.7, 0.25, 0.05), (10, 0.45, 0.54, 0.01)];
    for (seen, hand) in shares.iter().zip(expected) {
        assert_eq!(seen.0, hand.0);
        close(seen.1, hand.1);
        close(seen.2, hand.2);
        close(seen.3, hand.3);
    }
    close(s.equipment[0].in_use.unwrap().value, 0.25);
}

#[test]
fn without_a_calendar_what_is_per_shift_is_absent_and_not_zero() {
    let (line, observed) = plant::without_calendar();
    let report = report_of(&line, &observed);
    let read: reread::Report = reread::read(&render(&report, Format::Json));
    assert_eq!(read.shifts, None);
    assert_eq!(read.line_measures.units_per_shift, None);
    assert!(read.stations.iter().all(|s| s.delay_caused_min_per_shift.is_none()));
    assert!(read.stations[plant::A02].delay_caused_min.is_some());
    assert_eq!(read.tests[0].arrivals_per_shift, None);
}

#[test]
fn books_that_do_not_balance_are_said_first() {
    let mut observed = plant::observations(20);
    observed.replications[3].unit_time -= 2;
    observed.replications[4].places[plant::A11].states[0] += 1;
    let report = report_of(&plant::line(), &observed);
    assert_eq!(report.line_measures.little_residual, 2);
    assert!(report.warnings[0].text.starts_with("The books do not balance"));
    assert!(report.warnings[0].text.contains("the states of A11"));
}

#[test]
#[should_panic(expected = "observed another line: table of places")]
fn observations_of_another_line_are_a_fault_of_ours() {
    let mut observed = plant::observations(20);
    observed.replications[0].places.pop();
    let _ = summary(&plant::line(), &observed);
}

#[test]
fn the_json_report_reads_back_field_by_field() {
    let report = full_report();
    let json = render(&report, Format::Json);
    let read: reread::Report = reread::read(&json);
    assert_eq!(read.schema, "taktwright.report/1");
    assert_eq!((read.seed, read.replications, read.events), (7, 20, 100_000));
    assert_eq!((read.horizon_min, read.warm_up_min, read.net_min), (5760.0, 1440.0, 1780.0));
    let shifts = read.line_measures.units_per_shift.as_ref().unwrap();
    assert_eq!((shifts.mean, shifts.low, shifts.high), (17.625, Some(17.444_935), Some(17.805_065)));
    assert_eq!((shifts.count, shifts.count_from.as_deref()), (Some(18.0), Some("demand")));
    for station in &read.stations {
        assert_eq!(station.shares.sum_in_millionths(), 1_000_000);
    }
    assert_eq!(read.stations[plant::A02].load, Some(1.013));
    assert_eq!(read.stations[plant::A10].load, None);
    assert_eq!(read.promises[1].more_replications, Some(22));
    assert_eq!(read.warnings[0].code.as_deref(), Some("W107"));
    let topics: Vec<&str> = read.cautions.iter().map(|c| c.topic.as_str()).collect();
    assert!(topics.starts_with(&["planning inputs", "minimum holds"]), "{topics:?}");
    assert!(!topics.contains(&"refrigerant and fuel gas"));
}

#[test]
fn the_fields_stand_in_their_fixed_order_and_the_clock_is_left_out_on_request() {
    let line = plant::line();
    let s = summary(&line, &plant::observations(20));
    let json =
        render(&build(&line, &s, &Extras { elapsed_s: Some(1.25), ..Extras::default() }), Format::Json);
    let fields = [
        "schema",
        "version",
        "line",
        "layout",
        "seed",
        "replications",
        "horizon_min",
        "warm_up_min",
        "events",
        "elapsed_s",
        "line_measures",
        "stations",
        "tests",
        "buffers",
        "racks",
        "people",
        "equipment",
        "holds",
        "promises",
        "warnings",
        "cautions",
    ];
    let places: Vec<usize> = fields.iter().map(|f| json.find(&format!("\n  \"{f}\":")).expect(f)).collect();
    assert!(places.is_sorted(), "{places:?}");
    assert!(!render(&full_report(), Format::Json).contains("elapsed_s"));
}

#[test]
fn the_published_schema_is_the_one_of_the_code() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/report.schema.json");
    #[expect(clippy::disallowed_methods, reason = "a test reads and mends the published page")]
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(file, schema()).expect("docs/ can be written");
    }
    #[expect(clippy::disallowed_methods, reason = "a test reads and mends the published page")]
    let published = std::fs::read_to_string(file).unwrap_or_default();
    assert!(published == schema(), "docs/report.schema.json is stale; TAKTWRIGHT_BLESS=1 rewrites it");
}

#[test]
fn the_text_report_reads_as_agreed() {
    insta::assert_snapshot!(render(&full_report(), Format::Text));
}

#[test]
fn the_first_screen_fits_whatever_the_line() {
    let mut line = plant::line();
    let many: Vec<_> = (0..12).flat_map(|_| line.promises.clone()).collect();
    line.promises = many;
    let warnings = (0..9).map(|k| Warning { code: None, text: format!("doubt {k}") }).collect();
    let extras = Extras { loads: loads(), warnings, ..Extras::default() };
    let crowded = build(&line, &summary(&line, &plant::observations(20)), &extras);
    for report in [full_report(), crowded, report_of(&plant::line(), &plant::observations(1))] {
        let text = render(&report, Format::Text);
        let first: Vec<&str> = text.split("\n\nThe line\n").next().unwrap().lines().collect();
        assert!(first.len() <= FIRST_SCREEN, "{} lines:\n{}", first.len(), first.join("\n"));
        for line in text.lines() {
            assert!(line.chars().count() <= 110, "{} columns: {line}", line.chars().count());
            assert_eq!(line, line.trim_end(), "no spaces at the end");
        }
    }
}

#[test]
fn a_dressed_page_says_the_same_as_a_plain_one() {
    let report = full_report();
    let dressed = render_text(&report, &Dress::COLOURED);
    assert!(dressed.contains("\u{1b}["));
    let mut plain = String::new();
    let mut escaped = false;
    for c in dressed.chars() {
        match c {
            '\u{1b}' => escaped = true,
            'm' if escaped => escaped = false,
            c if !escaped => plain.push(c),
            _ => {}
        }
    }
    assert_eq!(plain, render(&report, Format::Text));
}

#[test]
fn the_sentence_is_english_in_every_case() {
    let line = plant::line();
    let said = |line: &Line, observed: &Observations| sentence(&report_of(line, observed));
    let with_shifts = |n: u32, shifts: &[u32]| {
        let mut observed = plant::observations(n);
        for r in &mut observed.replications {
            r.per_shift = shifts.to_vec();
            r.finished = shifts.iter().map(|u| u64::from(*u)).sum();
        }
        observed
    };
    assert_eq!(
        said(&line, &plant::observations(20)),
        "This line makes 17.6 good units a shift (17.4 to 17.8); it makes the count of 18 on 13 shifts of 20."
    );
    assert_eq!(
        said(&line, &plant::observations(1)),
        "This line made 18 good units a shift in 1 replication, too few to give a band; it made the count of \
         18 on 3 of the 4 shifts counted."
    );
    assert_eq!(
        said(&line, &with_shifts(1, &[18])),
        "This line made 18 good units a shift in 1 replication, too few to give a band; it made the count of \
         18 on the one shift counted."
    );
    assert_eq!(
        said(&line, &with_shifts(20, &[1, 1])),
        "This line makes 1 good unit a shift, always; it never made the count of 18 in 40 shifts."
    );
    assert_eq!(
        said(&line, &with_shifts(20, &[19])),
        "This line makes 19 good units a shift, always; it made the count of 18 on every one of 20 shifts."
    );
    assert_eq!(
        said(&line, &with_shifts(20, &[0, 0])),
        "No good unit left this line in 20 replications of 4 days each."
    );
    assert_eq!(said(&line, &with_shifts(1, &[0])), "No good unit left this line in 1 replication of 4 days.");
    assert_eq!(said(&line, &plant::observations(0)), "Nothing was simulated: no replication is finished.");
    let no_demand = Line { demand: None, ..plant::line() };
    assert_eq!(
        said(&no_demand, &plant::observations(20)),
        "This line makes 17.6 good units a shift (17.4 to 17.8)."
    );
    let (bare, mut observed) = plant::without_calendar();
    assert_eq!(said(&bare, &observed), "This line makes 2.38 good units an hour (2.35 to 2.40).");
    observed.replications.truncate(1);
    assert_eq!(
        said(&bare, &observed),
        "This line made 2.43 good units an hour in 1 replication, too few to give a band."
    );
}

#[test]
fn few_replications_are_doubted_aloud() {
    let report = report_of(&plant::line(), &plant::observations(7));
    assert!(report.warnings.iter().any(|w| w.text.starts_with("Only 7 replications: percentiles")));
    let shifts = report.line_measures.units_per_shift.unwrap();
    assert!(shifts.low.is_some(), "a mean of seven has Student's band");
    assert_eq!(shifts.chance_of_count.unwrap().low, None);
    let one = report_of(&plant::line(), &plant::observations(1));
    assert!(one.warnings.iter().any(|w| w.text == "Only 1 replication: no figure has a band."));
}

#[test]
fn cautions_of_a_plant_are_added_to_those_of_its_work() {
    let line = plant::line();
    let own = Caution { topic: "invented plant".to_string(), text: "This plant is invented.".to_string() };
    let extras = Extras { cautions: vec![own.clone()], ..Extras::default() };
    let report = build(&line, &summary(&line, &plant::observations(20)), &extras);
    assert_eq!(report.cautions.last(), Some(&own));
}

fn checked_page() -> CheckPage {
    let row = |step: &str, place: &str, people, mean_min: f64| TimeRow {
        step: step.to_string(),
        label: None,
        place: place.to_string(),
        model: None,
        people,
        most_people: people,
        mean_min,
        sd_min: 0.6,
        p05_min: mean_min - 1.0,
        p50_min: mean_min,
        p95_min: mean_min + 1.0,
        timings: Some(6),
    };
    let extras = PageExtras {
        content: vec![(118.0, 194.0), (126.5, 199.0)],
        loads: loads(),
        times: vec![row("a01", "A01", 2, 20.0), row("a02", "A02", 2, 21.0)],
    };
    let diagnostic = DiagnosticRow {
        code: "W107".to_string(),
        severity: "warning".to_string(),
        message: "a02 may end after the break".to_string(),
        file: "pod.line".to_string(),
        line: 3,
        column: 1,
        end_line: 3,
        end_column: 9,
        help: None,
    };
    CheckPage::new(vec![diagnostic], vec![line_page(&plant::line(), &extras)])
}

#[test]
fn the_page_of_check_shows_takt_with_its_sum_and_who_is_wanted() {
    let page = checked_page();
    insta::assert_snapshot!(render_check(&page, Format::Text));
    let read: reread::CheckPage = reread::read(&render_check(&page, Format::Json));
    let takt = read.lines[0].takt.as_ref().unwrap();
    assert_eq!(takt.arithmetic, "445 min net a shift / 18 = 24.7222 min");
    assert_eq!((takt.takt_min, takt.net_min, takt.demand), (24.722_222, Some(445.0), Some(18.0)));
    let wanted: Vec<u32> = read.lines[0].crews.iter().map(|c| c.wanted).collect();
    assert_eq!(wanted, [3, 2, 2]);
    assert_eq!((read.lines[0].groups[0].wanted, read.lines[0].groups[0].existing), (7, Some(10)));
    assert_eq!(read.diagnostics[0].code, "W107");
}

/// Names of all properties in a JSON Schema.
fn properties(schema: &serde_json::Value, names: &mut Vec<String>) {
    match schema {
        serde_json::Value::Object(fields) => {
            if let Some(serde_json::Value::Object(properties)) = fields.get("properties") {
                names.extend(properties.keys().cloned());
            }
            fields.values().for_each(|value| properties(value, names));
        }
        serde_json::Value::Array(values) => values.iter().for_each(|value| properties(value, names)),
        _ => {}
    }
}

#[test]
fn every_key_of_the_json_report_stands_in_the_page_of_measures() {
    let page = include_str!("../../docs/measures.md");
    let mut names = Vec::new();
    properties(&serde_json::from_str(&schema()).expect("a schema is JSON"), &mut names);
    assert!(names.len() > 150, "the schema has its properties");
    let missing: Vec<&String> = names.iter().filter(|name| !page.contains(&format!("`{name}`"))).collect();
    assert!(missing.is_empty(), "docs/measures.md says nothing of {missing:?}");
}
