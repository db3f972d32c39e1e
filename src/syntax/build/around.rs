//! The clauses of gates, samples, carriers and yards.

use super::{Builder, Built, Parts};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::ClauseKind;

impl Builder<'_> {
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
