//! From text to a tree and all its faults.
//!
//! The text is cut into statements first; each is then read on its own, so that a fault in one never
//! touches the next. One statement gives one fault at most.

use super::build::Builder;
use super::grammar::{Grammar, Rule};
use super::tokens::{Token, TokenKind, tokens};
use super::tree::{Broken, Name, Promise, Statement, Tree, Word};
use super::{fault, limits, words};
use crate::diagnostic::words::reading;
use crate::diagnostic::{Diagnostic, FileId, Span};
use pest::Parser;
use pest::error::Error;
use std::ops::Range;

/// A file as far as it could be read, and every fault in it, in source order.
#[derive(Clone, PartialEq, Debug)]
pub struct Parsed {
    pub tree: Tree,
    pub faults: Vec<Diagnostic>,
}

/// Reads one file. Includes stay as `use` statements.
#[must_use]
pub fn parse(file: FileId, text: &str) -> Parsed {
    let mut tree = Tree { file, statements: Vec::new(), broken: Vec::new() };
    if let Some(fault) = unfit(file, text) {
        return Parsed { tree, faults: vec![fault] };
    }
    let tokens = tokens(text);
    if let Some(deep) = too_deep(text, &tokens) {
        let fault = reading::too_deep(span_of(file, deep), limits::NESTING);
        return Parsed { tree, faults: vec![fault] };
    }
    let mut reader = Reader { file, text, tokens: &tokens, at: 0, faults: Vec::new(), broken: Vec::new() };
    tree.statements = reader.statements(None);
    tree.broken = reader.broken;
    let mut faults = reader.faults;
    faults.sort_by_key(|fault| fault.primary.start);
    Parsed { tree, faults }
}

/// Reads a promise as a scenario states it, without the word `promise`.
pub fn parse_promise(file: FileId, text: &str) -> Result<Promise, Diagnostic> {
    if let Some(fault) = unfit(file, text) {
        return Err(fault);
    }
    let tokens = tokens(text);
    if let Some(deep) = too_deep(text, &tokens) {
        return Err(reading::too_deep(span_of(file, deep), limits::NESTING));
    }
    let sentence = Sentence { file, text, tokens: &tokens, next: None };
    sentence
        .parse(Rule::promise_alone)
        .map_err(|stop| sentence.explain(Rule::promise_alone, stop))
        .and_then(|pairs| sentence.builder().promise_alone(pairs))
}

/// What no statement could be read from.
fn unfit(file: FileId, text: &str) -> Option<Diagnostic> {
    if text.len() > limits::FILE_BYTES {
        let (found, most) = (text.len() as u64, limits::FILE_BYTES as u64);
        return Some(reading::file_too_large(Span::new(file, 0, 0), found, most));
    }
    text.find('\0').map(|at| reading::holds_nul(Span::new(file, at, at + 1)))
}

/// The first brace or bracket past the limit. Brackets count anew in every statement.
fn too_deep(text: &str, tokens: &[Token]) -> Option<Token> {
    let (mut braces, mut brackets) = (0usize, 0usize);
    for token in tokens {
        match token.kind {
            TokenKind::OpenBrace => braces += 1,
            TokenKind::CloseBrace => braces = braces.saturating_sub(1),
            TokenKind::OpenBracket => brackets += 1,
            TokenKind::CloseBracket => brackets = brackets.saturating_sub(1),
            TokenKind::Word if token.first && Word::find(token.text(text)).is_some() => brackets = 0,
            _ => continue,
        }
        if braces + brackets > limits::NESTING {
            return Some(*token);
        }
    }
    None
}

fn span_of(file: FileId, token: Token) -> Span {
    Span { file, start: token.start, end: token.end }
}

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

type Stop = Box<Error<Rule>>;

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

    fn builder(&self) -> Builder<'a> {
        Builder { file: self.file, base: self.base(), tokens: self.tokens }
    }

    fn parse(&self, rule: Rule) -> Result<pest::iterators::Pairs<'a, Rule>, Stop> {
        Grammar::parse(rule, self.source()).map_err(Box::new)
    }

    /// The statement, or where reading it stopped, or a number past its limits.
    fn read(&self) -> Result<Result<Statement, Diagnostic>, Stop> {
        self.parse(Rule::sentence).map(|pairs| self.builder().sentence(pairs))
    }

    fn explain(&self, rule: Rule, stop: Stop) -> Diagnostic {
        fault::explain(self, rule, &stop)
    }
}

struct Reader<'a> {
    file: FileId,
    text: &'a str,
    tokens: &'a [Token],
    /// The next token.
    at: usize,
    faults: Vec<Diagnostic>,
    broken: Vec<Broken>,
}

impl<'a> Reader<'a> {
    /// Adds a fault; past the limit, reading ends.
    fn report(&mut self, fault: Diagnostic) {
        if self.faults.len() < limits::FAULTS {
            self.faults.push(fault);
        } else if self.faults.len() == limits::FAULTS {
            self.faults.push(reading::too_many_faults(fault.primary, limits::FAULTS));
            self.at = self.tokens.len();
        }
    }

    /// Reads statements up to the brace that closes `open`, or to the end of the file.
    fn statements(&mut self, open: Option<Token>) -> Vec<Statement> {
        let mut found = Vec::new();
        let mut fresh = true;
        while let Some(&token) = self.tokens.get(self.at) {
            match token.kind {
                TokenKind::Remark => self.at += 1,
                TokenKind::CloseBrace => {
                    self.at += 1;
                    if open.is_some() {
                        return found;
                    }
                    self.report(reading::closes_nothing(span_of(self.file, token), '}', '{'));
                    self.skip();
                }
                TokenKind::OpenBrace => {
                    self.at += 1;
                    self.report(fault::unknown_line(span_of(self.file, token), token.kind, "{"));
                    self.statements(Some(token));
                    self.after_braces();
                }
                _ => match self.opens(token, fresh) {
                    Some(word) => found.extend(self.statement(word)),
                    None => self.junk(),
                },
            }
            fresh &= token.is_remark();
        }
        if let Some(open) = open {
            self.report(reading::not_closed(span_of(self.file, open), '{', '}'));
        }
        found
    }

    /// The statement word that this token opens a statement with. After an opening brace (`fresh`) it
    /// need not stand at the start of a line.
    fn opens(&self, token: Token, fresh: bool) -> Option<Word> {
        let at_start = token.kind == TokenKind::Word && (token.first || fresh);
        if at_start { Word::find(token.text(self.text)) } else { None }
    }

    /// Reads the statement that opens at the next token, and the braces after it.
    fn statement(&mut self, word: Word) -> Option<Statement> {
        let start = self.at;
        self.at += 1;
        let unclosed = self.go_to_end(word);
        let range = start..self.at;
        let mut statement = match unclosed {
            None => self.sentence(range),
            Some(open) => {
                self.report(reading::not_closed(span_of(self.file, open), '{', '}'));
                self.give_up(range);
                None
            }
        };
        let next = self.tokens.get(self.at).copied();
        let Some(open) = next.filter(|token| token.kind == TokenKind::OpenBrace) else { return statement };
        self.at += 1;
        if word != Word::Layout {
            self.report(reading::braces_group_nothing(span_of(self.file, open), word.text()));
        }
        let body = self.statements(Some(open));
        if let Some(statement) = &mut statement {
            statement.body = body;
            statement.span.end = self.tokens[self.at - 1].end;
        }
        self.after_braces();
        statement
    }

    /// Moves to the token after the statement's last: the next statement, a brace, or the end.
    /// Braces inside statements that are kept as text belong to them; returns one left open.
    fn go_to_end(&mut self, word: Word) -> Option<Token> {
        let mut open = Vec::new();
        while let Some(&token) = self.tokens.get(self.at) {
            match token.kind {
                TokenKind::OpenBrace if !word.is_modelled() => open.push(token),
                TokenKind::CloseBrace if !open.is_empty() => {
                    open.pop();
                }
                TokenKind::OpenBrace | TokenKind::CloseBrace => return None,
                _ if open.is_empty() && self.opens(token, false).is_some() => return None,
                _ => {}
            }
            self.at += 1;
        }
        open.pop()
    }

    /// Says once what stands between a closing brace and the next statement, and skips it.
    fn after_braces(&mut self) {
        let start = self.at;
        self.skip();
        let junk = self.tokens[start..self.at].iter().find(|token| !token.is_remark());
        if let Some(&token) = junk {
            self.report(reading::after_braces(span_of(self.file, token), token.text(self.text)));
        }
    }

    /// Skips to the next statement or closing brace.
    fn skip(&mut self) {
        while let Some(&token) = self.tokens.get(self.at) {
            if token.kind == TokenKind::CloseBrace || self.opens(token, false).is_some() {
                return;
            }
            self.at += 1;
        }
    }

    fn cut(&self, range: &Range<usize>) -> Sentence<'a> {
        Sentence {
            file: self.file,
            text: self.text,
            tokens: &self.tokens[range.clone()],
            next: self.tokens.get(range.end).copied(),
        }
    }

    /// Reads the tokens of one statement.
    fn sentence(&mut self, range: Range<usize>) -> Option<Statement> {
        let sentence = self.cut(&range);
        let open = sentence.tokens.iter().find(|token| token.kind == TokenKind::OpenLabel);
        let bytes = sentence.source().len();
        let fault = if let Some(&open) = open {
            reading::label_not_closed(span_of(self.file, open))
        } else if bytes > limits::STATEMENT_BYTES {
            let place = span_of(self.file, sentence.tokens[0]);
            reading::long_statement(place, bytes, limits::STATEMENT_BYTES)
        } else {
            match sentence.read() {
                Ok(Ok(statement)) => return Some(statement),
                Ok(Err(fault)) => fault,
                Err(stop) => return self.stopped(&range, stop),
            }
        };
        self.report(fault);
        self.give_up(range);
        None
    }

    /// Reading stopped inside the statement: is it a fault in it, or a line after it that opens nothing?
    fn stopped(&mut self, range: &Range<usize>, stop: Stop) -> Option<Statement> {
        let sentence = self.cut(range);
        if let Some(line) = self.stray_line(range, fault::place(&sentence, &stop))
            && let Ok(Ok(statement)) = self.cut(&(range.start..line)).read()
        {
            self.unknown_lines(line..range.end);
            return Some(statement);
        }
        // Lines after the fault that open nothing are faults of their own.
        if let Some(line) = self.next_stray_line(range, fault::place(&sentence, &stop)) {
            let rest = line..range.end;
            let range = range.start..line;
            let sentence = self.cut(&range);
            if let Err(stop) = sentence.read() {
                self.report(sentence.explain(Rule::sentence, stop));
                self.give_up(range);
                self.unknown_lines(rest);
                return None;
            }
        }
        let broken_line = fault::wants_next_line(&sentence, &stop);
        self.report(sentence.explain(Rule::sentence, stop));
        self.give_up(range.clone());
        // The next line is the rest of this statement if the two read well as one.
        if broken_line {
            let start = self.at;
            self.at += 1;
            self.go_to_end(Word::Line);
            if self.cut(&(range.start..self.at)).read().is_err() {
                self.at = start;
            }
        }
        None
    }

    /// The start of the line where reading stopped, if that line does not stand further in than the
    /// statement and starts with an unknown word: indentation means nothing, but tells what was meant.
    fn stray_line(&self, range: &Range<usize>, stopped: Option<usize>) -> Option<usize> {
        let stopped = range.start + stopped.unwrap_or(range.len() - 1);
        let line = (range.start + 1..=stopped).rev().find(|at| self.tokens[*at].first)?;
        self.is_stray(range, line).then_some(line)
    }

    /// The first such line after the place where reading stopped.
    fn next_stray_line(&self, range: &Range<usize>, stopped: Option<usize>) -> Option<usize> {
        let after = range.start + stopped? + 1;
        (after..range.end).find(|at| self.tokens[*at].first && self.is_stray(range, *at))
    }

    fn is_stray(&self, range: &Range<usize>, line: usize) -> bool {
        let (opener, stray) = (self.tokens[range.start], self.tokens[line]);
        self.is_unknown(line) && opener.first && self.indent(stray) <= self.indent(opener)
    }

    /// Whether a token is a word that means nothing by itself, and the one before it does not ask for
    /// such a word.
    fn is_unknown(&self, at: usize) -> bool {
        let (before, token) = (self.tokens[at - 1], self.tokens[at]);
        let asks = before.kind == TokenKind::Comma
            || (before.kind == TokenKind::Word && words::reserved(before.text(self.text)).is_some());
        token.kind == TokenKind::Word && words::reserved(token.text(self.text)).is_none() && !asks
    }

    /// Bytes before the first token of a line.
    fn indent(&self, token: Token) -> usize {
        let before = &self.text[..token.start as usize];
        before.len() - before.rfind(['\n', '\r']).map_or(0, |at| at + 1)
    }

    /// What stands where a statement should start, up to the next statement or brace.
    fn junk(&mut self) {
        let start = self.at;
        self.at += 1;
        while let Some(&token) = self.tokens.get(self.at) {
            let brace = matches!(token.kind, TokenKind::OpenBrace | TokenKind::CloseBrace);
            if brace || self.opens(token, false).is_some() {
                break;
            }
            self.at += 1;
        }
        self.unknown_lines(start..self.at);
        // What an unknown statement groups is still read for its own faults.
        if let Some(&open) = self.tokens.get(self.at).filter(|token| token.kind == TokenKind::OpenBrace) {
            self.at += 1;
            self.statements(Some(open));
            self.after_braces();
        }
    }

    /// One fault for each line that starts with an unknown word and stands no further in than the first.
    fn unknown_lines(&mut self, range: Range<usize>) {
        let mut start = range.start;
        let indent = self.indent(self.tokens[start]);
        for at in range.start + 1..=range.end {
            if at < range.end {
                let token = self.tokens[at];
                if !(token.first && self.is_unknown(at) && self.indent(token) <= indent) {
                    continue;
                }
            }
            let token = self.tokens[start];
            self.report(fault::unknown_line(span_of(self.file, token), token.kind, token.text(self.text)));
            self.give_up(start..at);
            start = at;
        }
    }

    /// Remembers what a statement that can't be read would have defined.
    fn give_up(&mut self, range: Range<usize>) {
        let mut words = self.tokens[range].iter().filter(|token| !token.is_remark()).copied();
        let Some(first) = words.next() else { return };
        let text = |token: Token| token.text(self.text);
        let word = Word::find(text(first));
        let mut next = words.next();
        let name = next
            .filter(|token| token.kind == TokenKind::Word && words::reserved(text(*token)).is_none())
            .filter(|_| word.is_none_or(Word::gives_name))
            .map(|token| Name { text: text(token).to_string(), span: span_of(self.file, token) });
        if name.is_some() {
            next = words.next();
        }
        let label = next.filter(|token| token.kind == TokenKind::Label).map(|token| Name {
            text: text(token).trim_matches('"').to_string(),
            span: span_of(self.file, token),
        });
        self.broken.push(Broken { word, name, label, span: span_of(self.file, first) });
    }
}
