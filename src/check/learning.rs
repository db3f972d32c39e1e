//! New people: which groups, how slow at first, how fast they learn.

use super::desk::Desk;
use super::names::{Kind, Names, name_of};
use super::people::Staff;
use super::quantity::{self, said};
use crate::diagnostic::Span;
use crate::diagnostic::words::quantities::out_of_range;
use crate::diagnostic::words::{people as words, statements};
use crate::line::{GroupId, Learning};
use crate::syntax::tree::{Head, Statement, Word};

/// Every `learning` statement; one for a group.
pub(super) fn learning(asked: &[&Statement], staff: &Staff, names: &Names, desk: &mut Desk) -> Vec<Learning> {
    let mut found: Vec<Learning> = Vec::new();
    for statement in asked {
        let Head::Learning { first, rate } = &statement.head else { continue };
        let name = name_of(statement);
        if !staff.stated {
            if !desk.is_broken(Word::People) {
                desk.fault(words::not_stated(statement.word_span, "learning"));
            }
            continue;
        }
        let what = format!("the factor of {} at first", name.text);
        let first = quantity::factor(first, &what, desk).filter(|factor| {
            let fine = *factor >= 1.0;
            if !fine {
                desk.fault(out_of_range(first.span, &what, &said(first), "at least 1"));
            }
            fine
        });
        let what = format!("what is left for {} with each doubling", name.text);
        let rate = quantity::share(rate, &what, desk).map(|share| share.as_f64()).filter(|share| {
            if *share == 0.0 {
                desk.fault(out_of_range(rate.span, &what, &said(rate), "above 0 %"));
            }
            *share > 0.0
        });
        let group = names.find(Kind::People, &name, desk).map(GroupId::from_index);
        let (Some(first), Some(rate), Some(group)) = (first, rate, group) else { continue };
        let before: Option<Span> = found.iter().find(|l| l.group == group).map(|l| l.span);
        match before {
            Some(before) => {
                let called = format!("learning {}", name.text);
                desk.fault(statements::repeated_statement(statement.word_span, before, &called));
            }
            None => found.push(Learning { group, first, rate, span: statement.word_span }),
        }
    }
    found
}
