//! What held a unit at its place, found backwards: the step that ended last, what it had waited for, the step that
//! ended as it became ready, and so on to the unit's coming.
//!
//! The pieces follow one another without a gap, so that they add up to the cycle to the microsecond. Where a step
//! waited for people of its crew who worked on this very unit, their work held it, not a lack of people.

use super::visits::Visit;
use crate::line::{Line, PlaceId};
use crate::report::HeldBy;
use crate::simulate::BayState;
use crate::units::Time;

/// A part of what held the unit: from, to, why.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Piece {
    pub from: Time,
    pub to: Time,
    pub held_by: HeldBy,
    /// The span of the visit that ran, or waited.
    pub span: Option<usize>,
    /// Where those it waited for were at work.
    pub at: Option<PlaceId>,
}

/// What held the unit, from its arrival to the end of its work.
pub fn path(line: &Line, visit: &Visit) -> Vec<Piece> {
    let mut path = Path { line, visit, pieces: Vec::new() };
    let mut cursor = visit.done;
    while cursor > Time::ZERO {
        cursor = match path.ended_at(cursor) {
            Some(span) => path.back_over(span, cursor),
            None => path.back_over_gap(cursor),
        };
    }
    path.pieces.reverse();
    path.joined()
}

struct Path<'a> {
    line: &'a Line,
    visit: &'a Visit,
    /// Last first.
    pieces: Vec<Piece>,
}

impl Path<'_> {
    /// Of the steps that ended then, the longest.
    fn ended_at(&self, cursor: Time) -> Option<usize> {
        let spans = self.visit.spans.iter().enumerate();
        let ended = spans.filter(|(_, span)| span.ends == cursor && span.begins < cursor);
        ended.min_by_key(|(_, span)| span.begins).map(|(k, _)| k)
    }

    fn push(&mut self, from: Time, to: Time, held_by: HeldBy, span: Option<usize>, at: Option<PlaceId>) {
        if from < to {
            self.pieces.push(Piece { from, to, held_by, span, at });
        }
    }

    /// A step and what it waited for; the time at which it was ready.
    fn back_over(&mut self, k: usize, cursor: Time) -> Time {
        let span = &self.visit.spans[k];
        let begins = span.begins.max(Time::ZERO);
        self.back_over_run(k, begins, cursor);
        let mut until = begins;
        for wait in span.waits.iter().rev() {
            let from = wait.from.max(Time::ZERO).min(until);
            if wait.held_by == HeldBy::People {
                self.back_over_people(k, (from, until), wait.at);
            } else {
                for (from, until, held_by) in self.visit.pieces_of(wait, (from, until)).into_iter().rev() {
                    self.push(from, until, held_by, Some(k), None);
                }
            }
            until = from;
        }
        until
    }

    /// The run of a step within these times, with what stood still of it.
    fn back_over_run(&mut self, k: usize, from: Time, to: Time) {
        let span = &self.visit.spans[k];
        let goes_on = span.kind(self.line);
        let mut until = to;
        for (pauses, goes) in span.pauses.iter().rev() {
            let (pauses, goes) = ((*pauses).clamp(from, until), (*goes).clamp(from, until));
            self.push(goes, until, goes_on, Some(k), None);
            self.back_over_states(pauses, goes, Some(k));
            until = pauses;
        }
        self.push(from, until, goes_on, Some(k), None);
    }

    /// Waiting for people: where they worked on this unit, that held it.
    fn back_over_people(&mut self, k: usize, (from, to): (Time, Time), at: Option<PlaceId>) {
        let crew = self.visit.spans[k].crew;
        let mut until = to;
        while until > from {
            let spans = self.visit.spans.iter().enumerate();
            let theirs = spans.filter(|(other, span)| *other != k && crew.is_some() && span.crew == crew);
            let before = theirs.filter(|(_, span)| span.begins < until && span.ends > from);
            let last = before.max_by_key(|(other, span)| (span.ends.min(until), *other));
            let Some((other, span)) = last else { break };
            let (begins, ends) = (span.begins.max(from), span.ends.min(until));
            self.push(ends, until, HeldBy::People, Some(k), at);
            self.back_over_run(other, begins, ends);
            until = begins;
        }
        self.push(from, until, HeldBy::People, Some(k), at);
    }

    /// Nothing ended then: what the bay was doing, back to the last end, or to the unit's coming.
    fn back_over_gap(&mut self, cursor: Time) -> Time {
        let ends = self.visit.spans.iter().map(|span| span.ends).filter(|ends| *ends < cursor);
        let from = ends.max().unwrap_or(Time::ZERO).max(Time::ZERO);
        self.back_over_states(from, cursor, None);
        from
    }

    fn back_over_states(&mut self, from: Time, to: Time, span: Option<usize>) {
        let visit = self.visit;
        let mut until = to;
        for (since, state) in visit.states.iter().rev() {
            let since = (*since).clamp(from, until);
            self.push(since, until, held_in(*state), span, None);
            until = since;
        }
        self.push(from, until, HeldBy::EarlierStep, span, None);
    }

    /// Neighbours that say the same are one.
    fn joined(self) -> Vec<Piece> {
        let mut joined: Vec<Piece> = Vec::with_capacity(self.pieces.len());
        for piece in self.pieces {
            match joined.last_mut() {
                Some(last) if (last.held_by, last.span, last.at) == (piece.held_by, piece.span, piece.at) => {
                    last.to = piece.to;
                }
                Some(_) | None => joined.push(piece),
            }
        }
        joined
    }
}

/// What a bay in that state is held by.
fn held_in(state: BayState) -> HeldBy {
    match state {
        BayState::Stopped => HeldBy::Stopped,
        BayState::Holding => HeldBy::Hold,
        BayState::OffShift => HeldBy::OffShift,
        BayState::Working => HeldBy::Work,
        BayState::ShortOfParts => HeldBy::Parts,
        BayState::ShortOfEquipment => HeldBy::Equipment,
        BayState::ShortOfRoom => HeldBy::Room,
        BayState::ShortOfPeople => HeldBy::People,
        // A cycle begins when the unit has arrived, and ends with its work.
        BayState::WaitingForStep
        | BayState::Moving
        | BayState::Blocked
        | BayState::WaitingForSignal
        | BayState::Starved => HeldBy::EarlierStep,
    }
}
