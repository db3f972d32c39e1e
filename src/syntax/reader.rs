//! The cutting of a file into statements, and the recovery after each fault.
//!
//! Knows where statements start and braces close, nothing of what stands inside a statement. A
//! statement gives one fault at most; so does each line that opens nothing.

use super::grammar::Rule;
use super::sentence::{Sentence, Stop};
use super::tokens::{Token, TokenKind};
use super::tree::{Broken, Name, Statement, Word};
use super::{fault, limits, words};
use crate::diagnostic::words::reading;
use crate::diagnostic::{Diagnostic, FileId};
use std::ops::Range;

pub struct Reader<'a> {
    file: FileId,
    text: &'a str,
    tokens: &'a [Token],
    /// The next token.
    at: usize,
    faults: Vec<Diagnostic>,
    broken: Vec<Broken>,
}

impl<'a> Reader<'a> {
    pub fn new(file: FileId, text: &'a str, tokens: &'a [Token]) -> Reader<'a> {
        Reader { file, text, tokens, at: 0, faults: Vec::new(), broken: Vec::new() }
    }

    /// What could not be read, and why.
    pub fn into_findings(self) -> (Vec<Broken>, Vec<Diagnostic>) {
        (self.broken, self.faults)
    }

    /// Adds a fault; past the limit, reading ends.
    fn report(&mut self, fault: Diagnostic) {
        if self.faults.len() < limits::FAULTS {
            self.faults.push(fault);
        } else if self.faults.len() == limits::FAULTS {
            self.faults.push(reading::too_many_faults(fault.primary, limits::FAULTS));
            self.at = self.tokens.len();
        }
    }

    /// Reads all statements of the file.
    pub fn statements(&mut self) -> Vec<Statement> {
        self.group(None).0
    }

    /// Reads statements up to the brace that closes `open`, or to the end of the file. Says whether it
    /// is closed.
    fn group(&mut self, open: Option<Token>) -> (Vec<Statement>, bool) {
        let mut found = Vec::new();
        let mut fresh = true;
        while let Some(&token) = self.tokens.get(self.at) {
            match token.kind {
                TokenKind::Remark => self.at += 1,
                TokenKind::CloseBrace => {
                    self.at += 1;
                    if open.is_some() {
                        return (found, true);
                    }
                    self.report(reading::closes_nothing(token.span(self.file), '}', '{'));
                    self.skip();
                }
                TokenKind::OpenBrace => {
                    let fault = fault::unknown_line(token.span(self.file), token.kind, "{");
                    self.wrong_braces(token, fault);
                }
                _ => match self.opens(token, fresh) {
                    Some(word) => found.extend(self.statement(word)),
                    None => self.junk(),
                },
            }
            fresh &= token.is_remark();
        }
        (found, false)
    }

    /// The statements in braces; the opening one is read already.
    fn body(&mut self, open: Token) -> Vec<Statement> {
        let (statements, closed) = self.group(Some(open));
        if !closed {
            self.report(reading::not_closed(open.span(self.file), '{', '}'));
        }
        statements
    }

    /// Braces where none belong: one fault, and those of the statements in them. The next token opens
    /// them.
    fn wrong_braces(&mut self, open: Token, fault: Diagnostic) {
        self.at += 1;
        let first = self.tokens[self.at..].iter().find(|token| !token.is_remark());
        let groups = first.is_some_and(|first| self.opens(*first, true).is_some());
        let closed = if groups { self.group(Some(open)).1 } else { self.skip_braces() };
        self.report(if closed { fault } else { reading::not_closed(open.span(self.file), '{', '}') });
        self.after_braces();
    }

    /// Skips what braces hold that holds no statement; says whether they close.
    fn skip_braces(&mut self) -> bool {
        let mut depth = 1usize;
        while let Some(&token) = self.tokens.get(self.at) {
            self.at += 1;
            match token.kind {
                TokenKind::OpenBrace => depth += 1,
                TokenKind::CloseBrace if depth == 1 => return true,
                TokenKind::CloseBrace => depth -= 1,
                _ => {}
            }
        }
        false
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
        self.go_to_end();
        let mut statement = self.sentence(start..self.at);
        let next = self.tokens.get(self.at).copied();
        let Some(open) = next.filter(|token| token.kind == TokenKind::OpenBrace) else { return statement };
        if !word.groups() {
            let fault = reading::braces_group_nothing(open.span(self.file), word.text());
            self.wrong_braces(open, fault);
            return statement;
        }
        self.at += 1;
        let body = self.body(open);
        if let Some(statement) = &mut statement {
            statement.body = body;
            statement.span.end = self.tokens[self.at - 1].end;
        }
        self.after_braces();
        statement
    }

    /// Moves to the token after the statement's last: the next statement, a brace, or the end.
    fn go_to_end(&mut self) {
        while let Some(&token) = self.tokens.get(self.at) {
            let brace = matches!(token.kind, TokenKind::OpenBrace | TokenKind::CloseBrace);
            if brace || self.opens(token, false).is_some() {
                return;
            }
            self.at += 1;
        }
    }

    /// Says once what stands between a closing brace and the next statement, and skips it.
    fn after_braces(&mut self) {
        let start = self.at;
        self.skip();
        let junk = self.tokens[start..self.at].iter().find(|token| !token.is_remark());
        if let Some(&token) = junk {
            self.report(reading::after_braces(token.span(self.file), token.text(self.text)));
        }
    }

    /// Skips the rest of a line and the lines that go on from it: to the next brace, statement, or line
    /// that starts with an unknown word.
    fn skip(&mut self) {
        while let Some(&token) = self.tokens.get(self.at) {
            let brace = matches!(token.kind, TokenKind::OpenBrace | TokenKind::CloseBrace);
            let unknown = token.kind == TokenKind::Word && words::reserved(token.text(self.text)).is_none();
            if brace || token.first && (unknown || self.opens(token, false).is_some()) {
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
            reading::label_not_closed(open.span(self.file))
        } else if bytes > limits::STATEMENT_BYTES {
            if let Some(line) = self.next_stray_line(&range, Some(0)) {
                let statement = self.sentence(range.start..line);
                self.unknown_lines(line..range.end);
                return statement;
            }
            let place = sentence.tokens[0].span(self.file);
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
            self.go_to_end();
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
            self.body(open);
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
            self.report(fault::unknown_line(token.span(self.file), token.kind, token.text(self.text)));
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
            .map(|token| Name { text: text(token).to_string(), span: token.span(self.file) });
        if name.is_some() {
            next = words.next();
        }
        let label = next.filter(|token| token.kind == TokenKind::Label).map(|token| Name {
            text: text(token).trim_matches('"').to_string(),
            span: token.span(self.file),
        });
        self.broken.push(Broken { word, name, label, span: first.span(self.file) });
    }
}
