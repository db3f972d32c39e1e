//! Names: who is defined, found by name, with a helpful answer where nothing is.
//!
//! A statement counts as defining its name even if it is faulty, so that one fault gives one report.

use super::desk::Desk;
use crate::diagnostic::Span;
use crate::diagnostic::words::names as words;
use crate::syntax::tree::{Name, Statement, Word};
use std::collections::BTreeMap;

/// The things that have names; each kind is a name space of its own.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    Model,
    Option,
    People,
    /// Stations, racks and repair bays.
    Place,
    Team,
    Equipment,
    Zone,
    Limit,
    Segment,
    /// Tasks, holds, tests and gates.
    Work,
    Shift,
    /// What tasks take from stores.
    Part,
    Stops,
    Orientation,
    Carriers,
    Temperature,
    /// Lanes side by side.
    Lanes,
    Lane,
}

impl Kind {
    const ALL: [Kind; 18] = [
        Kind::Model,
        Kind::Option,
        Kind::People,
        Kind::Place,
        Kind::Team,
        Kind::Equipment,
        Kind::Zone,
        Kind::Limit,
        Kind::Segment,
        Kind::Work,
        Kind::Shift,
        Kind::Part,
        Kind::Stops,
        Kind::Orientation,
        Kind::Carriers,
        Kind::Temperature,
        Kind::Lanes,
        Kind::Lane,
    ];

    /// With its article, for sentences.
    pub fn said(self) -> &'static str {
        match self {
            Kind::Model => "a model",
            Kind::Option => "an option",
            Kind::People => "a group of people",
            Kind::Place => "a station, rack or repair bay",
            Kind::Team => "a team",
            Kind::Equipment => "equipment",
            Kind::Zone => "a zone",
            Kind::Limit => "a limit",
            Kind::Segment => "a segment",
            Kind::Work => "a task, hold, test or gate",
            Kind::Shift => "a shift",
            Kind::Part => "a part in a store",
            Kind::Stops => "a cause of stops",
            Kind::Orientation => "an orientation",
            Kind::Carriers => "carriers",
            Kind::Temperature => "a temperature",
            Kind::Lanes => "a group of lanes",
            Kind::Lane => "a lane",
        }
    }

    /// The name space that a statement of this word adds to.
    pub fn of(word: Word) -> Option<Kind> {
        match word {
            Word::Model => Some(Kind::Model),
            Word::Option => Some(Kind::Option),
            Word::People | Word::Visitor => Some(Kind::People),
            Word::Station | Word::Rack | Word::Repair => Some(Kind::Place),
            Word::Team => Some(Kind::Team),
            Word::Equipment => Some(Kind::Equipment),
            Word::Zone => Some(Kind::Zone),
            Word::Limit => Some(Kind::Limit),
            Word::Segment => Some(Kind::Segment),
            Word::Task | Word::Hold | Word::Test | Word::Gate => Some(Kind::Work),
            Word::Shift => Some(Kind::Shift),
            Word::Supply | Word::Feeder => Some(Kind::Part),
            Word::Stops | Word::Calls | Word::Weather => Some(Kind::Stops),
            Word::Orientation => Some(Kind::Orientation),
            Word::Carriers => Some(Kind::Carriers),
            Word::Temperature => Some(Kind::Temperature),
            Word::Lanes => Some(Kind::Lanes),
            Word::Lane => Some(Kind::Lane),
            Word::Line
            | Word::Use
            | Word::Let
            | Word::Closed
            | Word::Demand
            | Word::Takt
            | Word::Pace
            | Word::Sequence
            | Word::Release
            | Word::Start
            | Word::Window
            | Word::Keep
            | Word::Layout
            | Word::Change
            | Word::Remove
            | Word::Promise
            | Word::Confidence
            | Word::Absent
            | Word::Floaters
            | Word::Relief
            | Word::Overtime
            | Word::Learning
            | Word::Exclude
            | Word::Money
            | Word::Yard
            | Word::Cost => None,
        }
    }
}

/// One defined name.
#[derive(Clone, Debug)]
struct Entry {
    name: String,
    span: Span,
    /// The statement word, for sentences: "is a hold".
    word: Word,
}

/// The names of one kind, numbered in file order.
#[derive(Clone, Default, Debug)]
pub(super) struct Roll {
    entries: Vec<Entry>,
    by_name: BTreeMap<String, usize>,
}

impl Roll {
    pub fn find(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).copied()
    }

    pub fn len(&self) -> usize {
        self.entries.len()
    }

    pub fn span(&self, index: usize) -> Span {
        self.entries[index].span
    }

    fn names(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|entry| entry.name.as_str())
    }
}

/// Every name of one layout.
#[derive(Clone, Debug)]
pub(super) struct Names {
    rolls: Vec<Roll>,
}

impl Names {
    pub fn empty() -> Names {
        Names { rolls: vec![Roll::default(); Kind::ALL.len()] }
    }

    pub fn roll(&self, kind: Kind) -> &Roll {
        &self.rolls[kind as usize]
    }

    /// Adds a name; a second one of that name is reported and gets a number of its own, so that
    /// the tables stay in step with the statements.
    pub fn define(&mut self, kind: Kind, name: &Name, word: Word, desk: &mut Desk) -> usize {
        let roll = &mut self.rolls[kind as usize];
        let index = roll.entries.len();
        match roll.by_name.get(&name.text) {
            Some(first) => {
                let entry = &roll.entries[*first];
                desk.fault(words::duplicate(name.span, &name.text, article(entry.word), entry.span));
            }
            None => {
                roll.by_name.insert(name.text.clone(), index);
            }
        }
        roll.entries.push(Entry { name: name.text.clone(), span: name.span, word });
        index
    }

    /// The number of a name of that kind; an unknown one is reported.
    pub fn find(&self, kind: Kind, name: &Name, desk: &mut Desk) -> Option<usize> {
        let found = self.roll(kind).find(&name.text);
        if found.is_none() && !desk.would_define(&name.text, |word| Kind::of(word) == Some(kind)) {
            let near = desk.near(&name.text, self.roll(kind).names());
            let is = self.what_else(&name.text);
            desk.fault(words::unknown(name.span, &name.text, kind.said(), &near, is));
        }
        found
    }

    /// What a name of another kind is: "a station".
    fn what_else(&self, name: &str) -> Option<&'static str> {
        Kind::ALL.iter().find_map(|kind| {
            let roll = self.roll(*kind);
            roll.find(name).map(|index| article(roll.entries[index].word))
        })
    }
}

/// The statement word as a noun with its article.
pub(super) fn article(word: Word) -> &'static str {
    match Kind::of(word) {
        Some(Kind::Place) => match word {
            Word::Station => "a station",
            Word::Rack => "a rack",
            _ => "a repair bay",
        },
        Some(Kind::Work) => match word {
            Word::Task => "a task",
            Word::Hold => "a hold",
            _ => "a test",
        },
        Some(kind) => kind.said(),
        None => "something else",
    }
}

/// The name of a statement that the grammar lets nobody leave out; an empty one stands in where a
/// fault took it away.
pub(super) fn name_of(statement: &Statement) -> Name {
    statement.name.clone().unwrap_or_else(|| Name { text: String::new(), span: statement.word_span })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::table::Shelf;
    use crate::diagnostic::{Code, FileId, MapSources};

    fn name(text: &str) -> Name {
        Name { text: text.to_string(), span: Span::new(FileId(0), 0, text.len()) }
    }

    fn with_desk(test: impl FnOnce(&mut Desk)) {
        let sources = MapSources::default();
        let mut shelf = Shelf::new(&sources);
        test(&mut Desk::new(&mut shelf, &[]));
    }

    #[test]
    fn an_unknown_name_gets_the_nearest_known_ones() {
        with_desk(|desk| {
            let mut names = Names::empty();
            for text in ["a30", "a31", "rough"] {
                names.define(Kind::Work, &name(text), Word::Task, desk);
            }
            names.define(Kind::Place, &name("A05"), Word::Station, desk);
            assert_eq!(names.find(Kind::Work, &name("rouhg"), desk), None);
            assert_eq!(desk.faults[0].help[0], "did you mean `rough`?");
            assert_eq!(names.find(Kind::Work, &name("a3l"), desk), None);
            assert_eq!(desk.faults[1].help[0], "did you mean `a30` or `a31`?");
            assert_eq!(names.find(Kind::Work, &name("A05"), desk), None);
            assert_eq!(desk.faults[2].headline, "`A05` is a station, not a task, hold, test or gate");
            assert_eq!(names.find(Kind::Work, &name("zzzzzz"), desk), None);
            assert!(desk.faults[3].help[0].contains("defines `zzzzzz`"));
        });
    }

    #[test]
    fn a_second_name_is_reported_and_the_first_one_found() {
        with_desk(|desk| {
            let mut names = Names::empty();
            names.define(Kind::Work, &name("t"), Word::Task, desk);
            assert_eq!(names.define(Kind::Work, &name("t"), Word::Hold, desk), 1);
            assert_eq!(desk.faults[0].code, Code::DuplicateName);
            assert_eq!(names.find(Kind::Work, &name("t"), desk), Some(0));
        });
    }
}
