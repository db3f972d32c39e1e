//! The classical case against brute force, published questions and their known answers.

use proptest::prelude::*;
use std::collections::BTreeMap;
use taktwright::balance::classic::{Budget, StoppedBy, Tasks, fewest_stations, shortest_pace};

/// Fewest stations by trying every set of tasks as the next station: shares no code with the search.
fn by_force(times: &[i64], arcs: &[(usize, usize)], capacity: i64) -> usize {
    let n = times.len();
    let mut before = vec![0u32; n];
    arcs.iter().for_each(|(a, b)| before[*b] |= 1 << a);
    let closed = |set: u32| (0..n).all(|k| set >> k & 1 == 0 || before[k] & !set == 0);
    let time = |set: u32| (0..n).filter(|k| set >> k & 1 == 1).map(|k| times[k]).sum::<i64>();
    let all = (1u32 << n) - 1;
    let mut fewest: BTreeMap<u32, usize> = BTreeMap::from([(0, 0)]);
    // Sets in rising order: a part of a set is a smaller number.
    for set in 1..=all {
        if !closed(set) {
            continue;
        }
        let mut part = set;
        let mut best = usize::MAX;
        loop {
            part = part.wrapping_sub(1) & set;
            if let Some(stations) = fewest.get(&part)
                && time(set & !part) <= capacity
            {
                best = best.min(stations + 1);
            }
            if part == 0 {
                break;
            }
        }
        fewest.insert(set, best);
    }
    fewest[&all]
}

fn pace_by_force(times: &[i64], arcs: &[(usize, usize)], stations: usize) -> i64 {
    let longest = times.iter().copied().max().unwrap_or(0).max(1);
    (longest..).find(|c| by_force(times, arcs, *c) <= stations).expect("the sum does in one station")
}

prop_compose! {
    fn questions(most: usize)(n in 1..most)(
        times in prop::collection::vec(0i64..12, n),
        arcs in prop::collection::vec((0..n, 0..n), 0..2 * n),
        spare in 0i64..14,
        turn in any::<bool>(),
    ) -> (Vec<i64>, Vec<(usize, usize)>, i64) {
        let arcs = arcs.into_iter().filter(|(a, b)| a != b);
        // Rising or falling numbers: no circle either way.
        let arcs = arcs.map(|(a, b)| if (a < b) == turn { (a, b) } else { (b, a) }).collect();
        let capacity = times.iter().copied().max().unwrap_or(0).max(1) + spare;
        (times, arcs, capacity)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn fewest_stations_of_small_questions_are_those_of_brute_force((times, arcs, capacity) in questions(9)) {
        let tasks = Tasks::new(times.clone(), &arcs).expect("no circle");
        let answer = fewest_stations(&tasks, capacity, &Budget::default()).expect("every task fits");
        prop_assert!(tasks.accepts(&answer.station_of, answer.stations, capacity));
        prop_assert!(answer.is_proven());
        prop_assert_eq!(answer.stations, by_force(&times, &arcs, capacity));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn shortest_pace_of_small_questions_is_that_of_brute_force(
        (times, arcs, _) in questions(8),
        stations in 1usize..6,
    ) {
        let tasks = Tasks::new(times.clone(), &arcs).expect("no circle");
        let answer = shortest_pace(&tasks, stations, &Budget::default());
        prop_assert!(tasks.accepts(&answer.station_of, stations, answer.pace));
        prop_assert!(answer.is_proven());
        prop_assert_eq!(answer.pace.max(1), pace_by_force(&times, &arcs, stations));
    }

    #[test]
    fn an_answer_does_not_depend_on_the_end_from_which_the_line_is_seen((times, arcs, capacity) in questions(30)) {
        let tasks = Tasks::new(times, &arcs).expect("no circle");
        let there = fewest_stations(&tasks, capacity, &Budget::default()).expect("every task fits");
        let back = fewest_stations(&tasks.reversed(), capacity, &Budget::default()).expect("every task fits");
        prop_assert_eq!(there.stations, back.stations);
        prop_assert!(there.is_proven() && back.is_proven());
    }
}

/// A published question: times, arcs from 1 as printed, and (capacity, fewest stations).
struct Published {
    name: &'static str,
    times: &'static [i64],
    arcs: &'static [(usize, usize)],
    known: &'static [(i64, usize)],
}

/// Scholl, "Data of assembly line balancing problems", Schriften zur Quantitativen Betriebswirtschaftslehre
/// 16/93, TH Darmstadt (1993): the graphs of Bowman 1960, Jackson 1956, Jaeschke 1964, Mansoor 1964,
/// Heskiaoff 1968 and Kilbridge & Wester 1962, with the best known station counts.
const PUBLISHED: &[Published] = &[
    Published {
        name: "Bowman",
        times: &[11, 17, 9, 5, 8, 12, 10, 3],
        arcs: &[(1, 2), (2, 3), (2, 4), (3, 5), (3, 6), (4, 6), (5, 7), (6, 8)],
        known: &[(20, 5)],
    },
    Published {
        name: "Jackson",
        times: &[6, 2, 5, 7, 1, 2, 3, 6, 5, 5, 4],
        arcs: &[
            (1, 2),
            (1, 3),
            (1, 4),
            (1, 5),
            (2, 6),
            (3, 7),
            (4, 7),
            (5, 7),
            (6, 8),
            (7, 9),
            (8, 10),
            (9, 11),
            (10, 11),
        ],
        known: &[(7, 8), (9, 6), (10, 5), (13, 4), (14, 4), (21, 3)],
    },
    Published {
        name: "Jaeschke",
        times: &[5, 3, 4, 5, 4, 5, 1, 4, 6],
        arcs: &[(1, 2), (1, 3), (2, 4), (3, 4), (4, 5), (4, 6), (4, 7), (5, 8), (6, 9), (7, 9), (8, 9)],
        known: &[(6, 8), (7, 7), (8, 6), (10, 4), (18, 3)],
    },
    Published {
        name: "Mansoor",
        times: &[4, 38, 45, 12, 10, 8, 12, 10, 2, 10, 34],
        arcs: &[(1, 4), (2, 4), (2, 5), (3, 11), (4, 6), (5, 7), (6, 8), (7, 9), (8, 10), (9, 10), (10, 11)],
        known: &[(48, 4), (62, 3), (94, 2)],
    },
    Published {
        name: "Heskiaoff",
        times: &[
            70, 59, 33, 6, 1, 27, 17, 62, 31, 53, 21, 19, 108, 52, 5, 8, 97, 8, 47, 67, 17, 8, 3, 21, 107, 3,
            2, 72,
        ],
        arcs: &[
            (1, 3),
            (1, 4),
            (1, 5),
            (1, 8),
            (1, 19),
            (1, 21),
            (1, 22),
            (1, 23),
            (1, 24),
            (1, 26),
            (2, 6),
            (2, 17),
            (3, 28),
            (4, 28),
            (5, 28),
            (6, 7),
            (7, 18),
            (8, 9),
            (9, 10),
            (10, 11),
            (10, 12),
            (11, 15),
            (12, 13),
            (13, 14),
            (13, 16),
            (14, 28),
            (15, 28),
            (16, 28),
            (17, 28),
            (18, 28),
            (19, 20),
            (20, 28),
            (21, 28),
            (22, 28),
            (23, 28),
            (24, 25),
            (25, 28),
            (26, 27),
            (27, 28),
        ],
        known: &[(138, 8), (205, 5), (216, 5), (256, 4), (324, 4), (342, 3)],
    },
    Published {
        name: "Kilbridge",
        times: &[
            9, 9, 10, 10, 17, 17, 13, 13, 20, 20, 10, 11, 6, 22, 11, 19, 12, 3, 7, 4, 55, 14, 27, 29, 26, 6,
            5, 24, 4, 5, 7, 4, 15, 3, 7, 9, 4, 7, 5, 4, 21, 12, 6, 5, 5,
        ],
        arcs: &[
            (1, 3),
            (1, 7),
            (2, 4),
            (2, 8),
            (3, 5),
            (4, 6),
            (5, 9),
            (6, 10),
            (7, 9),
            (7, 14),
            (8, 10),
            (8, 14),
            (9, 41),
            (10, 41),
            (11, 13),
            (12, 13),
            (12, 37),
            (13, 14),
            (13, 15),
            (14, 17),
            (14, 25),
            (14, 29),
            (14, 30),
            (14, 31),
            (14, 32),
            (15, 16),
            (15, 18),
            (15, 23),
            (15, 24),
            (16, 19),
            (17, 26),
            (17, 27),
            (18, 19),
            (19, 20),
            (19, 33),
            (20, 21),
            (21, 22),
            (22, 28),
            (23, 33),
            (24, 33),
            (25, 26),
            (26, 38),
            (27, 28),
            (27, 33),
            (28, 38),
            (29, 41),
            (30, 41),
            (31, 41),
            (32, 41),
            (33, 34),
            (33, 35),
            (33, 36),
            (34, 38),
            (35, 40),
            (36, 38),
            (37, 43),
            (38, 40),
            (39, 41),
            (40, 41),
            (41, 42),
            (42, 44),
            (42, 45),
        ],
        known: &[(57, 10), (79, 7), (92, 6), (110, 6), (138, 4), (184, 3)],
    },
];

/// Number 33 of the questions with 50 tasks of Otto, Otto & Scholl, "Systematic data generation and test
/// design for solution algorithms on the example of SALBPGen", EJOR 228 (2013); published: 24 or 25.
const HARD: Published = Published {
    name: "instance_n=50_33",
    times: &[
        511, 450, 514, 324, 571, 457, 484, 728, 477, 380, 510, 452, 428, 574, 382, 361, 425, 313, 564, 286,
        335, 429, 525, 694, 443, 561, 428, 404, 250, 486, 457, 292, 403, 374, 403, 585, 472, 599, 521, 368,
        522, 510, 423, 514, 516, 468, 455, 582, 550, 594,
    ],
    arcs: &[
        (1, 15),
        (2, 15),
        (3, 15),
        (4, 6),
        (4, 7),
        (4, 8),
        (4, 9),
        (4, 10),
        (4, 11),
        (4, 12),
        (4, 13),
        (4, 14),
        (6, 15),
        (7, 15),
        (8, 16),
        (9, 17),
        (11, 18),
        (11, 20),
        (12, 40),
        (14, 19),
        (15, 21),
        (15, 22),
        (15, 23),
        (15, 24),
        (15, 25),
        (15, 29),
        (16, 27),
        (17, 26),
        (18, 28),
        (21, 34),
        (21, 40),
        (22, 33),
        (22, 44),
        (24, 48),
        (26, 32),
        (27, 31),
        (28, 30),
        (29, 47),
        (30, 35),
        (31, 36),
        (32, 37),
        (32, 39),
        (33, 38),
        (33, 40),
        (34, 46),
        (35, 42),
        (36, 43),
        (37, 41),
        (37, 44),
        (38, 46),
        (39, 50),
        (41, 45),
        (42, 49),
        (43, 47),
        (44, 46),
        (44, 48),
        (44, 50),
    ],
    known: &[(1000, 25)],
};

fn hard() -> Tasks {
    tasks_of(&HARD)
}

fn tasks_of(published: &Published) -> Tasks {
    let arcs: Vec<(usize, usize)> = published.arcs.iter().map(|(a, b)| (a - 1, b - 1)).collect();
    Tasks::new(published.times.to_vec(), &arcs).expect("no circle")
}

#[test]
fn published_questions_have_their_published_answers() {
    for published in PUBLISHED {
        let tasks = tasks_of(published);
        for (capacity, stations) in published.known {
            let answer = fewest_stations(&tasks, *capacity, &Budget::default()).expect("every task fits");
            assert_eq!(answer.stations, *stations, "{} at {capacity}", published.name);
            assert_eq!(answer.stopped_by, StoppedBy::Proof, "{} at {capacity}", published.name);
            assert!(tasks.accepts(&answer.station_of, answer.stations, *capacity));
            // The same question the other way round: so many stations keep that pace, or a shorter one.
            let pace = shortest_pace(&tasks, *stations, &Budget::default());
            assert!(pace.is_proven() && pace.pace <= *capacity, "{} in {stations}: {pace:?}", published.name);
            let faster = fewest_stations(&tasks, pace.pace - 1, &Budget::default());
            assert!(faster.is_err() || faster.is_ok_and(|a| a.lower_bound > *stations));
        }
    }
}

#[test]
fn a_search_that_is_stopped_says_so_and_still_answers() {
    // The largest of the published questions at a capacity whose first answer is not the best.
    let tasks = hard();
    let stop = || true;
    let answer =
        fewest_stations(&tasks, 1000, &Budget { stop: &stop, ..Budget::default() }).expect("every task fits");
    assert_eq!(answer.stopped_by, StoppedBy::Caller);
    assert!(!answer.is_proven() && tasks.accepts(&answer.station_of, answer.stations, 1000));
    let few = Budget { most_steps: 1, ..Budget::default() };
    assert_eq!(fewest_stations(&tasks, 1000, &few).expect("every task fits").stopped_by, StoppedBy::Steps);
    let small = Budget { most_memory: 2_000, ..Budget::default() };
    assert_eq!(fewest_stations(&tasks, 1000, &small).expect("every task fits").stopped_by, StoppedBy::Memory);
}

#[test]
fn a_question_that_its_authors_left_open_is_settled_and_always_alike() {
    let ask = || fewest_stations(&hard(), 1000, &Budget::default()).expect("every task fits");
    let answer = ask();
    assert!(answer.is_proven() && HARD.known == [(1000, answer.stations)]);
    assert_eq!(answer, ask());
}

#[test]
fn a_task_that_no_station_can_take_is_named() {
    let tasks = Tasks::new(vec![3, 9, 4], &[(0, 1)]).expect("no circle");
    assert_eq!(fewest_stations(&tasks, 8, &Budget::default()).expect_err("too long"), 1);
    assert_eq!(fewest_stations(&tasks, 0, &Budget::default()).expect_err("no room"), 0);
    let none = fewest_stations(&Tasks::new(Vec::new(), &[]).expect("no circle"), 5, &Budget::default());
    assert_eq!(none.map(|a| (a.stations, a.is_proven())), Ok((0, true)));
}

#[test]
fn thousands_of_tasks_are_assigned_and_bounded() {
    // Chains of a hundred; times from a fixed multiplicative sequence.
    let times: Vec<i64> = (1..=5_000i64).map(|k| k * 7_919 % 300 + 1).collect();
    let arcs: Vec<(usize, usize)> = (0..5_000).filter(|k| k % 100 > 0).map(|k| (k - 1, k)).collect();
    let tasks = Tasks::new(times, &arcs).expect("no circle");
    let budget = Budget { most_steps: 100_000, ..Budget::default() };
    let answer = fewest_stations(&tasks, 1000, &budget).expect("every task fits");
    assert!(tasks.accepts(&answer.station_of, answer.stations, 1000));
    assert!(
        answer.stations <= answer.lower_bound + answer.lower_bound / 100,
        "{} {}",
        answer.stations,
        answer.lower_bound
    );
}
