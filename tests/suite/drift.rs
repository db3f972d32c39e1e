//! Crews that drift: worked by hand, and against the recursion of the textbooks.

use crate::by_hand::{ended, finishes, min};
use crate::follow::text::{line_of, record};
use taktwright::simulate::{Event, Horizon};
use taktwright::units::Time;

/// Two stations pushed every 10 min, index 1, one person each; at P1 a, 12 min for A and 7 for B, in turn; at P2
/// b, 5 min. The crew of P1 may drift 2 min.
///
/// The first push goes at 9; unit 0 is at P1 at 10, a to 22. The signal of 19 finds 3 min left, and the line holds
/// until 20, when 2 are. 21: unit 0 at P2, a goes on to 23, b to 28; unit 1 has been at P1 since 21 and its a
/// begins at 23, to 30: in time for the signal. 31: unit 1 at P2, b to 36; unit 2 at P1, a to 43. The signal of 40
/// finds 3 min left: 41. 42: unit 2 at P2, a to 44, b to 49; unit 3 from 44 to 51, in time.
#[test]
fn a_crew_finishes_in_the_next_place_and_begins_its_next_unit_later() {
    let text = |drift: &str| {
        format!(
            "line \"Drift\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A, B\nrelease saturated\nstart empty\n\
             station P1 crew 1 {drift}\nstation P2 crew 1\n\
             segment all P1 to P2  pushed every 10 min  index 1 min\n\
             task a  takes 12 min  for B 7 min  by 1  at P1\ntask b  takes 5 min  by 1  after a  at P2\n"
        )
    };
    let line = line_of(&text("drift 2 min"));
    let (report, events) = record(&line, Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, min(30)), (1, min(41)), (2, min(51))]);
    let a = ended(&line, &events, "a");
    assert_eq!(
        a,
        [(0, min(10), min(23)), (1, min(23), min(30)), (2, min(31), min(44)), (3, min(44), min(51))]
    );
    assert_eq!(ended(&line, &events, "b")[0], (0, min(23), min(28)));
    let segment = &report.segments[0];
    assert_eq!((segment.pushes, segment.on_time, segment.delay), (5, 3, min(2)));
    let place = &report.places[0];
    assert_eq!((place.drifted, place.drifted_left, place.delay_caused), (2, min(4), min(2)));
    // At work, but for the moves with work left.
    assert_eq!(report.crews[0].busy, min(12 + 7 + 12 + 7).0);
    // Without the word the line holds until all is done.
    let (report, events) = record(&line_of(&text("")), Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, min(32)), (1, min(45)), (2, min(55))]);
    assert_eq!(report.places[0].drifted, 0);
}

/// How far a crew has drifted when its next unit arrives is the recursion of mixed-model sequencing,
/// d(k+1) = max(0, d(k) + p(k) - c) with c the window, and the line holds for what goes beyond the limit
/// (Yano and Rachamadugu 1991, Scholl 1999, from memory: a station open at its downstream end).
#[test]
fn how_far_a_crew_drifts_follows_the_recursion_of_mixed_model_sequencing() {
    // Tenths of a minute: the times of six models in turn, the window, the limit.
    let times = [108_i64, 64, 97, 121, 70, 59];
    let (every, index, limit) = (92, 7, 25);
    let tenth = |t: i64| Time(t * 6_000_000);
    let said = |t: i64| format!("{}.{} min", t / 10, t % 10);
    let models: String = (0..6).map(|m| format!("model M{m} {} %\n", [17, 17, 17, 17, 16, 16][m])).collect();
    let own: String = (1..6).map(|m| format!("  for M{m} {}", said(times[m]))).collect();
    let text = format!(
        "line \"Recursion\"\n{models}sequence pattern M0, M1, M2, M3, M4, M5\nrelease saturated\nstart empty\n\
         station P1 crew 1  drift {}\nstation P2 crew 1\n\
         segment all P1 to P2  pushed every {}  index {}\n\
         task a  takes {}{own}  by 1  at P1\ntask b  takes 1 min  by 1  after a  at P2\n",
        said(limit),
        said(every),
        said(index),
        said(times[0])
    );
    let units = 300;
    let (report, events) = record(&line_of(&text), Horizon::Units(units));
    let (mut drift, mut total, mut moved, mut held) = (0, 0, 0, 0);
    let mut expected = Vec::new();
    for k in 0..=units as usize {
        let over = drift + times[k % 6] - (every - index);
        held += (over - limit).max(0);
        drift = over.clamp(0, limit);
        total += drift;
        moved += u64::from(drift > 0);
        if drift > 0 {
            expected.push((k as u64, tenth(drift)));
        }
    }
    let seen: Vec<(u64, Time)> = events
        .iter()
        .filter_map(|(_, event)| match event {
            Event::Drifted { unit, left, .. } => Some((*unit, *left)),
            _ => None,
        })
        .collect();
    assert_eq!(seen, expected);
    let place = &report.places[0];
    assert_eq!((place.drifted, place.drifted_left), (moved, tenth(total)));
    assert_eq!(report.segments[0].delay, tenth(held));
    assert!(moved > 100 && held > 0, "{moved} drifted, {held} held");
}
