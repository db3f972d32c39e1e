//! The levers of a line: one more of each thing, each as an edit in the language.
//!
//! Owns what is tried and how it is said. No lever touches a hold, the tasks of a test marked `safety`,
//! or a minimum.

use crate::balance::{Aim, Change, Goal, improve};
use crate::line::{Crew, GroupId, Line, Mending, Origin, PlaceId, PlaceKind, Stopping, Test};
use crate::report::LeverKind;
use crate::study::edits::{Dial, Draft, say, unused};
use crate::units::{count_of, decimals, join_and};

/// Share of the work of a station that is left.
const LESS_WORK: f64 = 0.95;
/// Single moves that are tried, the best by their loads first.
const MOVES: usize = 8;

/// One thing more, or one thing better.
#[derive(Clone, PartialEq, Debug)]
pub struct Lever {
    pub kind: LeverKind,
    /// What it is, and the name of its layout.
    pub name: String,
    /// The layout that it is, as the language says it.
    pub edit: String,
}

/// Why one more person is no lever.
const ON_NO_SHIFT: &str = "every shift says how many of them it has";

/// What the language cannot say, and why.
pub type NotMade = (String, String);

/// Collects levers under names of their own.
struct Maker<'l> {
    line: &'l Line,
    /// Names that are taken.
    taken: Vec<String>,
    levers: Vec<Lever>,
}

impl Maker<'_> {
    fn add(&mut self, kind: LeverKind, name: String, edits: &[String]) {
        let name = unused(name, &mut self.taken);
        let edit = say::layout(&name, &self.line.layout, edits);
        self.levers.push(Lever { kind, name, edit });
    }
}

/// Every lever of the line, by kind and file order, and those that cannot be said. `taken` are the names
/// of the file's layouts.
pub fn levers(line: &Line, taken: &[&str]) -> (Vec<Lever>, Vec<NotMade>) {
    let taken = taken.iter().map(ToString::to_string).collect();
    let mut maker = Maker { line, taken, levers: Vec::new() };
    let mut not_made = Vec::new();
    for place in (0..line.places.len()).map(PlaceId::from_index) {
        more_places(&mut maker, place);
    }
    for place in (0..line.on_line).map(PlaceId::from_index) {
        one_slot(&mut maker, place);
    }
    for crew in &line.crews {
        one_person(&mut maker, crew, &mut not_made);
    }
    spare_people(&mut maker, &mut not_made);
    floaters(&mut maker, &mut not_made);
    for equipment in &line.equipment {
        let edit = format!("change equipment {} {}", equipment.name, equipment.count + 1);
        maker.add(LeverKind::Equipment, format!("one more {}", equipment.name), &[edit]);
    }
    for carriers in &line.carriers {
        let edit = say::carriers(carriers, carriers.count + 1);
        maker.add(LeverKind::Carrier, format!("one more {}", carriers.name), &[edit]);
    }
    if let Some(yard) = &line.yard {
        // Room for one more lorry.
        let edit = say::yard(yard, yard.places.saturating_add(yard.load));
        maker.add(LeverKind::Yard, format!("{} more places in {}", yard.load, yard.name), &[edit]);
    }
    for place in line.places_in_order().filter(|place| line.ends_of(*place).is_some()) {
        less_work(&mut maker, place);
    }
    line.tests.iter().for_each(|test| fewer_fails(&mut maker, test));
    for part in &line.parts {
        let truck = || line.feeders.iter().find(|f| line.parts[f.part.index()].name == part.name);
        let (word, more, noun) = match &part.origin {
            Origin::Bought(lots) => ("supply", lots.size, "lot"),
            Origin::Made => match truck().map_or(1, |feeder| feeder.truck) {
                1 => ("feeder", 1, "part"),
                truck => ("feeder", truck, "truck"),
            },
        };
        let places = part.places.saturating_add(more);
        let edit = format!("change {word} {} store of {places}, {} at start", part.name, part.at_start);
        maker.add(LeverKind::Store, format!("one more {noun} in the store of {}", part.name), &[edit]);
    }
    moves(&mut maker, &mut not_made);
    (maker.levers, not_made)
}

/// A bay at a station, a place of a rack or a repair area; a crew per bay comes with it.
fn more_places(maker: &mut Maker<'_>, id: PlaceId) {
    let line = maker.line;
    let place = &line.places[id.index()];
    let (kind, noun) = match place.kind {
        PlaceKind::Station => (LeverKind::Bay, "bay at"),
        PlaceKind::Rack => (LeverKind::RackPlace, "place in"),
        PlaceKind::Repair => (LeverKind::RepairPlace, "place in"),
    };
    let mut edits = vec![say::places(line, id, place.bays + 1)];
    let mut with = String::new();
    if let Some(crew) = place.crew.map(|crew| &line.crews[crew.index()]).filter(|crew| crew.per_bay) {
        edits.extend(crew.members.iter().filter_map(|(n, group)| say::more_people(line, *group, *n)));
        with = format!(" with its crew of {}", crew.size());
    }
    maker.add(kind, format!("one more {noun} {}{with}", place.name), &edits);
}

/// A waiting slot before a station; inside a pushed segment the segment is parted there.
fn one_slot(maker: &mut Maker<'_>, id: PlaceId) {
    let line = maker.line;
    let place = &line.places[id.index()];
    if !place.is_station() {
        return;
    }
    let mut draft = Draft::of(line);
    draft.set(&Dial::Slots(id), i64::from(place.slots) + 1);
    let name = match line.inside_a_push(id) {
        None => format!("one more slot before {}", place.name),
        // Whoever finishes work in the next place, or begins it in the one behind, needs it to be the next one of the push.
        Some(_) if line.drifts(id.index() - 1) || line.begins_early(id.index()) => return,
        Some(_) => format!("an empty slot before {}, two signals", place.name),
    };
    maker.add(LeverKind::Slot, name, &draft.edits());
}

/// One more of each group in a crew (in each of its gangs), hired for it.
fn one_person(maker: &mut Maker<'_>, crew: &Crew, not_made: &mut Vec<NotMade>) {
    let line = maker.line;
    for (k, (_, group)) in crew.members.iter().enumerate() {
        let mut members = crew.members.clone();
        members[k].0 += 1;
        let gangs = line.gangs_of(crew);
        let mut edits = vec![say::crew(line, crew, &members)];
        edits.extend(say::more_people(line, *group, gangs));
        let who = called(line, *group);
        let name = match gangs {
            1 => format!("one more {who} at {}", crew.name),
            gangs => format!("one more {who} per bay at {}, {gangs} in all", crew.name),
        };
        more_of(maker, (LeverKind::Person, name), *group, &edits, not_made);
    }
}

/// One more of a group, if some shift would have them.
fn more_of(
    maker: &mut Maker<'_>,
    (kind, name): (LeverKind, String),
    group: GroupId,
    edits: &[String],
    not_made: &mut Vec<NotMade>,
) {
    match maker.line.no_shift_has_more(group) {
        true => not_made.push((name, ON_NO_SHIFT.to_string())),
        false => maker.add(kind, name, edits),
    }
}

/// `of the tilers`, `person`: the name of a group may be in any number.
fn called(line: &Line, group: GroupId) -> String {
    let group = &line.groups[group.index()];
    if group.skills == 0 { "person".to_string() } else { format!("of the {}", group.name) }
}

/// One more person of a group in no crew: where somebody may be absent, or mends.
fn spare_people(maker: &mut Maker<'_>, not_made: &mut Vec<NotMade>) {
    let line = maker.line;
    for group in (0..line.groups.len()).map(GroupId::from_index) {
        let mends = line.stops.iter().any(|stop| is_mended_by(stop, group));
        let comes = line.visitors.iter().any(|visitor| visitor.group == group);
        if (line.absence.is_none() || comes) && !mends {
            continue;
        }
        if let Some(edit) = say::more_people(line, group, 1) {
            let name = format!("one more {} in no crew", called(line, group));
            more_of(maker, (LeverKind::SparePerson, name), group, &[edit], not_made);
        }
    }
}

fn is_mended_by(stop: &Stopping, group: GroupId) -> bool {
    match stop.mending {
        Mending::By { group: mender, .. } => mender == group,
        Mending::OnTheClock | Mending::InNetTime => false,
    }
}

fn floaters(maker: &mut Maker<'_>, not_made: &mut Vec<NotMade>) {
    let line = maker.line;
    let labels: Vec<Option<&str>> = line.floaters.iter().map(|f| f.label.as_deref()).collect();
    for (k, floaters) in line.floaters.iter().enumerate() {
        let label = floaters
            .label
            .as_deref()
            .filter(|label| labels.iter().filter(|other| **other == Some(*label)).count() == 1);
        let name = match label {
            Some(label) => format!("one more of {label}"),
            None => "one more floater".to_string(),
        };
        if label.is_none() && line.floaters.len() > 1 {
            let why = "several `floaters` statements, and no label of its own says which".to_string();
            not_made.push((format!("{name} ({})", k + 1), why));
            continue;
        }
        let label = label.map_or(String::new(), |label| format!(" \"{label}\""));
        maker.add(LeverKind::Floater, name, &[format!("change floaters {}{label}", floaters.count + 1)]);
    }
}

/// 5 % off the tasks of a station.
fn less_work(maker: &mut Maker<'_>, id: PlaceId) {
    let line = maker.line;
    let place = &line.places[id.index()];
    let eased = line.steps_at(id).any(|(step, _)| !line.is_guarded(step.index()));
    if place.is_station() && eased {
        let edit = format!("change station {} times x {}", place.name, decimals(place.times * LESS_WORK, 9));
        maker.add(LeverKind::Work, format!("5 % off the work at {}", place.name), &[edit]);
    }
}

/// Half of the fails of a test gone, at the first attempt and at later ones.
fn fewer_fails(maker: &mut Maker<'_>, test: &Test) {
    let better = |share: f64| 1.0 - (1.0 - share) / 2.0;
    let said = |(first, again): &(f64, f64)| {
        format!("passes {}, again {}", say::percent(better(*first)), say::percent(better(*again)))
    };
    if test.passes.iter().all(|(first, again)| *first >= 1.0 && *again >= 1.0) {
        return;
    }
    let Some(first) = test.passes.first() else { return };
    let mut edit = format!("change test {} {}", test.name, said(first));
    if test.passes.iter().any(|passes| passes != first) {
        for (model, passes) in maker.line.models.iter().zip(&test.passes) {
            edit.push_str(&format!(" for {} {}", model.name, said(passes)));
        }
    }
    maker.add(LeverKind::Yield, format!("half the fails of {} gone", test.name), &[edit]);
}

/// The best single moves of tasks by their loads.
fn moves(maker: &mut Maker<'_>, not_made: &mut Vec<NotMade>) {
    let line = maker.line;
    let plan = match improve(line, &Goal::new(Aim::Moves), &|| false) {
        Ok(plan) => plan,
        Err(_) => {
            let why = "nothing says how fast the line shall go, so no load can be compared: state a pace";
            not_made.push(("moves of tasks".to_string(), why.to_string()));
            return;
        }
    };
    let all = plan.changes.first().into_iter().chain(&plan.others);
    for change in all.filter(|change| is_single(change)).take(MOVES) {
        let to = &line.places[change.moved[0].2.index()].name;
        let tasks: Vec<&str> =
            change.moved.iter().map(|(step, _, _)| line.steps[step.index()].name.as_str()).collect();
        let edits: Vec<String> = tasks.iter().map(|task| format!("change task {task} at {to}")).collect();
        maker.add(LeverKind::Move, format!("{} to {to}", join_and(&tasks)), &edits);
    }
}

/// All of it goes to one place: no swap.
fn is_single(change: &Change) -> bool {
    change.moved.iter().all(|(_, _, to)| *to == change.moved[0].2)
}

/// How many of each kind, in words.
pub fn made_words(levers: &[Lever]) -> String {
    let parts: Vec<String> = LeverKind::ALL
        .iter()
        .map(|kind| (kind, levers.iter().filter(|lever| lever.kind == *kind).count()))
        .filter(|(_, n)| *n > 0)
        .map(|(kind, n)| count_of(n, kind.words()))
        .collect();
    join_and(&parts)
}
