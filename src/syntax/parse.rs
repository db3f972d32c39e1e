//! From text to a tree and all its faults.
//!
//! The text is cut into statements first; each is then read on its own, so that a fault in one never
//! touches the next. One statement gives one fault at most.

use super::grammar::Rule;
use super::limits;
use super::reader::Reader;
use super::sentence::Sentence;
use super::tokens::{Token, TokenKind, tokens};
use super::tree::{Promise, Tree, Word};
use crate::diagnostic::words::reading;
use crate::diagnostic::{Diagnostic, FileId, Span};

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
        let fault = reading::too_deep(deep.span(file), limits::NESTING);
        return Parsed { tree, faults: vec![fault] };
    }
    let mut reader = Reader::new(file, text, &tokens);
    tree.statements = reader.statements();
    let (broken, mut faults) = reader.into_findings();
    tree.broken = broken;
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
        return Err(reading::too_deep(deep.span(file), limits::NESTING));
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
