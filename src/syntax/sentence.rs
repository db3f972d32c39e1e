//! One statement's text on its own: read by the grammar, or explained.

use super::build::Builder;
use super::fault;
use super::grammar::{Grammar, Rule};
use super::tokens::Token;
use super::tree::Statement;
use crate::diagnostic::{Diagnostic, FileId};
use pest::Parser;
use pest::error::Error;

/// One statement's text on its own.
#[derive(Clone, Copy)]
pub struct Sentence<'a> {
    pub file: FileId,
    /// The whole file.
    pub text: &'a str,
    /// From its first word to its last (remarks included).
    pub tokens: &'a [Token],
    /// What stands after it.
    pub next: Option<Token>,
}

pub type Stop = Box<Error<Rule>>;

impl<'a> Sentence<'a> {
    pub fn base(&self) -> usize {
        self.tokens.first().map_or(0, |token| token.start as usize)
    }

    pub fn end(&self) -> usize {
        self.tokens.iter().rev().find(|token| !token.is_remark()).map_or(0, |token| token.end as usize)
    }

    /// The text from its first word to its last, remarks at its end left out.
    pub fn source(&self) -> &'a str {
        &self.text[self.base()..self.end().max(self.base())]
    }

    pub fn builder(&self) -> Builder<'a> {
        Builder { file: self.file, base: self.base(), tokens: self.tokens }
    }

    pub fn parse(&self, rule: Rule) -> Result<pest::iterators::Pairs<'a, Rule>, Stop> {
        Grammar::parse(rule, self.source()).map_err(Box::new)
    }

    /// The statement, or where reading it stopped, or a number past its limits.
    pub fn read(&self) -> Result<Result<Statement, Diagnostic>, Stop> {
        self.parse(Rule::sentence).map(|pairs| self.builder().sentence(pairs))
    }

    pub fn explain(&self, rule: Rule, stop: Stop) -> Diagnostic {
        fault::explain(self, rule, &stop)
    }
}
