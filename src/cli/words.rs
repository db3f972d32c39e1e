//! The examples that stand under each command's help. A test runs every one of them.

pub const MAIN_EXAMPLES: &str = "\
Examples:
  taktwright check scenarios/first.line
  taktwright simulate scenarios/first.line
  taktwright explain hold

Exit status: 0 fine, 1 the line or scenario fails what was asked, 2 bad input, 3 the machine failed
(cannot read or write), 130 interrupted.";

pub const CHECK_EXAMPLES: &str = "\
Examples:
  taktwright check scenarios/first.line
  taktwright check scenarios/first.line scenarios/pod-hall.line
  taktwright check scenarios/first.line --format json

Exit status: 0 no fault (doubts may stand), 2 a fault.";

pub const TIDY_EXAMPLES: &str = "\
Examples:
  taktwright tidy scenarios/first.line
  taktwright tidy --check scenarios/first.line scenarios/pod-hall.line
  taktwright tidy - < scenarios/first.line

Exit status: 0 fine, 1 with --check: a file is not in its canonical form, 2 a file does not read.";

pub const BALANCE_EXAMPLES: &str = "\
Examples:
  taktwright balance scenarios/first.line
  taktwright balance scenarios/first.line --aim pace --limit 10s
  taktwright balance scenarios/first.line --aim smooth --format json
  taktwright balance scenarios/first.line --format html --output balance.html
  taktwright balance scenarios/first.line --format dot --output order.dot

Exit status: 0 every station is within its caps, 1 some station stays over them, 2 bad input.";

pub const SIMULATE_EXAMPLES: &str = "\
Examples:
  taktwright simulate scenarios/first.line
  taktwright simulate scenarios/first.line --layout \"two slots before the test\" --within 1%
  taktwright simulate scenarios/first.line --format html --output report.html
  taktwright simulate scenarios/first.line --shifts 5 --format xlsx --output report.xlsx

Exit status: 0 fine, 1 a promise is broken or undecided or the line locks up, 2 bad input.";

pub const COMPARE_EXAMPLES: &str = "\
Examples:
  taktwright compare scenarios/first.line
  taktwright compare scenarios/pod-hall.line --layouts \"today,tub set in the flood area\" --shifts 5 --replications 20
  taktwright compare scenarios/first.line --units 200 --replications 40 --format json
  taktwright compare scenarios/first.line --vary slots before K3 0 to 3 --shifts 5 --replications 20
  taktwright compare scenarios/first.line --vary bays of K3 1 to 3 --as-layouts
  taktwright compare scenarios/first.line --choose-best --indifference 0.2 --shifts 5

Exit status: 0 the runs say which to take, 1 they cannot tell yet, 2 bad input.";

pub const LEVERS_EXAMPLES: &str = "\
Examples:
  taktwright levers scenarios/first.line --shifts 5 --replications 40
  taktwright levers scenarios/first.line --shifts 5 --replications 20 --format json
  taktwright levers scenarios/first.line --as-layouts

Exit status: 0 fine, 1 the line as it stands can't go on, 2 bad input.";

pub const LOSSES_EXAMPLES: &str = "\
Examples:
  taktwright losses scenarios/first.line
  taktwright losses scenarios/first.line --shifts 5 --replications 20 --format json
  taktwright losses scenarios/heat-pumps.line --shifts 2 --replications 4 --warm-up none

Exit status: 0 fine, 1 the line as it stands can't go on, 2 bad input.";

pub const WHY_EXAMPLES: &str = "\
Examples:
  taktwright why scenarios/first.line K2
  taktwright why scenarios/pod-hall.line A10 --shifts 5 --replications 10
  taktwright why scenarios/first.line K3 --shifts 5 --format json

Exit status: 0 fine, 1 the line as it stands can't go on, 2 bad input.";

pub const VERIFY_EXAMPLES: &str = "\
Examples:
  taktwright verify scenarios/regression/first.yaml
  taktwright verify scenarios/regression/first.yaml --format junit
  taktwright verify scenarios/regression/first.yaml scenarios/regression/pod-hall.yaml --quiet

Exit status: 0 everything expected holds, 1 something does not, 2 a scenario or its line is faulty.";

pub const EXPLAIN_EXAMPLES: &str = "\
Examples:
  taktwright explain T401
  taktwright explain hold
  taktwright explain scenarios/pod-hall.line a31 A09

A file, a task and a station: why the task can't go there, or what it comes to if it does.";
