//! The commands, from the outside: what goes in and everything that comes out.

use crate::harness::taktwright;

#[test]
fn explain_tells_what_a_word_a_code_and_a_measure_mean() {
    taktwright("explain T401")
        .stdout("T401\n  Tasks follow one another in a circle for some model.\n  It is an error: nothing is run until it is mended.\n")
        .run();
    taktwright("explain units per shift")
        .stdout_holds(&["units per shift\n  A measure, units: finished units of a whole shift"])
        .run();
    taktwright("explain hold").stdout_holds(&["hold ...\n  A statement: "]).run();
}

#[test]
fn explain_offers_the_nearest_topic() {
    taktwright("explain holdd")
        .stderr("error: nothing is called `holdd`; did you mean `hold`?\n")
        .status(2)
        .run();
}
