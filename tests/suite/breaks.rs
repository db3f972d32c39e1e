//! Breaks and the cold: work that people finish first or begin only if it fits, breaks in turn, holds that must be
//! warm, and a conveyor beside the pushed line that it is. Worked by hand.

use crate::by_hand::{ended, finishes, min};
use crate::follow::text::{line_of, record};
use taktwright::line::Line;
use taktwright::simulate::{Event, Horizon};
use taktwright::units::Time;

/// 06:00 to 10:00, ten minutes off at 07:00.
const SHIFT: &str = "line \"Breaks\"\nshift day 06:00 to 10:00  break 07:00 lasting 10 min\nrelease saturated\n\
                     start empty\nstation P1 crew 2\n";

fn runs(tasks: &str, units: u64) -> (Line, Vec<(Time, Event)>, Time) {
    let line = line_of(&format!("{SHIFT}{tasks}"));
    let (report, events) = record(&line, Horizon::Units(units));
    (line, events, report.places[0].overrun)
}

fn at(hour: i64, minute: i64) -> Time {
    Time::HOUR * hour + min(minute)
}

/// One task of 25 min after the other: the third begins at 06:50. Resting, it ends at 07:25; finished first, at
/// 07:15, five minutes after the break, of which ten were worked: the next begins then.
#[test]
fn people_finish_first_what_goes_through_breaks() {
    let (line, events, _) = runs("task a takes 25 min by 2 at P1\n", 4);
    assert_eq!(ended(&line, &events, "a")[2..4], [(2, at(6, 50), at(7, 25)), (3, at(7, 25), at(7, 50))]);
    let (line, events, overrun) = runs("task a takes 25 min by 2 through breaks at P1\n", 4);
    assert_eq!(ended(&line, &events, "a")[2..4], [(2, at(6, 50), at(7, 15)), (3, at(7, 15), at(7, 40))]);
    assert_eq!(overrun, min(2 * 10), "two people, ten minutes");
    // One that ends in the break, and the next that waits for its end; at the end of the shift, too.
    let (line, events, overrun) = runs("task a takes 23 min by 1 through breaks at P1\n", 11);
    let a = ended(&line, &events, "a");
    assert_eq!(a[2..4], [(2, at(6, 46), at(7, 9)), (3, at(7, 10), at(7, 33))]);
    assert_eq!(a[10], (10, at(9, 51), at(10, 14)));
    assert_eq!(overrun, min(9 + 14));
}

/// As above, begun only if 25 min fit: 06:50 leaves ten, so the third begins after the break.
#[test]
fn what_must_fit_waits_for_the_end_of_the_break() {
    let tasks = "task a takes 25 min by 2 only if it fits at P1\n";
    let (line, events, _) = runs(tasks, 10);
    let a = ended(&line, &events, "a");
    assert_eq!(a[2], (2, at(7, 10), at(7, 35)));
    // 09:40 leaves 20 min: the next morning.
    assert_eq!(a[7..9], [(7, at(9, 15), at(9, 40)), (8, at(30, 0), at(30, 25))]);
    // It bars nobody meanwhile: b, 5 min by two people who could do a, goes on beside it.
    let both = format!("{tasks}task b takes 5 min by 2 after a at P1\n");
    let (line, events, _) = runs(&both, 3);
    // a 06:00 to 06:25, b to 06:30, a to 06:55, b to 07:00, a after the break.
    assert_eq!(ended(&line, &events, "b")[1], (1, at(6, 55), at(7, 0)));
    assert_eq!(ended(&line, &events, "a")[2], (2, at(7, 10), at(7, 35)));
}

/// A hold of 3 h from 21:00 in a hall that is cold from 22:00 to 06:00: one hour counts, the other two follow from
/// 06:00 on; begun again in full, it ends at 09:00.
#[test]
fn only_warm_time_counts_for_a_hold() {
    let text = |else_waits: &str| {
        format!(
            "line \"Cold\"\nrelease every 20 h\nstart empty\ntemperature hall 18 C, 14 C from 22:00 to 06:00\n\
             station P1 crew 1 bays 4\ntask a takes 60 min by 1 at P1\n\
             hold h at least 3 h when hall at least 15 C{else_waits} after a at P1\n"
        )
    };
    let line = line_of(&text(", else it waits"));
    // Released at 20:00, a to 21:00.
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(ended(&line, &events, "h"), [(0, at(21, 0), at(32, 0))]);
    assert_eq!((report.holds[0].cold, report.holds[0].shortest), (at(8, 0), at(11, 0)));
    let line = line_of(&text(""));
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(finishes(&events), [(0, at(33, 0))]);
    assert_eq!(report.holds[0].cold, at(9, 0));
}

/// The same hall, a hold that draws 2 to 4 h: more than the hour before 22:00, so it begins again at 06:00 and lasts what
/// it drew.
#[test]
fn a_hold_that_begins_again_lasts_what_it_drew() {
    let line = line_of(
        "line \"Cold\"\nrelease every 20 h\nstart empty\ntemperature hall 18 C, 14 C from 22:00 to 06:00\n\
         station P1 crew 1 bays 4\ntask a takes 60 min by 1 at P1\n\
         hold h at least 1 h takes 2 to 4 h when hall at least 15 C after a at P1\n",
    );
    let (_, events) = record(&line, Horizon::Units(1));
    let drawn = events.iter().find_map(|(_, event)| match event {
        Event::StepStarted { step, length, .. } if step.index() == 1 => Some(*length),
        _ => None,
    });
    let drawn = drawn.expect("it began");
    assert!(at(2, 0) < drawn && drawn < at(4, 0));
    assert_eq!(ended(&line, &events, "h"), [(0, at(21, 0), at(30, 0) + drawn)]);
}

/// Attended from 06:00 to 08:30 and from 09:00 to 10:00, too cold from 07:30 to 08:00; 2 h from 06:30 on. One hour until
/// 07:30, half an hour until the break, the rest until 09:30. Begun again: an hour and a half from 08:00 on, and on
/// the next day, still warm, until 06:30. 3 h are over at 06:30 of the next day; with an hour of overtime, at 10:30.
#[test]
fn an_attended_hold_counts_what_is_warm_and_attended() {
    let text = |hours: u32, else_waits: &str, overtime: &str| {
        format!(
            "line \"Cold\"\nshift day 06:00 to 10:00  break 08:30 lasting 30 min\n{overtime}\
             release saturated\nstart empty\ntemperature hall 18 C, 14 C from 07:30 to 08:00\n\
             station P1 crew 1\ntask a takes 30 min by 1 at P1\n\
             hold h at least {hours} h attended when hall at least 15 C{else_waits} after a at P1\n\
             task b takes 1 min by 1 after h at P1\n"
        )
    };
    let end = |text: &str| {
        let line = line_of(text);
        let (report, events) = record(&line, Horizon::Units(1));
        assert_eq!(ended(&line, &events, "a"), [(0, at(6, 0), at(6, 30))]);
        let found = ended(&line, &events, "h");
        (found[0].2, report.holds[0].cold)
    };
    assert_eq!(end(&text(2, ", else it waits", "")), (at(9, 30), at(1, 0)));
    assert_eq!(end(&text(2, "", "")), (at(30, 30), at(22, 0)));
    assert_eq!(end(&text(3, ", else it waits", "")), (at(30, 30), at(20, 30)));
    let overtime = "overtime day 60 min when under 5 units at 07:00\n";
    assert_eq!(end(&text(3, ", else it waits", overtime)), (at(10, 30), at(0, 30)));
}

/// Breaks in turn: the line has the ten minutes of the break, for everybody is replaced in turn.
#[test]
fn with_relief_the_line_goes_on_during_the_break() {
    let text = |relief: &str| {
        format!(
            "line \"Turns\"\nshift day 06:00 to 10:00  break 07:00 lasting 10 min\npeople fitters 2\n{relief}\
             release saturated\nstart empty\nstation P1 crew 2 fitters\ntask a takes 25 min by 2 at P1\n"
        )
    };
    let line = line_of(&text("relief 1\n"));
    let (report, events) = record(&line, Horizon::Units(4));
    assert_eq!(ended(&line, &events, "a")[2], (2, at(6, 50), at(7, 15)));
    assert_eq!(report.places[0].overrun, Time::ZERO);
    let calendar = line.calendar.as_ref().expect("it has a shift");
    assert_eq!(calendar.week[0].net(), at(4, 0));
    let without = line_of(&text(""));
    assert_eq!(without.calendar.as_ref().expect("it has a shift").week[0].net(), at(3, 50));
}

/// 0.25 m a minute and a unit every 6 m are a push every 24 min, and 12 m are two bays: a conveyor makes the same
/// line, to the microsecond, as its pushed twin.
#[test]
fn a_conveyor_is_the_pushed_line_that_it_amounts_to() {
    let text = |segment: &str, one: &str, two: &str| {
        format!(
            "line \"Chain\"\nmodel A 50 %\nmodel B 50 %\nrelease saturated\nstart empty\n\
             station P1 crew 2 {one}\nstation P2 crew 2 per bay {two}\nsegment chain P1 to P2 {segment}\n\
             task a takes 15/20/30 min for B x 1.2 by 2 at P1\ntask b takes 30/40/55 min by 2 after a at P2\n"
        )
    };
    let moving = line_of(&text("moving 0.25 m per min, a unit every 6 m", "length 6 m", "length 12 m"));
    let pushed = line_of(&text("pushed every 24 min", "", "bays 2"));
    let (one, events) = record(&moving, Horizon::Units(200));
    let (other, same) = record(&pushed, Horizon::Units(200));
    assert_eq!(events, same);
    assert_eq!(one, other);
    // Faster by the hour: 30 m per hour, a unit every 12 min.
    let fast = line_of(&text("moving 30 m per hour, a unit every 6 m", "length 6 m", "length 12 m"));
    assert_eq!(fast.segments[0].rule.index(), Time::ZERO);
    assert!(matches!(
        fast.segments[0].rule,
        taktwright::line::MoveRule::PushedEvery { every, .. } if every == min(12)
    ));
}

/// Two units by 07:00 are too few of three: two hours from 06:00 to 08:00 become two and a half. Of 25 min each,
/// and of 30 what is begun after 08:00, units end at 06:25, 06:50, 07:15, 07:40, 08:05, and, begun at 08:05, at 08:35
/// were it not for the end of the shift at 08:30: five minutes of the next day.
#[test]
fn a_low_count_makes_the_shift_longer() {
    let text = |overtime: &str| {
        format!(
            "line \"Longer\"\nshift day 06:00 to 08:10 clean-up 10 min\n{overtime}release saturated\nstart empty\n\
             station P1 crew 1\ntask a takes 25 min by 1 at P1\n"
        )
    };
    let line = line_of(&text("overtime day 30 min when under 3 units at 07:00 times x 1.2\n"));
    let (report, events) = record(&line, Horizon::Shifts(1));
    assert_eq!(
        finishes(&events),
        [(0, at(6, 25)), (1, at(6, 50)), (2, at(7, 15)), (3, at(7, 40)), (4, at(8, 5))]
    );
    assert_eq!((report.per_shift, report.overtime[0], report.net), (vec![5], 1, min(150)));
    // Two days: the sixth ends at 06:05, and by 07:00 there are three (06:05, 06:30, 06:55): no overtime.
    let (report, events) = record(&line, Horizon::Shifts(2));
    assert_eq!(finishes(&events)[5..8], [(5, at(30, 5)), (6, at(30, 30)), (7, at(30, 55))]);
    assert_eq!(
        (report.per_shift, report.overtime.iter().sum::<u32>(), report.net),
        (vec![5, 5], 1, min(270))
    );
    // Enough days of the week: never.
    let once = "overtime day 30 min when under 99 units at 07:00, at most 1 days a week\n";
    let (report, _) = record(&line_of(&text(once)), Horizon::Shifts(7));
    assert_eq!(report.overtime.iter().sum::<u32>(), 1);
}

/// Four units a day, and none that would end on another: by Saturday 20, which is under 21 and not under 20.
#[test]
fn a_shift_is_left_out_where_the_week_has_units_enough() {
    let text = |under: u32| {
        format!(
            "line \"Saturday\"\nshift day 06:00 to 08:05 on mon to fri\nshift extra 06:00 to 08:05 on sat when under \
             {under} units that week\nrelease saturated\nstart empty\nstation P1 crew 1\ntask a takes 30 min by 1 only if it fits at P1\n"
        )
    };
    let (report, events) = record(&line_of(&text(21)), Horizon::For(Time::WEEK * 2));
    assert_eq!((finishes(&events).len(), report.left_out.iter().sum::<u32>()), (48, 0));
    let (report, events) = record(&line_of(&text(20)), Horizon::For(Time::WEEK * 2));
    assert_eq!((finishes(&events).len(), report.left_out.iter().sum::<u32>()), (40, 2));
    assert_eq!(report.net, min(10 * 125));
}

/// An hour longer from 07:00 on, and all that is begun then takes twice as long. A push every 40 min: unit 0 enters at 06:40.
///
/// 30 min are begun before: done at 07:10. 20 min begun then take 40; the push at 07:20 cuts them off with 30 left, and at S2
/// they take these. What has not begun by then, 2 min, is begun there: 4. What follows at 07:50 takes 10 min for 5.
#[test]
fn in_overtime_late_work_that_is_begun_is_slower_and_what_goes_on_is_not() {
    let line = line_of(
        "line \"Late\"\nshift day 06:00 to 07:00\novertime day 60 min when under 9 units at 06:30, times x 2\n\
         release saturated\nstation S1 crew 1\nstation S2 crew 2\ntask a takes 30 min by 1 at S1\n\
         task c takes 20 min by 1 may travel to S2 at S1\ntask e takes 2 min by 1 may travel to S2 at S1\n\
         task d takes 5 min by 1 after c at S2\nsegment t S1 to S2 pushed every 40 min, late work travels\n",
    );
    let (_, events) = record(&line, Horizon::For(at(8, 1)));
    let first = |name: &str| {
        let runs = ended(&line, &events, name);
        runs.iter().find(|(unit, ..)| *unit == 0).map(|(_, start, end)| (*start, *end))
    };
    assert_eq!(first("a"), Some((at(6, 40), at(7, 10))));
    assert_eq!(first("c"), Some((at(7, 20), at(7, 50))));
    assert_eq!(first("e"), Some((at(7, 20), at(7, 24))));
    assert_eq!(first("d"), Some((at(7, 50), at(8, 0))));
}

/// A shift of 60 min, a push every 25 on its grid: signals at 06:25 and 06:50, and in the hour of overtime that is decided at
/// 06:55 at 07:15 and 07:40. The next day begins anew: 06:25; so does a day without overtime after it.
#[test]
fn a_grid_goes_on_in_overtime() {
    let line = line_of(
        "line \"Grid\"\nshift day 06:00 to 07:00\novertime day 60 min when under 9 units at 06:55, at most 1 days a week\n\
         release saturated\nstation S1 crew 1\ntask a takes 2 min by 1 at S1\nsegment t S1 to S1 pushed every 25 min on the grid\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::DAY + at(6, 59)));
    let pushes: Vec<Time> =
        events.iter().filter(|(_, e)| matches!(e, Event::Pushed { .. })).map(|(at, _)| *at).collect();
    let monday = [at(6, 25), at(6, 50), at(7, 15), at(7, 40)];
    let tuesday = [at(6, 25), at(6, 50)].map(|time| Time::DAY + time);
    assert_eq!(pushes, [&monday[..], &tuesday[..]].concat());
}

/// The same grid with a second station, the crew of which begins 3 min early: before the signals of 06:50, and of 07:15
/// and 07:40, which fall in the overtime that is decided at 06:55.
#[test]
fn crews_begin_early_before_the_signals_of_overtime() {
    let line = line_of(
        "line \"Grid\"\nshift day 06:00 to 07:00\novertime day 60 min when under 9 units at 06:55, at most 1 days a week\n\
         release saturated\nstation S1 crew 1\nstation S2 crew 1 drift 3 min early\ntask a takes 2 min by 1 at S1\n\
         task b takes 10 min by 1 after a at S2\nsegment t S1 to S2 pushed every 25 min on the grid\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::DAY + at(6, 30)));
    let b = [(0, at(6, 47), at(6, 57)), (1, at(7, 12), at(7, 22)), (2, at(7, 37), at(7, 47))];
    let next_day = (3, Time::DAY + at(6, 22), Time::DAY + at(6, 32));
    assert_eq!(ended(&line, &events, "b"), b);
    let (_, events) = record(&line, Horizon::For(Time::DAY + at(6, 33)));
    assert_eq!(ended(&line, &events, "b")[3], next_day);
}
