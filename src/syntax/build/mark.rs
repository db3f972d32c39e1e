//! Clauses without anything that varies.

use crate::syntax::grammar::Rule;
use crate::syntax::tree::ClauseKind;

/// Clauses that say all with their words.
pub(super) fn mark(rule: Rule) -> Option<ClauseKind> {
    Some(match rule {
        Rule::only_if => ClauseKind::OnlyIfItFits,
        Rule::attended => ClauseKind::Attended,
        Rule::safety => ClauseKind::Safety,
        Rule::stays => ClauseKind::Stays,
        Rule::exactly => ClauseKind::Exactly,
        Rule::once => ClauseKind::OnceALot,
        Rule::pushed_ready => ClauseKind::PushedWhenReady,
        Rule::may_move => ClauseKind::MayMove,
        Rule::ordered => ClauseKind::Ordered,
        _ => return None,
    })
}
