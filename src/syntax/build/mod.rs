//! From pest's pairs to the tree.
//!
//! Every function takes the pair of the rule it is named after. The grammar has settled the form, so
//! what is missing here is our own bug (`due` says so); what a file can still get wrong are numbers
//! and arithmetic past their limits.

mod around;
mod clause;
mod cost;
mod exclusion;
mod expr;
mod mark;
mod material;
mod opening;
mod promise;
mod stops;
mod time;

use super::grammar::{Rule, is_keyword};
use super::tokens::Token;
use super::tree::{ClauseKind, Clock, Date, Name, Promise, Statement};
use crate::diagnostic::{Diagnostic, FileId, Span};
use pest::iterators::{Pair, Pairs};

/// What every builder needs: where the sentence stands in its file.
#[derive(Clone, Copy)]
pub struct Builder<'a> {
    pub file: FileId,
    /// Bytes of the file before the sentence.
    pub base: usize,
    /// The tokens of the sentence, with places in the file.
    pub tokens: &'a [Token],
}

type Built<T> = Result<T, Diagnostic>;

/// The parts of a rule without its keywords and commas.
struct Parts<'i>(Pairs<'i, Rule>);

impl<'i> Iterator for Parts<'i> {
    type Item = Pair<'i, Rule>;

    fn next(&mut self) -> Option<Pair<'i, Rule>> {
        self.0.by_ref().find(|pair| !is_keyword(pair.as_rule()) && pair.as_rule() != Rule::comma)
    }
}

impl<'i> Parts<'i> {
    /// The next part, which the grammar does not let be missing.
    fn due(&mut self) -> Pair<'i, Rule> {
        self.next().expect("the grammar puts another part here")
    }

    /// The next part, if it is of that rule.
    fn next_if(&mut self, rule: Rule) -> Option<Pair<'i, Rule>> {
        let mut ahead = Parts(self.0.clone());
        let pair = ahead.next().filter(|pair| pair.as_rule() == rule)?;
        self.0 = ahead.0;
        Some(pair)
    }
}

fn parts(pair: Pair<'_, Rule>) -> Parts<'_> {
    Parts(pair.into_inner())
}

/// Whether a rule has read that keyword among its direct parts.
fn says(pair: &Pair<'_, Rule>, keyword: Rule) -> bool {
    pair.clone().into_inner().any(|part| part.as_rule() == keyword)
}

impl Builder<'_> {
    /// Builds a `sentence`.
    pub fn sentence(self, mut pairs: Pairs<'_, Rule>) -> Built<Statement> {
        let sentence = pairs.next().expect("a parsed sentence is one pair");
        let statement = sentence.into_inner().next().expect("a sentence holds a statement");
        self.statement(statement)
    }

    /// Builds a `promise_alone`.
    pub fn promise_alone(self, mut pairs: Pairs<'_, Rule>) -> Built<Promise> {
        let alone = pairs.next().expect("a parsed promise is one pair");
        let promise = alone.into_inner().next().expect("it holds a promise");
        self.promise(promise)
    }

    /// The place of a pair in the file, without the blanks and remarks that may trail it.
    fn span(&self, pair: &Pair<'_, Rule>) -> Span {
        let (start, end) = (self.base + pair.as_span().start(), self.base + pair.as_span().end());
        let before = self.tokens.partition_point(|token| (token.start as usize) < end);
        let last = self.tokens[..before].iter().rev().find(|token| !token.is_remark());
        let end = last.map_or(end, |token| end.min(token.end as usize)).max(start);
        Span::new(self.file, start, end)
    }

    fn name(&self, pair: &Pair<'_, Rule>) -> Name {
        Name { text: pair.as_str().to_string(), span: self.span(pair) }
    }

    /// The text between the quotes; the span is that of the quotes too.
    fn label(&self, pair: &Pair<'_, Rule>) -> Name {
        let text = pair.as_str().trim_matches('"').to_string();
        Name { text, span: self.span(pair) }
    }

    /// `names`, or any rule that holds nothing but names.
    fn names(&self, pair: Pair<'_, Rule>) -> Vec<Name> {
        parts(pair).map(|name| self.name(&name)).collect()
    }

    /// `in left or right` or `in left, under`
    fn inside(&self, list: Pair<'_, Rule>) -> ClauseKind {
        match list.as_rule() == Rule::either {
            true => ClauseKind::InOneOf(self.names(list)),
            false => ClauseKind::In(self.names(list)),
        }
    }

    /// `name_span`: A05 or A05 to A09.
    fn name_span(&self, pair: Pair<'_, Rule>) -> (Name, Option<Name>) {
        let mut parts = parts(pair);
        (self.name(&parts.due()), parts.next().map(|name| self.name(&name)))
    }

    /// `spans`
    fn spans(&self, pair: Pair<'_, Rule>) -> Vec<(Name, Option<Name>)> {
        parts(pair).map(|span| self.name_span(span)).collect()
    }

    fn clock(&self, pair: &Pair<'_, Rule>) -> Clock {
        let (hour, minute) = pair.as_str().split_once(':').expect("a clock time has a colon");
        Clock { hour: digits(hour), minute: digits(minute), span: self.span(pair) }
    }

    fn date(&self, pair: &Pair<'_, Rule>) -> Date {
        let mut fields = pair.as_str().split('-').map(digits);
        let mut field = || fields.next().expect("a date has three fields");
        let year = i32::try_from(field()).expect("a year has four digits");
        Date { year, month: field(), day: field(), span: self.span(pair) }
    }
}

/// At most four digits, as the grammar has it.
fn digits(text: &str) -> u32 {
    text.parse().expect("the grammar lets only few digits stand here")
}
