//! Feeders that make lots: cases worked by hand to the microsecond, and the textbook's capacity.

use crate::by_hand::{Events, ended, min};
use crate::follow::text::{line_of, record};
use taktwright::line::Line;
use taktwright::simulate::Horizon;
use taktwright::units::Time;

/// Start and end of every piece of work of that name.
fn ran(line: &Line, events: &Events, name: &str) -> Vec<(Time, Time)> {
    ended(line, events, name).iter().map(|(_, start, end)| (*start, *end)).collect()
}

fn spans<const N: usize>(minutes: [(i64, i64); N]) -> [(Time, Time); N] {
    minutes.map(|(from, to)| (min(from), min(to)))
}

/// Set up for 10 min, then three parts of 4 min each; the line takes one every 6 min.
///
/// Parts are done at 14, 18, 22, then the place is set up from 22 to 32: 36, 40, 44, and 58. Unit 0 from 14 to 20,
/// unit 1 to 26, unit 2 to 32; unit 3 waits for 36.
///
/// Hopp and Spearman, Factory Physics (from memory): a place that is set up for s before every lot of n parts of t each
/// makes n in s + n t; a part takes s / n + t of its time.
#[test]
fn a_lot_is_set_up_once() {
    let line = line_of(
        "line \"lots\"\nmodel A 100 %\npace 8 min\nrelease saturated\nstation S  crew 1\ntask a  takes 6 min  by 1  uses 1 x\n\
         feeder x store of 10  in lots of 3 {\n  station P  crew 1\n  task h  takes 10 min  by 1  once a lot\n\
         task p  takes 4 min  by 1  after h\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(60)));
    assert_eq!(ran(&line, &events, "h"), spans([(0, 10), (22, 32), (44, 54)]));
    let parts = [(10, 14), (14, 18), (18, 22), (32, 36), (36, 40), (40, 44), (54, 58)];
    assert_eq!(ran(&line, &events, "p"), spans(parts));
    let units = [(14, 20), (20, 26), (26, 32), (36, 42), (42, 48), (48, 54)];
    assert_eq!(ran(&line, &events, "a"), spans(units));
    assert_eq!((report.feeders[0].lots, report.feeders[0].made), (3, 7));
    let loads = taktwright::balance::loads(&line);
    let load = loads.iter().find(|load| line.places[load.place.index()].name == "P").expect("P has work");
    let (s, n, t) = (10.0, 3.0, 4.0);
    assert!((load.mean_share(&line) - (s / n + t) / 8.0).abs() < 1e-12, "{load:?}");
    assert!((load.mean_labour(&line) / 60e6 - (s / n + t)).abs() < 1e-9, "{load:?}");
}

/// Pattern A B, two of one model in a row, four units known ahead; the line takes 10 min.
///
/// At 0 the orders of A B A B are there, and that of unit 4 (A) when unit 0 enters. A and A: set up to 5, done at 8
/// and 11. B and B: set up from 11 to 16, done at 19 and 22. Unit 0 has its part at 8 and goes on at 18, unit 1 waits
/// for its own to 19. From 22 A for unit 4; that for unit 6 is known at 29, when unit 2 enters, and joins the lot.
#[test]
fn a_lot_is_of_one_model_as_far_as_orders_are_known() {
    let line = line_of(
        "line \"models\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\nstation S  crew 1\n\
         task a  takes 10 min  by 1  uses 1 x\n\
         feeder x store of 9  builds 4 units ahead  in lots of 2 {\n  station P  crew 1\n\
         task h  takes 5 min  by 1  once a lot\n  task p  takes 3 min  by 1  after h\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(min(45)));
    assert_eq!(ran(&line, &events, "h"), spans([(0, 5), (11, 16), (22, 27), (33, 38)]));
    let parts = [(5, 8), (8, 11), (16, 19), (19, 22), (27, 30), (30, 33), (38, 41), (41, 44)];
    assert_eq!(ran(&line, &events, "p"), spans(parts));
    assert_eq!(ran(&line, &events, "a"), spans([(8, 18), (19, 29), (29, 39)]));
}

/// A, B and C in turn and only two units known ahead: there is never a second order of a model, every lot is of one.
#[test]
fn a_lot_without_another_order_of_its_model_is_over() {
    let line = line_of(
        "line \"short lots\"\nmodel A 34 %\nmodel B 33 %\nmodel C 33 %\nsequence pattern A B C\nrelease saturated\n\
         station S  crew 1\ntask a  takes 10 min  by 1  uses 1 x\n\
         feeder x store of 3  builds 2 units ahead  in lots of 2 {\n  station P  crew 1\n\
         task h  takes 5 min  by 1  once a lot\n  task p  takes 3 min  by 1  after h\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(25)));
    assert_eq!(ran(&line, &events, "h"), spans([(0, 5), (8, 13), (16, 21)]));
    assert_eq!(ran(&line, &events, "p"), spans([(5, 8), (13, 16), (21, 24)]));
    assert_eq!(report.feeders[0].lots, 4, "the fourth part, for unit 3, was begun at 24");
}

/// Work that is done once a lot may stand at a later place: it is done as the first part of a lot comes there.
#[test]
fn later_places_are_set_up_as_the_first_part_comes() {
    let line = line_of(
        "line \"two\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 1 min  by 1  uses 1 x\n\
         feeder x store of 10  in lots of 2 {\n  station P  crew 1\n  task p  takes 4 min  by 1\n\
         station Q  crew 1\n  task h  takes 7 min  by 1  once a lot  after p\n  task q  takes 2 min  by 1  after h\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(min(32)));
    // Part 1 is done at 8 and keeps P to 13; part 2 is then done at 17, and is the first one of the next lot.
    assert_eq!(ran(&line, &events, "h"), spans([(4, 11), (17, 24)]));
    assert_eq!(ran(&line, &events, "q"), spans([(11, 13), (13, 15), (24, 26), (26, 28)]));
}

/// The line of the kits that are re-kitted where a unit is overtaken, in lots of two: A takes 3 min at S1, B 2. B, unit 1,
/// has its kit at S2 from 2 to 3; unit 0 comes at 3 and is not overtaken, for kits of one model lie together. Where every
/// kit is for the wrong model each has its own 3 min: unit 1 from 5 on, and unit 0, in a bay of its own, from 6 on.
#[test]
fn nobody_is_overtaken_where_kits_come_in_lots() {
    let text = |share: &str| {
        format!(
            "line \"turn\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\n\
             station S1  crew 2  bays 2\nstation S2  crew 2  bays 2\ntask a  takes 3 min for B 2 min by 1  at S1\n\
             task k  takes 1 min  by 1  after a  uses 1 kits  at S2\n\
             feeder kits store of 9, 4 at start  builds 4 units ahead  in lots of 2  wrong {share}, re-kitted in 3 min {{\n\
               station P  crew 1\n  task p  takes 1 min  by 1\n}}\n"
        )
    };
    let line = line_of(&text("0.00001 %"));
    let (report, events) = record(&line, Horizon::For(min(4) + Time(1)));
    assert_eq!(ran(&line, &events, "k")[..2], spans([(2, 3), (3, 4)]));
    assert_eq!((report.parts[0].wrong, report.parts[0].out_of_turn), (0, 0));
    let line = line_of(&text("100 %"));
    let (report, events) = record(&line, Horizon::For(min(7) + Time(1)));
    assert_eq!(ran(&line, &events, "k")[..2], spans([(5, 6), (6, 7)]));
    assert_eq!(report.parts[0].out_of_turn, 0);
}
