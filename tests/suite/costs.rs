//! What a good unit costs, by hand; what is said of a cost table.

use crate::follow::text::{follow, line_of, read, settings_of};
use taktwright::check::check;
use taktwright::diagnostic::{FileId, MapSources};
use taktwright::line::Line;
use taktwright::report;
use taktwright::simulate::{Horizon, Observations};
use taktwright::stats::{self, Beside, CostFigures};
use taktwright::syntax;
use taktwright::units::Time;

/// Five shifts of 8.5 h: an unpaid meal of 30 min, a paid break of 10: paid 40 h, net 39 h 10 min = 2,350 min.
const SHOP: &str = "line \"costs\"\nshift day 06:00 to 14:30 on mon to fri\n  meal 10:30 lasting 30 min\n  \
     break 08:30 lasting 10 min\nrelease saturated\npeople fitters 2\npeople clerks 1\n\
     station S1 crew 2 fitters slots 2 space 50 m2, 10 m2 each slot\ntask t takes 45 min by 2\n";
const TABLE: &str = "money EUR\ncost people 30 EUR per hour\ncost clerks 60 EUR per hour\n\
     cost S1 5200 EUR per year\ncost space 100 EUR per year\n";

fn observed(line: &Line) -> Observations {
    let settings = settings_of(1, Horizon::Shifts(5));
    let (run, faults) = follow(line, &settings).expect("it runs");
    assert_eq!(faults, Vec::<String>::new());
    Observations { seed: 1, warm_up: Time::ZERO, replications: vec![run], interrupted: false }
}

fn near(found: &Option<stats::Banded>, wanted: f64) {
    let found = found.as_ref().expect("there is a figure").value;
    assert!((found - wanted).abs() < 1e-9, "{found} is not {wanted}");
}

/// 2,350 / 45 = 52 units and a part. Everybody: 2 x 30 + 60 = 120 a paid hour, so 4,800 a week. A week is 7/365 of
/// a year: the bay 5,200 x 7/365; the floor 50 + 2 x 10 = 70 m2, 7,000 x 7/365.
#[test]
fn a_good_unit_bears_its_part_of_people_bays_and_floor() {
    let line = line_of(&format!("{SHOP}{TABLE}"));
    let observed = observed(&line);
    assert_eq!(observed.replications[0].finished, 52);
    let summary = stats::summarise(&line, &observed, &Beside::default());
    let CostFigures { unit, unit_people, unit_bays, unit_space, people_hour, year_people, .. } =
        summary.costs.as_ref().expect("the file states costs");
    let week = 7.0 / 365.0;
    near(unit_people, 4800.0 / 52.0);
    near(unit_bays, 5200.0 * week / 52.0);
    near(unit_space, 7000.0 * week / 52.0);
    near(unit, (4800.0 + 12_200.0 * week) / 52.0);
    assert!((people_hour - 120.0).abs() < 1e-12 && (year_people - 4800.0 / week).abs() < 1e-6);
    let report = report::build(&line, &summary, &report::Extras::default());
    let text = report::render_text(&report, &report::Dress::PLAIN);
    let row = |name: &str, figure: &str| format!("\n  {name:<26}{figure}\n");
    for words in [row("a minute of everybody", "2 EUR"), row("floor", "70 m2")] {
        assert!(text.contains(&words), "{words} is missing:\n{text}");
    }
}

/// Without a calendar everybody is paid round the clock, and a year has 8,760 hours.
#[test]
fn without_a_calendar_time_is_paid_round_the_clock() {
    let line = line_of(
        "line \"round\"\nrelease saturated\nstation S1 crew 3\ntask t takes 30 min by 3\nmoney kr\n\
         cost people 20 kr per hour\ncost S1 87600 kr per year\n",
    );
    let (run, _) = follow(&line, &settings_of(1, Horizon::For(Time::from_minutes(601)))).expect("it runs");
    let observed = Observations { seed: 1, warm_up: Time::ZERO, replications: vec![run], interrupted: false };
    let summary = stats::summarise(&line, &observed, &Beside::default());
    let costs = summary.costs.expect("the file states costs");
    // 601 min and 20 units: 3 x 20 x 601 / 60 / 20, and 10 an hour for the bay.
    near(&costs.unit_people, 601.0 / 20.0);
    near(&costs.unit_bays, 601.0 / 6.0 / 20.0);
    assert_eq!(costs.year_space, 0.0);
}

#[test]
fn a_file_without_costs_has_none() {
    let line = line_of(SHOP);
    let summary = stats::summarise(&line, &observed(&line), &Beside::default());
    assert!(summary.costs.is_none() && line.costs.is_none() && line.space.is_some());
}

#[test]
fn layouts_change_the_table() {
    let layouts = "layout \"dear\" { change cost people 35 EUR per hour }\n\
         layout \"bare\" {\n  remove cost space\n  remove cost S1\n}\n";
    let text = format!("{SHOP}{TABLE}{layouts}");
    let parsed = syntax::parse(FileId(0), &text);
    let checked = check(&parsed.tree, &MapSources::one("test.line", &text), &[]);
    assert_eq!((parsed.faults, checked.faults), (vec![], vec![]));
    let tables: Vec<(Vec<f64>, f64, f64)> = checked
        .layouts
        .into_iter()
        .filter_map(|line| line.costs)
        .map(|costs| (costs.people, costs.bays[0], costs.square_metre))
        .collect();
    let wanted = [(30.0, 5200.0, 100.0), (35.0, 5200.0, 100.0), (30.0, 0.0, 0.0)];
    assert_eq!(tables, wanted.map(|(people, bay, floor)| (vec![people, 60.0], bay, floor)));
}

#[test]
fn what_is_said_of_costs_is_judged() {
    let said = |text: &str| read(&format!("{SHOP}{text}")).expect_err("it is refused").join("\n");
    for (text, words) in [
        ("cost people 30 EUR per hour\n", "a file with costs needs a `money` statement"),
        ("money EUR\ncost people 30 EUR per year\n", "money per hour, not 30 EUR per year"),
        ("money EUR\ncost people 30 EUR per shift\n", "money per hour, not 30 EUR per shift"),
        ("money EUR\ncost S1 30 EUR per hour\n", "money per year, not 30 EUR per hour"),
        ("money EUR\ncost S1 30 per year\n", "the cost of S1 is money, not a plain number"),
        ("money EUR\ncost S1 30 h per year\n", "the cost of S1 is money, not a time"),
        ("money EUR\ncost space 30 USD per year\n", "`USD` is not a unit"),
        ("money EUR\ncost S9 30 EUR per year\n", "`S9` is not a station, rack or repair bay of this file"),
        ("money EUR\ncost space 1 EUR per year\ncost space 2 EUR per year\n", "`space`"),
        ("money h\n", "`h` is the name of a unit of the language already"),
        ("money EUR\nlet rate = 5 EUR\ncost S1 0 min - rate per year\n", "can't subtract a time and money"),
    ] {
        assert!(said(text).contains(words), "{text}: {}", said(text));
    }
}
