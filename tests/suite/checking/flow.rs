//! Calendar, demand and takt, models and options, sequence, release, promises.

use super::*;
use taktwright::line::{Measure, ModelId, PromiseKind, Ratio, Release, SequenceKind, StartState, Statistic};
use taktwright::units::Time;

const DAY: &str = "shift day 06:00 to 14:30 on mon to fri\n  meal 10:30 lasting 30 min break 08:30 lasting 10 min break 12:45 lasting 10 min\n  meeting 8 min clean-up 7 min\n";

fn clock(day: i64, hour: i64, minute: i64) -> Time {
    Time::DAY * day + Time::HOUR * hour + Time::MINUTE * minute
}

#[test]
fn a_shift_becomes_one_of_each_of_its_days() {
    let line = line(&format!("{SHOP}{DAY}"));
    let calendar = line.calendar.unwrap();
    assert_eq!(calendar.week.len(), 5);
    let wednesday = &calendar.week[2];
    assert_eq!((wednesday.start, wednesday.end), (clock(2, 6, 0), clock(2, 14, 30)));
    assert_eq!(wednesday.net(), Time::from_minutes(445));
    let pauses: Vec<(Time, Time, bool)> = wednesday.pauses.iter().map(|p| (p.start, p.end, p.paid)).collect();
    assert_eq!(pauses[0], (clock(2, 6, 0), clock(2, 6, 8), true), "the meeting opens the shift");
    assert_eq!(pauses[2], (clock(2, 10, 30), clock(2, 11, 0), false), "a meal is unpaid");
    assert_eq!(pauses[4], (clock(2, 14, 23), clock(2, 14, 30), true), "clean-up ends the shift");
}

#[test]
fn a_shift_may_cross_midnight_and_the_week() {
    let text = "shift night 22:00 to 06:00 on sun, mon break 02:00 lasting 20 min home after 9 units, not before 04:00\n";
    let line = line(&format!("{SHOP}{text}"));
    let week = line.calendar.unwrap().week;
    assert_eq!((week[0].start, week[0].end), (clock(0, 22, 0), clock(1, 6, 0)));
    assert_eq!(week[0].pauses[0].start, clock(1, 2, 0));
    assert_eq!(week[0].home.unwrap().not_before, clock(1, 4, 0));
    assert_eq!(week[1].end, clock(7, 6, 0));
    expect_in_shop(
        "shift night 22:00 to 06:00 on sun break 02:00 lasting 20 min\nshift early 05:00 to 09:00 on mon\n",
        &["T601: shift early on Monday overlaps shift night, which ends at 06:00"],
    );
}

#[test]
fn times_of_a_calendar_that_do_not_fit_are_refused() {
    expect_in_shop(
        "shift d 06:00 to 12:00 meal 13:00 lasting 30 min\n",
        &["T601: the meal at 13:00 is outside the shift, 06:00 to 12:00"],
    );
    expect_in_shop(
        "shift d 06:00 to 12:00 meal 08:00 lasting 30 min break 08:20 lasting 20 min\n",
        &["T601: the break overlaps the meal"],
    );
    expect_in_shop(
        "shift d 06:00 to 12:00 break 11:50 lasting 20 min\n",
        &["T601: the break does not fit into the shift, which lasts 6 h"],
    );
    expect_in_shop("shift d 06:75 to 12:00\n", &["T601: there is no 06:75 on the clock"]);
    expect_in_shop(
        "shift d 06:00 to 12:00 meeting 200 min clean-up 160 min\n",
        &["T601: shift d has no attended time left after its pauses"],
    );
    expect_in_shop(
        "shift a 06:00 to 12:00\nshift b 11:00 to 15:00\n",
        &["T601: shift b on Monday overlaps shift a, which ends at 12:00"],
    );
}

#[test]
fn a_long_stretch_is_a_doubt() {
    expect_in_shop(
        "shift d 06:00 to 14:00 break 13:00 lasting 10 min\n",
        &["T802: shift d has 7 h of attended time without a break"],
    );
    expect_in_shop("shift d 06:00 to 14:00 break 12:00 lasting 10 min\n", &[]);
}

#[test]
fn closed_days_count_from_the_first_day() {
    let line =
        line(&format!("{SHOP}{DAY}start empty on 2026-11-30\nclosed 2026-12-24 to 2026-12-26, 2026-12-01\n"));
    let calendar = line.calendar.unwrap();
    assert_eq!(calendar.closed, [1, 24, 25, 26]);
    assert_eq!(calendar.first_weekday, 0);
    assert_eq!(calendar.first_date, Some((2026, 11, 30)));
    expect_in_shop(
        &format!("{DAY}closed 2026-12-24\n"),
        &["T604: closed dates need the date of the first day of the run"],
    );
    expect_in_shop(
        &format!("{DAY}start empty on 2026-11-31\nclosed 2026-12-24\n"),
        &["T303: the date is 2026-11-31; it must be a date of the calendar between 1900 and 2200"],
    );
    expect_in_shop(
        &format!("{DAY}start empty on 2026-11-30\nclosed 2026-12-24 to 2026-12-20\n"),
        &["T601: 2026-12-24 to 2026-12-20 runs backwards"],
    );
}

#[test]
fn takt_is_net_time_over_demand_as_an_exact_fraction() {
    let takt = |text: &str| line(&format!("{SHOP}{text}")).takt.unwrap();
    assert_eq!(
        takt(&format!("{DAY}demand 18 per shift\n")),
        Ratio { numerator: 4_450_000_000, denominator: 3 }
    );
    assert_eq!(takt(&format!("{DAY}demand 18.5 per shift\n")).denominator, 37);
    assert_eq!(takt(&format!("{DAY}demand 90 per week\n")), takt(&format!("{DAY}demand 18 per day\n")));
    assert_eq!(takt("demand 7 per hour\n"), Ratio { numerator: 3_600_000_000, denominator: 7 });
    // Two shifts of 6 h and 4 h: the mean shift has 5 h.
    let two = "shift a 06:00 to 12:00 on mon\nshift b 06:00 to 10:00 on tue\n";
    assert_eq!(takt(&format!("{two}demand 10 per shift\n")).as_minutes(), 30.0);
}

#[test]
fn takt_and_demand_agree_to_the_digits_typed() {
    expect_in_shop(&format!("{DAY}demand 18 per shift\ntakt 24.7 min\n"), &[]);
    expect_in_shop(&format!("{DAY}demand 18 per shift\ntakt 25 min\n"), &[]);
    let found = expect_in_shop(
        &format!("{DAY}demand 18 per shift\ntakt 24.8 min\n"),
        &["T602: takt is stated as 24.8 min, but 445 min / 18 = 24.7 min"],
    );
    assert_eq!(
        found.faults[0].help[0],
        "write `takt 24.7 min`, or leave `takt` out: it follows from demand and calendar"
    );
    expect_in_shop(&format!("{DAY}demand 18 per shift\ntakt 445 min / 18\n"), &[]);
    expect_in_shop(&format!("{DAY}demand 18 per shift\ntakt 1483 s\n"), &[]);
    let stated = line(&format!("{SHOP}takt 24.7 min\n"));
    assert_eq!(stated.takt.unwrap().as_minutes(), 24.7);
    assert_eq!(stated.pace, stated.takt, "the pace is takt where none is stated");
}

#[test]
fn a_pace_slower_than_takt_is_a_doubt() {
    expect_in_shop(&format!("{DAY}demand 18 per shift\npace 23 min\n"), &[]);
    expect_in_shop(&format!("{DAY}demand 18 per shift\npace 25 min\n"), &[]);
    expect_in_shop(
        &format!("{DAY}demand 18 per shift\npace 25.0 min\n"),
        &["T606: the planned pace of 25.0 min is slower than takt, 24.72 min: the demand can't be met"],
    );
}

#[test]
fn demand_per_shift_needs_a_shift() {
    expect_in_shop("demand 18 per shift\n", &["T604: the demand is per shift, but the file states no shift"]);
    expect_in_shop("demand 18\n", &["T301: the demand needs a period"]);
    expect_in_shop(
        "demand 0 per day\n",
        &["T303: the demand is 0 per day; it must be above 0 and of at most nine digits"],
    );
    expect_in_shop(
        "promise mean units per shift at least 13\n",
        &["T604: the promise counts units per shift, but the file states no shift"],
    );
    expect_in_shop("release by takt\n", &["T307: release by takt needs a demand or a takt"]);
}

#[test]
fn models_have_shares_that_sum_to_one() {
    let alone = line(SHOP);
    assert_eq!((alone.models.len(), alone.models[0].name.as_str(), alone.models[0].share), (1, "unit", 1.0));
    assert_eq!(line(&format!("{SHOP}model A\n")).models[0].share, 1.0);
    let three = line(&format!("{SHOP}model A 33.33 %\nmodel B 33.33 %\nmodel C 33.33 %\n"));
    assert!((three.models[0].share - 1.0 / 3.0).abs() < 1e-15);
    expect_in_shop(
        "model A 50 %\nmodel B 40 %\n",
        &["T305: the shares of the models sum to 90 %: 50 % + 40 %"],
    );
    expect_in_shop("model A 50 %\nmodel B\n", &["T307: model B needs a share"]);
    expect_in_shop("model A 150 %\n", &["T303: the share of model A is 150 %; it must be from 0 % to 100 %"]);
    let fixed = line(&format!("{SHOP}model A\nmodel B\nsequence pattern A A A B\n"));
    assert_eq!((fixed.models[0].share, fixed.models[1].share), (0.75, 0.25));
}

#[test]
fn options_may_be_for_some_models_only() {
    let text =
        "model A 50 %\nmodel B 50 %\noption rail 20 % only B\ntask t2 takes 1 min only with rail at S1\n";
    let line = line(&format!("{SHOP}{text}"));
    assert_eq!((line.options[0].rate, line.options[0].models.as_slice()), (0.2, &[false, true][..]));
    assert_eq!(step(&line, "t2").options.len(), 1);
    expect_in_shop(
        "option rail\ntask t2 takes 1 min only with rail at S1\n",
        &["T307: option rail needs a take rate"],
    );
}

const MIX: &str = "model S 55 %\nmodel T 30 %\nmodel A 15 %\n";

#[test]
fn every_kind_of_sequence_is_read() {
    let kind = |text: &str| line(&format!("{SHOP}{MIX}{text}\n")).sequence.kind;
    assert_eq!(kind("sequence random"), SequenceKind::Random);
    assert_eq!(kind("sequence levelled, no two A adjacent"), SequenceKind::Levelled);
    assert_eq!(kind("sequence batches of 4"), SequenceKind::Batches(4));
    let (s, t, a) = (ModelId(0), ModelId(1), ModelId(2));
    assert_eq!(kind("sequence pattern S T S A"), SequenceKind::Pattern(vec![s, t, s, a]));
    let text = format!("{SHOP}{MIX}sequence list \"o.csv\"\n");
    let found = checked_with(&text, &[("o.csv", "order,model\n1,S\n2,A\n")], &[]);
    assert_eq!(found.layouts[0].sequence.kind, SequenceKind::List(vec![s, a]));
    let found = checked_with(&text, &[("o.csv", "order,model\n1,S\n2,Q\n")], &[]);
    assert_eq!(said(&found), ["T304: o.csv: column `model` has 1 row without a usable value"]);
    assert_eq!(
        line(&format!("{SHOP}{MIX}sequence random looking 80 orders ahead\n")).sequence.look_ahead,
        80
    );
    assert_eq!(line(SHOP).sequence.look_ahead, 50);
}

#[test]
fn spacing_rules_that_no_sequence_can_keep_are_refused_with_the_arithmetic() {
    let found = expect_in_shop(
        &format!("{MIX}sequence random, at most 1 S of any 2\n"),
        &["T603: S has a share of 55 %, `at most 1 S of any 2` allows 50 %"],
    );
    assert!(found.faults[0].help[0].contains("1 of every 2 units is 50 %"), "{:?}", found.faults[0].help);
    expect_in_shop(&format!("{MIX}sequence random, no two A adjacent, at most 2 T of any 5\n"), &[]);
    expect_in_shop(
        &format!("{MIX}sequence random, at most 2 T of any 2\n"),
        &[
            "T303: the most of a model is 2 of any 2; it must be fewer than the units looked at, or the rule says nothing",
        ],
    );
    expect_in_shop(
        &format!("{MIX}sequence batches of 4, no two A adjacent\n"),
        &["T603: a batch of 4 A breaks `no two A adjacent`"],
    );
    expect_in_shop(
        &format!("{MIX}sequence pattern A S T S S S T S T A, no two A adjacent\n"),
        &["T603: the pattern breaks `no two A adjacent`"],
    );
}

#[test]
fn rules_that_only_together_are_impossible_are_refused_with_a_proof() {
    let text = "model A 50 %\nmodel B 33.33 %\nmodel C 16.67 %\nsequence random, no two A adjacent, at most 1 B of any 3\n";
    let found = checked(&format!("{SHOP}{text}"));
    let impossible: Vec<&Diagnostic> = found.faults.iter().filter(|fault| fault.is_error()).collect();
    assert_eq!(impossible.len(), 1, "{found:?}");
    assert_eq!(
        impossible[0].headline,
        "A with 50 % and B with 33.33 % can't both keep `no two A adjacent` and `at most 1 B of any 3`"
    );
    assert!(impossible[0].help[0].contains("in every sequence that keeps them"));
}

#[test]
fn a_rule_with_hardly_any_slack_is_a_doubt() {
    expect_in_shop(
        "model A 49 %\nmodel B 51 %\nsequence random, no two A adjacent\n",
        &["T605: A has a share of 49 % and `no two A adjacent` allows 50 %: hardly any slack"],
    );
}

#[test]
fn a_pattern_of_another_mix_is_a_doubt() {
    expect_in_shop(
        &format!("{MIX}sequence pattern S T S T S T\n"),
        &["T607: the pattern builds 50 % of T, the models state 30 %"],
    );
}

#[test]
fn every_kind_of_release_and_start_is_read() {
    let of = |text: &str| line(&format!("{SHOP}{text}"));
    assert_eq!(of("").release, Release::Saturated);
    assert_eq!(of("takt 5 min\nrelease by takt\n").release, Release::ByTakt);
    let every = of("release every exponential mean 4 min on the clock\n").release;
    assert!(matches!(every, Release::Every { on_the_clock: true, .. }));
    expect_in_shop(
        "release every 0 min\n",
        &["T303: the time between releases is 0; it must be longer than 0"],
    );
    assert_eq!(of("").start, StartState::Empty);
    assert_eq!(of("start full\n").start, StartState::Full);
    let text = format!("{SHOP}model A 50 %\nmodel B 50 %\nrelease list \"r.csv\"\n");
    let found = checked_with(&text, &[("r.csv", "release_min,model\n0,A\n2.5,\n")], &[]);
    let expected = vec![
        (Time::ZERO, Some(ModelId(0))),
        (Time::from_minutes(5) - Time::from_minutes(2) - Time(30_000_000), None),
    ];
    assert_eq!(found.layouts[0].release, Release::List(expected));
    let found = checked_with(&text, &[("r.csv", "release_min,model\n3,A\n2.5,\nx,\n4,Q\n")], &[]);
    assert_eq!(said(&found), ["T304: r.csv: column `release_min` has 3 rows without a usable value"]);
    assert_eq!(found.faults[0].help.len(), 3);
}

#[test]
fn promises_of_a_file_and_of_a_caller_mean_the_same() {
    let text = format!(
        "{SHOP}{DAY}test last takes 3 min at S1 passes 100 %\npromise at least 18 units per shift on 80 % of shifts\n\
         promise wait at last p95 at most 20 min\npromise mean flow time at most 2 days\npromise no hold under its minimum\n"
    );
    let line = line(&text);
    assert_eq!(line.promises[0].kind, PromiseKind::CountOnShare { count: 18.0, share: 0.8 });
    let wait = Measure::Wait(taktwright::line::TestId(0));
    assert_eq!(
        line.promises[1].kind,
        PromiseKind::Measure { measure: wait, statistic: Statistic::P95, at_least: false, limit: 20.0 }
    );
    assert_eq!(line.promises[1].text, "wait at last p95 at most 20 min");
    for promise in &line.promises {
        let again = taktwright::check::promise_from_text(&promise.text, &line).unwrap();
        assert_eq!((again.kind, again.text), (promise.kind.clone(), promise.text.clone()));
    }
    let fault = taktwright::check::promise_from_text("wait at lasr p95 at most 20 min", &line).unwrap_err();
    assert_eq!(
        (fault.headline.as_str(), fault.help[0].as_str()),
        ("`lasr` is not a test of this file", "did you mean `last`?")
    );
    let fault = taktwright::check::promise_from_text("flow time at most 20", &line).unwrap_err();
    assert_eq!(fault.code.text(), "T301");
}

#[test]
fn confidence_is_a_share_above_a_half() {
    assert_eq!(line(SHOP).confidence, 0.95);
    expect_in_shop(
        "confidence 50 %\n",
        &["T303: the confidence is 50 %; it must be above 50 % and at most 99.99 %"],
    );
}
