//! Tasks and holds: where, how long, by whom, with what, for which units.
//!
//! Owns the table of steps. A test that states its own `takes` is one implicit task of its name.
//! Predecessors are settled in `order`, once tests know their steps.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::gear::Gear;
use super::lengths;
use super::mix;
use super::names::{Kind, Names, name_of};
use super::needs;
use super::parts;
use super::people::Staff;
use super::places::Ground;
use super::quantity;
use super::sharing;
use super::temperature;
use crate::diagnostic::Span;
use crate::diagnostic::words::{people, precedence, statements as words};
use crate::line::{
    AtBreaks, EquipmentId, Hold, Lanes, Model, Need, OptionId, Part, PlaceId, PlaceKind, RoomCap, Step,
    StepId, StepKind, Temperature, ZoneId,
};
use crate::syntax::tree::{ClauseKind, ForWhat, Name, Statement, Word};
use crate::units::Time;

/// What the rules for steps look things up in.
pub(super) struct Around<'a> {
    pub models: &'a [Model],
    pub ground: &'a Ground,
    pub lanes: &'a [Lanes],
    pub staff: &'a Staff,
    pub gear: &'a Gear,
    pub parts: &'a [Part],
    pub temperatures: &'a [Temperature],
    pub room_caps: &'a [RoomCap],
    pub names: &'a Names,
}

/// Every step and how names find it.
pub(super) struct Steps {
    pub steps: Vec<Step>,
    /// Whether the step has a place; a step without one has been reported (or its place could
    /// not be read) and stands at place 0 meanwhile.
    pub placed: Vec<bool>,
    /// Whether somebody has said who works; otherwise it depends on the place.
    pub said_by: Vec<Vec<bool>>,
    /// Number in the roll of work -> its step (tasks, holds, tests with a time of their own).
    pub of_name: Vec<Option<StepId>>,
}

/// The word in front of a name in sentences: `task a31`.
pub(super) fn called(statement: &Statement) -> String {
    format!("{} {}", statement.word.text(), name_of(statement).text)
}

/// All steps in file order; `items` are those of the roll of work. Tests are placed later.
pub(super) fn steps(items: &[&Item], around: &Around, desk: &mut Desk) -> Steps {
    let mut all = Steps {
        steps: Vec::new(),
        placed: Vec::new(),
        said_by: Vec::new(),
        of_name: vec![None; items.len()],
    };
    for (index, item) in items.iter().enumerate() {
        let statement = &*item.statement;
        if statement.word == Word::Test && !states_a_time(statement) {
            continue;
        }
        let place = match statement.word {
            Word::Test => None,
            _ => place_of(item, around, desk),
        };
        let (step, said_by) = step(statement, place, around, desk);
        all.of_name[index] = Some(StepId::from_index(all.steps.len()));
        all.steps.push(step);
        all.placed.push(place.is_some());
        all.said_by.push(said_by);
    }
    all
}

/// Does a test have a time of its own?
pub(super) fn states_a_time(statement: &Statement) -> bool {
    statement.clauses.iter().any(|clause| {
        matches!(clause.kind, ClauseKind::Takes(_) | ClauseKind::For { what: ForWhat::Time(_), .. })
    })
}

/// `at A05`, or the place under which the statement stands; `None` after a report.
pub(super) fn place_of(item: &Item, around: &Around, desk: &mut Desk) -> Option<PlaceId> {
    let statement = &*item.statement;
    let name = name_of(statement);
    if let Some((at, _)) = clause!(statement, ClauseKind::At(at) => at) {
        let place = around.ground.find(at, around.names, desk)?;
        return on_line(place, &called(statement), at.span, around, desk);
    }
    if item.place_unread {
        return None;
    }
    let Some(above) = &item.place else {
        desk.fault(precedence::no_place(name.span, &called(statement)));
        return None;
    };
    if around.names.roll(Kind::Place).find(&above.text).is_none() {
        desk.fault(precedence::place_removed(name.span, &name.text, &above.text));
        return None;
    }
    let place = around.ground.find(above, around.names, desk)?;
    on_line(place, &called(statement), name.span, around, desk)
}

fn on_line(place: PlaceId, what: &str, span: Span, around: &Around, desk: &mut Desk) -> Option<PlaceId> {
    let found = around.ground.place(place);
    if found.kind == PlaceKind::Repair {
        desk.fault(precedence::step_at_repair(span, what, &found.name));
        return None;
    }
    Some(place)
}

fn step(
    statement: &Statement,
    place: Option<PlaceId>,
    around: &Around,
    desk: &mut Desk,
) -> (Step, Vec<bool>) {
    let name = name_of(statement);
    let only = clause!(statement, ClauseKind::Only(list) => list);
    let applies =
        mix::applies(only.map(|(list, _)| list.as_slice()), around.names, around.models.len(), desk);
    let kind = match statement.word {
        Word::Hold => StepKind::Hold(hold(statement, desk)),
        _ => StepKind::Task,
    };
    let kind = match kind {
        StepKind::Hold(hold) => {
            let shops = (around.temperatures, around.names);
            let warm = temperature::warmth(statement, &called(statement), shops, desk);
            StepKind::Hold(Hold { warm, ..hold })
        }
        StepKind::Task => kind,
    };
    let times = lengths::times(statement, &kind, &applies, around, desk);
    let People { needs, most, said_by } = people_of(statement, around, desk);
    let shared = sharing::shared(statement, &needs, most, desk);
    let (zones, sides) = zones(statement, around, desk);
    let step = Step {
        label: mix::label(statement),
        place: place.unwrap_or(PlaceId(0)),
        models: applies,
        options: options(statement, around, desk),
        once_a_lot: clause!(statement, ClauseKind::OnceALot => ()).is_some(),
        after: Vec::new(),
        times,
        needs,
        exactly: clause!(statement, ClauseKind::Exactly => ()).is_some(),
        at_breaks: at_breaks(statement, desk),
        shared,
        equipment: equipment(statement, around, desk),
        uses: parts::uses(statement, &called(statement), around.parts, around.names, desk),
        zones,
        sides,
        travel: None,
        off_line: Vec::new(),
        stays: clause!(statement, ClauseKind::Stays => ()).is_some(),
        may_stand: Vec::new(),
        beside: Vec::new(),
        apart: Vec::new(),
        draws_as: mix::draws_as(statement, &name),
        kind,
        name: name.text,
        span: name.span,
    };
    (step, said_by)
}

fn at_breaks(statement: &Statement, desk: &mut Desk) -> AtBreaks {
    let through = clause!(statement, ClauseKind::ThroughBreaks => ());
    let fits = clause!(statement, ClauseKind::OnlyIfItFits => ());
    match (through, fits) {
        (None, None) => AtBreaks::Rests,
        (Some(_), None) => AtBreaks::Through,
        (None, Some(_)) => AtBreaks::OnlyIfItFits,
        (Some((_, through)), Some((_, fits))) => {
            desk.fault(words::through_breaks_and_fits(through.span, fits.span));
            AtBreaks::Rests
        }
    }
}

fn hold(statement: &Statement, desk: &mut Desk) -> Hold {
    let called = called(statement);
    let minimum = clause!(statement, ClauseKind::AtLeast(minimum) => minimum);
    let safety = clause!(statement, ClauseKind::Safety => ());
    let attended = clause!(statement, ClauseKind::Attended => ());
    let nights = clause!(statement, ClauseKind::ThroughNights => ());
    if let (Some((_, attended)), Some((_, nights))) = (attended, nights) {
        desk.fault(words::attended_and_through_nights(attended.span, nights.span));
    }
    if let (Some((_, clause)), None) = (safety, minimum) {
        let example = format!("{called} at least 15 min safety");
        desk.fault(words::missing_clause(
            clause.span,
            &format!("{called}, marked `safety`,"),
            "`at least`",
            &example,
        ));
    }
    let minimum = minimum.and_then(|(minimum, _)| {
        quantity::time_above_zero(minimum, &format!("the minimum of {called}"), desk)
    });
    Hold {
        minimum: minimum.unwrap_or(Time::ZERO),
        safety: safety.is_some(),
        attended: attended.is_some(),
        may_move: clause!(statement, ClauseKind::MayMove => ()).is_some(),
        warm: None,
    }
}

/// Per model: who, how far each number may be exceeded, and whether it was said.
struct People {
    needs: Vec<Vec<Need>>,
    most: Vec<Vec<u32>>,
    said_by: Vec<bool>,
}

fn people_of(statement: &Statement, around: &Around, desk: &mut Desk) -> People {
    let models = around.models.len();
    let called = called(statement);
    if statement.word == Word::Hold {
        return People {
            needs: vec![Vec::new(); models],
            most: vec![Vec::new(); models],
            said_by: vec![true; models],
        };
    }
    let by = clause!(statement, ClauseKind::By(list) => list);
    let base = by.and_then(|(list, _)| needs::needs_to(list, &called, around.staff, desk));
    let mut found = vec![base.unwrap_or_default(); models];
    let mut said = vec![by.is_some(); models];
    let mut own: Vec<Option<Span>> = vec![None; models];
    for clause in &statement.clauses {
        let ClauseKind::For { models: list, what: ForWhat::People(people) } = &clause.kind else { continue };
        let people = needs::needs_to(people, &called, around.staff, desk);
        for name in list {
            let Some(model) = mix::model(name, around.names, desk) else { continue };
            match own[model.index()] {
                Some(first) => {
                    desk.fault(words::repeated_for_model(name.span, first, &name.text, "the people"));
                }
                None => {
                    own[model.index()] = Some(clause.span);
                    found[model.index()] = people.clone().unwrap_or_default();
                    said[model.index()] = true;
                }
            }
        }
    }
    let (needs, most) = found.into_iter().unzip();
    People { needs, most, said_by: said }
}

fn options(statement: &Statement, around: &Around, desk: &mut Desk) -> Vec<OptionId> {
    let mut found: Vec<OptionId> = Vec::new();
    let list = clause!(statement, ClauseKind::OnlyWith(list) => list);
    for name in list.map_or(&[][..], |(list, _)| list) {
        if let Some(option) = around.names.find(Kind::Option, name, desk).map(OptionId::from_index) {
            match found.contains(&option) {
                true => desk.fault(words::repeated_in_list(name.span, &name.text, "only with")),
                false => found.push(option),
            }
        }
    }
    found
}

/// Where the people stand, and, where that is one of several zones, all of them: as it stands, the first.
fn zones(statement: &Statement, around: &Around, desk: &mut Desk) -> (Vec<ZoneId>, Vec<ZoneId>) {
    if let Some((list, _)) = clause!(statement, ClauseKind::InOneOf(list) => list) {
        let sides = zones_of(list, around, desk);
        return (
            sides.first().copied().into_iter().collect(),
            if sides.len() > 1 { sides } else { Vec::new() },
        );
    }
    let list = clause!(statement, ClauseKind::In(list) => list);
    (zones_of(list.map_or(&[][..], |(list, _)| list), around, desk), Vec::new())
}

fn zones_of(list: &[Name], around: &Around, desk: &mut Desk) -> Vec<ZoneId> {
    let mut found: Vec<ZoneId> = Vec::new();
    for name in list {
        if let Some(zone) = around.names.find(Kind::Zone, name, desk).map(ZoneId::from_index) {
            match found.contains(&zone) {
                true => desk.fault(words::repeated_in_list(name.span, &name.text, "in")),
                false => found.push(zone),
            }
        }
    }
    found
}

fn equipment(statement: &Statement, around: &Around, desk: &mut Desk) -> Vec<(EquipmentId, u32)> {
    let called = called(statement);
    let mut found: Vec<(EquipmentId, u32)> = Vec::new();
    let list = clause!(statement, ClauseKind::With(list) => list);
    for (count, name) in list.map_or(&[][..], |(list, _)| list) {
        let count = match count {
            Some(expr) => {
                quantity::count(expr, &format!("the number of {} of {called}", name.text), 1, 10_000, desk)
            }
            None => Some(1),
        };
        let id = around.names.find(Kind::Equipment, name, desk).map(EquipmentId::from_index);
        let (Some(count), Some(id)) = (count, id) else { continue };
        let known = &around.gear.equipment[id.index()];
        if count > known.count {
            desk.fault(people::not_enough_equipment(
                name.span,
                &called,
                count,
                &name.text,
                known.count,
                known.span,
            ));
        }
        match found.iter().any(|(other, _)| *other == id) {
            true => desk.fault(words::repeated_in_list(name.span, &name.text, "with")),
            false => found.push((id, count)),
        }
    }
    found
}

impl Steps {
    /// A placed step that no statement of its own stands for.
    pub fn add(&mut self, step: Step, said_by: Vec<bool>) -> StepId {
        self.steps.push(step);
        self.placed.push(true);
        self.said_by.push(said_by);
        StepId::from_index(self.steps.len() - 1)
    }

    /// Gives the implicit task of a test its place.
    pub fn place_implicit(&mut self, step: StepId, place: Option<PlaceId>) {
        self.placed[step.index()] = place.is_some();
        self.steps[step.index()].place = place.unwrap_or(PlaceId(0));
    }
}
