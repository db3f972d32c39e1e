//! How full places are by the hour of the week, worked by hand.

use crate::by_hand::at;
use crate::follow::text::{line_of, record};
use taktwright::report::{Extras, Report, Week, build};
use taktwright::simulate::{Horizon, Observations, Settings, Unattended, WarmUp, simulate};
use taktwright::stats::{Beside, summarise};

/// One unit a day at 06:00. It is at P until 07:00 and then in the rack for 30 h at least: to 13:00 of the next day,
/// or, as nothing moves when nobody is there, from Friday to Monday 06:00.
const RACK: &str = "\
line \"Rack\"
shift day 06:00 to 14:00 on mon to fri
release every 480 min
station P crew 1
task a takes 60 min by 1 at P
rack R places 4
hold cure takes 30 h after a at R
station Q crew 1
task b takes 30 min by 1 after cure at Q
";

fn week_of(text: &str) -> Option<Week> {
    report_of(text).week
}

fn report_of(text: &str) -> Report {
    let line = line_of(text);
    let settings = Settings {
        seed: 1,
        first: 0,
        count: 2,
        horizon: Horizon::Shifts(10),
        warm_up: WarmUp::Shifts(5),
        record_finishes: false,
        faster: None,
    };
    let seen: Observations = simulate(&line, &settings, &Unattended).expect("the line runs");
    build(&line, &summarise(&line, &seen, &Beside::default()), &Extras::default())
}

/// Rest and weeks by hand: 16 h from one day to the next and 40 h as it stands; 10.5 h where shifts of one name lie
/// so; 6 days of 8.5 h are 51 h; 5 days of 8 h and two hours longer on every day are 50, on at most two 44.
#[test]
fn hours_beyond_the_limits_of_the_directive_are_doubted() {
    let says = |calendar: &str, piece: &str| {
        let report = report_of(&RACK.replace("shift day 06:00 to 14:00 on mon to fri\n", calendar));
        report.warnings.iter().any(|warning| warning.text.contains(piece))
    };
    let (rest, week) = ("less than 11 h between one day and the next", "for more than 48 h a week");
    let as_it_stands = "shift day 06:00 to 14:00 on mon to fri\n";
    assert!(!says(as_it_stands, rest) && !says(as_it_stands, week));
    let long = "shift day 06:00 to 19:30 on mon to wed  meal 11:00 lasting 1 h unpaid\n";
    assert!(says(long, "The shift day leaves less than 11 h") && !says(long, week));
    let six = "shift day 06:00 to 15:00 on mon to sat  meal 11:00 lasting 30 min unpaid\n";
    assert!(says(six, week) && !says(six, rest));
    let longer = |days: &str| format!("{as_it_stands}overtime day 2 h when under 99 units at 11:00{days}\n");
    assert!(says(&longer(""), week));
    assert!(!says(&longer(", at most 2 days a week"), week));
}

#[test]
fn a_rack_is_as_full_as_it_is_by_hand_in_every_hour() {
    let week = week_of(RACK).expect("a rack shows its week");
    let units = |hour: usize| week.hours[hour].units[0].expect("every hour was counted");
    for hour in 0..168 {
        let (day, of_day) = (hour / 24, hour % 24);
        let wanted = match (day, of_day) {
            // Friday's unit has left, Monday's is at P.
            (0, 6) => 0.0,
            // Yesterday's and today's.
            (1..=4, 7..=12) => 2.0,
            _ => 1.0,
        };
        assert!(
            (units(hour) - wanted).abs() < 1e-9,
            "{}: {}, not {wanted}",
            week.hours[hour].from,
            units(hour)
        );
        let open = f64::from(u8::from(day < 5 && (6..14).contains(&of_day)));
        assert_eq!(week.hours[hour].attended, open, "{}", week.hours[hour].from);
    }
    let rack = &week.places[0];
    assert_eq!((rack.id.as_str(), rack.places, week.places.len()), ("R", 4, 1));
    // Monday 0 and 7 x 1; the other days 1, 6 x 2, 1.
    assert!((rack.attended.expect("counted") - 63.0 / 40.0).abs() < 1e-9);
    assert!((rack.unattended.expect("counted") - 1.0).abs() < 1e-9);
    assert_eq!(rack.fullest_from.as_deref(), Some("Tue 07:00"));
    assert!((rack.fullest.expect("counted") - 2.0).abs() < 1e-9);
}

#[test]
fn the_hours_add_up_to_the_mean_of_the_rack() {
    let (seen, _) = record(&line_of(RACK), Horizon::Shifts(10));
    let rack = &seen.places[1];
    let units: i64 = rack.bay_levels.iter().enumerate().map(|(units, time)| units as i64 * time).sum();
    assert_eq!(rack.by_hour.iter().sum::<i64>(), units);
    assert_eq!(seen.hours.iter().sum::<i64>(), seen.clock.micros());
    // Every open hour of both weeks.
    assert!((0..5).all(|day| (6..14).all(|hour| seen.hours[day * 24 + hour] == at(0, 2, 0).micros())));
}

#[test]
fn without_shifts_or_without_places_to_wait_there_is_no_week() {
    assert_eq!(week_of(&RACK.replace("rack R places 4\n", "").replace(" at R", " attended at P")), None);
    let text = RACK.replace("shift day 06:00 to 14:00 on mon to fri\n", "");
    let line = line_of(&text);
    assert_eq!(line.places_over_the_week(), [false; 3]);
}
