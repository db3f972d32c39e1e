//! Lanes whose first place takes units in turn: who returns and who comes from the row, worked by hand.

use crate::by_hand::{Events, ended, min};
use crate::follow::text::{line_of, record};
use taktwright::line::Line;
use taktwright::simulate::Horizon;
use taktwright::units::Time;

/// Unit and start, in minutes, of every run of a task.
type Starts = Vec<(u64, i64)>;

fn starts(line: &Line, events: &Events, name: &str) -> Starts {
    let of = |(unit, start, _): &(u64, Time, Time)| {
        assert_eq!(*start, min(start.0 / min(1).0), "whole minutes");
        (*unit, start.0 / min(1).0)
    };
    ended(line, events, name).iter().map(of).collect()
}

/// A unit every so many minutes; S before two lanes. What P has done fails the first time and is tested again there.
fn line(every: u32, s: u32, p: &str, q: &str, turn: &str) -> Line {
    line_of(&format!(
        "line \"in turn\"\nrelease every {every} min\nstation S crew 1\ntask s takes {s} min by 1\n\
         lanes ways chosen by the shortest queue\n\
         lane one of ways {{\nstation P crew 1 {turn}\ntask p takes {p} by 1\n\
         test good of p at P passes 0 %, again 100 % on fail retest in queue\n}}\n\
         lane two of ways {{\nstation Q crew 2 {q} by 1\n}}\n\
         station M crew 9 bays 9\ntask m takes 1 min by 1\n"
    ))
}

fn ran(line: &Line, until: i64) -> (Starts, Starts) {
    let (_, events) = record(line, Horizon::For(min(until)));
    (starts(line, &events, "p"), starts(line, &events, "q"))
}

/// Unit 0 is at P from 3 to 8, unit 1 at Q for an hour, unit 2 is done at 7 and waits in S. At 8 unit 0 fails, and unit 2
/// has waited longer: P, to 13. Unit 3 is done at 9. At 13 unit 2 fails: unit 0, since 8, goes before unit 3, and passes
/// at 18. Then unit 3, since 9, goes before unit 2, since 13, and that at 23 before unit 4, done since 19.
///
/// Where returns go first unit 0 is at P again at once, to 13, and so is each.
#[test]
fn who_has_waited_longest_takes_the_bay() {
    let ways = |turn: &str| ran(&line(2, 1, "5 min", "\ntask q takes 60 min", turn), 29);
    let (p, q) = ways("returns in turn");
    assert_eq!(p, [(0, 3), (2, 8), (0, 13), (3, 18), (2, 23)]);
    assert_eq!(q, []);
    let (p, _) = ways("");
    assert_eq!(p, [(0, 3), (0, 8), (2, 13), (2, 18), (3, 23)]);
}

/// Unit 2 is done at S as unit 0 fails, at 8: the one that returns goes first, and unit 2 when it has passed, at 12. A
/// microsecond longer at P, and unit 2 has waited longer.
#[test]
fn of_two_that_begin_to_wait_at_once_the_one_that_returns_goes_first() {
    let (p, _) = ran(&line(2, 2, "4 min", "\ntask q takes 60 min", "returns in turn"), 17);
    assert_eq!(p, [(0, 4), (0, 8), (2, 12)]);
    let later = line(2, 2, "240.000001 s", "\ntask q takes 60 min", "returns in turn");
    let (_, events) = record(&later, Horizon::For(min(17)));
    let found: Vec<(u64, Time)> =
        ended(&later, &events, "p").iter().map(|(u, start, _)| (*u, *start)).collect();
    assert_eq!(found, [(0, min(4)), (2, min(8) + Time(1)), (0, min(12) + Time(2))]);
}

/// Unit 2 waits since 7. At 8 unit 0 fails and unit 1 leaves Q: there nobody is, before P is unit 0. So unit 2 takes Q,
/// and unit 0, for all that it has waited less, P.
#[test]
fn who_goes_to_a_shorter_queue_leaves_the_bay_to_the_one_that_returns() {
    let (p, q) = ran(&line(2, 1, "5 min", "\ntask q takes 3 min", "returns in turn"), 14);
    assert_eq!(p, [(0, 3), (0, 8)]);
    assert_eq!(q[..2], [(1, 5), (2, 8)]);
}

/// Q has two bays, with unit 1 to 7 and unit 2 to 8; unit 3 waits since 5. At 7 unit 0 fails: it stands before P, and one
/// unit is at Q. Of queues alike the first is taken: unit 3 goes to P, before unit 0. Where returns go first P is its own
/// again, and unit 3 takes the bay of Q.
#[test]
fn of_queues_alike_the_first_lane_takes_who_has_waited_longer() {
    let ways = |turn: &str| ran(&line(1, 1, "5 min", "bays 2\ntask q takes 4 min", turn), 13);
    let (p, q) = ways("returns in turn");
    assert_eq!(p, [(0, 2), (3, 7)]);
    assert!(q.starts_with(&[(1, 3), (2, 4)]) && !q.contains(&(3, 7)), "{q:?}");
    let (p, q) = ways("");
    assert_eq!(p, [(0, 2), (0, 7)]);
    assert_eq!(q[..3], [(1, 3), (2, 4), (3, 7)]);
}
