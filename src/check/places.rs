//! Places and segments: the line in its order, and the rule by which each stretch moves.
//!
//! The line runs in the order in which `station` and `rack` statements stand in the file; one with
//! `after NAME` stands right behind that place. The places of each feeder follow, in the same way, and
//! repair bays come last. Lanes of one group stand one behind the other, where the first of them stands.

use super::Item;
use super::clauses::clause;
use super::conveyor;
use super::desk::Desk;
use super::drift;
use super::mix::label;
use super::names::{Kind, Names, name_of};
use super::quantity;
use super::row::{line_order, report_other_lanes, within};
use crate::diagnostic::Span;
use crate::diagnostic::words::{feeders, lanes, places as words, statements as statement_words};
use crate::line::{Calendar, MoveRule, OF_THE_LINE, Place, PlaceId, PlaceKind, Segment, SegmentId};
use crate::syntax::tree::{Clause, ClauseKind, Head, Name, Statement, Word};
use crate::units::Time;

/// Places for units at one station, rack or repair bay.
const MOST_BAYS: u32 = 10_000;

/// The places in line order and how the names (in file order) find them.
pub(super) struct Ground {
    pub places: Vec<Place>,
    pub on_line: usize,
    /// Per feeder, in file order: its places, from the first to the last; `None` where it has none.
    pub feeders: Vec<Option<(PlaceId, PlaceId)>>,
    /// Per `lane` statement, likewise.
    pub lanes: Vec<Option<(PlaceId, PlaceId)>>,
    pub segments: Vec<Segment>,
    /// Number of the name in the roll of places -> place.
    ids: Vec<PlaceId>,
}

impl Ground {
    pub fn find(&self, name: &Name, names: &Names, desk: &mut Desk) -> Option<PlaceId> {
        names.find(Kind::Place, name, desk).map(|index| self.ids[index])
    }

    pub fn place(&self, id: PlaceId) -> &Place {
        &self.places[id.index()]
    }

    /// The feeder in which a place stands, by its number.
    pub fn feeder_of(&self, id: PlaceId) -> Option<usize> {
        stretch_with(&self.feeders, id)
    }

    /// The lane in which a place stands, by the number of its statement.
    pub fn lane_of(&self, id: PlaceId) -> Option<usize> {
        stretch_with(&self.lanes, id)
    }

    /// The places of a list such as `A01, A05 to A09`; `true` with those named one by one.
    pub fn spans(
        &self,
        spans: &[(Name, Option<Name>)],
        names: &Names,
        desk: &mut Desk,
    ) -> Vec<(PlaceId, Span, bool)> {
        let mut found = Vec::new();
        for (from, to) in spans {
            let first = self.find(from, names, desk);
            let Some(to) = to else {
                found.extend(first.map(|id| (id, from.span, true)));
                continue;
            };
            let last = self.find(to, names, desk);
            let (Some(first), Some(last)) = (first, last) else { continue };
            if self.is_stretch(first, last, from, to, desk) {
                found.extend(
                    (first.index()..=last.index()).map(|i| (PlaceId::from_index(i), from.span, false)),
                );
            }
        }
        found
    }

    /// Are the two on the line, or in one feeder, and in its order?
    fn is_stretch(&self, first: PlaceId, last: PlaceId, from: &Name, to: &Name, desk: &mut Desk) -> bool {
        for (id, name) in [(first, from), (last, to)] {
            if self.place(id).kind == PlaceKind::Repair {
                desk.fault(words::off_the_line(name.span, &name.text));
                return false;
            }
        }
        if self.feeder_of(first) != self.feeder_of(last) {
            desk.fault(feeders::two_lines(from.span.to(to.span), &from.text, &to.text));
            return false;
        }
        if first > last {
            desk.fault(words::against_the_line(from.span.to(to.span), &from.text, &to.text));
            return false;
        }
        if self.lane_of(first) != self.lane_of(last) {
            desk.fault(lanes::cut(from.span.to(to.span), &from.text, &to.text));
            return false;
        }
        true
    }
}

fn stretch_with(stretches: &[Option<(PlaceId, PlaceId)>], id: PlaceId) -> Option<usize> {
    stretches.iter().position(|places| places.is_some_and(|(first, last)| first <= id && id <= last))
}

/// The places; `items` are those of the roll of places, in its order, `feeders` the `feeder` statements and
/// `hours` the numbers of their hours, `lanes` the `lane` statements.
pub(super) fn ground(
    items: &[&Item],
    (feeders, hours): (&[&Statement], &[u16]),
    lanes: &[&Statement],
    names: &Names,
    desk: &mut Desk,
) -> Ground {
    let statements: Vec<&Statement> = items.iter().map(|item| &*item.statement).collect();
    let lines = within(items, feeders, |item| item.feeder.as_ref(), names);
    let in_lanes = within(items, lanes, |item| item.lane.as_ref(), names);
    report_other_lanes(items, &in_lanes, names, desk);
    let order = line_order(&lines, None, &statements, names, desk);
    let mut all = super::lanes::side_by_side(order, &in_lanes, lanes);
    let on_line = all.len();
    let lane_ends = (0..lanes.len()).map(|lane| {
        let here = |index: &usize| in_lanes[*index] == Some(lane);
        let (first, last) = (all.iter().position(here)?, all.iter().rposition(here)?);
        Some((PlaceId::from_index(first), PlaceId::from_index(last)))
    });
    let lane_ends = lane_ends.collect();
    let mut stretches = Vec::with_capacity(feeders.len());
    for feeder in 0..feeders.len() {
        let first = all.len();
        all.extend(line_order(&lines, Some(feeder), &statements, names, desk));
        let ends = (PlaceId::from_index(first), PlaceId::from_index(all.len().max(1) - 1));
        stretches.push((all.len() > first).then_some(ends));
    }
    all.extend((0..statements.len()).filter(|i| statements[*i].word == Word::Repair));
    let mut ids = vec![PlaceId(0); statements.len()];
    for (position, index) in all.iter().enumerate() {
        ids[*index] = PlaceId::from_index(position);
    }
    let hours_of = |index: usize| lines[index].map_or(OF_THE_LINE, |feeder| hours[feeder]);
    let places = all.iter().map(|i| Place { hours: hours_of(*i), ..place(statements[*i], desk) }).collect();
    Ground { places, on_line, feeders: stretches, lanes: lane_ends, segments: Vec::new(), ids }
}

fn place(statement: &Statement, desk: &mut Desk) -> Place {
    let name = name_of(statement);
    let (kind, bays, what) = match statement.word {
        Word::Rack => (PlaceKind::Rack, clause!(statement, ClauseKind::Places(n) => n), "places"),
        Word::Repair => (PlaceKind::Repair, clause!(statement, ClauseKind::Places(n) => n), "places"),
        _ => (PlaceKind::Station, clause!(statement, ClauseKind::Bays(n) => n), "bays"),
    };
    if kind == PlaceKind::Rack && bays.is_none() {
        let who = format!("rack {}", name.text);
        let example = format!("rack {} places 8", name.text);
        desk.fault(statement_words::missing_clause(name.span, &who, "`places`", &example));
    }
    let bays = bays.and_then(|(n, _)| {
        quantity::count(n, &format!("the number of {what} of {}", name.text), 1, MOST_BAYS, desk)
    });
    let slots = clause!(statement, ClauseKind::Slots(n) => n).and_then(|(n, _)| {
        quantity::count(n, &format!("the number of slots before {}", name.text), 0, MOST_BAYS, desk)
    });
    let times = clause!(statement, ClauseKind::Times(factor) => factor)
        .and_then(|(n, _)| quantity::factor(n, &format!("the factor of the times at {}", name.text), desk));
    let (drift, early) = drift::of_station(statement, &name.text, desk);
    let walk = clause!(statement, ClauseKind::Walk(time) => time)
        .and_then(|(n, _)| quantity::time(n, &format!("the walk to {}", name.text), desk));
    let returns = clause!(statement, ClauseKind::Returns { first } => *first);
    Place {
        label: label(statement),
        kind,
        bays: bays.unwrap_or(1),
        slots: slots.unwrap_or(0),
        crew: None,
        segment: None,
        times: times.unwrap_or(1.0),
        walk: walk.filter(|_| kind != PlaceKind::Rack).unwrap_or(Time::ZERO),
        ordered: clause!(statement, ClauseKind::Ordered => ()).is_some(),
        drift,
        early,
        pulls_to: None,
        hours: OF_THE_LINE,
        returns_first: returns.is_none_or(|(first, _)| first),
        name: name.text,
        span: name.span,
    }
}

/// Reads the segments, fills the gaps with stretches that move when ready, and holds slots to
/// their entrances.
pub(super) fn lay_segments(statements: &[&Statement], ground: &mut Ground, names: &Names, desk: &mut Desk) {
    let mut stated: Vec<Segment> =
        statements.iter().filter_map(|statement| segment(statement, ground, names, desk)).collect();
    stated.sort_by_key(|segment| (segment.first, segment.last, segment.span));
    let mut kept: Vec<Segment> = Vec::new();
    for segment in stated {
        match kept.last() {
            Some(before) if before.last >= segment.first => {
                let shared = &ground.place(segment.first).name;
                let (one, other) = (&before.name, &segment.name);
                desk.fault(words::segments_overlap(segment.span, one, other, shared, before.span));
            }
            _ => kept.push(segment),
        }
    }
    ground.segments = with_gaps(kept, ground.on_line);
    let stretches = ground.feeders.iter().flatten();
    ground.segments.extend(stretches.map(|(first, last)| gap(first.index(), last.index())));
    for (index, segment) in ground.segments.iter().enumerate() {
        for place in &mut ground.places[segment.first.index()..=segment.last.index()] {
            place.segment = Some(SegmentId::from_index(index));
        }
    }
    for segment in ground.segments.iter().filter(|segment| segment.rule.is_pushed()) {
        for place in &ground.places[segment.first.index() + 1..=segment.last.index()] {
            if place.slots > 0 {
                desk.fault(words::slots_inside(place.span, &place.name, &segment.name));
            }
        }
    }
}

/// The grid starts anew with every shift, so each must be long enough for a signal.
pub(super) fn judge_grids(segments: &[Segment], calendar: Option<&Calendar>, desk: &mut Desk) {
    let shortest = calendar.and_then(|c| c.week.iter().min_by_key(|shift| shift.net()));
    for segment in segments {
        if let (MoveRule::PushedEvery { every, on_the_grid: true, .. }, Some(shift)) =
            (segment.rule, shortest)
            && every > shift.net()
        {
            let (every, net) = (every.to_string(), shift.net().to_string());
            desk.fault(words::grid_longer_than_shift(segment.span, &segment.name, &every, &shift.name, &net));
        }
    }
}

fn segment(statement: &Statement, ground: &Ground, names: &Names, desk: &mut Desk) -> Option<Segment> {
    let name = name_of(statement);
    let rule = rule(statement, &name, desk);
    let Head::Range(from, to) = &statement.head else { return None };
    let (first, last) = (ground.find(from, names, desk), ground.find(to, names, desk));
    let (first, last) = (first?, last?);
    if !ground.is_stretch(first, last, from, to, desk) {
        return None;
    }
    if ground.feeder_of(first).is_some() {
        desk.fault(feeders::segment_in_feeder(name.span, &name.text));
        return None;
    }
    Some(Segment { name: name.text, first, last, rule: rule?, movers: Vec::new(), span: name.span })
}

fn rule(statement: &Statement, name: &Name, desk: &mut Desk) -> Option<MoveRule> {
    let ready = clause!(statement, ClauseKind::PushedWhenReady => ()).map(|(_, clause)| clause);
    let every = clause!(statement, ClauseKind::PushedEvery { every, on_the_grid } => (every, *on_the_grid));
    if let Some((_, clause)) = clause!(statement, ClauseKind::Conveyor { .. } => ()) {
        return conveyor::rule(statement, name, clause.span, desk);
    }
    let index = clause!(statement, ClauseKind::Index(index) => index);
    let moving = clause!(statement, ClauseKind::Moving(moving) => moving);
    if ready.is_none() && every.is_none() {
        if let Some((_, clause)) = index {
            desk.fault(statement_words::clause_needs(
                clause.span,
                "index",
                "segment",
                "pushed when all are ready",
            ));
        }
        if let Some((_, late)) = clause!(statement, ClauseKind::LateWork { .. } => ()) {
            desk.fault(statement_words::clause_needs(
                late.span,
                "late work",
                "segment",
                "pushed every 23 min",
            ));
        }
        let moving = match moving {
            Some((moving, _)) => quantity::time(moving, &format!("the move in segment {}", name.text), desk)?,
            None => Time::ZERO,
        };
        return Some(MoveRule::WhenReady { moving });
    }
    let pushed: Option<&Clause> = ready.or(every.map(|(_, clause)| clause));
    if let (Some((_, clause)), Some(pushed)) = (moving, pushed) {
        desk.fault(statement_words::moving_and_pushed(clause.span, pushed.span));
    }
    let index = match index {
        Some((index, _)) => quantity::time(index, &format!("the index of segment {}", name.text), desk),
        None => Some(Time::ZERO),
    };
    if let (None, Some((_, late))) = (every, clause!(statement, ClauseKind::LateWork { .. } => ())) {
        desk.fault(statement_words::clause_needs(late.span, "late work", "segment", "pushed every 23 min"));
    }
    let Some(((every, on_the_grid), clause)) = every else {
        return Some(MoveRule::PushedWhenReady { index: index? });
    };
    let every = quantity::time_above_zero(every, &format!("the time between pushes of {}", name.text), desk);
    let (every, index) = (every?, index?);
    if index >= every {
        let (index, every) = (index.to_string(), every.to_string());
        desk.fault(words::index_too_long(clause.span, &name.text, &index, &every));
        return None;
    }
    let late_work = conveyor::late_work(statement, &name.text, desk);
    Some(MoveRule::PushedEvery { every, index, on_the_grid, late_work })
}

/// Places in no segment form stretches that move when ready.
fn with_gaps(stated: Vec<Segment>, on_line: usize) -> Vec<Segment> {
    let mut all = Vec::new();
    let mut next = 0;
    for segment in stated {
        if segment.first.index() > next {
            all.push(gap(next, segment.first.index() - 1));
        }
        next = segment.last.index() + 1;
        all.push(segment);
    }
    if next < on_line {
        all.push(gap(next, on_line - 1));
    }
    all
}

/// A stretch that moves when ready.
fn gap(from: usize, to: usize) -> Segment {
    Segment {
        name: String::new(),
        first: PlaceId::from_index(from),
        last: PlaceId::from_index(to),
        rule: MoveRule::WhenReady { moving: Time::ZERO },
        movers: Vec::new(),
        span: Span::default(),
    }
}
