//! From the place where reading stopped to one sentence about it.
//!
//! pest tells how far a statement could be read and which rules were tried there. That place is right
//! but not always the cause: a mistyped word may have been taken for a name before. So slips are tried
//! out: a word is blamed only if the statement reads further with the word that was probably meant.

use super::expected::{self, INNER, fitting_words, is_unit};
use super::grammar::{Grammar, Rule, is_keyword, keyword};
use super::limits;
use super::sentence::Sentence;
use super::tokens::{Token, TokenKind};
use super::tree::Word;
use super::words::{self, Reserved};
use crate::diagnostic::words::reading;
use crate::diagnostic::{Diagnostic, FileId, Span};
use pest::Parser;
use pest::error::{Error, ErrorVariant, InputLocation};

/// Index among the sentence's tokens of the one where reading stopped; `None` at its end.
pub fn place(sentence: &Sentence<'_>, stop: &Error<Rule>) -> Option<usize> {
    index_from(sentence, sentence.base() + position(stop))
}

fn position(stop: &Error<Rule>) -> usize {
    match stop.location {
        InputLocation::Pos(at) | InputLocation::Span((at, _)) => at,
    }
}

fn index_from(sentence: &Sentence<'_>, at: usize) -> Option<usize> {
    let end = sentence.end();
    let found = sentence.tokens.iter().position(|token| !token.is_remark() && token.end as usize > at)?;
    ((sentence.tokens[found].start as usize) < end).then_some(found)
}

/// Whether the statement stopped at its end for want of the word that opens the next line.
pub fn wants_next_line(sentence: &Sentence<'_>, stop: &Error<Rule>) -> bool {
    let (None, Some(next)) = (place(sentence, stop), sentence.next) else { return false };
    is_due(tried(stop), next.text(sentence.text))
}

fn is_due(expected: &[Rule], word: &str) -> bool {
    expected.iter().any(|rule| is_keyword(*rule) && keyword(*rule) == word)
}

fn tried(stop: &Error<Rule>) -> &[Rule] {
    match &stop.variant {
        ErrorVariant::ParsingError { positives, .. } => positives.as_slice(),
        ErrorVariant::CustomError { .. } => &[],
    }
}

/// The fault of a line that opens no statement.
pub fn unknown_line(place: Span, kind: TokenKind, text: &str) -> Diagnostic {
    if kind == TokenKind::Word && words::opens_clause(text) {
        return reading::clause_without_statement(place, text);
    }
    let known = Word::ALL.iter().map(|word| word.text());
    let meant = if kind == TokenKind::Word { words::nearest(text, known) } else { None };
    reading::unknown_statement(place, text, meant)
}

/// What a sentence that stopped is told.
pub fn explain(sentence: &Sentence<'_>, rule: Rule, stop: &Error<Rule>) -> Diagnostic {
    // Only for want of stack, on a thread with hardly any: what is nested deeper was refused before.
    if matches!(stop.variant, ErrorVariant::CustomError { .. }) {
        let place = sentence.tokens.first().map_or(Span::default(), |first| first.span(sentence.file));
        return reading::too_deep(place, limits::NESTING);
    }
    let scene = Scene::new(sentence, rule, position(stop), tried(stop));
    scene
        .brackets()
        .or_else(|| scene.signs())
        .or_else(|| scene.slip())
        .or_else(|| scene.reserved())
        .unwrap_or_else(|| scene.plain())
}

/// The place of a fault with its neighbours.
struct Scene<'a> {
    sentence: &'a Sentence<'a>,
    rule: Rule,
    /// Bytes of the sentence that could be read.
    reach: usize,
    expected: &'a [Rule],
    /// Where reading stopped; `None` at the end of the statement.
    found: Option<Token>,
    /// The one or two tokens before it.
    before: Option<Token>,
    earlier: Option<Token>,
    after: Option<Token>,
}

impl<'a> Scene<'a> {
    fn new(sentence: &'a Sentence<'a>, rule: Rule, reach: usize, expected: &'a [Rule]) -> Scene<'a> {
        let at = index_from(sentence, sentence.base() + reach);
        let split = at.unwrap_or(sentence.tokens.len());
        let mut back = sentence.tokens[..split].iter().rev().filter(|token| !token.is_remark()).copied();
        let mut on = sentence.tokens[split..].iter().filter(|token| !token.is_remark()).copied();
        let (before, earlier) = (back.next(), back.next());
        let (found, after) = (on.next(), on.next());
        Scene { sentence, rule, reach, expected, found, before, earlier, after }
    }

    fn text(&self, token: Token) -> &'a str {
        token.text(self.sentence.text)
    }

    fn file(&self) -> FileId {
        self.sentence.file
    }

    fn span(&self, token: Token) -> Span {
        Span { file: self.file(), start: token.start, end: token.end }
    }

    fn expects(&self, rules: &[Rule]) -> bool {
        self.expected.iter().any(|rule| rules.contains(rule))
    }

    fn expects_name(&self) -> bool {
        use Rule::{day_span, edges, name, name_span, names, need, pattern, spans, stretch, tool};
        self.expects(&[name, names, name_span, spans, tool, pattern, stretch, edges])
            && !self.expects(&[day_span, need])
    }

    /// Brackets without their partners come before everything else that is wrong around them.
    fn brackets(&self) -> Option<Diagnostic> {
        let mut open = Vec::new();
        for token in self.sentence.tokens {
            match token.kind {
                TokenKind::OpenBracket => open.push(*token),
                TokenKind::CloseBracket if open.pop().is_none() => {
                    return Some(reading::closes_nothing(self.span(*token), ')', '('));
                }
                _ => {}
            }
        }
        open.first().map(|token| reading::not_closed(self.span(*token), '(', ')'))
    }

    /// Faults that the signs at the place tell by themselves.
    fn signs(&self) -> Option<Diagnostic> {
        let found = self.found?;
        let number = |token: Option<Token>| token.filter(|token| token.kind == TokenKind::Number);
        if found.kind == TokenKind::Number {
            let (comma, whole) = (self.before?, number(self.earlier));
            let close = whole.is_some_and(|whole| whole.end == comma.start && comma.end == found.start);
            if comma.kind == TokenKind::Comma && close {
                let place = self.span(whole?).to(self.span(found));
                let text = &self.sentence.text[place.start as usize..place.end as usize];
                return Some(reading::decimal_comma(place, text));
            }
        }
        if self.expects(&[Rule::slash]) && self.expected.iter().all(|rule| *rule == Rule::slash) {
            return Some(reading::slash_form(self.around_stroke()));
        }
        if found.kind != TokenKind::Sign {
            return None;
        }
        let place = self.span(found);
        match self.text(found) {
            text @ ("“" | "”" | "„" | "«" | "»" | "‘" | "’" | "'" | "`") => {
                Some(reading::curly_quote(place, text))
            }
            "/" => Some(reading::slash_form(self.around_stroke())),
            "-" if self.before.is_some() => Some(reading::minus_without_blanks(place)),
            text @ ("–" | "—" | "−") => Some(reading::typographic_sign(place, text, "-")),
            text @ "×" => Some(reading::typographic_sign(place, text, "x")),
            "." if number(self.before).is_some() || number(self.after).is_some() => {
                Some(reading::point_alone(place))
            }
            text @ ";" => Some(reading::typographic_sign(place, text, ",")),
            _ => None,
        }
    }

    /// The stroke at the place, or before it, with the values that touch it.
    fn around_stroke(&self) -> Span {
        let tokens = self.sentence.tokens;
        let stop = self.sentence.base() + self.reach;
        let near = tokens.iter().filter(|token| (token.start as usize) <= stop);
        let stroke = near.clone().rev().take(3).find(|token| self.text(**token) == "/");
        let stroke = stroke.or(self.found.as_ref()).or(self.before.as_ref());
        let Some(at) = stroke.and_then(|stroke| tokens.iter().position(|token| token == stroke)) else {
            return Span::new(self.file(), stop, stop);
        };
        let (mut first, mut last) = (at, at);
        while first > 0 && tokens[first - 1].end == tokens[first].start {
            first -= 1;
        }
        while last + 1 < tokens.len() && tokens[last + 1].start == tokens[last].end {
            last += 1;
        }
        self.span(tokens[first]).to(self.span(tokens[last]))
    }

    /// A mistyped word, at the place or just before it.
    fn slip(&self) -> Option<Diagnostic> {
        let is_free = |token: &Token| {
            let text = self.text(*token);
            token.kind == TokenKind::Word && words::reserved(text).is_none() && !is_unit(text)
        };
        if let Some(found) = self.found.filter(is_free) {
            let known = self.expected.iter().flat_map(|rule| fitting_words(*rule)).collect::<Vec<_>>();
            if let Some(meant) = words::nearest(self.text(found), known.iter().map(String::as_str)) {
                return Some(reading::misspelt(self.span(found), self.text(found), meant));
            }
        }
        // A name that the statement gives itself is never a slip.
        let before = self.before.filter(is_free)?;
        let known = words::clause_first_words().chain(INNER.iter().copied());
        let meant = words::nearest(self.text(before), known)?;
        let better = self.reach_with(before, meant)? > self.reach;
        better.then(|| reading::misspelt(self.span(before), self.text(before), meant))
    }

    /// How far the statement reads with another word for that token, in bytes of the present text.
    fn reach_with(&self, token: Token, word: &str) -> Option<usize> {
        let source = self.sentence.source();
        let base = self.sentence.base();
        let (start, end) = ((token.start as usize).checked_sub(base)?, token.end as usize - base);
        let tried = format!("{}{word}{}", &source[..start], &source[end..]);
        let reach = match Grammar::parse(self.rule, &tried) {
            Ok(_) => return Some(usize::MAX),
            Err(stop) => position(&stop),
        };
        (reach + (end - start)).checked_sub(word.len())
    }

    /// A reserved word where a name or the next clause is due.
    fn reserved(&self) -> Option<Diagnostic> {
        let found = self.found.filter(|token| token.kind == TokenKind::Word)?;
        let text = self.text(found);
        let kind = words::reserved(text)?;
        let place = self.span(found);
        if kind == Reserved::Statement && !self.expects_name() && self.expects(&[Rule::clause]) {
            return Some(reading::statement_inside_line(place, text));
        }
        if !self.expects_name() {
            return None;
        }
        // `task takes 3 min`: a name is missing; `task index takes 3 min`: it can't be that one.
        let stands_alone = |next: Token| match next.kind {
            TokenKind::Number | TokenKind::Stamp => true,
            TokenKind::Word => words::reserved(self.text(next)).is_none(),
            _ => false,
        };
        let missing = kind != Reserved::Statement && self.after.is_some_and(stands_alone);
        let opens = match kind {
            Reserved::Statement => "opens a statement",
            Reserved::Clause => "opens a clause",
            Reserved::Link => "links the parts of a clause",
        };
        (!missing).then(|| reading::reserved_name(place, text, opens))
    }

    /// What was expected, and what stands there.
    fn plain(&self) -> Diagnostic {
        let expected = expected::wording(self.expected);
        let after = self.before.map_or("", |token| self.text(token));
        let Some(found) = self.found else {
            let end = self.sentence.end();
            let fault = reading::ends_early(Span::new(self.file(), end, end), after, &expected);
            return self.line_break_advice(fault);
        };
        let fault = reading::unexpected(self.span(found), self.text(found), after, &expected);
        self.advice(found, fault)
    }

    /// A word that opens statements stands at the start of the next line, where it was due in this one.
    fn line_break_advice(&self, fault: Diagnostic) -> Diagnostic {
        let Some(next) = self.sentence.next else { return fault };
        let text = self.text(next);
        if !is_due(self.expected, text) {
            return fault;
        }
        fault.help(format!(
            "a line that starts with `{text}` opens a statement: move the word to the line before"
        ))
    }

    fn advice(&self, found: Token, fault: Diagnostic) -> Diagnostic {
        let text = self.text(found);
        let follows = |kind| self.before.is_some_and(|before| before.kind == kind);
        // A list goes on with a comma; where that helps to read on, it is what is missing.
        let listed =
            self.before.filter(|before| before.kind == TokenKind::Word && found.kind == TokenKind::Word);
        if let Some(before) = listed {
            let before_text = self.text(before);
            let with_comma = self.reach_with(before, &format!("{before_text},"));
            if with_comma.is_some_and(|reach| reach > self.reach) {
                return fault.help(format!("names in a list are parted by commas: `{before_text}, {text}`"));
            }
        }
        if is_unit(text) && follows(TokenKind::Number) {
            return fault.help("a plain number stands here, without a unit");
        }
        if found.kind == TokenKind::Number && self.expects_name() {
            return fault.help("a name starts with a letter");
        }
        fault
    }
}
