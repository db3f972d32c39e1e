//! The line compiled for a run: the shop of `schedule`, a timer per node and model, and who follows
//! whom on the line.

use super::amiss::{AmissPlan, amiss_plans};
use super::breaks::add_what_must_fit;
use super::gates::GatePlan;
use super::helping::planned;
use super::hours::HoursPlan;
use super::lanes::LanesPlan;
use super::movers::{MoverPlan, mover_plans};
use super::presence::Roster;
use super::settings::{RunErrorKind, Settings};
use super::sharing::{SharedTime, shared_times};
use super::solo::solo_places;
use super::stop_plans::StopPlans;
use super::supply_plan::{SupplyPlan, is_ordered};
use super::test_plan::TestPlan;
use super::timer::Timer;
use super::travel::{TravelPlan, travel_plans};
use super::windows::redo_timers;
use crate::balance::mean_length;
use crate::draws::{Purpose, Scaled, Stream};
use crate::line::{Feeder, LateWork, Line, MoveRule, PlaceId, PlaceKind, Release, Step};
use crate::schedule::{Shop, remaining_paths};

/// A stretch of the line that moves together, compiled.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    pub first: usize,
    pub last: usize,
    pub pushed: bool,
    /// Signal interval; `None`: pushed as soon as all are ready.
    pub every: Option<i64>,
    /// Signals fall on the grid of the shift.
    pub on_the_grid: bool,
    /// Late work travels: at most so many open tasks on one unit.
    pub late: Option<u32>,
    /// Some place of it pulls units off the line.
    pub pulls: bool,
    /// Length of one move.
    pub index: i64,
}

pub struct Compiled<'a> {
    pub line: &'a Line,
    pub shop: Shop,
    /// Per (node of the shop, model).
    pub timers: Vec<Timer>,
    /// Per node of the shop: which of `aheads` makes its draws, or `u32::MAX`.
    pub ahead_of: Vec<u32>,
    /// Steps that every unit has, drawn several units ahead.
    pub aheads: Vec<(Scaled, Stream)>,
    /// Places with one step that takes nothing but time: run by a path of their own.
    pub solo: Vec<bool>,
    /// Places with several bays whose units must not overtake (in pushed segments they never do).
    pub ordered: Vec<bool>,
    /// Some crew drifts.
    pub has_drift: bool,
    /// The pushed stretches, the last one of the line first.
    pub pushed: Vec<usize>,
    /// Per place: units may be pushed on from it with something that runs.
    pub moves_on: Vec<bool>,
    /// Per place: units may be pulled off the line to it.
    pub pulled_to: Vec<bool>,
    /// Some crew begins on the unit in the place behind.
    pub has_early: bool,
    /// Work that may be gone on with elsewhere, in the order of `Shop::travelling`: its last place, the factor on what
    /// is left of it, and per model the time of one that was not begun.
    pub travel: Vec<TravelPlan>,
    /// Something may stop.
    pub has_stops: bool,
    /// Ends may be taken back: something may stop, work may be cut off, or nobody goes on with it.
    pub takes_back: bool,
    pub stops: StopPlans,
    /// Per (node of the shop, model), where more people may share work: its time.
    pub shared: Vec<Option<SharedTime<'a>>>,
    /// Per window: timer of its redo step, where it differs.
    pub redo_timers: Vec<Option<Timer>>,
    pub path: Vec<i64>,
    pub stretches: Vec<Stretch>,
    /// Per stretch: who moves its units; `None`: nobody.
    pub movers: Vec<Option<MoverPlan>>,
    /// Per place: its stretch.
    pub stretch_of: Vec<usize>,
    pub tests: Vec<TestPlan>,
    pub gates: Vec<GatePlan>,
    /// Per carriers: how long they are on their way back; `None`: no time.
    pub ways_back: Vec<Option<Timer>>,
    /// Per place: the test whose queue is counted there (the first one standing there).
    pub test_at: Vec<Option<u16>>,
    pub models: Stream,
    pub options: Vec<Stream>,
    /// Gap between releases that come one after the other.
    pub gap: Option<Timer>,
    /// In the order of `Line::parts`.
    pub supplies: Vec<SupplyPlan>,
    /// Parts whose lots are ordered when they are down to a level.
    pub ordered_lots: Vec<usize>,
    /// Per step: what may be amiss with the parts it takes; empty where nothing ever is.
    pub amiss: Vec<Vec<AmissPlan>>,
    /// Per feeder: units that take its parts out of their turn cost a re-kit.
    pub keeps_turn: Vec<bool>,
    /// Per feeder: the models whose units take a part of it, one bit each, and the steps that take it.
    pub takers: Vec<u64>,
    pub taken_by: Vec<Vec<u32>>,
    pub lanes: LanesPlan,
    /// Per place: the one behind it on its line; where lanes begin, the first place of the first one.
    pub next: Vec<Option<u16>>,
    /// Per place: which line begins there: 0 the main one, k + 1 feeder k.
    pub begins: Vec<Option<u16>>,
    /// Per place: its line, likewise (a repair bay belongs to none).
    pub line_of: Vec<u16>,
    /// Steps may be done more than once, so their starts are counted and what is done is kept.
    pub has_redo: bool,
    /// Units may come to wait in a circle: only what is kept while waiting can close one. (A failed
    /// unit never keeps its bay: the outside of a place takes any number.)
    pub can_lock: bool,
    /// Per node: mean times up to the closing step per (model), where its window is shorter than
    /// the longest attended stretch.
    pub fits: Vec<Option<Vec<i64>>>,
    /// Rank of a place in the order of one instant, and back.
    pub rank_of: Vec<u16>,
    pub place_of: Vec<u16>,
    /// Mean time per (node of the shop, model), where somebody helps.
    pub planned: Vec<i64>,
    /// Who is who, where people may be absent.
    pub roster: Option<Roster>,
    /// Per step: how many holds stand before it in the file.
    pub hold_index: Vec<u32>,
    /// Whose hours hold where.
    pub hours: HoursPlan,
}

impl<'a> Compiled<'a> {
    /// # Errors
    /// The line is larger than the engine's fixed widths.
    pub fn new(line: &'a Line, settings: &Settings) -> Result<Compiled<'a>, RunErrorKind> {
        let shop = Shop::new(line).map_err(|e| RunErrorKind::OverLimit { what: e.what, limit: e.limit })?;
        let stream = |purpose, name: &str| Stream::new(settings.seed, 0, purpose, name);
        let faster =
            |place: usize| settings.faster.filter(|(p, _)| p.index() == place).map_or(1.0, |(_, f)| f);
        let mut timers = Vec::with_capacity(shop.nodes.len() * shop.models);
        for place in 0..line.places.len() {
            for node in shop.nodes_of(place) {
                // What may be begun early is work of the next place.
                let faster = faster(place + usize::from(node.early));
                for model in 0..shop.models {
                    timers.push(Timer::of_node(line, node, model, faster, &stream));
                }
            }
        }
        let redo_timers = redo_timers(line, faster, &stream);
        let stretches = stretches(line);
        let stretch_of = line.places.iter().map(|p| p.segment.map_or(usize::MAX, |s| s.index())).collect();
        let tests = (0..line.tests.len()).map(|t| TestPlan::new(line, &shop, t, &stream)).collect();
        let (rank_of, place_of) = ranks(line);
        let path = remaining_paths(&shop, |step, model| mean_length(line, step, model));
        let mut fits = fits(line, &shop, &path);
        add_what_must_fit(line, &shop, &mut fits)?;
        let (takers, taken_by) = takers(line);
        let has_redo = line.tests.iter().any(|t| !t.outcomes.is_empty()) || !line.windows.is_empty();
        let (ahead_of, aheads) = draw_ahead(line, &shop, &timers);
        Ok(Compiled {
            hours: HoursPlan::new(line, &shop),
            planned: planned(line, &shop),
            roster: Roster::new(line, &shop, settings.seed),
            ahead_of,
            aheads,
            solo: solo_places(line, &shop),
            ordered: ordered(line, &shop),
            travel: travel_plans(line, &shop, &stream),
            pushed: (0..stretches.len()).rev().filter(|s| stretches[*s].pushed).collect(),
            has_drift: line.has_drift(),
            moves_on: (0..line.places.len()).map(|place| line.moves_on(place)).collect(),
            has_early: (0..line.places.len()).any(|place| line.begins_early(place)),
            has_stops: !line.stops.is_empty(),
            takes_back: line.takes_ends_back(),
            stops: StopPlans::new(line, &stream),
            shared: shared_times(line, &shop, &faster, &stream),
            has_redo,
            can_lock: can_lock(line, has_redo),
            models: stream(Purpose::Model, line.models.first().map_or("", |m| &m.draws_as)),
            options: line.options.iter().map(|o| stream(Purpose::Option, &o.draws_as)).collect(),
            gap: release_gap(line, &stream),
            gates: (0..line.gates.len()).map(|g| GatePlan::new(line, g, &stream)).collect(),
            ways_back: ways_back(line, &stream),
            takers,
            taken_by,
            lanes: LanesPlan::new(line, &stream),
            pulled_to: line.places_in_order().map(|p| line.is_pulled_to(p)).collect(),
            next: line.places_in_order().map(|p| line.place_after(p).map(|next| next.0)).collect(),
            begins: line.places_in_order().map(|p| begins(line, p)).collect(),
            line_of: line.places_in_order().map(|p| line_of(line, p)).collect(),
            amiss: amiss_plans(line, &stream),
            keeps_turn: line.feeders.iter().map(|f| line.comes_in_turn(f.part)).collect(),
            movers: mover_plans(line, &shop),
            ordered_lots: (0..line.parts.len()).filter(|part| is_ordered(&line.parts[*part])).collect(),
            supplies: line.parts.iter().map(|part| SupplyPlan::new(part, &stream)).collect(),
            line,
            shop,
            timers,
            redo_timers,
            path,
            stretches,
            stretch_of,
            tests,
            test_at: line.places_in_order().map(|p| first_test_at(line, p)).collect(),
            fits,
            rank_of,
            place_of,
            hold_index: hold_index(line),
        })
    }
}

/// Whether something kept while waiting could close a circle.
fn can_lock(line: &Line, has_redo: bool) -> bool {
    let moves = |k: &crate::line::Keep| line.steps[k.from.index()].place != line.steps[k.to.index()].place;
    line.keeps.iter().any(moves)
        || line.keeps.len() > 1
        // A failed unit may leave its place with what it keeps.
        || !line.keeps.is_empty() && has_redo
}

/// Per place: several bays whose units must not overtake.
fn ordered(line: &Line, shop: &Shop) -> Vec<bool> {
    let places = line.places.iter().zip(&shop.places);
    places.map(|(place, compiled)| place.ordered && place.bays > 1 && !compiled.pushed).collect()
}

/// The segments, compiled.
fn stretches(line: &Line) -> Vec<Stretch> {
    line.segments
        .iter()
        .map(|s| Stretch {
            first: s.first.index(),
            last: s.last.index(),
            pushed: s.rule.is_pushed(),
            every: match s.rule {
                MoveRule::PushedEvery { every, .. } => Some(every.0),
                MoveRule::WhenReady { .. } | MoveRule::PushedWhenReady { .. } => None,
            },
            late: match s.rule {
                MoveRule::PushedEvery { late_work: LateWork::Travels { most }, .. } => {
                    Some(most.unwrap_or(u32::MAX))
                }
                MoveRule::PushedEvery { late_work: LateWork::HoldsTheLine, .. }
                | MoveRule::PushedWhenReady { .. }
                | MoveRule::WhenReady { .. } => None,
            },
            pulls: line.places[s.first.index()..=s.last.index()].iter().any(|place| place.pulls_to.is_some()),
            on_the_grid: matches!(s.rule, MoveRule::PushedEvery { on_the_grid: true, .. }),
            index: s.rule.index().0,
        })
        .collect()
}

/// The time between releases, where they have gaps.
fn release_gap(line: &Line, stream: &impl Fn(Purpose, &str) -> Stream) -> Option<Timer> {
    match &line.release {
        Release::Every { gap, .. } => Some(Timer::plain(gap, stream(Purpose::ReleaseGap, "release"))),
        Release::Saturated | Release::ByTakt | Release::List(_) => None,
    }
}

fn first_test_at(line: &Line, place: PlaceId) -> Option<u16> {
    line.tests.iter().position(|test| test.place == place).map(|t| t as u16)
}

/// Per step: how many holds stand before it in the file.
fn hold_index(line: &Line) -> Vec<u32> {
    let mut holds = 0;
    let before = |step: &Step| {
        let before = holds;
        holds += u32::from(step.hold().is_some());
        before
    };
    line.steps.iter().map(before).collect()
}

/// Per carriers: how long they are on their way back; `None`: no time.
fn ways_back(line: &Line, stream: &impl Fn(Purpose, &str) -> Stream) -> Vec<Option<Timer>> {
    let way = |c: &crate::line::Carriers| {
        Some(Timer::plain(c.back.as_ref()?, stream(Purpose::MoveTime, &c.draws_as)))
    };
    line.carriers.iter().map(way).collect()
}

/// Place in the order of one instant: of each line the last one first.
fn rank(line: &Line, place: usize) -> usize {
    let ends = line.ends_of(PlaceId::from_index(place));
    ends.map_or(place, |(first, last)| first.index() + last.index() - place)
}

/// Ranks of the places, and the place of each rank.
fn ranks(line: &Line) -> (Vec<u16>, Vec<u16>) {
    let rank_of: Vec<u16> = (0..line.places.len()).map(|p| rank(line, p) as u16).collect();
    let mut place_of = vec![0; line.places.len()];
    for (place, rank) in rank_of.iter().enumerate() {
        place_of[*rank as usize] = place as u16;
    }
    (rank_of, place_of)
}

/// The line that begins at a place.
fn begins(line: &Line, place: PlaceId) -> Option<u16> {
    let (first, _) = line.ends_of(place)?;
    (first == place).then(|| line_of(line, place))
}

fn line_of(line: &Line, place: PlaceId) -> u16 {
    line.feeders.iter().position(|feeder| feeder.has(place)).map_or(0, |f| f as u16 + 1)
}

/// Per feeder: whose units take its part, and in which steps.
fn takers(line: &Line) -> (Vec<u64>, Vec<Vec<u32>>) {
    let of = |feeder: &Feeder| {
        let uses = |step: &Step| step.uses.iter().any(|(part, _)| *part == feeder.part);
        let steps = || line.steps.iter().enumerate().filter(|(_, step)| uses(step));
        let models = steps().flat_map(|(_, step)| step.models.iter().enumerate());
        let mask = models.fold(0, |mask, (m, applies)| mask | u64::from(*applies) << m);
        (mask, steps().map(|(s, _)| s as u32).collect())
    };
    line.feeders.iter().map(of).unzip()
}

/// A step that every unit has, of whatever model with the same time, is drawn for several units ahead; the
/// bits are those of single draws.
fn draw_ahead(line: &Line, shop: &Shop, timers: &[Timer]) -> (Vec<u32>, Vec<(Scaled, Stream)>) {
    let mut of = vec![u32::MAX; shop.nodes.len()];
    let mut list: Vec<(Scaled, Stream)> = Vec::new();
    for (at, node) in shop.nodes.iter().enumerate() {
        let everybody = node.options == 0
            && !node.dormant
            && !node.mends
            && (0..shop.models).all(|m| node.models >> m & 1 == 1);
        let alike = |times: &[crate::line::TimeFor]| times.iter().all(|time| *time == times[0]);
        let one_law = line.steps.get(node.step as usize).is_some_and(|step| alike(&step.times));
        if let (true, true, Timer::Drawn(drawn)) = (everybody, one_law, &timers[at * shop.models]) {
            of[at] = list.len() as u32;
            list.push((drawn.time.clone(), drawn.stream));
        }
    }
    (of, list)
}

/// Where a window is shorter than the longest attended stretch, its opening task starts only if the
/// mean times up to the closing step fit before the next stop.
fn fits(line: &Line, shop: &Shop, path: &[i64]) -> Vec<Option<Vec<i64>>> {
    let mut fits = vec![None; shop.nodes.len()];
    for (w, window) in line.windows.iter().enumerate() {
        for place in 0..line.places.len() {
            let calendar = line.calendar_of(line.places[place].hours);
            if calendar.is_none_or(|calendar| window.limit >= calendar.longest_stretch()) {
                continue;
            }
            let node0 = shop.places[place].node0 as usize;
            for (k, node) in shop.nodes_of(place).iter().enumerate() {
                if !(node.opens_at_start.contains(&(w as u16)) || node.opens_at_end.contains(&(w as u16))) {
                    continue;
                }
                // Up to the closing step: the path from here less what comes after it (closing in
                // the same place), else the whole path here.
                let closing = shop
                    .nodes_of(place)
                    .iter()
                    .position(|n| n.step == window.closes.0 && n.copy_of_window.is_none());
                let needed = (0..shop.models).map(|m| {
                    let from = path[(node0 + k) * shop.models + m];
                    let rest = closing.map_or(0, |c| {
                        let whole = path[(node0 + c) * shop.models + m];
                        if window.judged_at_end {
                            whole - mean_length(line, window.closes.index(), m)
                        } else {
                            whole
                        }
                    });
                    (from - rest).max(0)
                });
                fits[node0 + k] = Some(needed.collect());
            }
        }
    }
    fits
}

/// True for a place off the line.
pub fn off_line(line: &Line, place: usize) -> bool {
    match line.places[place].kind {
        PlaceKind::Repair => true,
        PlaceKind::Station | PlaceKind::Rack => false,
    }
}
