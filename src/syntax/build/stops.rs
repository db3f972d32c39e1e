//! Stops: when the next one comes, how long it lasts, who mends it.

use super::{Builder, Built, parts};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{ClauseKind, GapSpec, MendedBy, StoppingSpec, TimeOf};
use pest::iterators::Pair;

impl Builder<'_> {
    /// `stopping`
    pub(super) fn stopping(&self, pair: Pair<'_, Rule>) -> Built<ClauseKind> {
        let mut inner = parts(pair);
        let first = inner.due();
        let gap = if first.as_rule() == Rule::amount {
            GapSpec::Rate(self.amount(first)?)
        } else {
            let span = self.span(&first);
            let gap = self.time(first)?;
            let of = [Rule::of_net_time, Rule::of_use, Rule::on_the_clock]
                .into_iter()
                .find_map(|rule| inner.next_if(rule))
                .and_then(|of| time_of(of.as_rule()));
            GapSpec::Every { gap, of, span }
        };
        let lasts = self.time(inner.due())?;
        let mended = match inner.next() {
            Some(people) if people.as_rule() == Rule::fix_people => {
                MendedBy::People(self.needs(parts(people).due())?)
            }
            Some(of) => MendedBy::Time(time_of(of.as_rule())),
            None => MendedBy::Time(None),
        };
        Ok(ClauseKind::Stopping(Box::new(StoppingSpec { gap, lasts, mended })))
    }
}

fn time_of(rule: Rule) -> Option<TimeOf> {
    match rule {
        Rule::of_net_time => Some(TimeOf::Net),
        Rule::of_use => Some(TimeOf::Use),
        Rule::on_the_clock => Some(TimeOf::Clock),
        _ => None,
    }
}
