//! The clauses of gates, samples, carriers, lanes and yards, of crews that drift, and of stations that pull units off.

use super::{Builder, Built, Parts, parts, says};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{ChosenBy, ClauseKind, DriftHow};
use pest::iterators::Pair;

/// Whether a clause is one of these, of those that hold a name, a number or a time.
pub(super) fn is_around(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::go_on
            | Rule::finds
            | Rule::every_nth
            | Rule::carried
            | Rule::returning
            | Rule::pulls_off
            | Rule::chosen
            | Rule::lorries
    )
}

impl Builder<'_> {
    /// `drift`
    pub(super) fn drift(&self, clause: Pair<'_, Rule>) -> Built<ClauseKind> {
        let how = match (says(&clause, Rule::both_ways), says(&clause, Rule::k_early)) {
            (true, _) => DriftHow::Both,
            (false, true) => DriftHow::Early,
            (false, false) => DriftHow::On,
        };
        Ok(ClauseKind::Drift { amount: self.amount(parts(clause).due())?, how })
    }

    pub(super) fn around_kind(&self, rule: Rule, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let part = inner.due();
        Ok(match rule {
            Rule::go_on => ClauseKind::GoOn { most: self.count(part)?, to: self.name(&inner.due()) },
            Rule::finds => ClauseKind::Finds(self.count(part)?),
            Rule::every_nth => ClauseKind::EveryNth(self.count(part)?),
            Rule::carried => ClauseKind::Carried { from: self.name(&part), to: self.name(&inner.due()) },
            Rule::returning => ClauseKind::Returning(self.time(part)?),
            Rule::pulls_off => ClauseKind::PullsOff(self.name(&part)),
            Rule::chosen => ClauseKind::Chosen(match part.as_rule() {
                Rule::own_model => ChosenBy::Model,
                Rule::own_share => ChosenBy::Share,
                _ => ChosenBy::ShortestQueue,
            }),
            Rule::lorries => {
                ClauseKind::Lorries { load: self.count(part)?, at: inner.map(|at| self.clock(&at)).collect() }
            }
            other => unreachable!("{other:?} is no clause of these"),
        })
    }
}
