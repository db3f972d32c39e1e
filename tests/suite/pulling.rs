//! Units that are pulled off the line: worked by hand.

use crate::by_hand::{ended, finishes, min};
use crate::follow::text::{line_of, record};
use taktwright::line::PlaceId;
use taktwright::simulate::{Event, Horizon, Spot};
use taktwright::units::Time;

/// Three stations pushed every 10 min, one person each: at P1 a, 5 min; at P2 b and then c, 4 min each, c of a B 8 min;
/// at P3 d, 3 min. Every fourth unit is a B. `more` stands at P2 and at P3.
fn text(off: &str, back: &str) -> String {
    format!(
        "line \"Off\"\nmodel A 75 %\nmodel B 25 %\nsequence pattern B, A, A, A\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1 {off}\nstation P3 crew 1 {back}\nrepair R1 crew 1 places 1\n\
         segment all P1 to P3  pushed every 10 min\n\
         task a  takes 5 min  by 1  at P1\ntask b  takes 4 min  by 1  after a  at P2\n\
         task c  takes 4 min  for B 8 min  by 1  after b  at P2\ntask d  takes 3 min  by 1  after c  at P3\n\
         test q of d at P3  passes 100 %\n  on fail to R1 takes 1 min by 1\n"
    )
}

/// When units came to a place, in the order in which they came.
fn came(events: &[(Time, Event)], place: u16) -> Vec<(u64, Time)> {
    let to = |(time, event): &(Time, Event)| match event {
        Event::Moved { unit, to: Spot::Bay(at, _), .. } if *at == PlaceId(place) => Some((*unit, *time)),
        _ => None,
    };
    events.iter().filter_map(to).collect()
}

/// Unit 0 (a B) enters P1 with the push of 10, P2 with that of 20: b to 24, c from 24 on. The signal of 30 finds 2 min
/// of c left. P2 pulls it off: it is at R1 from 30, c goes on to 32, and it waits outside P3. Unit 1 is at P2 from
/// 30, done at 38. At 40 unit 0 takes P3: those before it stand still, and it finishes with the push of 50, at which
/// unit 1 comes to P3 and unit 2 to P2. Unit 4 (a B) enters P1 at 60, for 40 has held everybody: P2 from 70 to 80, off
/// the line to 82, and at P3 from 90 to 100.
#[test]
fn a_unit_that_is_late_is_pulled_off_and_comes_back_behind_its_station() {
    let line = line_of(&text("pull off to R1", ""));
    let (report, events) = record(&line, Horizon::Units(5));
    let c = ended(&line, &events, "c");
    assert_eq!(c[0], (0, min(30), min(32)));
    assert_eq!(came(&events, 3)[..2], [(0, min(30)), (4, min(80))]);
    assert_eq!(came(&events, 2)[..5], [(0, min(40)), (1, min(50)), (2, min(60)), (3, min(70)), (4, min(90))]);
    assert_eq!(finishes(&events), [(0, min(50)), (1, min(60)), (2, min(70)), (3, min(80)), (4, min(100))]);
    assert_eq!(report.places[1].pulled_off, 2);
    assert_eq!((report.segments[0].pushes, report.segments[0].on_time), (10, 10));
    // P1 and P2 stood still twice; nothing travelled along the line.
    assert_eq!(report.places[..3].iter().map(|p| p.held_for_return).collect::<Vec<_>>(), [2, 2, 0]);
    assert_eq!((report.segments[0].taken_along, report.segments[0].done_elsewhere), (0, Time::ZERO));
    // Without it the line holds 2 min for every B.
    let (report, events) = record(&line_of(&text("", "")), Horizon::Units(5));
    assert_eq!(finishes(&events), [(0, min(42)), (1, min(52)), (2, min(62)), (3, min(74)), (4, min(84))]);
    assert_eq!(report.places[1].pulled_off, 0);
}
