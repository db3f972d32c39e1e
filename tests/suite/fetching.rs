//! Equipment that is fetched from where it was last used, and who gets it first: worked by hand.

use crate::by_hand::{ended, finishes, min};
use crate::follow::text::{line_of, record};
use taktwright::simulate::Horizon;
use taktwright::units::Time;

fn text(crane: &str) -> String {
    format!(
        "line \"Crane\"\nrelease saturated\nstart empty\nequipment crane 1  {crane}\n\
         station P1 crew 1\nstation P2 crew 1\n\
         task a  takes 5 min  by 1  with crane  at P1\ntask b  takes 5 min  by 1  with crane  after a  at P2\n"
    )
}

/// The crane has not been used: a of unit 0 from 0 to 5. At 5 unit 0 is at P2 and unit 1 at P1; the last place
/// goes first: b fetches the crane, 2 + 5 min to 12; then a of unit 1 fetches it back, 12 to 19. So one unit
/// leaves every 2 (5 + 2) = 14 min.
#[test]
fn whoever_takes_a_crane_that_stands_elsewhere_fetches_it_first() {
    let line = line_of(&text("moving 2 min"));
    let (report, events) = record(&line, Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, min(12)), (1, min(26)), (2, min(40))]);
    assert_eq!(ended(&line, &events, "a")[..2], [(0, min(0), min(5)), (1, min(12), min(19))]);
    // Taken on its way, too; and so are those who fetch it.
    assert_eq!(report.equipment_busy[0], min(40).0);
    assert_eq!(report.crews[1].busy, min(3 * 7).0);
    let (_, events) = record(&line_of(&text("")), Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, min(10)), (1, min(20)), (2, min(30))]);
}

/// Now a goes first: at 5 unit 1 has the crane, which stands there, to 10, and is blocked; b of unit 0 fetches it,
/// 10 to 17. At 17 a of unit 2 goes first again, 2 + 5 to 24, then b of unit 1 to 31.
#[test]
fn a_task_lets_those_that_go_first_have_the_crane() {
    let line = line_of(&text("moving 2 min  first a then b"));
    let (_, events) = record(&line, Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, min(17)), (1, min(31)), (2, min(45))]);
    let a = ended(&line, &events, "a");
    assert_eq!(a[..3], [(0, min(0), min(5)), (1, min(5), min(10)), (2, min(17), min(24))]);
}

/// Unit 0 is done at 06:05, the count is made, and the crew of P2 goes home. Units 1 and 2 stand at P1. c of unit 1
/// from 06:07 to 06:11; it goes on to P2, where nobody is any more to begin b: so c of unit 2, ready at 06:18, need
/// not let b have the crane first, and is done at 06:22.
#[test]
fn nobody_waits_for_a_crew_that_has_gone_home() {
    let line = line_of(
        "line \"Crane\"\nshift day 06:00 to 14:00  home after 1 units\nrelease saturated\nstart full\n\
         equipment crane 1  first b then c\nstation P1 crew 1 bays 2\nstation P2 crew 1\n\
         task a  takes 7 min  by 1  at P1\ntask c  takes 4 min  by 1  with crane  after a  at P1\n\
         task b  takes 5 min  by 1  with crane  after c  at P2\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::DAY));
    let at = |minutes: i64| min(6 * 60 + minutes);
    assert_eq!(ended(&line, &events, "b"), [(0, at(0), at(5))]);
    assert_eq!(ended(&line, &events, "c"), [(1, at(7), at(11)), (2, at(18), at(22))]);
}

/// Units of B and A in turn, two people at each place. At P1 unit 0 has f to 10, e to 12, then unit 1 has a to 13; unit 2 f
/// from 12 to 22, and e waits for both people. At 13 b of unit 0 waits at P2 for both, as one is at d from 12 to 22, and
/// keeps the other one from c of unit 1: that a of unit 3, which e keeps from starting, would go before it changes nothing
/// as long as b lacks people. At 22 b could start and lets a go first, and c has one of the two; but e has both of P1's, and
/// a begins at 24.
#[test]
fn a_task_that_lacks_people_lets_nobody_go_first() {
    let line = line_of(
        "line \"Turns\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern B, A\nrelease saturated\nstart empty\n\
         equipment rig 1  first a then b\nstation P1 crew 2 bays 2\nstation P2 crew 2 bays 2\n\
         task f takes 10 min by 1 only B at P1\ntask e takes 2 min by 2 only B at P1\n\
         task a takes 1 min by 1 with rig only A at P1\ntask d takes 10 min by 1 only B at P2\n\
         task b takes 1 min by 2 with rig only B at P2\ntask c takes 2 min by 1 only A at P2\n",
    );
    let (_, events) = record(&line, Horizon::For(min(26)));
    assert_eq!(ended(&line, &events, "a"), [(1, min(12), min(13)), (3, min(24), min(25))]);
    assert_eq!(ended(&line, &events, "c"), [(1, min(22), min(24))]);
}
