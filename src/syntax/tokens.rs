//! The text as a row of words and signs with their places, remarks included.
//!
//! A first reading that knows no sentences: it finds where statements start and braces close, tells
//! what stands at the place of a fault, and gives the formatter the remarks that the grammar skips.
//! It spells names, numbers, labels and blanks as the grammar does.

use crate::diagnostic::{FileId, Span};
use pest::unicode::{ALPHABETIC, MARK};

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TokenKind {
    /// A name or a word of the language.
    Word,
    /// `12`, `1.5`
    Number,
    /// `06:00` or `2026-11-30`
    Stamp,
    /// A text in quotes that closes on its line.
    Label,
    /// A quote that does not close on its line; runs to the end of the line.
    OpenLabel,
    OpenBrace,
    CloseBrace,
    OpenBracket,
    CloseBracket,
    Comma,
    /// Any other single character.
    Sign,
    /// `# ...` up to the end of the line, without the line break.
    Remark,
}

/// One word or sign: bytes `start..end` of the text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Token {
    pub kind: TokenKind,
    /// First on its line (remarks before it do not share its line).
    pub first: bool,
    pub start: u32,
    pub end: u32,
}

impl Token {
    pub fn text(self, source: &str) -> &str {
        &source[self.start as usize..self.end as usize]
    }

    pub fn span(self, file: FileId) -> Span {
        Span { file, start: self.start, end: self.end }
    }

    pub fn is_remark(self) -> bool {
        self.kind == TokenKind::Remark
    }
}

/// The byte order mark that some editors put before the text.
pub const BYTE_ORDER_MARK: char = '\u{feff}';

/// Whether the grammar takes this character as a blank.
pub fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\t'..='\r' | '\u{a0}')
}

fn starts_name(c: char) -> bool {
    c.is_ascii_alphabetic() || (!c.is_ascii() && ALPHABETIC(c))
}

fn goes_on_in_name(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '_' || c == '-' || (!c.is_ascii() && (ALPHABETIC(c) || MARK(c)))
}

/// Splits a whole text (at most 4 GiB; the caller holds files under the limit).
pub fn tokens(text: &str) -> Vec<Token> {
    let mut found = Vec::with_capacity(text.len() / 5);
    let mut rest = text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text);
    let mut first = true;
    while let Some(c) = rest.chars().next() {
        let start = text.len() - rest.len();
        if is_blank(c) {
            first |= c == '\n' || c == '\r';
            rest = &rest[c.len_utf8()..];
            continue;
        }
        let (kind, length) = one(c, rest);
        found.push(Token { kind, first, start: small(start), end: small(start + length) });
        first = false;
        rest = &rest[length..];
    }
    found
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// The kind and length in bytes of what stands at the start of `rest`; `c` is its first character.
fn one(c: char, rest: &str) -> (TokenKind, usize) {
    match c {
        '#' => (TokenKind::Remark, line_length(rest)),
        '"' => label(rest),
        '{' => (TokenKind::OpenBrace, 1),
        '}' => (TokenKind::CloseBrace, 1),
        '(' => (TokenKind::OpenBracket, 1),
        ')' => (TokenKind::CloseBracket, 1),
        ',' => (TokenKind::Comma, 1),
        '0'..='9' => number_or_stamp(rest.as_bytes()),
        c if starts_name(c) => {
            let length = rest.find(|c| !goes_on_in_name(c)).unwrap_or(rest.len());
            (TokenKind::Word, length)
        }
        c => (TokenKind::Sign, c.len_utf8()),
    }
}

fn line_length(rest: &str) -> usize {
    rest.find(['\n', '\r']).unwrap_or(rest.len())
}

fn label(rest: &str) -> (TokenKind, usize) {
    let line = &rest[..line_length(rest)];
    match line[1..].find('"') {
        Some(inside) => (TokenKind::Label, inside + 2),
        None => (TokenKind::OpenLabel, line.trim_end_matches(is_blank).len()),
    }
}

fn number_or_stamp(rest: &[u8]) -> (TokenKind, usize) {
    let digits = |from: usize| rest[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let at = |i: usize| rest.get(i).copied().unwrap_or(b' ');
    let whole = digits(0);
    let next = if whole < rest.len() { digits(whole + 1) } else { 0 };
    match at(whole) {
        b':' if whole <= 2 && next == 2 && at(whole + 3) != b':' => (TokenKind::Stamp, whole + 3),
        b'-' if whole == 4 && next == 2 && at(7) == b'-' && digits(8) == 2 => (TokenKind::Stamp, 10),
        b'.' if next > 0 => (TokenKind::Number, whole + 1 + next),
        _ => (TokenKind::Number, whole),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<(TokenKind, &str)> {
        tokens(text).into_iter().map(|token| (token.kind, token.text(text))).collect()
    }

    #[test]
    fn a_sentence_splits_into_words_numbers_labels_and_remarks() {
        use TokenKind::{Comma, Label, Number, Remark, Sign, Stamp, Word};
        assert_eq!(
            kinds("task C-12 \"a # b\" 8/1.5 06:00,2026-11-30 # x"),
            [
                (Word, "task"),
                (Word, "C-12"),
                (Label, "\"a # b\""),
                (Number, "8"),
                (Sign, "/"),
                (Number, "1.5"),
                (Stamp, "06:00"),
                (Comma, ","),
                (Stamp, "2026-11-30"),
                (Remark, "# x"),
            ]
        );
    }

    #[test]
    fn a_quote_that_does_not_close_ends_with_its_line() {
        assert_eq!(
            kinds("x \"ab  \r\ny"),
            [(TokenKind::Word, "x"), (TokenKind::OpenLabel, "\"ab"), (TokenKind::Word, "y")]
        );
    }

    #[test]
    fn the_first_word_of_each_line_is_known_after_any_line_break_and_mark() {
        let text = "\u{feff}a b\rc\r\n\n  d # e\nf";
        let firsts: Vec<_> =
            tokens(text).into_iter().filter(|token| token.first).map(|token| token.text(text)).collect();
        assert_eq!(firsts, ["a", "c", "d", "f"]);
    }

    #[test]
    fn letters_of_other_scripts_are_names() {
        assert_eq!(
            kinds("Prüfstand 溶接 e\u{301}a"),
            [(TokenKind::Word, "Prüfstand"), (TokenKind::Word, "溶接"), (TokenKind::Word, "e\u{301}a")]
        );
    }
}
