//! The statements of a layout, by their word and where they stand.

use super::Item;
use super::desk::Desk;
use super::exclusions;
use super::names::Kind;
use crate::diagnostic::Span;
use crate::diagnostic::words::{limits, statements as words};
use crate::syntax::tree::{Statement, Word};

/// Statements of one kind at most: ids and tables have room for them.
const MOST: [(Kind, usize); 18] = [
    (Kind::Model, 256),
    (Kind::Option, 256),
    (Kind::People, 1000),
    (Kind::Place, 10_000),
    (Kind::Team, 10_000),
    (Kind::Equipment, 10_000),
    (Kind::Zone, 1000),
    (Kind::Limit, 1000),
    (Kind::Segment, 10_000),
    (Kind::Work, 200_000),
    (Kind::Shift, 100),
    (Kind::Part, 10_000),
    (Kind::Stops, 10_000),
    (Kind::Orientation, 100),
    (Kind::Carriers, 64),
    (Kind::Temperature, 100),
    (Kind::Lanes, 1000),
    (Kind::Lane, 10_000),
];
/// Models times steps at most: every step has its times per model.
const MODEL_STEPS: usize = 4_000_000;
/// Tests at most, by the range of their ids.
const TESTS: usize = 10_000;

/// The statements of a layout by their word.
pub(super) struct Sorted<'i> {
    items: Vec<&'i Item<'i>>,
}

impl<'i> Sorted<'i> {
    pub fn of_items(items: &'i [Item<'i>]) -> Sorted<'i> {
        Sorted { items: items.iter().collect() }
    }

    pub fn of(&self, word: Word) -> Vec<&'i Statement> {
        self.all().filter(|statement| statement.word == word).collect()
    }

    /// Those of a word in the braces of a feeder, or (`None`) outside all of them.
    pub fn within(&self, word: Word, feeder: Option<&str>) -> Vec<&'i Statement> {
        let there = |item: &&&Item| {
            item.statement.word == word && item.feeder.as_ref().map(|name| name.text.as_str()) == feeder
        };
        self.items.iter().filter(there).map(|item| &*item.statement).collect()
    }

    pub fn of_kind(&self, kind: Kind) -> Vec<&'i Item<'i>> {
        self.items.iter().copied().filter(|item| Kind::of(item.statement.word) == Some(kind)).collect()
    }

    pub fn all(&self) -> impl Iterator<Item = &'i Statement> {
        self.items.iter().map(|item| &*item.statement)
    }

    /// The one statement of a word that stands once; a second one is reported.
    pub fn single(&self, word: Word, desk: &mut Desk) -> Option<&'i Statement> {
        let found = self.of(word);
        for second in found.iter().skip(1) {
            desk.fault(words::repeated_statement(second.word_span, found[0].word_span, word.text()));
        }
        found.first().copied()
    }
}

/// There are no more of any kind than ids and tables have room for.
pub(super) fn within_limits(sorted: &Sorted, desk: &mut Desk) -> bool {
    let mut fine = true;
    let mut over = |span: Span, what: &str, found: usize, most: usize, desk: &mut Desk| {
        desk.fault(limits::over_limit(span, what, &found.to_string(), &most.to_string()));
        fine = false;
    };
    for (kind, most) in MOST {
        let found = sorted.of_kind(kind);
        if found.len() > most {
            let what = format!("statements that define {}", kind.said());
            over(found[most].statement.span, &what, found.len(), most, desk);
        }
    }
    let tests = sorted.of(Word::Test);
    if tests.len() > TESTS {
        over(tests[TESTS].span, "tests", tests.len(), TESTS, desk);
    }
    let excluded = sorted.of(Word::Exclude);
    if excluded.len() > exclusions::MOST {
        over(excluded[exclusions::MOST].span, "`exclude` statements", excluded.len(), exclusions::MOST, desk);
    }
    let (models, steps) = (sorted.of(Word::Model), sorted.of_kind(Kind::Work));
    if models.len() * steps.len() > MODEL_STEPS {
        over(models[0].span, "models times steps", models.len() * steps.len(), MODEL_STEPS, desk);
    }
    fine
}
