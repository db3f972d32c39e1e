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

/// As above with one model, c of 20 min, and what is open at P2 said in `open`.
fn slow(open: &str, places: &str) -> String {
    format!(
        "line \"Off\"\nmodel A\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1 pull off to R1\n{places}\n\
         segment all P1 to P3  pushed every 10 min{open}\n\
         test q of d at P3  passes 100 %\n  on fail to R1 takes 1 min by 1\n"
    )
}

/// Unit 0 is at P2 from 20, b to 24; 14 min of c are left at the signal of 30: off the line to 44. Unit 1 is at P2 from
/// 30, c from 34; the signal of 40 finds R1 taken and the line holds, until 44: unit 1 goes there, 10 min left, to 54,
/// and unit 0 takes the place of the hole it leaves, at P3; nobody stands still. Unit 2 is at P2 from 44, c from 48; at
/// 54 R1 is free as the signal falls: off to 68, and unit 1 is at P3 from 54. And so on, every 24 min two units.
#[test]
fn the_line_holds_until_a_place_off_the_line_is_free() {
    let tasks = "station P3 crew 1\nrepair R1 crew 1 places 1\n\
                 task a  takes 5 min  by 1  at P1\ntask b  takes 4 min  by 1  after a  at P2\n\
                 task c  takes 20 min  by 1  after b  at P2\ntask d  takes 3 min  by 1  after c  at P3";
    let (report, events) = record(&line_of(&slow("", tasks)), Horizon::Units(4));
    let c: Vec<(u64, Time, Time)> = ended(&line_of(&slow("", tasks)), &events, "c");
    assert_eq!(
        c[..4],
        [(0, min(30), min(44)), (1, min(44), min(54)), (2, min(54), min(68)), (3, min(68), min(78))]
    );
    assert_eq!(came(&events, 2)[..3], [(0, min(44)), (1, min(54)), (2, min(68))]);
    assert_eq!(finishes(&events), [(0, min(54)), (1, min(68)), (2, min(78)), (3, min(92))]);
    let pushes = &report.segments[0];
    // 10, 20, 30, 44, 54, 68, 78, 92: three of them 4 min late.
    assert_eq!((pushes.pushes, pushes.on_time, pushes.delay), (8, 5, min(12)));
    assert!(report.places.iter().all(|place| place.held_for_return == 0));
}

/// Beside work that travels: b (4 min, then a hold of 1 min) and c, 20 min, which may travel to P3 at 1.5 times. The
/// signal of 30 finds 15 min of c left: it travels, as it may, 22.5 min at P3 to 52.5. P3 pulls off, too: at 40 12.5
/// min are left there, and off the line they take 12.5, the factor is on them already: to 52.5. Nothing is behind P3:
/// unit 0 finishes from there, d (3 min) done at R1 as well, at 55.5.
#[test]
fn work_that_travelled_goes_off_the_line_at_its_last_station() {
    let tasks = "station P3 crew 1 pull off to R1\nrepair R1 crew 1 places 3\n\
                 task a  takes 5 min  by 1  at P1\ntask b  takes 4 min  by 1  after a  at P2\n\
                 hold h  at least 1 min  after b  at P2\n\
                 task c  takes 20 min  by 1  after h  may travel to P3 x 1.5  at P2\n\
                 task d  takes 3 min  by 1  after c  at P3";
    let text = slow(", late work travels", tasks).replace("test q of d at P3  passes 100 %\n", "");
    let text = text.replace("  on fail to R1 takes 1 min by 1\n", "");
    let line = line_of(&text);
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(finishes(&events), [(0, Time(55_500_000 * 60))]);
    let c = ended(&line, &events, "c");
    assert_eq!(c[0], (0, min(40), Time(52_500_000 * 60)));
    // Units 0, 1 and 2 left P2 with c open; at 40 and 50 units 0 and 1 left the line.
    assert_eq!((report.places[1].pulled_off, report.places[2].pulled_off), (0, 2));
    assert_eq!(report.segments[0].taken_along, 3);
}

/// A unit goes off the line with what has not begun, too; a hold keeps it: P2 does b (4 min), then h, a hold of `h` min,
/// then c (20 min).
#[test]
fn a_hold_is_not_taken_off_the_line() {
    let tasks = |h: &str| {
        format!(
            "station P3 crew 1\nrepair R1 crew 1 places 3\n\
             task a  takes 5 min  by 1  at P1\ntask b  takes 4 min  by 1  after a  at P2\n\
             hold h  at least {h}  after b  at P2\n\
             task c  takes 20 min  by 1  after h  at P2\ntask d  takes 3 min  by 1  after c  at P3"
        )
    };
    // The hold ends at 34: the line holds until then, and c has just begun.
    let line = line_of(&slow("", &tasks("10 min")));
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(ended(&line, &events, "c")[0], (0, min(34), min(54)));
    assert_eq!(came(&events, 3)[0], (0, min(34)));
    // It is audited whole.
    assert_eq!(report.holds[0].shortest, min(10));
}

/// c, 12 min, is begun at P1, and nobody at P2 can do it. Unit 0 is at P1 from 10: the signal of 20 finds 2 min of c
/// left, which travel. At P2 d, 3 min, fails the test at 23; R1, to which P1 pulls off late units, mends it until 29, with
/// somebody free who could do c. But unit 0 was not pulled off: c goes along, to P2 with the push of 30, where d is done
/// again to 33, and to P3 with that of 40, where it is done to 42, and e (3 min) to 45. It finishes with the push of 50.
#[test]
fn work_that_travels_is_not_done_off_the_line_on_a_unit_that_failed_a_test() {
    let line = line_of(
        "line \"Off\"\nmodel A\nrelease saturated\nstart empty\npeople fitters 4\npeople testers 1\n\
         station P1 crew 1 fitters pull off to R1\nstation P2 crew 1 testers\nstation P3 crew 1 fitters\n\
         repair R1 crew 2 fitters places 1\nsegment all P1 to P3  pushed every 10 min, late work travels\n\
         task c  takes 12 min  by 1 fitters  may travel to P3  at P1\ntask d  takes 3 min  by 1  at P2\n\
         task e  takes 3 min  by 1  after c  at P3\n\
         test q of d at P2  passes 0 %, again 100 %\n  on fail to R1 takes 6 min by 1\n",
    );
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(came(&events, 3)[0], (0, min(23)));
    assert_eq!(came(&events, 1)[..2], [(0, min(20)), (0, min(30))]);
    assert!(ended(&line, &events, "c").contains(&(0, min(40), min(42))));
    assert_eq!(finishes(&events)[0], (0, min(50)));
    assert!(report.places.iter().all(|place| place.pulled_off == 0));
}

/// A paced line whose late units are taken off: a unit is late with the chance that its work exceeds the window
/// (Kottas and Lau 1973, from memory), e^-1.2 = 0.3012 for exponential work of mean 10 min and a window of 12; and such
/// work has no memory: 10 min of it are left on average, so the place off the line is worked at for 10 x 0.3012 / 12 of
/// the time. 4,000 units: four standard errors of the share are 0.029, of the use 0.038.
#[test]
fn units_are_late_as_often_as_their_work_exceeds_the_window() {
    let line = line_of(
        "line \"Off\"\nmodel A\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1 pull off to R1\nstation P3 crew 1 returns in turn\n\
         repair R1 crew 9 places 40\nsegment all P1 to P3  pushed every 12 min\n\
         task a  takes 5 min  by 1  at P1\ntask b  takes exponential mean 10 min  by 1  after a  at P2\n\
         task c  takes 5 min  by 1  after b  at P3\n",
    );
    let (report, _) = record(&line, Horizon::Units(4_000));
    let pushes = report.segments[0].pushes as f64;
    let late = report.places[1].pulled_off as f64 / pushes;
    assert!((late - (-1.2_f64).exp()).abs() < 0.029, "{late}");
    let busy = report.crews[3].busy as f64 / report.net.0 as f64;
    assert!((busy - 10.0 * (-1.2_f64).exp() / 12.0).abs() < 0.038, "{busy}");
    // No push was ever late, and nobody stood still.
    assert_eq!(report.segments[0].on_time, report.segments[0].pushes);
    assert!(report.places.iter().all(|place| place.held_for_return == 0));
}
