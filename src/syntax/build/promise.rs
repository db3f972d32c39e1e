//! Promises, in a file or in a scenario.

use super::{Builder, Built, parts, says};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{Measure, Promise, Statistic};
use pest::iterators::Pair;

impl Builder<'_> {
    /// `promise_share`, `promise_holds` or `promise_measure`
    pub(super) fn promise(&self, pair: Pair<'_, Rule>) -> Built<Promise> {
        let rule = pair.as_rule();
        let at_least = says(&pair, Rule::k_least);
        let mut inner = parts(pair);
        match rule {
            Rule::promise_holds => Ok(Promise::NoHoldShort),
            Rule::promise_share => {
                let count = self.count(inner.due())?;
                Ok(Promise::CountOnShare { count, share: self.amount(inner.due())? })
            }
            _ => {
                let mut statistic = None;
                let mut measured = None;
                let mut limit = None;
                for part in inner {
                    match part.as_rule() {
                        Rule::statistic => {
                            let word = part.clone().into_inner().next().expect("a statistic is a word");
                            statistic = Some((which_statistic(word.as_rule()), self.span(&part)));
                        }
                        Rule::amount => limit = Some(self.amount(part)?),
                        rule => {
                            let at = parts(part).next().map(|name| self.name(&name));
                            measured = Some((which_measure(rule), at));
                        }
                    }
                }
                let (measure, at) = measured.expect("a promise says what is measured");
                let limit = limit.expect("it ends with its limit");
                Ok(Promise::Measure { measure, at, statistic, at_least, limit })
            }
        }
    }
}

fn which_statistic(rule: Rule) -> Statistic {
    match rule {
        Rule::k_mean => Statistic::Mean,
        Rule::k_p05 => Statistic::P05,
        Rule::k_p50 => Statistic::P50,
        Rule::k_p90 => Statistic::P90,
        Rule::k_p95 => Statistic::P95,
        _ => Statistic::Max,
    }
}

fn which_measure(rule: Rule) -> Measure {
    match rule {
        Rule::units_per_shift => Measure::UnitsPerShift,
        Rule::units_per_hour => Measure::UnitsPerHour,
        Rule::minutes_between => Measure::MinutesBetweenUnits,
        Rule::wait => Measure::Wait,
        Rule::flow_time => Measure::FlowTime,
        Rule::in_process => Measure::WorkInProcess,
        Rule::labour => Measure::LabourPerUnit,
        _ => Measure::FirstPassYield,
    }
}
