//! Disturbances from outside: calls for help against renewal theory, weather by the day.

use crate::follow::text::{line_of, read, record, settings_of};
use taktwright::draws::{Purpose, Stream};
use taktwright::line::{Comes, Line};
use taktwright::simulate::{BayState, Event, Horizon, Replication, Unwatched, replicate};
use taktwright::stats::{self, Beside};
use taktwright::units::Time;

const BENCH: &str = "line \"outside\"\nrelease saturated\nstation S1 crew 1\nstation S2 crew 1\n\
     task a takes 45 min by 1 at S1\ntask b takes 45 min by 1 after a at S2\n";

fn run(line: &Line, hours: i64) -> Replication {
    replicate(line, &settings_of(1, Horizon::For(Time::HOUR * hours)), 0, &mut Unwatched).expect("it runs")
}

fn near(found: f64, wanted: f64, sd: f64) {
    assert!((found - wanted).abs() < 5.0 * sd, "{found} is not {wanted}, give or take 5 x {sd}");
}

/// From one call to the next: a gap of mean 30, 1 until it is answered, and with 25 % a stop of 6: mean 32.5 and
/// variance 900 + 36 x 0.25 x 0.75. The number of calls in T is T / 32.5 with variance T x var / 32.5^3, a quarter of
/// them stop, and the share of time stopped is 1.5 / 32.5 (renewal reward theorem; Ross, Stochastic Processes,
/// ch. 3; from memory).
#[test]
fn calls_come_and_stop_as_renewal_theory_says() {
    let line = line_of(&format!(
        "{BENCH}calls rope \"Stop rope\" 2 per hour, answered in 1 min, solved 75 %, else stopping for 6 min\n"
    ));
    let found = run(&line, 20_000);
    let calls: f64 = 20_000.0 * 60.0 / 32.5;
    let sd = (calls * (900.0 + 6.75)).sqrt() / 32.5;
    near(found.stops[0].calls as f64, calls, sd);
    near(found.stops[0].count as f64, calls / 4.0, (sd * sd / 16.0 + calls * 0.1875).sqrt());
    let stopped = found.places[0].states[BayState::Stopped as usize] as f64 / found.net.0 as f64;
    near(stopped, 1.5 / 32.5, 1.5 / 32.5 * 2.0 / (calls / 4.0).sqrt());
    assert_eq!(found.stops[0].net, Time::from_minutes(6) * found.stops[0].count as i64);
    let observed = taktwright::simulate::Observations {
        seed: 1,
        warm_up: Time::ZERO,
        replications: vec![found],
        interrupted: false,
    };
    let summary = stats::summarise(&line, &observed, &Beside::default());
    assert_eq!(summary.stops[0].calls, Some(observed.replications[0].stops[0].calls));
}

/// The same call is solved or not whatever share is: with more solved, those that stop are some of the same.
#[test]
fn calls_stop_only_the_places_they_are_about() {
    let line =
        line_of(&format!("{BENCH}calls rope 12 per hour of S2, solved 50 %, else stopping for 1/2/6 min\n"));
    let (found, events) = record(&line, Horizon::For(Time::HOUR * 60));
    let stopped = |place: usize| found.places[place].states[BayState::Stopped as usize];
    assert_eq!(stopped(0), 0);
    assert!(stopped(1) > 0 && found.stops[0].calls > found.stops[0].count);
    let stops = events.iter().filter(|(_, event)| matches!(event, Event::Stopped { .. })).count();
    assert_eq!(found.stops[0].count, stops as u64);
}

/// Attended 06:00 to 08:00 every day: four tasks of 30 min on a fine day, none on a bad one. Which days are bad is
/// drawn by name and day, as the statistics page says.
#[test]
fn on_a_bad_day_nothing_is_done_outdoors() {
    let line = line_of(
        "line \"trial\"\nshift day 06:00 to 08:00\nrelease saturated\nstation S1 crew 1\n\
         task trial takes 30 min by 1\nweather rain \"Rain\" of S1 on 40 % of days\n",
    );
    assert_eq!(line.stops[0].comes, Comes::Days { share: 0.4 });
    let (found, events) = record(&line, Horizon::Shifts(20));
    let draws = Stream::new(1, 0, Purpose::Weather, "weather rain");
    let fine: Vec<i64> = (0..20).filter(|day| draws.uniform(*day as u64, 0) >= 0.4).collect();
    assert!((5..20).contains(&fine.len()), "{fine:?}");
    let wanted: Vec<Time> = fine
        .iter()
        .flat_map(|day| (1..=4).map(move |k| Time::from_minutes(day * 1440 + 360 + 30 * k)))
        .collect();
    let ended: Vec<Time> = events
        .iter()
        .filter(|(_, event)| matches!(event, Event::StepEnded { .. }))
        .map(|(time, _)| *time)
        .collect();
    assert_eq!(ended, wanted);
    let bad = 20 - fine.len() as i64;
    assert_eq!(found.places[0].states[BayState::Stopped as usize], Time::from_minutes(120 * bad).0);
    // Another place on the same days would be found under another name only.
    assert_ne!(draws, Stream::new(1, 0, Purpose::Weather, "weather wind"));
}

#[test]
fn what_is_said_of_calls_and_weather_is_judged() {
    for (text, words) in [
        ("calls rope 2 per hour\n", "calls rope needs `solved`"),
        ("calls rope solved 5 %, else stopping for 5 min\n", "calls rope needs a number of calls"),
        ("calls rope 2 solved 5 %, else stopping for 5 min\n", "needs a period"),
        ("calls rope 2 per hour solved 100 %, else stopping for 5 min\n", "100 % of them are solved"),
        ("calls rope 2 per hour of S9 solved 5 %, else stopping for 5 min\n", "`S9`"),
        ("calls rope 2 per hour solved 5, else stopping for 5 min\n", "needs a share in %"),
        ("weather rain of S1\n", "weather rain needs `on ... of days`"),
        ("weather rain of S1 on 0 % of days\n", "the same on all days"),
        ("stops rain stopping every 5 h for 5 min\nweather rain on 5 % of days\n", "`rain`"),
    ] {
        let said = read(&format!("{BENCH}{text}")).expect_err("it is refused").join("\n");
        assert!(said.contains(words), "{text}: {said}");
    }
}
