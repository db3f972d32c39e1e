//! `taktwright losses`: the parts add up to the thousandth, each is what the edited file makes more, and known
//! answers by hand and from textbooks.

use crate::harness::taktwright;
use crate::house::{files_below, text_of};
use taktwright::diagnostic::MapSources;
use taktwright::line::Line;
use taktwright::report::{LossCause, LossesReport, losses_schema};
use taktwright::simulate::{Horizon, Unattended};
use taktwright::study::{Candidate, Precision, RunChoices, WarmUpChoice, losses, side_by_side};
use taktwright::units::Time;

/// Has every cause that can be edited away in one word or two, in the order in which they are switched off.
const SHOP: &str = "\
line \"Shop\"
shift day 06:00 to 14:00 on mon to fri break 10:00 lasting 20 min home after 34 units
demand 40 per shift
pace 11 min
people sawyers 2
people fitters 3 can check
absent 8 %
station S1 \"Saw\" crew 2 sawyers slots 1 stopping every exponential mean 200 min of use for 12 min of net time
task saw takes 9/11/16 min by 1 at S1
calls rope \"Rope\" 4 per shift answered in 1 min solved 50 %, else stopping for 4 min
station S2 \"Fit\" crew 2 fitters
task fit takes 6/8/10 min by 1 after saw at S2
test try of fit at S2 passes 85 %, again 95 % on fail fixed in place takes 3/5/10 min by 1
station S3 \"Pack\" crew 1 fitters
task pack takes 4 min by 1 uses 1 boxes after fit at S3
supply boxes in lots of 20 every 260 min store of 40, 20 at start
";

/// What stands around a line.
const YARD: &str = "\
line \"Yard\"
shift day 06:00 to 14:00 on mon to fri
station S1 crew 1
task saw takes 10 min by 1 at S1
gate list finds 0.5 per unit takes 4 min by 1 after saw at S1 at most 1 go on to S2
station S2 crew 1
task pack takes 8 min by 1 at S2
carriers skid 2 from S1 to S2 returning in 6 min
yard lot places 12, lorries of 12 at 08:00, 12:00
";

const AROUND_BY_HAND: [Edit; 3] = [
    (
        LossCause::Faults,
        &[("gate list finds 0.5 per unit takes 4 min by 1 after saw at S1 at most 1 go on to S2\n", "")],
    ),
    (LossCause::Carriers, &[("carriers skid 2 from S1 to S2 returning in 6 min\n", "")]),
    (LossCause::Yard, &[("yard lot places 12, lorries of 12 at 08:00, 12:00\n", "")]),
];

/// A cause, and what somebody would write to take it out: before, after.
type Edit = (LossCause, &'static [(&'static str, &'static str)]);

const BY_HAND: [Edit; 7] = [
    (LossCause::Absence, &[("absent 8 %\n", "")]),
    (LossCause::Stops, &[(" stopping every exponential mean 200 min of use for 12 min of net time", "")]),
    (
        LossCause::Calls,
        &[("calls rope \"Rope\" 4 per shift answered in 1 min solved 50 %, else stopping for 4 min\n", "")],
    ),
    (LossCause::Fails, &[("passes 85 %, again 95 %", "passes 100 %")]),
    (
        LossCause::Parts,
        &[(" uses 1 boxes", ""), ("supply boxes in lots of 20 every 260 min store of 40, 20 at start\n", "")],
    ),
    // (9 + 11 + 16) / 3 and (6 + 8 + 10) / 3.
    (LossCause::Spread, &[("takes 9/11/16 min", "takes 12 min"), ("takes 6/8/10 min", "takes 8 min")]),
    (LossCause::HomeEarly, &[(" home after 34 units", "")]),
];

fn line(text: &str) -> Line {
    let read = taktwright::read("shop.line", &MapSources::one("shop.line", text), &[]);
    read.layouts.into_iter().next().unwrap_or_else(|| panic!("the line is sound: {:?}", read.faults))
}

fn choices(horizon: Horizon, warm_up: WarmUpChoice) -> RunChoices {
    RunChoices {
        seed: 4,
        precision: Precision::Replications(20),
        horizon: Some(horizon),
        warm_up: Some(warm_up),
        gains: 0,
    }
}

fn lost(text: &str, choices: &RunChoices) -> LossesReport {
    losses(&line(text), choices, &Unattended).expect("the line runs")
}

/// Good units a shift of a file as it stands, in thousandths, as `compare` finds them.
fn made(text: &str, choices: &RunChoices) -> i64 {
    let line = line(text);
    let candidate = Candidate { name: "it".to_string(), line: &line };
    let compared = side_by_side(&[candidate], choices, &Unattended).expect("the line runs");
    let row = &compared.layouts[0];
    let mean = row.units_per_shift.or(row.units_per_hour).expect("it is counted").mean;
    (1000.0 * mean).round_ties_even() as i64
}

fn amount(report: &LossesReport, cause: LossCause) -> Option<i64> {
    report.losses.iter().find(|row| row.cause == cause).map(|row| row.lost_thousandths)
}

/// From the start down to the good units, step by step, in whole thousandths.
fn assert_adds_up(report: &LossesReport) {
    let mut left = report.start_thousandths;
    for row in &report.losses {
        left -= row.lost_thousandths;
        assert_eq!(left, row.left_thousandths, "{}: {:?}", report.line, row.cause);
        if let Some(lost) = &row.lost {
            let off = 1000.0 * lost.mean - row.lost_thousandths as f64;
            assert!(off.abs() <= 1.0 + 1e-6, "{}: {row:?}", report.line);
        }
    }
    assert_eq!(left, report.good_thousandths, "{}", report.line);
}

/// Every cause costs what the file without it makes more; returns the report and what the last file makes.
fn edited_by_hand(shop: &str, by_hand: &[Edit]) -> (LossesReport, i64) {
    let choices = choices(Horizon::Shifts(5), WarmUpChoice::None);
    let report = lost(shop, &choices);
    assert_adds_up(&report);
    let causes: Vec<LossCause> = by_hand.iter().map(|(cause, _)| *cause).collect();
    assert_eq!(report.switched_off, causes);
    let mut text = shop.to_string();
    let mut before = made(&text, &choices);
    assert_eq!(before, report.good_thousandths);
    for (cause, edits) in by_hand {
        for (from, to) in *edits {
            assert!(text.contains(from), "{from}");
            text = text.replace(from, to);
        }
        let after = made(&text, &choices);
        assert_eq!(amount(&report, *cause), Some(after - before), "{cause:?}");
        before = after;
    }
    (report, before)
}

#[test]
fn gates_carriers_and_a_yard_are_causes() {
    let (report, _) = edited_by_hand(YARD, &AROUND_BY_HAND);
    assert!(AROUND_BY_HAND.iter().all(|(cause, _)| amount(&report, *cause).is_some_and(|lost| lost > 0)));
}

#[test]
fn every_cause_costs_what_the_file_without_it_makes_more() {
    let (report, before) = edited_by_hand(SHOP, &BY_HAND);
    // 460 min of net time have room for 460 / 11 = 41.818 units, the shift of 480 min for 43.636.
    assert_eq!(amount(&report, LossCause::Balance), Some(41_818 - before));
    assert_eq!(amount(&report, LossCause::PlannedStops), Some(43_636 - 41_818));
    assert_eq!(report.start_thousandths, 43_636);
}

/// One station that takes 10 min in shifts of 8 h with half an hour's meal, planned at 7.5 min: 64 units fit
/// the shift and 60 its net time; 45 are made.
#[test]
fn a_line_where_nothing_goes_wrong_loses_to_its_balance_alone() {
    let text = "line \"One\"\nshift day 06:00 to 14:00 on mon to fri meal 10:00 lasting 30 min\npace 7.5 min\n\
                station S1 crew 1\ntask one takes 10 min by 1\n";
    // A unit that is done at the very end of a shift counts in the next one: the first day is cut.
    let report = lost(text, &choices(Horizon::Shifts(5), WarmUpChoice::For(Time::DAY)));
    assert_adds_up(&report);
    let rows: Vec<(LossCause, i64)> =
        report.losses.iter().map(|row| (row.cause, row.lost_thousandths)).collect();
    assert_eq!(rows, [(LossCause::PlannedStops, 4_000), (LossCause::Balance, 15_000)]);
    assert_eq!((report.start_thousandths, report.good_thousandths), (64_000, 45_000));
    assert!(report.switched_off.is_empty() && report.left_out.is_empty());
}

/// A station that takes 6 min, alone. Availability is mean time between stops over that and the time to
/// repair: 90 / (90 + 10) (Hopp & Spearman, *Factory Physics*, variability from breakdowns). A test that
/// passes p of all attempts and is done again at once takes 1/p attempts on average (geometric law, any
/// textbook of probability).
#[test]
fn stops_cost_the_unavailable_share_and_fails_the_further_attempts() {
    let text = "line \"One\"\nstation S1 crew 1 stopping every exponential mean 90 min of use for 10 min\n\
                task one takes 6 min by 1\n\
                test try of one at S1 passes 80 %, again 80 % on fail retest in place\n";
    let hours = choices(Horizon::For(Time::HOUR * 2000), WarmUpChoice::For(Time::HOUR * 100));
    let report = lost(text, &hours);
    assert_adds_up(&report);
    assert_eq!(report.pace_min, None, "nothing says how fast it shall go");
    assert_eq!(report.start_thousandths, 10_000, "10 an hour with nothing going wrong");
    let near = |cause: LossCause, exact: f64| {
        let lost = report.losses.iter().find(|row| row.cause == cause).and_then(|row| row.lost);
        let lost = lost.expect("runs are behind it");
        let half = (lost.high.expect("a band") - lost.low.expect("a band")) / 2.0;
        assert!(half < 0.06 * exact, "{cause:?}: the band says something: {lost:?}");
        assert!((lost.mean - exact).abs() < 1.5 * half, "{cause:?}: {lost:?} against {exact}");
    };
    // 10 an hour x 0.8 with all failing attempts; a tenth of it is lost to stops.
    near(LossCause::Stops, 0.8);
    near(LossCause::Fails, 2.0);
}

/// Whatever the plants state adds up, and a cause that a plant does not have is not shown.
#[test]
fn the_plants_add_up_and_show_only_what_they_have() {
    for name in files_below("scenarios", "line") {
        let text = text_of(&name);
        let read = taktwright::read("plant.line", &MapSources::one("plant.line", text.as_str()), &[]);
        let plant = &read.layouts[0];
        let short = RunChoices {
            precision: Precision::Replications(2),
            ..choices(Horizon::Shifts(2), WarmUpChoice::None)
        };
        let report = losses(plant, &short, &Unattended).expect("the plant runs");
        assert_adds_up(&report);
        assert!(report.left_out.is_empty(), "{name}: {:?}", report.left_out);
        let shown = |cause: LossCause| report.losses.iter().any(|row| row.cause == cause);
        assert_eq!(shown(LossCause::Absence), plant.absence.is_some(), "{name}");
        assert_eq!(shown(LossCause::Visitors), !plant.visitors.is_empty(), "{name}");
        assert_eq!(shown(LossCause::Fails), !plant.tests.is_empty(), "{name}");
        assert_eq!(shown(LossCause::Parts), !plant.parts.is_empty(), "{name}");
        assert_eq!(shown(LossCause::Windows), !plant.windows.is_empty(), "{name}");
        assert!(shown(LossCause::Spread) && shown(LossCause::Balance), "{name}");
        assert!(!shown(LossCause::Weather) && !shown(LossCause::NewPeople), "{name}");
    }
}

#[test]
fn the_page_goes_from_the_shift_to_its_good_units() {
    taktwright("losses shop.line --shifts 5 --replications 20 --warm-up none")
        .file("shop.line", SHOP)
        .simulating()
        .stdout_holds(&[
            "Shop, layout today: where the units go",
            "There is room for 43.636 units a shift (a shift of 8 h at a pace of 11 min); ",
            "Most is lost to ",
            "From the top, units a shift",
            "a shift of 8 h at a pace of 11 min",
            "meals, breaks, meeting, clean-up",
            "by the calendar",
            "balance, crews, moves and holds",
            "going home after the count",
            "times that are not always the same",
            "people who are away",
            "good units",
            "Switched off one after another, each on top of those before: people who are away, breakdowns",
            "Before you act on this",
            "order: Each row is",
        ])
        .run();
    taktwright("losses shop.line --shifts 5 --replications 20 --warm-up none --format json")
        .file("shop.line", SHOP)
        .simulating()
        .stdout_holds(&["\"schema\": \"taktwright.losses/1\"", "\"start_thousandths\": 43636"])
        .run();
}

#[test]
fn the_published_schema_of_losses_is_the_one_in_force() {
    let path = crate::house::top().join("docs/losses.schema.json");
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(&path, losses_schema()).expect("docs can be written");
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(published == losses_schema(), "docs/losses.schema.json is stale; TAKTWRIGHT_BLESS=1 rewrites it");
}
