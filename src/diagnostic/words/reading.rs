//! The words of T1: reading the text.

use crate::diagnostic::{Code, Diagnostic, Span};

/// The longest piece of a file that a headline repeats, in characters.
const SHOWN: usize = 40;

/// A piece of the file in code quotes, short and without control characters.
#[must_use]
pub fn shown(text: &str) -> String {
    let mut out = String::from("`");
    for (count, c) in text.chars().enumerate() {
        if count == SHOWN {
            out.push('…');
            break;
        }
        if c.is_control() || is_invisible(c) || (c.is_whitespace() && c != ' ') {
            out.push_str(&format!("U+{:04X}", c as u32));
        } else {
            out.push(c);
        }
    }
    out.push('`');
    out
}

/// Characters that steer the text around them and show nothing themselves.
fn is_invisible(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

// ---- T101: the text does not read as a sentence ----

/// `expected a time after `takes`, found `by``
#[must_use]
pub fn unexpected(place: Span, found: &str, after: &str, expected: &str) -> Diagnostic {
    let headline = format!("expected {expected}{}, found {}", after_what(after), shown(found));
    Diagnostic::new(Code::Unreadable, place, headline).marked(format!("expected {expected}"))
}

fn after_what(text: &str) -> String {
    if text.is_empty() { String::new() } else { format!(" after {}", shown(text)) }
}

/// The statement stops where more is due.
#[must_use]
pub fn ends_early(place: Span, after: &str, expected: &str) -> Diagnostic {
    let headline = format!("expected {expected}{}, but the statement ends here", after_what(after));
    Diagnostic::new(Code::Unreadable, place, headline).marked(format!("expected {expected}"))
}

/// A word of the language with a typing slip.
#[must_use]
pub fn misspelt(place: Span, found: &str, meant: &str) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, format!("{} is no word that can stand here", shown(found)))
        .marked("not known here")
        .help(format!("did you mean `{meant}`?"))
}

/// A statement word in the middle of a line, where a statement could start.
#[must_use]
pub fn statement_inside_line(place: Span, word: &str) -> Diagnostic {
    let headline = format!("`{word}` opens a statement, but stands in the middle of a line");
    Diagnostic::new(Code::Unreadable, place, headline)
        .marked("a new statement?")
        .help(format!("start a new line before `{word}`"))
}

/// `"` without its partner on the line.
#[must_use]
pub fn label_not_closed(place: Span) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, "a text in quotes does not end on its line")
        .marked("no closing quote")
        .help("close it with `\"` before the end of the line")
}

/// Quotes of a word processor.
#[must_use]
pub fn curly_quote(place: Span, found: &str) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, format!("{} opens no text", shown(found)))
        .marked("not a straight quote")
        .help("texts stand in straight quotes: \"Base and tray\"")
}

/// `1,5`
#[must_use]
pub fn decimal_comma(place: Span, found: &str) -> Diagnostic {
    let cure = found.replace(',', ".");
    Diagnostic::new(Code::Unreadable, place, format!("{} is two numbers with a comma between", shown(found)))
        .marked("a comma parts the items of a list")
        .help(format!("a decimal point makes one number of it: `{cure}`"))
}

/// `.5`, `5.`
#[must_use]
pub fn point_alone(place: Span) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, "a decimal point needs a digit on both sides")
        .marked("no number")
        .help("write 0.5, or 5")
}

/// `a -1`, `5-3`
#[must_use]
pub fn minus_without_blanks(place: Span) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, "a minus between two values needs a blank on both sides")
        .marked("blank missing")
        .help("write `5 - 3`: without blanks `-` is part of a name")
}

/// `8 /10`, `8/10 min`
#[must_use]
pub fn slash_form(place: Span) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, "this stroke neither divides nor parts three times")
        .marked("one of the two forms")
        .help("three times, at best, most often and at worst, stand without blanks: `8/10/14 min`")
        .help("to divide, put a blank on both sides: `450 min / 18`")
}

/// A dash of a word processor.
#[must_use]
pub fn typographic_sign(place: Span, found: &str, plain: &str) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, format!("{} is no sign of the language", shown(found)))
        .marked("not known here")
        .help(format!("write `{plain}`"))
}

/// A number of very many digits.
#[must_use]
pub fn long_number(place: Span, digits: usize, most: usize) -> Diagnostic {
    Diagnostic::new(Code::OverLimit, place, format!("a number of {digits} digits; {most} are the limit"))
        .marked("too long")
        .help("write fewer digits: nothing on a line is measured that finely")
}

/// Arithmetic of very many operators.
#[must_use]
pub fn long_arithmetic(place: Span, most: usize) -> Diagnostic {
    let headline = format!("arithmetic with more than {most} operators");
    Diagnostic::new(Code::OverLimit, place, headline)
        .marked("too long")
        .help("give parts of it names with `let`")
}

/// A statement of very many bytes.
#[must_use]
pub fn long_statement(place: Span, bytes: usize, most: usize) -> Diagnostic {
    let headline = format!("a statement of {bytes} bytes; {most} are the limit");
    Diagnostic::new(Code::OverLimit, place, headline)
        .marked("this statement")
        .help("a statement ends where a line starts with the next statement word: is one missing?")
}

/// More faults than anybody reads.
#[must_use]
pub fn too_many_faults(place: Span, most: usize) -> Diagnostic {
    Diagnostic::new(
        Code::OverLimit,
        place,
        format!("more than {most} faults; the rest of the file is not shown"),
    )
    .marked("reading stopped being useful here")
    .help("is this a line file?")
}

// ---- T102: a line starts with an unknown word ----

#[must_use]
pub fn unknown_statement(place: Span, found: &str, meant: Option<&str>) -> Diagnostic {
    let fault =
        Diagnostic::new(Code::UnknownStatement, place, format!("{} opens no statement", shown(found)))
            .marked("expected a statement word");
    match meant {
        Some(word) => fault.help(format!("did you mean `{word}`?")),
        None => fault.help("a statement starts with a word such as `station`, `task` or `test`"),
    }
}

/// A clause word where a statement must start.
#[must_use]
pub fn clause_without_statement(place: Span, found: &str) -> Diagnostic {
    let headline = format!("{} opens a clause, and no statement stands before it", shown(found));
    Diagnostic::new(Code::UnknownStatement, place, headline)
        .marked("expected a statement word")
        .help("clauses follow the statement that they belong to")
}

// ---- T103, T104: clauses ----

/// `takes` lists what the statement can say, in the order of the reference.
#[must_use]
pub fn misplaced_clause(place: Span, clause: &str, statement: &str, takes: &[&str]) -> Diagnostic {
    let fault = Diagnostic::new(
        Code::MisplacedClause,
        place,
        format!("a `{statement}` statement takes no `{clause}` clause"),
    )
    .marked("does not belong here");
    if takes.is_empty() {
        return fault.help(format!("`{statement}` takes no clauses"));
    }
    let list: Vec<_> = takes.iter().map(|word| format!("`{word}`")).collect();
    fault.help(format!("`{statement}` takes {}", one_of(&list, "and")))
}

#[must_use]
pub fn repeated(place: Span, first: Span, what: &str) -> Diagnostic {
    Diagnostic::new(Code::Repeated, place, format!("`{what}` stands twice, where it may stand once"))
        .marked("again")
        .label(first, "first")
        .help("keep one of the two")
}

// ---- T105: reserved names ----

#[must_use]
pub fn reserved_name(place: Span, word: &str, opens: &str) -> Diagnostic {
    Diagnostic::new(Code::ReservedName, place, format!("`{word}` can't be a name: it {opens}"))
        .marked("reserved")
        .help(format!("choose another name, such as `{word}-1`"))
}

// ---- T106: nesting ----

#[must_use]
pub fn too_deep(place: Span, most: usize) -> Diagnostic {
    Diagnostic::new(Code::Nesting, place, format!("more than {most} brackets or braces inside one another"))
        .marked("one too many")
        .help("is a closing one missing further up?")
}

#[must_use]
pub fn not_closed(place: Span, open: char, close: char) -> Diagnostic {
    Diagnostic::new(Code::Nesting, place, format!("`{open}` is not closed"))
        .marked("opened here")
        .help(format!("add `{close}` where the group ends"))
}

#[must_use]
pub fn closes_nothing(place: Span, close: char, open: char) -> Diagnostic {
    Diagnostic::new(Code::Nesting, place, format!("`{close}` closes nothing"))
        .marked(format!("no `{open}` before it"))
        .help("take it away")
}

#[must_use]
pub fn braces_group_nothing(place: Span, word: &str) -> Diagnostic {
    Diagnostic::new(Code::Unreadable, place, format!("a `{word}` statement has no braces"))
        .marked("nothing to group")
        .help("braces group the changes of a `layout`")
}

#[must_use]
pub fn after_braces(place: Span, found: &str) -> Diagnostic {
    let headline = format!("expected the next statement after `}}`, found {}", shown(found));
    Diagnostic::new(Code::Unreadable, place, headline)
        .marked("expected a statement at the start of a line")
        .help("what a layout says about itself stands before its braces")
}

// ---- T107: files that can't be read as text ----

#[must_use]
pub fn not_utf8(place: Span, byte: u8, at: usize) -> Diagnostic {
    let headline = format!("the file is not valid UTF-8: byte {byte:#04X} at position {at}");
    Diagnostic::new(Code::BadFile, place, headline)
        .marked("up to here it is text")
        .help("save it with the encoding UTF-8")
}

#[must_use]
pub fn holds_nul(place: Span) -> Diagnostic {
    Diagnostic::new(Code::BadFile, place, "the file holds a NUL character")
        .marked("here")
        .help("save it as plain text with the encoding UTF-8")
}

#[must_use]
pub fn file_too_large(place: Span, found: u64, most: u64) -> Diagnostic {
    let headline = format!("the file has {found} bytes; {most} are the limit");
    Diagnostic::new(Code::BadFile, place, headline).help("is this a line file?")
}

#[must_use]
pub fn file_unreadable(place: Span, path: &str, reason: &str) -> Diagnostic {
    Diagnostic::new(Code::BadFile, place, format!("{} can't be read: {reason}", shown(path)))
}

#[must_use]
pub fn file_missing(place: Span, path: &str) -> Diagnostic {
    Diagnostic::new(Code::BadFile, place, format!("there is no file {}", shown(path)))
}

// ---- T108: includes ----

#[must_use]
pub fn include_missing(place: Span, path: &str) -> Diagnostic {
    Diagnostic::new(Code::BadInclude, place, format!("there is no file {}", shown(path)))
        .marked("not found")
        .help("paths start at the folder of the first file, with `/` between folders")
}

#[must_use]
pub fn include_unreadable(place: Span, path: &str, reason: &str) -> Diagnostic {
    Diagnostic::new(Code::BadInclude, place, format!("{} can't be read: {reason}", shown(path)))
        .marked("not readable")
}

#[must_use]
pub fn include_outside(place: Span, path: &str) -> Diagnostic {
    let headline = format!("{} lies outside the folder of the first file", shown(path));
    let fault = Diagnostic::new(Code::BadInclude, place, headline).marked("outside");
    if path.contains('\\') {
        return fault.help(format!("folders are parted by `/`: {}", shown(&path.replace('\\', "/"))));
    }
    fault.help("a line reads only files in the folder of its first file and below: no `..`, no leading `/`")
}

/// `circle` runs from the file that is read twice back to itself.
#[must_use]
pub fn include_circle(place: Span, circle: &[String]) -> Diagnostic {
    let path = circle.join(" -> ");
    Diagnostic::new(Code::BadInclude, place, format!("files include one another in a circle: {path}"))
        .marked("this closes the circle")
        .help("take one of the `use` statements away")
}

#[must_use]
pub fn include_twice(place: Span, first: Span, path: &str) -> Diagnostic {
    Diagnostic::new(Code::BadInclude, place, format!("{} is read twice", shown(path)))
        .marked("again")
        .label(first, "first")
        .help("keep one of the two `use` statements")
}

#[must_use]
pub fn too_many_files(place: Span, most: usize) -> Diagnostic {
    Diagnostic::new(Code::OverLimit, place, format!("more than {most} files"))
        .marked("not read")
        .help("put statements of several files into one")
}

// ---- T109 ----

#[must_use]
pub fn empty_file(place: Span) -> Diagnostic {
    Diagnostic::new(Code::EmptyFile, place, "the file holds no statement")
        .help("a line needs at least a `station` and a `task`")
}

/// `a`, `a or b`, `a, b or c`
#[must_use]
pub fn one_of(items: &[String], link: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} {link} {last}", rest.join(", ")),
    }
}
