//! The clauses of parts: lots, and what is amiss with them.

use super::clause::day_span;
use super::{Builder, Built, Parts, parts};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{ClauseKind, LotsWhen};

impl Builder<'_> {
    pub(super) fn material(&self, rule: Rule, inner: Parts<'_>) -> Built<ClauseKind> {
        match rule {
            Rule::lots => self.lots(inner),
            Rule::part_lots => self.part_lots(inner),
            Rule::trucks => self.trucks(inner),
            _ => self.amiss(rule, inner),
        }
    }

    /// `short` or `wrong`
    fn amiss(&self, rule: Rule, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let (share, time) = (self.amount(inner.due())?, self.time(inner.due())?);
        Ok(match rule {
            Rule::short => ClauseKind::Short { share, arriving: time },
            _ => ClauseKind::Wrong { share, rekitted: time },
        })
    }

    /// `part_lots`
    fn part_lots(&self, mut inner: Parts<'_>) -> Built<ClauseKind> {
        Ok(ClauseKind::PartLots(self.count(inner.due())?))
    }

    /// `trucks`
    fn trucks(&self, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let size = self.count(inner.due())?;
        let (mut every, mut way) = (None, None);
        for part in inner {
            let goes_at_times = part.as_rule() == Rule::truck_every;
            let amount = Some(self.amount(parts(part).due())?);
            if goes_at_times { every = amount } else { way = amount }
        }
        Ok(ClauseKind::Trucks { size, every, way })
    }

    /// `lots`
    fn lots(&self, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let size = self.count(inner.due())?;
        let when = inner.due();
        let (rule, mut said) = (when.as_rule(), parts(when));
        let when = if rule == Rule::lots_every {
            LotsWhen::Every { gap: self.time(said.due())?, on_the_clock: said.next().is_some() }
        } else if rule == Rule::lots_level {
            LotsWhen::AtLevel { level: self.count(said.due())?, lead: self.time(said.due())? }
        } else {
            let (clock, days): (Vec<_>, Vec<_>) = said.partition(|part| part.as_rule() == Rule::clock);
            let at = self.clock(clock.first().expect("deliveries on days say at what time"));
            LotsWhen::Days { days: days.iter().map(day_span).collect(), at }
        };
        let late = match inner.next() {
            None => None,
            Some(lateness) => {
                let mut inner = parts(lateness);
                Some((self.amount(inner.due())?, self.time(inner.due())?))
            }
        };
        Ok(ClauseKind::Lots { size, when, late })
    }
}
