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
