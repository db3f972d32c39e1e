//! Numbers, units, `let` arithmetic, times and their distributions, tables from outside.

use super::*;
use taktwright::line::Shape;

fn shape(time: &str) -> Shape {
    let line = line(&format!("station S1 crew 1\ntask t takes {time}\n"));
    line.steps[0].times[0].dist.shape.clone()
}

#[track_caller]
fn time_faults(time: &str, faults: &[&str]) {
    expect(&format!("station S1 crew 1\ntask t takes {time}\n"), faults);
}

const MIN: f64 = 60e6;

#[test]
fn every_form_of_a_time_becomes_its_distribution_in_microseconds() {
    assert_eq!(shape("12 min"), Shape::Constant { value: 12.0 * MIN });
    assert_eq!(
        shape("8/10/14 min"),
        Shape::Triangular { low: 8.0 * MIN, mode: 10.0 * MIN, high: 14.0 * MIN }
    );
    assert_eq!(shape("pert 8/10/14 s"), Shape::Pert { low: 8e6, mode: 10e6, high: 14e6 });
    assert_eq!(shape("8 to 14 min"), Shape::Uniform { low: 8.0 * MIN, high: 14.0 * MIN });
    assert_eq!(shape("about 12 min sd 3"), Shape::Normal { mean: 12.0 * MIN, sd: 3.0 * MIN });
    assert_eq!(shape("lognormal mean 12 sd 3 min"), Shape::Lognormal { mean: 12.0 * MIN, sd: 3.0 * MIN });
    assert_eq!(shape("gamma mean 12 min sd 30 s"), Shape::Gamma { mean: 12.0 * MIN, sd: 30e6 });
    assert_eq!(shape("erlang 3 mean 12 min"), Shape::Erlang { stages: 3, mean: 12.0 * MIN });
    assert_eq!(shape("exponential mean 2 h"), Shape::Exponential { mean: 120.0 * MIN });
    assert_eq!(shape("weibull shape 1.5 mean 12 min"), Shape::Weibull { shape: 1.5, mean: 12.0 * MIN });
    assert_eq!(
        shape("one of 8 min 30 %, 12 min 70 %"),
        Shape::OneOf { values: vec![(8.0 * MIN, 0.3), (12.0 * MIN, 0.7)] }
    );
}

#[test]
fn a_time_without_spread_is_a_constant() {
    assert_eq!(shape("8/8/8 min"), Shape::Constant { value: 8.0 * MIN });
    assert_eq!(shape("pert 8/8/8 min"), Shape::Constant { value: 8.0 * MIN });
    assert_eq!(shape("8 to 8 min"), Shape::Constant { value: 8.0 * MIN });
    assert_eq!(shape("about 8 min sd 0"), Shape::Constant { value: 8.0 * MIN });
    assert_eq!(shape("8/8/9 min"), Shape::Triangular { low: 8.0 * MIN, mode: 8.0 * MIN, high: 9.0 * MIN });
}

#[test]
fn a_number_without_unit_takes_the_one_that_stands_in_the_same_time() {
    assert_eq!(shape("8 to 14 min"), shape("8 min to 14"));
    time_faults("8/10/14", &["T301: the time of task t needs a unit of time"]);
    let found = checked("station S1 crew 1\ntask t takes 8/10/14\n");
    assert_eq!(found.faults[0].help, ["write `8/10/14 min`"]);
    time_faults(
        "one of 8 30 %, 12 min 30 %, 1 h 40 %",
        &["T301: a number without unit stands beside both `min` and `h`"],
    );
}

#[test]
fn units_are_checked_like_types() {
    time_faults("12 %", &["T302: the time of task t is a time, not a share"]);
    time_faults("12 kg", &["T302: the time of task t is a time, not a mass"]);
    time_faults("12 min + 3", &["T302: can't add a time and a plain number"]);
    time_faults("12 min * 2 min", &["T302: can't multiply a time and a time"]);
    let found = checked("station S1 crew 1\ntask t takes 12 minutes\n");
    assert_eq!(said(&found), ["T302: `minutes` is not a unit"]);
    assert_eq!(found.faults[0].help, ["write `min`"]);
    expect(
        "let n = 30 %\nstation S1 crew 1 bays n\ntask t takes 1 min\n",
        &["T302: the number of bays of S1 is a plain number, not a share"],
    );
    expect(
        "station S1 crew 1\ntask t takes 1 min\nmodel A 0.5\nmodel B 50 %\n",
        &["T301: the share of model A needs a share in %"],
    );
}

#[test]
fn arithmetic_is_exact_and_bounded() {
    let line = line(
        "let third = 10 min / 3\nlet share = 50 %\nlet n = 2 * (1 + 2) - 4\n\
         station S1 crew n\ntask a takes third * 3\ntask b takes share * 20 min\ntask c takes 90 s / 30 s * 1 min\n",
    );
    assert_eq!(line.steps[0].times[0].dist.as_constant(), Some(10.0 * MIN));
    assert_eq!(line.steps[1].times[0].dist.as_constant(), Some(10.0 * MIN));
    assert_eq!(line.steps[2].times[0].dist.as_constant(), Some(3.0 * MIN));
    assert_eq!(line.crews[0].size(), 2);
    time_faults("3 min / 0", &["T303: this divides by 0"]);
    time_faults("-3 min", &["T303: the time of task t is -3 min; it must be 0 or more"]);
    time_faults("500 days", &["T303: the time of task t is 500 days; it must be at most 400 days"]);
    time_faults(
        "100000000000000000000 h * 100000000000000000000",
        &["T303: this number is beyond what the arithmetic can hold"],
    );
    expect(
        "station S1 crew 1 bays 1.5\ntask t takes 1 min\n",
        &["T303: the number of bays of S1 is 1.5; it must be a whole number"],
    );
    expect(
        "station S1 crew 1 bays 0\ntask t takes 1 min\n",
        &["T303: the number of bays of S1 is 0; it must be at least 1"],
    );
}

#[test]
fn a_let_comes_from_the_ones_above_it() {
    expect(
        "let a = b\nlet b = 3\nstation S1 crew a\ntask t takes 1 min\n",
        &["T201: `b` is defined further down"],
    );
    expect(
        "let a = a + 1\nstation S1 crew a\ntask t takes 1 min\n",
        &["T201: `a` is used in its own definition"],
    );
    expect(
        "station S1 crew welders\ntask t takes 1 min\n",
        &["T201: `welders` is not a `let` name of this file"],
    );
    // A faulty `let` is one fault, however often it is used.
    expect(
        "let a = 1 min + 1\nstation S1 crew 1\ntask t takes a\ntask u takes 2 * a\n",
        &["T302: can't add a time and a plain number"],
    );
}

#[test]
fn parameters_that_contradict_one_another_are_refused() {
    time_faults("10/8/14 min", &["T304: 10/8/14 is not in order: low, most likely, high"]);
    time_faults("14 to 8 min", &["T304: 14 to 8 min runs backwards"]);
    time_faults(
        "exponential mean 0 min",
        &["T304: the mean of the time of task t is 0 min; it must be above 0"],
    );
    time_faults(
        "gamma mean 1 sd 101 min",
        &["T304: the sd of the time of task t is more than 100 times its mean: 101 min and 1"],
    );
    time_faults("weibull shape 0 mean 3 min", &["T303: the Weibull shape is 0; it must be from 0.1 to 100"]);
    time_faults("erlang 0 mean 3 min", &["T303: the number of stages is 0; it must be at least 1"]);
    time_faults("one of 8 min 30 %, 12 min 60 %", &["T305: the shares of `one of` sum to 90 %: 30 % + 60 %"]);
}

#[test]
fn a_normal_that_reaches_below_zero_is_doubted() {
    // Phi(-3.09) = 0.1 %: sd 4 of mean 12 is fine by a hair (Phi(-3) = 0.135 %) only above it.
    time_faults("about 12 min sd 3.8", &[]);
    time_faults(
        "about 12 min sd 4",
        &[
            "T306: a normal time this wide is negative 0.1 % of the time; that part is cut off, which lifts its mean",
        ],
    );
}

#[test]
fn observed_times_are_read_and_sorted_and_counted() {
    let text = "station S1 crew 1\ntask t takes observed \"t.csv\" column cycle_min\n";
    let found = checked_with(text, &[("t.csv", "\u{feff}part;cycle_min\na;2,5\nb;1\n")], &[]);
    let dist = &found.layouts[0].steps[0].times[0].dist;
    assert_eq!(dist.shape, Shape::Observed { values: vec![MIN, 2.5 * MIN] });
    assert_eq!(dist.timings, Some(2));
    let text = "station S1 crew 1\ntask t takes observed \"t.csv\" column cycle s from 40 timings\n";
    let found = checked_with(text, &[("t.csv", "cycle\n90\n")], &[]);
    assert_eq!(found.layouts[0].steps[0].times[0].dist.timings, Some(40));
}

#[test]
fn every_bad_row_of_a_table_is_reported() {
    let text = "station S1 crew 1\ntask t takes observed \"t.csv\" column cycle_min\n";
    let with = |table: &str| checked_with(text, &[("t.csv", table)], &[]);
    let found = with("part,cycle_min\na,2\nb,x\nc,\nd,-1\n");
    assert_eq!(said(&found), ["T304: t.csv: column `cycle_min` has 3 rows without a usable value"]);
    assert_eq!(
        found.faults[0].help,
        [
            "line 3: `x` is not a time of 0 or more",
            "line 4: no value",
            "line 5: `-1` is not a time of 0 or more"
        ]
    );
    let found = with("part,cycle_mins\na,2\n");
    assert_eq!(said(&found), ["T304: t.csv: there is no column `cycle_min`"]);
    assert_eq!(found.faults[0].help[0], "did you mean `cycle_mins`?");
    assert_eq!(said(&with("cycle_min\n")), ["T304: t.csv: column `cycle_min` holds no values"]);
    assert_eq!(said(&checked_with(text, &[], &[])), ["T108: can't read t.csv: there is no such file"]);
    let text = "station S1 crew 1\ntask t takes observed \"t.csv\" column cycle\n";
    let found = checked_with(text, &[("t.csv", "cycle\n1\n")], &[]);
    assert_eq!(said(&found), ["T301: column `cycle` of t.csv needs a unit of time"]);
}

#[test]
fn settings_outside_stops_replace_a_let() {
    let text = "let n = 2\nstation S1 crew n\ntask t takes 1 min by n\n";
    let found = checked_with(text, &[], &[("n", "1 + 3")]);
    assert_eq!(found.layouts[0].crews[0].size(), 4);
    assert_eq!(
        said(&checked_with(text, &[], &[("m", "3")])),
        ["T201: `m` is set from outside, but no `let` has that name"]
    );
    assert_eq!(
        said(&checked_with(text, &[], &[("n", "3 )")])),
        ["T101: `n` is set from outside to `3 )`, which is no quantity"]
    );
}
