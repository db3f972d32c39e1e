//! The clauses of gates, samples, carriers and yards, and of crews that drift.

use super::{Builder, Built, Parts, parts, says};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{ClauseKind, DriftHow};
use pest::iterators::Pair;

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
            Rule::lorries => {
                ClauseKind::Lorries { load: self.count(part)?, at: inner.map(|at| self.clock(&at)).collect() }
            }
            other => unreachable!("{other:?} is no clause of these"),
        })
    }
}
