//! What is built and when: calendar, demand, models, the order of units.

use super::demand::{self, Asked, Rhythm};
use super::desk::Desk;
use super::hours::{self, Hours};
use super::names::Names;
use super::sorted::Sorted;
use super::{calendar, mix, overtime, release, sequence};
use crate::line::{Calendar, Model, Release, Sequence, StartState, UnitOption};
use crate::syntax::tree::Word;

/// What is built and when, before anything is known of places.
pub(super) struct Course {
    pub calendar: Option<Calendar>,
    pub hours: Hours,
    pub rhythm: Rhythm,
    pub models: Vec<Model>,
    pub options: Vec<UnitOption>,
    pub sequence: Sequence,
    pub release: Release,
    pub start: StartState,
}

pub(super) fn course(sorted: &Sorted, names: &Names, desk: &mut Desk) -> Course {
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
    let (shifts, closed) = (hours::of_the_line(sorted), sorted.of(Word::Closed));
    let calendar =
        calendar::calendar(&shifts, &closed, (first_date, dated), !sorted.of(Word::Relief).is_empty(), desk);
    let mut calendar = calendar;
    overtime::overtime(&sorted.of(Word::Overtime), calendar.as_mut(), names, desk);
    hours::report_overtime(&sorted.of(Word::Overtime), sorted, desk);
    let hours = hours::hours(sorted, calendar.as_ref(), desk);
    let asked = Asked {
        demand: sorted.single(Word::Demand, desk),
        takt: sorted.single(Word::Takt, desk),
        pace: sorted.single(Word::Pace, desk),
    };
    let rhythm = demand::rhythm(asked, calendar.as_ref(), desk);
    let has_takt = asked.demand.is_some() || asked.takt.is_some();
    let release = release::release(sorted.single(Word::Release, desk), has_takt, names, desk);
    Course { calendar, hours, rhythm, models, options, sequence, release, start: release::start(start) }
}
