//! The parser that pest makes from `grammar/line.pest`, and the trade words for its rules.

use pest_derive::Parser;

#[derive(Parser)]
#[grammar = "../grammar/line.pest"]
pub struct Grammar;

/// Keywords stand last in the grammar, in alphabetical order, so one comparison tells them apart.
pub fn is_keyword(rule: Rule) -> bool {
    rule >= Rule::k_about
}

/// The word that a keyword rule reads.
pub fn keyword(rule: Rule) -> String {
    format!("{rule:?}").trim_start_matches("k_").replace('_', "-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keywords_are_the_last_rules_and_spell_their_word() {
        assert!(is_keyword(Rule::k_about) && is_keyword(Rule::k_takes) && is_keyword(Rule::k_zone));
        assert!(!is_keyword(Rule::takes) && !is_keyword(Rule::statement_word) && !is_keyword(Rule::EOI));
        assert_eq!(keyword(Rule::k_clean_up), "clean-up");
    }

    #[test]
    fn every_keyword_rule_reads_the_word_it_is_named_after() {
        let grammar = include_str!("../../grammar/line.pest");
        let rules = grammar.lines().filter_map(|line| line.strip_prefix("k_"));
        let mut seen = 0;
        for rule in rules {
            let (name, body) = rule.split_once(" = ").expect("a rule has a body");
            assert_eq!(body, format!("@{{ \"{}\" ~ !rest }}", name.replace('_', "-")));
            seen += 1;
        }
        assert!(seen > 100);
    }
}
