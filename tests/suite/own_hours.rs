//! Feeders with hours of their own: cases worked by hand to the microsecond, and what must not differ.

use crate::by_hand::{Events, at, ended, min};
use crate::follow::text::{line_of, record};
use taktwright::line::Line;
use taktwright::simulate::{BayState, Event, Horizon, Replication};
use taktwright::units::Time;

fn stored(events: &Events) -> Vec<Time> {
    events.iter().filter(|(_, event)| matches!(event, Event::Stored { .. })).map(|(at, _)| *at).collect()
}

/// Start and end of every piece of work of that name.
fn ran(line: &Line, events: &Events, name: &str) -> Vec<(Time, Time)> {
    ended(line, events, name).iter().map(|(_, start, end)| (*start, *end)).collect()
}

fn spent(line: &Line, report: &Replication, name: &str, state: BayState) -> Time {
    let place =
        line.places.iter().position(|place| place.name == name).expect("the place stands in the file");
    Time(report.places[place].states[state as usize])
}

const NIGHT: &str = "line \"trays\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
    station S  crew 1\ntask a  takes 60 min  by 1  uses 1 x\n\
    feeder x store of 10 {\n  shift night 22:00 to 06:00 on mon to fri\n\
    station P  crew 1\n  task p  takes 60 min  by 1\n}\n";

/// The line works from 06:00 to 14:00, its tray shop from 22:00 to 06:00; both take an hour for one.
///
/// Nothing is there on Monday: unit 0 waits all shift long. At night trays are done at 23:00, 00:00 ... 05:00 and 06:00;
/// the last one is in time, but nobody takes it away before 22:00. So seven units are made on Tuesday, from 06:00 to
/// 13:00, and the eighth waits. In the next night that tray goes in at 22:00, and seven more at 23:00 ... 05:00.
#[test]
fn a_night_shift_fills_the_store_for_the_day() {
    let line = line_of(NIGHT);
    let (report, events) = record(&line, Horizon::For(at(2, 6, 0)));
    let night = |day: i64| (0..7).map(move |k| at(day, 23 + k, 0));
    let wanted: Vec<Time> = night(0).chain([at(1, 22, 0)]).chain(night(1)).collect();
    assert_eq!(stored(&events), wanted);
    let units: Vec<(Time, Time)> = (6..13).map(|h| (at(1, h, 0), at(1, h + 1, 0))).collect();
    assert_eq!(ran(&line, &events, "a"), units);
    assert_eq!((report.net, &report.own_net[..]), (Time::HOUR * 16, &[Time::HOUR * 16][..]));
    assert_eq!(spent(&line, &report, "P", BayState::Working), Time::HOUR * 16, "in its own hours");
    assert_eq!(spent(&line, &report, "S", BayState::Working), Time::HOUR * 7);
    assert_eq!(spent(&line, &report, "S", BayState::ShortOfParts), Time::HOUR * 9);
    let busy: Vec<i64> = report.crews.iter().map(|crew| crew.busy).collect();
    assert_eq!(busy, [(Time::HOUR * 7).0, (Time::HOUR * 16).0]);
}

/// A feeder from 08:00 to 12:00 on Saturdays only, with a break from 10:00 to 10:15; 50 min for one.
///
/// Done at 08:50, 09:40 and, over the break, at 10:45; at 11:35; the fifth has 25 min left at noon and is done on
/// the next Saturday at 08:25. The line finds four on the second Monday, and a fifth nine days later.
#[test]
fn a_feeder_works_on_days_on_which_the_line_does_not() {
    let line = line_of(
        "line \"saturday\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 12:00 on mon to fri\n\
         station S  crew 1\ntask a  takes 30 min  by 1  uses 1 x\n\
         feeder x store of 10 {\n  shift extra 08:00 to 12:00 on sat  break 10:00 lasting 15 min\n\
         station P  crew 1\n  task p  takes 50 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(at(14, 7, 0)));
    let first = [(8, 50), (9, 40), (10, 45), (11, 35)].map(|(h, m)| at(5, h, m));
    assert_eq!(stored(&events)[..5], [&first[..], &[at(12, 8, 25)]].concat());
    let units: Vec<(Time, Time)> = (0..4).map(|k| (at(7, 6, 30 * k), at(7, 6, 30 * k + 30))).collect();
    assert_eq!(ran(&line, &events, "a")[..4], units);
    assert_eq!(ran(&line, &events, "a")[4], (at(14, 6, 0), at(14, 6, 30)));
    // Two Saturdays of 3 h 45 min.
    assert_eq!(report.own_net, [min(450)]);
}

/// Everybody is away on Tuesdays. Whoever began the night on Monday works until Tuesday 06:00; on Tuesday nobody
/// comes, neither at 06:00 to the line nor at 22:00 to the tray shop. Its last tray, done at 06:00, goes in at 22:00 all
/// the same: what moves by itself needs nobody. So eight are there on Wednesday.
#[test]
fn who_is_away_is_drawn_at_the_start_of_each_ones_own_shift() {
    let text = format!("people day-fitters 1\npeople night-fitters 1\nabsent 0 %, tue 100 %\n{NIGHT}");
    let text =
        text.replace("S  crew 1", "S  crew 1 day-fitters").replace("P  crew 1", "P  crew 1 night-fitters");
    let line = line_of(&text);
    let (report, events) = record(&line, Horizon::For(at(3, 5, 0)));
    let trays: Vec<Time> = ran(&line, &events, "p").iter().map(|(start, _)| *start).collect();
    assert_eq!(trays[..8], (0..8).map(|k| at(0, 22 + k, 0)).collect::<Vec<Time>>());
    assert_eq!(trays[8], at(2, 22, 0));
    let units: Vec<(Time, Time)> = (6..14).map(|h| (at(2, h, 0), at(2, h + 1, 0))).collect();
    assert_eq!(ran(&line, &events, "a"), units);
    // Eight hours of each.
    assert_eq!(report.group_absent, [(Time::HOUR * 8).0, (Time::HOUR * 8).0]);
    assert_eq!(report.crews.iter().map(|c| (c.shifts, c.short_shifts)).collect::<Vec<_>>(), [(3, 1), (3, 1)]);
}

/// The line stays two hours longer on Monday; its feeder, which works from 06:00 to 13:00, does not. Its piece of
/// 8 h has 1 h left at 13:00 and is done on Tuesday at 07:00. The line's own of 7 h is done at 13:00, in overtime.
#[test]
fn overtime_of_the_line_moves_nothing_in_other_hours() {
    let line = line_of(
        "line \"longer\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 12:00 on mon to fri\n\
         overtime day 120 min when under 9 units at 11:00, times x 2\n\
         station S  crew 1\ntask a  takes 420 min  by 1\nstation U crew 1\ntask b takes 1 min by 1 uses 1 x after a\n\
         feeder x store of 10 {\n  shift own 06:00 to 13:00 on mon to fri\n\
         station P  crew 1\n  task p  takes 480 min  by 1\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(at(1, 8, 0)));
    assert_eq!(ran(&line, &events, "a")[0], (at(0, 6, 0), at(0, 13, 0)));
    assert_eq!(ran(&line, &events, "p")[0], (at(0, 6, 0), at(1, 7, 0)));
}

/// A place of the feeder breaks down after 2 h of net time, for 30 min of net time; its hours are 06:00 to 08:00 and 20:00
/// to 22:00. So it stops at the end of the morning and is mended at 20:30; then on Tuesday at 06:30 and at 21:00.
#[test]
fn stops_count_in_the_hours_of_their_place() {
    let line = line_of(
        "line \"stops\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
         station S  crew 1\ntask a  takes 60 min  by 1  uses 1 x\n\
         feeder x store of 90 {\n  shift one 06:00 to 08:00\n  shift two 20:00 to 22:00\n\
         station P  crew 1  stopping every 120 min of net time for 30 min of net time\n  task p  takes 40 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(at(2, 0, 0)));
    let of = |wanted: fn(&Event) -> bool| -> Vec<Time> {
        events.iter().filter(|(_, event)| wanted(event)).map(|(at, _)| *at).collect()
    };
    assert_eq!(of(|e| matches!(e, Event::Stopped { .. })), [at(0, 8, 0), at(1, 6, 30), at(1, 21, 0)]);
    assert_eq!(of(|e| matches!(e, Event::Mended { .. })), [at(0, 20, 30), at(1, 7, 0), at(1, 21, 30)]);
    assert_eq!(report.stops[0].net, min(90));
    assert_eq!(report.own_net, [Time::HOUR * 8]);
}

/// With the hours of the line said once more in its braces, a feeder does what it did without: to the count.
#[test]
fn the_same_hours_said_twice_change_nothing() {
    let hours = "06:00 to 14:00 on mon to fri  break 08:30 lasting 10 min  meal 11:00 lasting 30 min  clean-up 7 min\n";
    let text = |own: &str| {
        format!(
            "line \"twice\"\nmodel A 60 %\nmodel B 40 %\nrelease every exponential mean 25 min\nshift day {hours}\
             equipment saw 1\nstation S  crew 1\ntask a  takes 12/20/25 min  by 1  uses 1 x  with saw\n\
             feeder x store of 4  in trucks of 2 every 30 min  builds 6 units ahead  wrong 10 %, re-kitted in 9 min {{\n{own}\
             station P  crew 1  stopping 2 per shift for 4/9/20 min of net time\n  task p  takes 8/14/21 min  for B x 1.3  by 1  with saw\n\
             station Q  crew 2  slots 1\n  task q  takes 5/9/12 min  by 2  after p  through breaks\n  hold h  at least 25 min  after q\n\
             test v  of q  passes 90 %  on fail back to P  at most 3 tries\n}}\n"
        )
    };
    let once = line_of(&text(""));
    let twice = line_of(&text(&format!("shift own {hours}")));
    let counted = |line: &Line| {
        let (mut report, _) = record(line, Horizon::For(Time::DAY * 26));
        assert_eq!(report.own_net, vec![report.net; line.own_hours.len()]);
        (report.own_net, report.events) = (Vec::new(), 0);
        report
    };
    assert_eq!(counted(&once), counted(&twice));
    let loads = |line: &Line| -> Vec<f64> {
        taktwright::balance::loads(line).iter().map(|load| load.mean_share(line)).collect()
    };
    assert_eq!(loads(&once), loads(&twice));
}

/// Operational analysis (Denning and Buzen, ACM Computing Surveys 10, 1978; from memory): the share of its time in which a place
/// works is its throughput times the time of one piece. The time is the feeder's own.
///
/// A part an hour is wanted in 40 h of a week; one takes 15 min in 20 h of a week: half of them. The pace of the line is
/// 60 min, and so the window of a part is 30.
#[test]
fn a_place_works_throughput_times_service_of_its_own_time() {
    let line = line_of(
        "line \"law\"\nmodel A 100 %\npace 60 min\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
         station S  crew 1\ntask a  takes 60 min  by 1  uses 1 x\n\
         feeder x store of 20, 20 at start {\n  shift own 04:00 to 08:00 on mon to fri\n\
         station P  crew 1\n  task p  takes 15 min  by 1\n}\n",
    );
    let (report, _) = record(&line, Horizon::For(Time::WEEK * 4));
    assert_eq!((report.net, report.own_net[0]), (Time::HOUR * 160, Time::HOUR * 80));
    let works = spent(&line, &report, "P", BayState::Working);
    // One more is done and waits for room.
    assert_eq!(works, min(15) * i64::try_from(report.feeders[0].made + 1).expect("few parts"));
    // 160 are taken; at the end the store is as full as it can be by 08:00 on Friday: 6 are missing.
    assert_eq!(report.feeders[0].made, 160 - 6);
    let loads = taktwright::balance::loads(&line);
    let load = loads.iter().find(|load| line.places[load.place.index()].name == "P").expect("P has work");
    assert!((load.window / 60e6 - 30.0).abs() < 1e-9, "{load:?}");
}

/// The crane goes to p of the feeder before a of the line; the feeder is attended from 06:00 to 06:15, the line from 06:00
/// to 07:00. q is done at 06:15, when nobody is there any more for p: so a has the crane all shift long, six times.
/// On day 1 p goes first, 06:00 to 06:05, then a.
#[test]
fn nobody_lets_those_go_first_whose_hours_are_over() {
    let line = line_of(
        "line \"crane\"\nrelease saturated\nshift day 06:00 to 07:00\nequipment crane 1 first p then a\n\
         station S  crew 1\ntask a  takes 10 min  by 1  with crane\n\
         feeder x store of 10 {\n  shift own 06:00 to 06:15\n  station P  crew 1\n\
         task q  takes 15 min  by 1\n  task p  takes 5 min  by 1  after q  with crane\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(at(1, 6, 20)));
    assert_eq!(ran(&line, &events, "p"), [(at(1, 6, 0), at(1, 6, 5))]);
    let mut wanted: Vec<(Time, Time)> = (0..6).map(|k| (at(0, 6, 10 * k), at(0, 6, 10 * (k + 1)))).collect();
    wanted.push((at(1, 6, 5), at(1, 6, 15)));
    assert_eq!(ran(&line, &events, "a"), wanted);
}

/// The night shift has two hours. Its lead may help for a quarter of them: three parts of two tasks of ten minutes take
/// ten minutes each, four more twenty; of the eighth one task is done at 22:00, and the other on the next night by the
/// crew. Then the lead has another half hour: three parts until 20:40, four more until 22:00.
#[test]
fn who_helps_a_feeder_is_there_in_its_hours() {
    let line = line_of(
        "line \"help\"\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
         people fitters 1\npeople welders 1\npeople leads 1 helping up to 25 %, covering P\n\
         station S  crew 1 fitters\ntask a  takes 90 min  by 1  uses 1 x\n\
         feeder x store of 90 {\n  shift own 20:00 to 22:00\n  station P  crew 1 welders\n\
         task p  takes 10 min  by 1\n  task q  takes 10 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(at(2, 0, 0)));
    let first = [(20, 10), (20, 20), (20, 30), (20, 50), (21, 10), (21, 30), (21, 50)];
    let next = [(20, 10), (20, 20), (20, 30), (20, 40), (21, 0), (21, 20), (21, 40)];
    let mut wanted: Vec<Time> = first.map(|(h, m)| at(0, h, m)).to_vec();
    wanted.extend(next.map(|(h, m)| at(1, h, m)));
    // What is done at 22:00 goes in at 20:00.
    assert_eq!(stored(&events), wanted);
    let help = &report.helping[0];
    assert_eq!((help.tasks, help.busy), (6, min(60).0));
    assert_eq!(report.own_net, [Time::HOUR * 4]);
}

/// Of two welders one works from 01:00 to 02:00 only. The floater of their feeder sits in then, in its hours, and p goes on;
/// one who covers the line has nobody to sit in for.
#[test]
fn floaters_of_a_feeder_sit_in_by_its_shifts() {
    let line = |covering: &str| {
        line_of(&format!(
            "line \"float\"\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
             people fitters 1\npeople welders 2\nfloaters 1 covering {covering}\n\
             station S  crew 1 fitters\ntask a  takes 90 min  by 1  uses 1 x\n\
             feeder x store of 90 {{\n  shift one 00:00 to 01:00\n  shift two 01:00 to 02:00 with 1 welders\n  \
             station P  crew 2 welders\n  task p  takes 20 min  by 2 exactly\n}}\n"
        ))
    };
    let (report, events) = record(&line("P"), Horizon::For(Time::DAY));
    assert_eq!(stored(&events).len(), 5, "the sixth is done as the hours end");
    assert_eq!(report.floaters[0].standing_in, Time::HOUR.0);
    let (report, events) = record(&line("S"), Horizon::For(Time::DAY));
    assert_eq!(stored(&events).len(), 3, "from one on there is nobody for the second seat");
    assert_eq!(report.floaters[0].standing_in, 0);
}
