//! One layout, from its statements to its line: every family of rules in turn.

use super::Item;
use super::clauses;
use super::course::{Course, course};
use super::desk::Desk;
use super::gear::{self, Gear};
use super::layouts::Variant;
use super::names::{Kind, Names, name_of};
use super::people::{self, Staff};
use super::places::{self, Ground};
use super::procedures::{self, Tests};
use super::safety::{self, Guarded};
use super::settings::Setting;
use super::sorted::{Sorted, within_limits};
use super::steps::{self, Around, Steps};
use super::{
    absence, across, carriers, conveyor, costs, drift, exclusions, feeders, fit, floaters, gates, helping,
    hours, lanes, learning, lets, manned, mix, movers, moving_holds, neighbours, order, orientation, parts,
    promises, pulling, relief, stops, temperature, travel, unused, verdicts, visitors, windows, yard,
};
use crate::diagnostic::Span;
use crate::diagnostic::words::calendar::no_calendar;
use crate::diagnostic::words::statements as words;
use crate::line::{
    Absence, Exclusion, Feeder, Floaters, Gate, Helping, Keep, Lanes, Learning, Line, Orientation, Part,
    RoomCap, Stopping, Temperature, Window, Zone,
};
use crate::syntax::tree::{Statement, Word};

/// What one layout comes to.
pub(super) struct One {
    /// `None` where the statements are too faulty to build any line; a line that is there may
    /// still stand on faults that the desk holds.
    pub line: Option<Line>,
    pub guarded: Guarded,
}

/// Checks one layout; its faults are left on the desk.
pub(super) fn check_one(variant: &Variant, sets: &[Setting], desk: &mut Desk) -> One {
    let sorted = Sorted::of_items(&variant.items);
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
    costs::money(sorted.single(Word::Money, desk), desk);
    lets::define(sorted.all(), sets, desk);
    let names = define_names(&sorted, desk);
    let places = sorted.of_kind(Kind::Place);
    if places.iter().all(|item| item.statement.word == Word::Repair || item.feeder.is_some()) {
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

/// Where and by whom, before anything is known of work.
struct Shop {
    ground: Ground,
    staff: Staff,
    /// Floaters who come when they are called.
    on_call: Vec<Helping>,
    gear: Gear,
    parts: Vec<Part>,
    temperatures: Vec<Temperature>,
    feeders: Vec<Feeder>,
    lanes: Vec<Lanes>,
    zones: Vec<Zone>,
    room_caps: Vec<RoomCap>,
}

fn shop(sorted: &Sorted, names: &Names, places: &[&Item], course: &mut Course, desk: &mut Desk) -> Shop {
    let (fed_by, hours) = (sorted.of(Word::Feeder), &course.hours.of_feeders);
    let lane_statements = sorted.of(Word::Lane);
    let mut ground = places::ground(places, (&fed_by, hours), &lane_statements, names, desk);
    let segments = sorted.of(Word::Segment);
    places::lay_segments(&segments, &mut ground, names, desk);
    let asked = (sorted.of(Word::Lanes), lane_statements);
    let lanes = lanes::lanes(&asked, &ground, &course.models, names, desk);
    conveyor::lay(&statements(places), &segments, &mut ground, desk);
    drift::judge(&statements(places), &ground, desk);
    pulling::stations(&statements(places), &mut ground, names, desk);
    let who = people::Asked {
        people: statements(&sorted.of_kind(Kind::People)),
        teams: sorted.of(Word::Team),
        places: statements(places),
    };
    let mut staff = people::staff(&who, &mut ground, names, desk);
    people::size_implied_groups(&mut staff, &ground);
    hours::judge_people(&staff, &ground, desk);
    manned::shifts(sorted, course, &manned::Known { staff: &staff, ground: &ground, names }, desk);
    let hours = &course.hours.of_feeders;
    movers::movers(&segments, &mut ground, &staff, desk);
    let on_call = floaters::on_call(&sorted.of(Word::Floaters), &mut staff, &ground, names, desk);
    let gear = gear::gear(&sorted.of(Word::Equipment), &ground, names, desk);
    let parts = parts::parts(&statements(&sorted.of_kind(Kind::Part)), course.start, desk);
    let feeders = feeders::feeders(&fed_by, (&ground, hours), &parts, names, desk);
    let (zones, limits) = (sorted.of(Word::Zone), sorted.of(Word::Limit));
    let (zones, room_caps) = gear::room(&zones, &limits, &ground, names, desk);
    let temperatures = temperature::temperatures(&sorted.of(Word::Temperature), desk);
    Shop { ground, staff, on_call, gear, parts, temperatures, feeders, lanes, zones, room_caps }
}

/// What is done to a unit.
struct Work {
    steps: Steps,
    tests: Tests,
    gates: Vec<Gate>,
    windows: Vec<Window>,
    keeps: Vec<Keep>,
    exclusions: Vec<Exclusion>,
    orientations: Vec<Orientation>,
}

fn work(sorted: &Sorted, around: &Around, desk: &mut Desk) -> Work {
    let items = sorted.of_kind(Kind::Work);
    let mut steps = steps::steps(&items, around, desk);
    let mut tests = procedures::procedures(&items, &mut steps, around, desk);
    let gates = gates::gates(&items, &mut steps, around, desk);
    lanes::settle(around.lanes, &mut steps, desk);
    fit::settle(&mut steps, around, desk);
    let order = order::order(&items, &mut steps, &tests, around, desk);
    neighbours::neighbours(&items, &mut steps, &tests, around, desk);
    verdicts::verdicts(&items, &mut tests, (&steps, &gates), around, desk);
    let windows = windows::windows(&sorted.of(Word::Window), &steps, order.as_ref(), around, desk);
    for test in tests.tests.iter().filter(|test| test.safety) {
        // Safety is nothing to save people on.
        test.steps.iter().for_each(|step| steps.steps[step.index()].exactly = true);
    }
    let keeps = windows::keeps(&sorted.of(Word::Keep), &steps, order.as_ref(), around, desk);
    let bound = travel::Bound { tests: &tests.tests, windows: &windows, keeps: &keeps };
    travel::travel(&items, &mut steps, (&bound, order.as_ref()), around, desk);
    let exclusions = exclusions::exclusions(&sorted.of(Word::Exclude), &steps, &tests, around, desk);
    let orientations = orientation::orientations(
        &orientation::Asked {
            statements: &sorted.of(Word::Orientation),
            items: &items,
            steps: &steps,
            tests: &tests,
            windows: &windows,
            exclusions: &exclusions,
            order: order.as_ref(),
        },
        around,
        desk,
    );
    fit::judge_draws(&steps.steps, desk);
    Work { steps, tests, gates, windows, keeps, exclusions, orientations }
}

/// Who may be away, who stands in or lends a hand, who is new.
struct WhoComes {
    absence: Option<Absence>,
    floaters: Vec<Floaters>,
    helping: Vec<Helping>,
    learning: Vec<Learning>,
}

fn who_comes(sorted: &Sorted, has_shifts: bool, shop: &Shop, names: &Names, desk: &mut Desk) -> WhoComes {
    let absent = sorted.single(Word::Absent, desk);
    let absence = absent.and_then(|absent| absence::absence(absent, has_shifts, &shop.staff, desk));
    let mut floaters = floaters::floaters(&sorted.of(Word::Floaters), &shop.staff, &shop.ground, names, desk);
    let learning = learning::learning(&sorted.of(Word::Learning), &shop.staff, names, desk);
    let people = sorted.of(Word::People);
    let mut helping = helping::helping(&people, &shop.staff, &shop.ground, names, has_shifts, desk);
    if let Some(floaters) = shop.on_call.first().filter(|_| !has_shifts && !desk.is_broken(Word::Shift)) {
        desk.fault(no_calendar(floaters.span, "floaters are called in a shift"));
    }
    helping.extend(shop.on_call.iter().cloned());
    if !has_shifts && let Some(visitor) = sorted.of(Word::Visitor).first() {
        visitors::report_no_shift(visitor, desk);
    }
    hours::cover((&mut floaters, &mut helping), &shop.staff, &shop.ground.places, desk);
    WhoComes { absence, floaters, helping, learning }
}

fn stops_of(
    sorted: &Sorted,
    places: &[&Statement],
    course: &Course,
    (shop, work): (&Shop, &Work),
    names: &Names,
    desk: &mut Desk,
) -> Vec<Stopping> {
    let about = stops::Around {
        calendar: course.calendar.as_ref(),
        own_hours: &course.hours.own,
        steps: &work.steps.steps,
        keeps: &work.keeps,
        ground: &shop.ground,
        staff: &shop.staff,
        names,
    };
    let others: Vec<&Statement> =
        sorted.all().filter(|other| matches!(other.word, Word::Calls | Word::Weather)).collect();
    let (equipment, groups) = (sorted.of(Word::Equipment), sorted.of(Word::Stops));
    stops::stops(places, &equipment, &groups, &others, &about, desk)
}

/// What can be judged only of the line as a whole.
fn judge_whole(line: &Line, desk: &mut Desk) {
    across::judge(line, desk);
    moving_holds::judge(line, desk);
    temperature::judge(line, desk);
}

fn build(label: &str, sorted: &Sorted, names: &Names, places: &[&Item], desk: &mut Desk) -> One {
    let mut course = course(sorted, names, desk);
    let shop = shop(sorted, names, places, &mut course, desk);
    let around = Around {
        models: &course.models,
        ground: &shop.ground,
        lanes: &shop.lanes,
        staff: &shop.staff,
        gear: &shop.gear,
        parts: &shop.parts,
        temperatures: &shop.temperatures,
        room_caps: &shop.room_caps,
        names,
    };
    let work = work(sorted, &around, desk);
    feeders::judge(
        (&shop.feeders, &shop.parts),
        &sorted.of_kind(Kind::Work),
        &shop.ground,
        &work.steps,
        &work.tests.tests,
        &work.windows,
        desk,
    );
    let places = &statements(places)[..];
    let stops = stops_of(sorted, places, &course, (&shop, &work), names, desk);
    places::judge_grids(&shop.ground.segments, course.calendar.as_ref(), desk);
    let has_shifts = course.calendar.is_some();
    let who = who_comes(sorted, has_shifts, &shop, names, desk);
    drift::judge_early(places, &shop.ground, desk);
    let promises = promises::of_file(&sorted.of(Word::Promise), &work.tests, names, has_shifts, desk);
    let calendar = course.calendar.as_ref();
    let relief = relief::relief(
        sorted.single(Word::Relief, desk),
        calendar,
        (&shop.staff, &shop.ground),
        &work.steps.steps,
        desk,
    );
    let confidence = promises::confidence(sorted.single(Word::Confidence, desk), desk);
    let costs = costs::costs(&sorted.of(Word::Cost), &shop.ground, &shop.staff, names, desk);
    let space = costs::space(places, &shop.ground, names, desk);
    let tests = &work.tests.tests;
    let carriers = carriers::carriers(&sorted.of(Word::Carriers), course.start, tests, &around, desk);
    let yard = yard::yard(sorted.single(Word::Yard, desk), desk);
    let equipment = sorted.of(Word::Equipment);
    let known = (&work.steps, &work.keeps[..]);
    let equipment = gear::with_ranks(shop.gear.equipment, &equipment, known, names, desk);
    let guarded = safety::guarded(&work.steps, &work.tests, &shop.lanes, (&course.models, &course.options));
    let mut line = Line {
        name: sorted.single(Word::Line, desk).and_then(mix::label).unwrap_or_else(|| "line".to_string()),
        layout: label.to_string(),
        calendar: course.calendar,
        own_hours: course.hours.own,
        demand: course.rhythm.demand,
        takt: course.rhythm.takt,
        pace: course.rhythm.pace,
        models: course.models,
        options: course.options,
        sequence: course.sequence,
        release: course.release,
        start: course.start,
        skills: shop.staff.skills.clone(),
        groups: shop.staff.groups.clone(),
        people_stated: shop.staff.stated,
        absence: who.absence,
        visitors: shop.staff.visitors.clone(),
        floaters: who.floaters,
        helping: who.helping,
        learning: who.learning,
        crews: shop.staff.crews.clone(),
        equipment,
        parts: shop.parts,
        feeders: shop.feeders,
        zones: shop.zones,
        room_caps: shop.room_caps,
        on_line: shop.ground.on_line,
        places: shop.ground.places,
        segments: shop.ground.segments,
        lanes: shop.lanes,
        steps: work.steps.steps,
        tests: work.tests.tests,
        gates: work.gates,
        windows: work.windows,
        keeps: work.keeps,
        exclusions: work.exclusions,
        orientations: work.orientations,
        carriers,
        yard,
        stops,
        costs,
        temperatures: shop.temperatures,
        relief,
        space,
        promises,
        confidence,
    };
    pulling::settle(&mut line, &shop.staff, desk);
    judge_whole(&line, desk);
    // What looks unused may be used by a statement that could not be read or is faulty.
    if desk.broken().is_empty() && !desk.has_errors() {
        unused::report(&line, &shop.staff, desk);
        absence::report_stopped(&line, desk);
        lets::report_unused(sorted.all(), desk);
    }
    One { line: Some(line.with_station_times()), guarded }
}
