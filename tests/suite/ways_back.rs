//! Units that return along a pushed segment in which late work travels: worked by hand.

use crate::by_hand::{ended, finishes, min};
use crate::follow::text::{line_of, record};
use taktwright::simulate::Horizon;
use taktwright::units::Time;

/// Three stations pushed every 10 min in no time, two nuts every 33 min; at S1 r takes 9 min, then t 5 min and a nut; t may
/// travel to S3, at twice the time. A minute's work is tested, and every unit goes back once, to do r again at S1.
fn first_two(tested_at: &str) -> Vec<(u64, Time)> {
    let line = line_of(&format!(
        "line \"Back\"\nmodel A 100 %\nrelease saturated\nstart empty\n\
         supply nuts in lots of 2 every 33 min  store of 10\n\
         station S1 crew 1\nstation S2 crew 2\nstation S3 crew 2\n\
         segment all S1 to S3  pushed every 10 min, late work travels\n\
         task r takes 9 min by 1 at S1\ntask t takes 5 min by 1 after r uses nuts may travel to S3 x 2 at S1\n\
         task b takes 1 min by 1 at {tested_at}\n\
         test q of b at {tested_at} passes 0 %, again 100 %\n  on fail 100 % back to S1 redo r\n"
    ));
    let (_, events) = record(&line, Horizon::Units(2));
    finishes(&events)[..2].to_vec()
}

/// Unit 0 is at S1 from 10 on, r to 19, and there are no nuts. At S2 it fails at 21, and leaves with t undone. 30: into S1,
/// as unit 1 goes to S2 and fails there at 31; r to 39, t with a nut of 33. At the signal of 40 its last 4 min may travel,
/// for S2 is where it goes next: it goes there with the push, and unit 1 comes in behind it. It passes at 41, t is done
/// at 48, and the pushes of 50 and 60 take it out; unit 1, ten minutes later.
#[test]
fn late_work_travels_to_the_next_stop_of_a_way_back() {
    assert_eq!(first_two("S2"), [(0, min(60)), (1, min(70))]);
}

/// Tested at S3: unit 0 fails there at 31, without its nut; those of 33 are for units 1 (t from 33 to 43) and 2 (from 39,
/// 8 min of it from 40 on at S2). Unit 0 is at S1 from 40 on, r to 49. S2 is no stop of its way: at the signal of 50 it
/// holds the line, until the nuts of 66 let it do t, at its own place again, to 71. It goes with the push of 71 into S3, which unit 1 has left,
/// and passes at 72; unit 2 stands still at S2. Out at 81, as unit 1 comes into S1; r to 90, with the push of 91 into S3,
/// from which unit 2 has gone back, and out at 101.
#[test]
fn late_work_does_not_travel_past_the_next_stop_of_a_way_back() {
    assert_eq!(first_two("S3"), [(0, min(81)), (1, min(101))]);
}

/// Nobody at S2 can do t: unit 0 is at S1 at 10, r to 13 and 7 of t's 12 min to 20; 5 x 1.5 are left. It fails at S2 at 21
/// and is at S1 again at 30: r to 33, then the 7.5 min, of which half a minute is left at 40, and no factor any more. It
/// passes at S2, and half a minute at S3 ends t at 50.5.
#[test]
fn what_had_begun_goes_on_where_it_began() {
    let line = line_of(
        "line \"Back\"\nmodel A 100 %\nrelease saturated\nstart empty\npeople fitters 2\npeople hands 1\n\
         station S1 crew 1 fitters\nstation S2 crew 1 hands\nstation S3 crew 1 fitters\n\
         segment all S1 to S3  pushed every 10 min, late work travels\n\
         task r takes 3 min by 1 fitters at S1\ntask t takes 12 min by 1 fitters after r may travel to S3 x 1.5 at S1\n\
         task b takes 1 min by 1 hands at S2\n\
         test q of b at S2 passes 0 %, again 100 %\n  on fail 100 % back to S1 redo r\n",
    );
    let (_, events) = record(&line, Horizon::Units(1));
    assert_eq!(ended(&line, &events, "r")[..2], [(0, min(10), min(13)), (1, min(20), min(23))]);
    assert_eq!(ended(&line, &events, "t"), [(0, min(50), Time(3_030_000_000))]);
    assert_eq!(finishes(&events), [(0, min(60))]);
}
