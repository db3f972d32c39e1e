//! Equipment that stays with a unit: what it keeps covers what its tasks use, worked by hand.

use crate::by_hand::{ended, min};
use crate::follow::text::{line_of, record};
use taktwright::simulate::Horizon;
use taktwright::units::Time;

/// One rig, two bays, people enough. d of unit 0 has it from 0 to 12, and from 0 on it is kept: a needs no other, 0 to 5. c
/// asks for it, too, and the one kept is in d's hands: it waits until 12, and ends at 17. Then unit 1 has it.
#[test]
fn a_piece_that_is_kept_does_for_one_task_at_a_time() {
    let line = line_of(
        "line \"Rig\"\nrelease saturated\nstart empty\nequipment rig 1\nstation A crew 8 bays 2\n\
         task a  takes 5 min  by 1  at A\ntask c  takes 5 min  by 1  with rig  after a  at A\n\
         task d  takes 12 min  by 1  with rig  at A\nkeep rig from a to c\n",
    );
    let (report, events) = record(&line, Horizon::For(min(34) + Time(1)));
    assert_eq!(ended(&line, &events, "d"), [(0, min(0), min(12)), (1, min(17), min(29))]);
    assert_eq!(ended(&line, &events, "c"), [(0, min(12), min(17)), (1, min(29), min(34))]);
    assert_eq!(report.equipment_busy[0], min(34).0 + 1);
}

/// As above, and d takes 12 min beside c, which needs no rig: when c ends what was kept until then, d still has it.
#[test]
fn a_piece_that_was_kept_is_free_when_the_last_task_that_uses_it_ends() {
    let line = line_of(
        "line \"Rig\"\nrelease saturated\nstart empty\nequipment rig 1\nstation A crew 8 bays 2\n\
         task a  takes 5 min  by 1  at A\ntask c  takes 5 min  by 1  after a  at A\n\
         task d  takes 12 min  by 1  with rig  at A\nkeep rig from a to c\n",
    );
    let (report, events) = record(&line, Horizon::For(min(24) + Time(1)));
    assert_eq!(ended(&line, &events, "c"), [(0, min(5), min(10)), (1, min(17), min(22))]);
    assert_eq!(ended(&line, &events, "d"), [(0, min(0), min(12)), (1, min(12), min(24))]);
    assert_eq!(report.equipment_busy[0], min(24).0 + 1);
}

/// A rig that is kept from the start of a hold: there is one, so the hold of unit 1 waits for it. a to 1 for both; h of unit 0
/// to 11, c to 13: then h of unit 1 to 23.
#[test]
fn a_hold_from_which_equipment_is_kept() {
    let line = line_of(
        "line \"Rig\"\nrelease saturated\nstart empty\nequipment rig 1\nstation A crew 8 bays 2\n\
         task a  takes 1 min  by 1  at A\nhold h  at least 10 min  after a  at A\n\
         task c  takes 2 min  by 1  after h  at A\nkeep rig from h to c\n",
    );
    let (_, events) = record(&line, Horizon::For(min(26)));
    assert_eq!(ended(&line, &events, "h"), [(0, min(1), min(11)), (1, min(13), min(23))]);
}

/// From 06:00 on, and nobody is there after 06:20: a to 06:01, h of unit 0 to 06:16, when the rig is free. b needs it, too, and
/// waits as long as h of unit 1, but a hold goes first: h of unit 1 to 06:31, b of unit 0 in the next shift.
#[test]
fn a_hold_takes_what_is_kept_from_it_at_any_time_and_before_tasks() {
    let line = line_of(
        "line \"Rig\"\nshift day 06:00 to 06:20\nrelease saturated\nequipment rig 1\nstation A crew 8 bays 3\n\
         task a  takes 1 min  by 1  at A\nhold h  at least 15 min  after a  at A\n\
         task b  takes 1 min  by 1  with rig  after h  at A\nkeep rig from h to h\n",
    );
    let (_, events) = record(&line, Horizon::For(min(24 * 60 + 365)));
    let day = min(24 * 60);
    let at = |minutes: i64| min(360 + minutes);
    let holds = ended(&line, &events, "h");
    // The third begins at night, as the second ends.
    assert_eq!(holds[..3], [(0, at(1), at(16)), (1, at(16), at(31)), (2, at(31), at(46))]);
    assert_eq!(
        ended(&line, &events, "b")[..2],
        [(0, day + at(0), day + at(1)), (1, day + at(1), day + at(2))]
    );
}
