//! What the grammar would have taken, in trade words: a fault never shows the name of a rule.

use super::grammar::{Rule, is_keyword, keyword};
use super::words;
use crate::diagnostic::words::reading;

/// Words that stand inside clauses and are not reserved; only for finding slips.
pub const INNER: &[&str] = &[
    "about",
    "adjacent",
    "again",
    "all",
    "any",
    "are",
    "as",
    "back",
    "before",
    "between",
    "column",
    "else",
    "empty",
    "end",
    "erlang",
    "every",
    "exponential",
    "fixed",
    "flow",
    "from",
    "full",
    "gamma",
    "labour",
    "lasting",
    "least",
    "levelled",
    "list",
    "lots",
    "lognormal",
    "mean",
    "minutes",
    "most",
    "nights",
    "not",
    "observed",
    "orders",
    "paid",
    "pattern",
    "per",
    "pert",
    "place",
    "queue",
    "random",
    "ready",
    "redo",
    "retest",
    "saturated",
    "scrapped",
    "sd",
    "shape",
    "shifts",
    "store",
    "then",
    "timings",
    "to",
    "tries",
    "turn",
    "under",
    "units",
    "unpaid",
    "wait",
    "weibull",
    "work",
    "batches",
    "hour",
    "day",
    "week",
    "while",
    "runs",
];

pub fn is_unit(text: &str) -> bool {
    matches!(text, "s" | "min" | "h" | "day" | "days" | "%" | "m" | "kg")
}

/// The words that could open what the rule reads.
pub fn fitting_words(rule: Rule) -> Vec<String> {
    const SHAPES: [&str; 8] =
        ["pert", "about", "lognormal", "gamma", "erlang", "exponential", "weibull", "observed"];
    const DAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
    match rule {
        Rule::clause => words::clause_first_words().map(String::from).collect(),
        Rule::time => SHAPES.map(String::from).to_vec(),
        Rule::weekday | Rule::day_span => DAYS.map(String::from).to_vec(),
        rule if is_keyword(rule) => vec![keyword(rule)],
        _ => Vec::new(),
    }
}

/// The rules that were tried, in trade words.
pub fn wording(expected: &[Rule]) -> String {
    let ends = expected.iter().any(|rule| matches!(rule, Rule::clause | Rule::EOI));
    let mut items: Vec<String> = Vec::new();
    for rule in expected {
        if let Some(words) = one_wording(*rule, ends)
            && !items.contains(&words)
        {
            items.push(words);
        }
    }
    if items.is_empty() {
        return "the end of the sentence".to_string();
    }
    reading::one_of(&items, "or")
}

/// One rule in trade words. Where the statement could end, what could also go on is not worth saying.
fn one_wording(rule: Rule, could_end: bool) -> Option<String> {
    let text = match rule {
        Rule::clause => "a clause",
        Rule::EOI => return None,
        _ if could_end => return None,
        Rule::name | Rule::names | Rule::name_span | Rule::spans | Rule::stretch | Rule::edges => "a name",
        Rule::tool => "a name",
        Rule::label => "a text in quotes",
        Rule::unit => "a unit",
        Rule::number
        | Rule::count
        | Rule::plain_sum
        | Rule::plain_product
        | Rule::bare
        | Rule::need
        | Rule::needs => "a number",
        Rule::cap | Rule::cap_at | Rule::member => "a number",
        Rule::amount | Rule::sum | Rule::product | Rule::quantity | Rule::case => "a quantity",
        Rule::time | Rule::shape | Rule::plain_time => "a time",
        Rule::three | Rule::slash_list | Rule::part => "three times such as 8/10/14 min",
        Rule::clock | Rule::clocks => "a time of day such as 06:00",
        Rule::date | Rule::dates | Rule::date_span => "a date such as 2026-11-30",
        Rule::weekday | Rule::day_span => "a weekday such as mon",
        Rule::equals => "`=`",
        Rule::comma => "`,`",
        Rule::close => "`)`",
        Rule::bracket | Rule::open | Rule::plus | Rule::minus | Rule::times | Rule::slash => return None,
        rule if is_keyword(rule) => return Some(format!("`{}`", keyword(rule))),
        rule => return Some(composite(rule)),
    };
    Some(text.to_string())
}

/// Rules that open with a fixed word or with one of several.
fn composite(rule: Rule) -> String {
    let text = match rule {
        Rule::pass_rate => "`passes`",
        Rule::factor_by => "`x` and a factor",
        Rule::statistic => "`mean`, `p05`, `p50`, `p90`, `p95`, `max`",
        Rule::promise_measure => "what is measured, such as `units per shift`",
        Rule::units_per_shift | Rule::units_per_hour => "`units`",
        Rule::minutes_between => "`minutes between units`",
        Rule::promise_share => "`at least`",
        Rule::promise_holds => "`no hold under its minimum`",
        Rule::pattern => "`pattern`",
        Rule::batches => "`batches of`",
        Rule::order_list | Rule::release_list => "`list`",
        Rule::by_takt => "`by takt`",
        Rule::every => "`every`",
        Rule::filling => "`full` or `empty`",
        Rule::fixed => "`fixed in place`",
        Rule::back => "`back to`",
        Rule::to_repair => "`to`",
        Rule::retest => "`retest`",
        Rule::fix_time => "`takes`",
        Rule::fix_people => "`by`",
        Rule::kept_over => "`from`",
        Rule::either => "a name",
        Rule::exclusion | Rule::work_in => "a name or `work in`",
        Rule::reach => "`within`",
        Rule::costed | Rule::cost_of => "`people`, `space` or a name",
        Rule::per_year => "`per year`",
        Rule::slot_space => "a quantity",
        Rule::lots => "`in lots of`",
        Rule::lots_every => "`every`",
        Rule::lots_on => "`on`",
        Rule::lots_level => "`ordered at`",
        Rule::lateness => "`, 5 % late by`",
        Rule::stock => "`, 30 at start`",
        Rule::late_cap => "`up to ... items`",
        Rule::statement | Rule::sentence | Rule::file => "a statement",
        _ => return opening_words(rule).unwrap_or_else(|| "a clause".to_string()),
    };
    text.to_string()
}

/// Openings of statements: what `change` and `remove` go on with.
fn opening_words(rule: Rule) -> Option<String> {
    let name = format!("{rule:?}");
    let opens = ["s_", "c_", "r_"].iter().any(|kind| name.starts_with(kind));
    opens.then(|| "what is changed, such as `station A05`".to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_rule_shows_its_name() {
        for rule in Rule::all_rules() {
            let words = wording(&[*rule]);
            let plain = words.replace(|c: char| !c.is_alphanumeric() && c != '_', " ");
            assert!(!plain.contains('_'), "{rule:?}: {words}");
            assert!(!words.is_empty());
        }
    }

    #[test]
    fn where_a_statement_could_end_only_a_clause_is_expected() {
        assert_eq!(wording(&[Rule::comma, Rule::clause, Rule::k_to, Rule::EOI]), "a clause");
        assert_eq!(wording(&[Rule::EOI]), "the end of the sentence");
        assert_eq!(wording(&[Rule::k_end, Rule::k_start]), "`end` or `start`");
        assert_eq!(wording(&[Rule::name, Rule::name_span, Rule::k_to]), "a name or `to`");
    }
}
