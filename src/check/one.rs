//! One layout, from its statements to its line: every family of rules in turn.

use super::Item;
use super::clauses;
use super::demand::{self, Asked};
use super::desk::Desk;
use super::layouts::Variant;
use super::names::{Kind, Names, name_of};
use super::safety::{self, Guarded};
use super::settings::Setting;
use super::steps::{self, Around};
use super::{
    calendar, gear, lets, mix, order, people, places, promises, release, sequence, unused, verdicts, windows,
};
use crate::diagnostic::Span;
use crate::diagnostic::words::{limits, statements as words};
use crate::line::Line;
use crate::syntax::tree::{Statement, Word};

/// Statements of one kind at most: ids and tables have room for them.
const MOST: [(Kind, usize); 11] = [
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
];
/// Models times steps at most: every step has its times per model.
const MODEL_STEPS: usize = 4_000_000;
/// Tests at most, by the range of their ids.
const TESTS: usize = 10_000;

/// What one layout comes to.
pub(super) struct One {
    /// `None` where the statements are too faulty to build any line; a line that is there may
    /// still stand on faults that the desk holds.
    pub line: Option<Line>,
    pub guarded: Guarded,
}

/// The statements of a layout by their word.
struct Sorted<'i> {
    items: Vec<&'i Item<'i>>,
}

impl<'i> Sorted<'i> {
    fn of(&self, word: Word) -> Vec<&'i Statement> {
        self.all().filter(|statement| statement.word == word).collect()
    }

    fn of_kind(&self, kind: Kind) -> Vec<&'i Item<'i>> {
        self.items.iter().copied().filter(|item| Kind::of(item.statement.word) == Some(kind)).collect()
    }

    fn all(&self) -> impl Iterator<Item = &'i Statement> {
        self.items.iter().map(|item| &*item.statement)
    }

    /// The one statement of a word that stands once; a second one is reported.
    fn single(&self, word: Word, desk: &mut Desk) -> Option<&'i Statement> {
        let found = self.of(word);
        for second in found.iter().skip(1) {
            desk.fault(words::repeated_statement(second.word_span, found[0].word_span, word.text()));
        }
        found.first().copied()
    }
}

/// Checks one layout; its faults are left on the desk.
pub(super) fn check_one(variant: &Variant, sets: &[Setting], desk: &mut Desk) -> One {
    let sorted = Sorted { items: variant.items.iter().collect() };
    for statement in variant.body.iter() {
        if let Some((word, _)) = statement.target.filter(|_| statement.word == Word::Change) {
            clauses::screen_as(statement, word, desk);
        }
    }
    for statement in sorted.all() {
        clauses::screen(statement, desk);
    }
    if !within_limits(&sorted, desk) {
        return One { line: None, guarded: Guarded::default() };
    }
    lets::define(sorted.all(), sets, desk);
    let names = define_names(&sorted, desk);
    let places = statements(&sorted.of_kind(Kind::Place));
    if places.iter().all(|statement| statement.word == Word::Repair) {
        if desk.broken().is_empty() {
            let span = sorted.all().next().map_or(Span::default(), |first| first.word_span);
            desk.fault(words::empty_file(span));
        }
        return One { line: None, guarded: Guarded::default() };
    }
    build(&variant.label, &sorted, &names, &places, desk)
}

fn statements<'i>(items: &[&'i Item<'i>]) -> Vec<&'i Statement> {
    items.iter().map(|item| &*item.statement).collect()
}

fn within_limits(sorted: &Sorted, desk: &mut Desk) -> bool {
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
    let (models, steps) = (sorted.of(Word::Model), sorted.of_kind(Kind::Work));
    if models.len() * steps.len() > MODEL_STEPS {
        over(models[0].span, "models times steps", models.len() * steps.len(), MODEL_STEPS, desk);
    }
    fine
}

/// Every name in file order, faulty statements included.
fn define_names(sorted: &Sorted, desk: &mut Desk) -> Names {
    let mut names = Names::empty();
    for statement in sorted.all() {
        if let Some(kind) = Kind::of(statement.word) {
            names.define(kind, &name_of(statement), statement.word, desk);
        }
    }
    names
}

fn build(
    label: &str,
    sorted: &Sorted,
    names: &Names,
    place_statements: &[&Statement],
    desk: &mut Desk,
) -> One {
    let start = sorted.single(Word::Start, desk);
    let sequence_statement = sorted.single(Word::Sequence, desk);
    let model_statements = sorted.of(Word::Model);
    let fixed = sequence::fixed_order(sequence_statement, names, desk);
    let counts = fixed.as_ref().map(|order| sequence::counts(order, model_statements.len()));
    let models = mix::models(&model_statements, counts.as_deref(), desk);
    let options = mix::options(&sorted.of(Word::Option), names, models.len(), desk);
    let sequence = sequence::sequence(sequence_statement, fixed, &models, names, desk);

    let first_date = calendar::first_date(start, desk);
    let dated = start.is_some_and(calendar::is_dated);
    let calendar =
        calendar::calendar(&sorted.of(Word::Shift), &sorted.of(Word::Closed), first_date, dated, desk);
    let asked = Asked {
        demand: sorted.single(Word::Demand, desk),
        takt: sorted.single(Word::Takt, desk),
        pace: sorted.single(Word::Pace, desk),
    };
    let rhythm = demand::rhythm(asked, calendar.as_ref(), desk);
    let release_statement = sorted.single(Word::Release, desk);
    let has_takt = asked.demand.is_some() || asked.takt.is_some();
    let release = release::release(release_statement, has_takt, names, desk);

    let mut ground = places::ground(place_statements, names, desk);
    places::lay_segments(&sorted.of(Word::Segment), &mut ground, names, desk);
    let who = people::Asked {
        people: sorted.of(Word::People),
        teams: sorted.of(Word::Team),
        places: place_statements.to_vec(),
    };
    let mut staff = people::staff(&who, &mut ground, names, desk);
    people::size_implied_groups(&mut staff, &ground);
    let gear = gear::gear(&sorted.of(Word::Equipment), &ground, names, desk);
    let (zones, room_caps) =
        gear::room(&sorted.of(Word::Zone), &sorted.of(Word::Limit), &ground, names, desk);

    let around =
        Around { models: &models, ground: &ground, staff: &staff, gear: &gear, room_caps: &room_caps, names };
    let work = sorted.of_kind(Kind::Work);
    let mut steps = steps::steps(&work, &around, desk);
    let mut tests = verdicts::procedures(&work, &mut steps, &around, desk);
    steps.settle(&around, desk);
    let order = order::order(&work, &mut steps, &tests, &around, desk);
    verdicts::verdicts(&work, &mut tests, &steps, &around, desk);
    let windows = windows::windows(&sorted.of(Word::Window), &steps, order.as_ref(), &around, desk);
    let keeps = windows::keeps(&sorted.of(Word::Keep), &steps, order.as_ref(), &around, desk);
    steps::judge_draws(&steps.steps, desk);
    let promises = promises::of_file(&sorted.of(Word::Promise), &tests, names, calendar.is_some(), desk);
    let confidence = promises::confidence(sorted.single(Word::Confidence, desk), desk);
    let title = sorted.single(Word::Line, desk).and_then(mix::label);

    let model_names: Vec<String> = models.iter().map(|model| model.name.clone()).collect();
    let option_names: Vec<String> = options.iter().map(|option| option.name.clone()).collect();
    let guarded = safety::guarded(&steps, &tests, &model_names, &option_names);
    let line = Line {
        name: title.unwrap_or_else(|| "line".to_string()),
        layout: label.to_string(),
        calendar,
        demand: rhythm.demand,
        takt: rhythm.takt,
        pace: rhythm.pace,
        models,
        options,
        sequence,
        release,
        start: release::start(start),
        skills: staff.skills.clone(),
        groups: staff.groups.clone(),
        people_stated: staff.stated,
        crews: staff.crews.clone(),
        equipment: gear.equipment,
        zones,
        room_caps,
        on_line: ground.on_line,
        places: ground.places,
        segments: ground.segments,
        steps: steps.steps,
        tests: tests.tests,
        windows,
        keeps,
        promises,
        confidence,
    };
    // What looks unused may be used by a statement that could not be read or is faulty.
    if desk.broken().is_empty() && !desk.has_errors() {
        unused::report(&line, &staff, desk);
        lets::report_unused(sorted.all(), desk);
    }
    One { line: Some(line), guarded }
}
