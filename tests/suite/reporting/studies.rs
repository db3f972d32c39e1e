//! Pages of studies: whole in themselves, with the figures of their JSON form.

use super::page::{assert_figures_are_those_of, assert_is_whole};
use crate::harness::taktwright;
use serde_json::Value;

/// A shop with shifts, costs, a count, and labels that would be markup.
const SHOP: &str = "\
line \"Shop </title><script>alert(1)</script>\"
shift day 06:00 to 14:00 on mon to fri break 10:00 lasting 20 min
demand 45 per shift
money EUR
cost people 30 EUR per hour
people hands 2
absent 5 %
station S1 \"Saw\" crew 1 hands
task saw takes 8/9/13 min by 1 at S1
station S2 \"File\" crew 1 hands slots 1
task file takes 6/8/10 min by 1 after saw at S2
layout \"two <b>files</b>\" {
  change station S2 bays 2 crew 2 hands
  change people hands 3
}
layout \"a slot more\" { change station S2 slots 2 }
promise mean units per shift at least 40
";

const QUICK: &str = "--shifts 5 --replications 20 --warm-up none";

/// The page of a study, held to its JSON form.
fn page(command: &str, least_figures: usize, status: i32) -> String {
    let run = |format: &str, piece: &str| {
        taktwright(&format!("{command} {QUICK} --format {format}"))
            .file("shop.line", SHOP)
            .stdout_holds(&[piece])
            .status(status)
            .simulating()
            .run()
    };
    let json: Value = serde_json::from_str(&run("json", "\"schema\"")).expect("valid JSON");
    let page = run("html", "<!DOCTYPE html>");
    assert_is_whole(&page);
    let figures = assert_figures_are_those_of(&page, &json);
    assert!(figures >= least_figures, "{figures} figures in\n{page}");
    assert_eq!(page.matches("<script").count(), 1, "our own alone");
    page
}

#[test]
fn layouts_side_by_side_make_a_page() {
    let page = page("compare shop.line", 30, 1);
    for piece in
        ["two &lt;b&gt;files&lt;/b&gt;", "What each layout does and takes", "Against the first layout"]
    {
        assert!(page.contains(piece), "{piece} is missing in\n{page}");
    }
}

#[test]
fn the_best_of_many_makes_a_page() {
    let page = page("compare shop.line --choose-best --indifference 1", 30, 0);
    for piece in
        ["What the probability rests on", "Take \u{201c}two &lt;b&gt;files&lt;/b&gt;\u{201d}", "dropped by"]
    {
        assert!(page.contains(piece), "{piece} is missing in\n{page}");
    }
}

#[test]
fn a_varied_number_makes_a_page_with_its_rate_curve() {
    let page = page("compare shop.line --vary 'slots before S2 0 to 2'", 30, 0);
    for piece in
        ["The fewest people that keep a promise", "The rate curve", "slots before S2 2", "drawn from "]
    {
        assert!(page.contains(piece), "{piece} is missing in\n{page}");
    }
}

#[test]
fn levers_make_a_page() {
    let page = page("levers shop.line", 20, 0);
    assert!(page.contains("One more of each thing, ranked"), "{page}");
}

#[test]
fn losses_make_a_page_that_falls_from_the_top() {
    let page = page("losses shop.line", 6, 0);
    for piece in ["What is lost, from the top", "people who are away", "Switched off one after another"] {
        assert!(page.contains(piece), "{piece} is missing in\n{page}");
    }
    assert_eq!(page.matches("class=\"bar\"").count(), 5, "the start, two causes, the balance, the pauses");
}

#[test]
fn cycles_make_a_page_that_draws_two_of_them() {
    let page = page("why shop.line S2", 3, 0);
    for piece in
        ["A typical cycle", "A bad cycle", "What a cycle goes to", "Which steps held it", "what held it"]
    {
        assert!(page.contains(piece), "{piece} is missing in\n{page}");
    }
}
