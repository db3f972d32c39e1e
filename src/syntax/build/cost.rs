//! What time and floor cost.

use super::{Builder, Built, parts, says};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{CostOf, CostSpec, Head};
use pest::iterators::Pair;

impl Builder<'_> {
    /// `costed`, or `cost_of` alone
    pub(super) fn cost(&self, pair: Pair<'_, Rule>) -> Built<Head> {
        let span = self.span(&pair);
        if pair.as_rule() == Rule::cost_of {
            let of = self.cost_of(pair);
            return Ok(Head::Cost(Box::new(CostSpec { of, amount: None, per_year: false, span })));
        }
        let mut inner = parts(pair);
        let of = self.cost_of(inner.due());
        let amount = Some(self.amount(inner.due())?);
        let per_year = inner.next().is_some();
        Ok(Head::Cost(Box::new(CostSpec { of, amount, per_year, span })))
    }

    fn cost_of(&self, pair: Pair<'_, Rule>) -> CostOf {
        match (says(&pair, Rule::k_people), says(&pair, Rule::k_space)) {
            (true, _) => CostOf::People,
            (_, true) => CostOf::Space,
            (false, false) => CostOf::Named(self.name(&parts(pair).due())),
        }
    }
}
