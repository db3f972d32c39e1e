//! Times: constants and distributions.

use super::{Builder, Built, parts};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{Expr, Name, TimeShape, TimeSpec};
use pest::iterators::Pair;

impl Builder<'_> {
    /// `time`
    pub(super) fn time(&self, pair: Pair<'_, Rule>) -> Built<TimeSpec> {
        let span = self.span(&pair);
        let mut parts = parts(pair);
        let shape = self.shape(parts.due())?;
        let timings = parts.next().map(|count| self.count(count)).transpose()?;
        Ok(TimeSpec { shape, timings, span })
    }

    fn shape(&self, pair: Pair<'_, Rule>) -> Built<TimeShape> {
        let rule = pair.as_rule();
        let mut parts = parts(pair);
        // Where two values stand, in the order of the grammar.
        let mut value = || {
            let part = parts.due();
            if part.as_rule() == Rule::count { self.count(part) } else { self.amount(part) }
        };
        Ok(match rule {
            Rule::three => {
                let (low, mode, high, unit) = self.slash_list(parts)?;
                TimeShape::Three { low, mode, high, unit }
            }
            Rule::pert => {
                let (low, mode, high, unit) = self.slash_list(parts)?;
                TimeShape::Pert { low, mode, high, unit }
            }
            Rule::about => TimeShape::About { mean: value()?, sd: value()? },
            Rule::lognormal => TimeShape::Lognormal { mean: value()?, sd: value()? },
            Rule::gamma => TimeShape::Gamma { mean: value()?, sd: value()? },
            Rule::erlang => TimeShape::Erlang { stages: value()?, mean: value()? },
            Rule::exponential => TimeShape::Exponential { mean: value()? },
            Rule::weibull => TimeShape::Weibull { shape: value()?, mean: value()? },
            Rule::one_of => TimeShape::OneOf(parts.map(|case| self.case(case)).collect::<Built<_>>()?),
            Rule::observed => {
                let file = self.label(&parts.due());
                let column = parts.next_if(Rule::name).map(|name| self.name(&name));
                let unit = parts.next().map(|unit| self.name(&unit));
                TimeShape::Observed { file, column, unit }
            }
            _ => {
                let low = value()?;
                match parts.next() {
                    None => TimeShape::Constant(low),
                    Some(high) => TimeShape::Uniform { low, high: self.amount(high)? },
                }
            }
        })
    }

    /// The three values of a slash list and the unit after it.
    fn slash_list(&self, mut parts: super::Parts<'_>) -> Built<(Expr, Expr, Expr, Option<Name>)> {
        let list = parts.due();
        let unit = parts.next().map(|unit| self.name(&unit));
        let mut values = list.into_inner().filter(|part| part.as_rule() != Rule::slash);
        let mut value = || self.operand(values.next().expect("a slash list has three parts"));
        Ok((value()?, value()?, value()?, unit))
    }

    /// `case`: a time and its share.
    fn case(&self, pair: Pair<'_, Rule>) -> Built<(Expr, Expr)> {
        let mut parts = parts(pair);
        Ok((self.amount(parts.due())?, self.amount(parts.due())?))
    }
}
