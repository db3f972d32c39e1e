//! Statements and what stands before their clauses.

use super::clause::day_span;
use super::{Builder, Built, parts, says};
use crate::diagnostic::Span;
use crate::syntax::grammar::{Rule, is_keyword};
use crate::syntax::tree::{AtTimes, Head, Name, ReleaseKind, SequenceKind, Statement, Word};
use pest::iterators::Pair;

/// What an opening has said so far.
struct Opening {
    word: Word,
    word_span: Span,
    name: Option<Name>,
    label: Option<Name>,
    head: Head,
}

impl Builder<'_> {
    /// `statement`
    pub(super) fn statement(&self, pair: Pair<'_, Rule>) -> Built<Statement> {
        let span = self.span(&pair);
        let mut inner = parts(pair);
        let opening = inner.due();
        let (target, opening) = match opening.as_rule() {
            Rule::s_change | Rule::s_remove => {
                let mut words = opening.into_inner();
                let word = words.next().expect("change and remove are words");
                let target = self.opening(words.next().expect("they name what they change"))?;
                let outer = Opening { word: self.word(&word), word_span: self.span(&word), ..target };
                (Some((target.word, target.word_span)), outer)
            }
            _ => (None, self.opening(opening)?),
        };
        let mut clauses = Vec::new();
        for clause in inner {
            self.clause(clause, &mut clauses)?;
        }
        let Opening { word, word_span, name, label, head } = opening;
        Ok(Statement { word, word_span, target, name, label, head, clauses, body: Vec::new(), span })
    }

    fn word(&self, pair: &Pair<'_, Rule>) -> Word {
        Word::find(pair.as_str()).expect("the grammar lets only statement words stand here")
    }

    /// `s_...`, `c_...`, `r_...`: word, name, label and head in the order of the rule.
    fn opening(&self, pair: Pair<'_, Rule>) -> Built<Opening> {
        let mut inner = pair.into_inner();
        let word = inner.next().expect("a statement starts with its word");
        let mut opening = Opening {
            word: self.word(&word),
            word_span: self.span(&word),
            name: None,
            label: None,
            head: Head::Nothing,
        };
        for part in inner {
            match part.as_rule() {
                Rule::name => opening.name = Some(self.name(&part)),
                Rule::label => opening.label = Some(self.label(&part)),
                Rule::equals => {}
                _ => opening.head = self.head(part)?,
            }
        }
        Ok(opening)
    }

    fn head(&self, pair: Pair<'_, Rule>) -> Built<Head> {
        let span = self.span(&pair);
        Ok(match pair.as_rule() {
            Rule::amount => Head::Value(self.amount(pair)?),
            Rule::count => Head::Value(self.count(pair)?),
            Rule::clocks => {
                let mut clocks = parts(pair);
                Head::Clocks { from: self.clock(&clocks.due()), to: self.clock(&clocks.due()) }
            }
            Rule::dates => Head::Dates(
                parts(pair)
                    .map(|span| {
                        let mut dates = parts(span);
                        (self.date(&dates.due()), dates.next().map(|date| self.date(&date)))
                    })
                    .collect(),
            ),
            Rule::absences => {
                let mut inner = parts(pair);
                let share = self.amount(inner.due())?;
                let on = inner.map(|on| {
                    let mut inner = parts(on);
                    let (first, last) = day_span(&inner.due());
                    Ok((first, last, self.amount(inner.due())?))
                });
                Head::Absent { share, on: on.collect::<Built<_>>()? }
            }
            Rule::learns => {
                let mut inner = parts(pair);
                let first = self.count(parts(inner.due()).due())?;
                Head::Learning { first, rate: self.amount(inner.due())? }
            }
            Rule::degrees => self.degrees(pair)?,
            Rule::stretch => {
                let mut ends = parts(pair);
                Head::Range(self.name(&ends.due()), self.name(&ends.due()))
            }
            Rule::kept_over => {
                let mut ends = parts(pair);
                Head::Keep { from: self.name(&ends.due()), to: self.name(&ends.due()) }
            }
            Rule::edges => self.edges(pair),
            Rule::exclusion => self.exclusion(pair)?,
            Rule::costed | Rule::cost_of => self.cost(pair)?,
            Rule::filling => Head::Start {
                full: says(&pair, Rule::k_full),
                span,
                on: parts(pair).next().map(|date| self.date(&date)),
            },
            Rule::k_random => Head::SequenceKind(SequenceKind::Random, span),
            Rule::k_levelled => Head::SequenceKind(SequenceKind::Levelled, span),
            Rule::pattern => Head::SequenceKind(SequenceKind::Pattern(self.names(pair)), span),
            Rule::batches => {
                let size = self.count(parts(pair).due())?;
                Head::SequenceKind(SequenceKind::Batches(size), span)
            }
            Rule::order_list => Head::SequenceKind(SequenceKind::List(self.label(&parts(pair).due())), span),
            Rule::k_saturated => Head::Release(ReleaseKind::Saturated, span),
            Rule::by_takt => Head::Release(ReleaseKind::ByTakt, span),
            Rule::every => {
                let mut inner = parts(pair);
                let gap = self.time(inner.due())?;
                let on_the_clock = inner.next().is_some();
                Head::Release(ReleaseKind::Every { gap, on_the_clock }, span)
            }
            Rule::release_list => Head::Release(ReleaseKind::List(self.label(&parts(pair).due())), span),
            _ => Head::Promise(Box::new(self.promise(pair)?)),
        })
    }

    /// `degrees`: how warm it is, and at some times.
    fn degrees(&self, pair: Pair<'_, Rule>) -> Built<Head> {
        let mut inner = parts(pair);
        let usual = self.amount(inner.due())?;
        let spell = |pair| {
            let mut inner = parts(pair);
            let value = self.amount(inner.due())?;
            let hours = inner.next_if(Rule::hours).map(|hours| {
                let mut clocks = parts(parts(hours).due());
                (self.clock(&clocks.due()), self.clock(&clocks.due()))
            });
            let days = inner.next().map(|days| parts(days).map(|span| day_span(&span)).collect());
            Ok(AtTimes { value, hours, days: days.unwrap_or_default() })
        };
        Ok(Head::Degrees { usual, at_times: inner.map(spell).collect::<Built<_>>()? })
    }

    /// `edges`: window A end to B start.
    fn edges(&self, pair: Pair<'_, Rule>) -> Head {
        let mut names = Vec::with_capacity(2);
        let mut at_end = Vec::with_capacity(2);
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::name => names.push(self.name(&part)),
                Rule::k_end => at_end.push(true),
                Rule::k_start => at_end.push(false),
                other => debug_assert!(is_keyword(other), "{other:?} in a window"),
            }
        }
        let (mut names, mut at_end) = (names.into_iter(), at_end.into_iter());
        let mut next =
            || (names.next().expect("a window has two steps"), at_end.next().expect("and says start or end"));
        let (opens, opens_at_end) = next();
        let (closes, judged_at_end) = next();
        Head::Window { opens, at_end: opens_at_end, closes, judged_at_end }
    }
}
