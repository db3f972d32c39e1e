//! Work that must not run while other work does.

use super::{Builder, Built, parts};
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{Apart, ExclusionSpec, Head};
use pest::iterators::Pair;

impl Builder<'_> {
    /// `exclusion`
    pub(super) fn exclusion(&self, pair: Pair<'_, Rule>) -> Built<Head> {
        let mut inner = parts(pair);
        let first = inner.due();
        let apart = match first.as_rule() {
            Rule::work_in => Apart::Zones(self.names(parts(first).due())),
            _ => Apart::Steps(self.names(first)),
        };
        let running = self.names(inner.due());
        let within = inner.next().map(|reach| self.count(parts(reach).due())).transpose()?;
        Ok(Head::Exclude(Box::new(ExclusionSpec { apart, running, within })))
    }
}
