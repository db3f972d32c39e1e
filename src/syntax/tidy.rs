//! The canonical form of a file.
//!
//! A statement stands on one line where it fits, else each clause has a line of its own, further in.
//! Remarks stay after or between the words they stand at, groups keep one blank line between them,
//! the statements in braces stand further in, and so does work below the place where it is done. Nothing is reordered, added or taken away but blanks.

use super::parse::parse;
use super::tokens::{Token, TokenKind, tokens};
use super::tree::{ClauseKind, Statement, Word};
use crate::diagnostic::{Diagnostic, FileId};

/// Columns of a line, where a clause is not longer by itself.
pub const WIDTH: usize = 100;
/// Blanks by which clauses and grouped statements stand further in.
const STEP: usize = 2;

/// The canonical form, or every fault of a text that can't be read.
pub fn tidy(text: &str) -> Result<String, Vec<Diagnostic>> {
    let parsed = parse(FileId(0), text);
    if !parsed.faults.is_empty() {
        return Err(parsed.faults);
    }
    let tokens = tokens(text);
    let mut tidy = Tidy { text, tokens: &tokens, at: 0, out: String::new(), line: String::new(), indent: 0 };
    tidy.statements(&parsed.tree.statements, text.len(), 0);
    Ok(tidy.out)
}

struct Tidy<'a> {
    text: &'a str,
    tokens: &'a [Token],
    /// The next token.
    at: usize,
    out: String,
    /// The line being written, without its indent.
    line: String,
    indent: usize,
}

/// Work that is done at the place above it stands further in than the place.
fn stands_below(statement: &Statement) -> bool {
    let elsewhere = statement.clauses.iter().any(|clause| matches!(clause.kind, ClauseKind::At(_)));
    let work = matches!(statement.word, Word::Task | Word::Hold | Word::Test);
    work && !elsewhere || matches!(statement.word, Word::Window | Word::Keep)
}

impl Tidy<'_> {
    fn peek(&self) -> Option<Token> {
        self.tokens.get(self.at).copied()
    }

    /// The next token, if it starts before that byte.
    fn peek_before(&self, end: usize) -> Option<Token> {
        self.peek().filter(|token| (token.start as usize) < end)
    }

    /// The statements and the remarks between them, up to that byte.
    fn statements(&mut self, statements: &[Statement], end: usize, indent: usize) {
        let block = self.out.len();
        let mut below_place = false;
        for statement in statements {
            below_place = below_place && stands_below(statement);
            let indent = if below_place { indent + STEP } else { indent };
            self.remarks(statement.span.start as usize, indent, block);
            self.blank_line(block);
            self.statement(statement, indent);
            below_place |= matches!(statement.word, Word::Station | Word::Rack);
            self.trailing_remark();
            self.end_line();
        }
        self.remarks(end, indent, block);
    }

    /// Remarks on lines of their own.
    fn remarks(&mut self, end: usize, indent: usize, block: usize) {
        while let Some(remark) = self.peek_before(end) {
            self.blank_line(block);
            self.indent = indent;
            self.push(remark.text(self.text).trim_end());
            self.at += 1;
            self.end_line();
        }
    }

    /// Keeps one blank line before the next token where the text has any, unless it opens a block.
    fn blank_line(&mut self, block: usize) {
        let Some(next) = self.peek() else { return };
        let before = self.at.checked_sub(1).map_or(0, |at| self.tokens[at].end as usize);
        let between = &self.text[before..next.start as usize];
        let breaks = between.replace("\r\n", "\n").matches(['\n', '\r']).count();
        if breaks > 1 && self.out.len() > block {
            self.out.push('\n');
        }
    }

    /// A remark on the line of the token before it.
    fn trailing_remark(&mut self) {
        if let Some(remark) = self.peek().filter(|token| token.is_remark() && !token.first) {
            self.line.push_str("  ");
            self.push(remark.text(self.text).trim_end());
            self.at += 1;
        }
    }

    fn push(&mut self, text: &str) {
        self.line.push_str(text);
    }

    fn end_line(&mut self) {
        if !self.line.is_empty() {
            self.out.extend(std::iter::repeat_n(' ', self.indent));
            self.out.push_str(&self.line);
            self.out.push('\n');
            self.line.clear();
        }
    }

    fn statement(&mut self, statement: &Statement, indent: usize) {
        self.indent = indent;
        let end = statement.span.end as usize;
        let rest = &self.tokens[self.at..];
        let outside = |token: &Token| token.start as usize >= end || token.kind == TokenKind::OpenBrace;
        let mut count = rest.iter().position(outside).unwrap_or(rest.len());
        let braces = rest.get(count).is_some_and(|token| (token.start as usize) < end);
        // Remarks at its end follow the statement, unless its braces come after them.
        while !braces && count > 0 && rest[count - 1].is_remark() {
            count -= 1;
        }
        self.sentence(statement, &rest[..count], braces, indent);
        self.at += count;
        if braces {
            self.braces(statement, indent);
        }
    }

    /// The words of a statement, on one line if they fit.
    fn sentence(&mut self, statement: &Statement, words: &[Token], braces: bool, indent: usize) {
        if words.iter().all(|word| !word.is_remark()) {
            let line = self.joined(words);
            let width = indent + line.chars().count() + if braces { 2 } else { 0 };
            if width <= WIDTH {
                self.line = line;
                return;
            }
        }
        // The second cap of `up to 3 people, 4 at A06` is a clause in the tree and none in the text.
        let own = statement.clauses.iter().filter(|clause| clause.span.start == clause.word_span.start);
        let mut starts = own.map(|clause| clause.span.start).peekable();
        for (at, &word) in words.iter().enumerate() {
            let opens = starts.next_if(|start| *start <= word.start).is_some();
            if opens || (word.is_remark() && word.first) {
                self.end_line();
            }
            if at > 0 && self.line.is_empty() {
                self.indent = indent + STEP;
            }
            if word.is_remark() {
                if !word.first {
                    self.push("  ");
                }
                self.push(word.text(self.text).trim_end());
                self.end_line();
                continue;
            }
            let before = at.checked_sub(1).map(|before| words[before]);
            if !self.line.is_empty() && before.is_some_and(|before| parted(before, word, self.text)) {
                self.push(" ");
            }
            self.push(word.text(self.text));
        }
    }

    fn joined(&self, words: &[Token]) -> String {
        let mut line = String::new();
        for (at, &word) in words.iter().enumerate() {
            if at > 0 && parted(words[at - 1], word, self.text) {
                line.push(' ');
            }
            line.push_str(word.text(self.text));
        }
        line
    }

    /// The braces of a statement and what they group; the next token opens them.
    fn braces(&mut self, statement: &Statement, indent: usize) {
        let close = statement.span.end as usize - 1;
        if !self.line.is_empty() {
            self.push(" ");
        }
        self.push("{");
        self.at += 1;
        if self.peek_before(close).is_none() {
            self.push("}");
            self.at += 1;
            return;
        }
        self.trailing_remark();
        self.end_line();
        self.statements(&statement.body, close, indent + STEP);
        self.indent = indent;
        self.push("}");
        self.at += 1;
    }
}

/// Whether a blank stands between two words of a sentence.
fn parted(before: Token, next: Token, text: &str) -> bool {
    let sign = |token: Token| (token.kind == TokenKind::Sign).then(|| token.text(text));
    if next.kind == TokenKind::Comma
        || next.kind == TokenKind::CloseBracket
        || before.kind == TokenKind::OpenBracket
    {
        return false;
    }
    // A stroke without blanks parts three times, with blanks it divides; a minus without is a sign.
    let minds = |token: Token| matches!(sign(token), Some("/" | "-" | ">" | "<"));
    let two_signs = sign(before).is_some() && sign(next).is_some();
    if minds(before) || minds(next) || two_signs {
        return before.end < next.start;
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tidied(text: &str) -> String {
        tidy(text).expect("the text reads without a fault")
    }

    #[test]
    fn a_short_statement_stands_on_one_line() {
        assert_eq!(
            tidied("\u{feff}\r\n\r\ntask   a01\t\"x\"\r\n takes 8/10/14min ,by 2 , with hoist,2 rig\r\n"),
            "task a01 \"x\" takes 8/10/14 min, by 2, with hoist, 2 rig\n"
        );
        assert_eq!(tidied("let a=2*( b+1 ) - -3 / 4%"), "let a = 2 * (b + 1) - -3 / 4 %\n");
        assert_eq!(tidied(""), "");
    }

    #[test]
    fn a_long_statement_has_a_line_for_each_clause() {
        let text = "shift day 06:00 to 14:30 meal 10:30 lasting 30 min break 08:30 lasting 10 min, break 12:45 \
                    lasting 10 min meeting 8 min";
        assert_eq!(
            tidied(text),
            "shift day 06:00 to 14:30\n  meal 10:30 lasting 30 min\n  break 08:30 lasting 10 min,\n  \
             break 12:45 lasting 10 min\n  meeting 8 min\n"
        );
    }

    #[test]
    fn remarks_stay_where_they_stand_and_groups_stay_groups() {
        let text = "# top\n\n\n\nline \"x\" # the line\n# before\ntask a takes # how long\n\n  # longer\n 3 min\n \
                    by 2 # who\n  # last\n";
        let expected = "# top\n\nline \"x\"  # the line\n# before\ntask a\n  takes  # how long\n  # longer\n  \
                        3 min\n  by 2  # who\n# last\n";
        assert_eq!(tidied(text), expected);
        assert_eq!(tidied(expected), expected);
    }

    #[test]
    fn grouped_statements_stand_further_in() {
        let text = "layout \"x\" on \"y\"{ change station A bays 2 # more\n\nremove task b }# done\nlayout \"z\" { }";
        let expected = "layout \"x\" on \"y\" {\n  change station A bays 2  # more\n\n  remove task b\n}  # done\n\
                        layout \"z\" {}\n";
        assert_eq!(tidied(text), expected);
        assert_eq!(tidied(expected), expected);
    }

    #[test]
    fn work_stands_further_in_below_the_place_where_it_is_done() {
        let text = "station A crew 1\n# first\ntask a takes 1 min\ntask b takes 1 min at B\ntask c takes 1 min at B\n\
                    rack B places 2\n\nhold d at least 1 min\nkeep r from a to d\n# next\nstation C";
        let expected = "station A crew 1\n  # first\n  task a takes 1 min\ntask b takes 1 min at B\ntask c takes 1 min \
                        at B\nrack B places 2\n\n  hold d at least 1 min\n  keep r from a to d\n# next\nstation C\n";
        assert_eq!(tidied(text), expected);
        assert_eq!(tidied(expected), expected);
    }

    #[test]
    fn the_stations_of_a_lane_stand_further_in() {
        let text = "lanes p  chosen by  model\nlane a  60 % of p{\nstation P1 crew 4\ntask a1 takes 1 min }\nrack B places 2";
        let expected = "lanes p chosen by model\nlane a 60 % of p {\n  station P1 crew 4\n    task a1 takes 1 min\n}\nrack B places 2\n";
        assert_eq!(tidied(text), expected);
        assert_eq!(tidied(expected), expected);
    }

    #[test]
    fn a_text_with_faults_is_not_touched() {
        assert_eq!(tidy("task a tkes 3 min\nstaton B").map_err(|faults| faults.len()), Err(2));
    }
}
