//! The checked line: what the file means once every name, unit and rule has been settled.
//!
//! Owns the data that balancing and simulation share: models, places, steps, people, calendar,
//! time distributions, precedence (the only user of petgraph). Plain data with typed ids, no text
//! handling and no randomness.

mod calendar;
mod carriers;
mod cost;
mod dist;
mod exclusion;
mod feeder;
mod floaters;
mod flow;
mod gate;
mod helping;
mod hours;
mod ids;
mod lanes;
mod learning;
mod manning;
mod orientation;
mod part;
mod people;
mod place;
mod precedence;
mod pulling;
mod relief;
mod sharing;
mod step;
mod stops;
mod visitors;
mod warmth;
mod wrong;
mod yard;

pub use calendar::{Calendar, Home, Overtime, Pause, WeekShift};
pub use carriers::Carriers;
pub use cost::{Costs, Space};
pub use dist::{Dist, Faults, Shape, Taken};
pub use exclusion::{Exclusion, Reach};
pub use feeder::{Builds, Feeder};
pub use floaters::Floaters;
pub use flow::{
    Demand, Measure, Model, Period, Promise, PromiseKind, Ratio, Release, Sequence, SequenceKind, Spacing,
    StartState, Statistic, UnitOption,
};
pub use gate::{Gate, GoesOn};
pub use helping::Helping;
pub use hours::{OF_THE_LINE, calendar_of, hours_of_stopped};
pub use ids::{
    CrewId, EquipmentId, GroupId, ModelId, OptionId, PartId, PlaceId, SegmentId, SkillId, StepId, TestId,
    ZoneId,
};
pub use lanes::{Chosen, Lane, Lanes};
pub use learning::Learning;
pub use manning::{Seating, manning, most_filled, waits};
pub use orientation::Orientation;
pub use part::{Amiss, Lateness, Lots, LotsWhen, Origin, Part};
pub use people::{Absence, Crew, Equipment, Group, Need, wanted};
pub use place::{LateWork, MoveRule, Place, PlaceKind, RoomCap, Segment, Zone};
pub use precedence::Precedence;
pub use relief::Relief;
pub use sharing::{Shared, SharedBy};
pub use step::{
    AtBreaks, FailOutcome, Fix, Hold, Keep, OutcomeKind, Revisit, Step, StepKind, Test, TimeFor, Travel,
    Window,
};
pub use stops::{Comes, GapTime, Mending, Stopped, Stopping};
pub use visitors::{VISITOR, Visitor};
pub use warmth::{Temperature, Warmth};
pub use wrong::{Finder, WrongVerdicts};
pub use yard::Yard;

/// One layout of the line, checked.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// The label of the `line` statement.
    pub name: String,
    /// The layout this is; `today` for the file as it stands.
    pub layout: String,
    pub calendar: Option<Calendar>,
    /// Of the feeders that have hours of their own, in file order.
    pub own_hours: Vec<Calendar>,
    pub demand: Option<Demand>,
    /// Net time / demand, or the stated takt; an exact fraction of microseconds.
    pub takt: Option<Ratio>,
    /// Planned interval, faster than takt; takt where none is stated.
    pub pace: Option<Ratio>,
    pub models: Vec<Model>,
    pub options: Vec<UnitOption>,
    pub sequence: Sequence,
    pub release: Release,
    pub start: StartState,
    pub skills: Vec<String>,
    pub groups: Vec<Group>,
    /// The file says who exists (`people`); otherwise every crew is simply there.
    pub people_stated: bool,
    /// Who may be away; `None` where everybody always comes.
    pub absence: Option<Absence>,
    /// Groups from outside that have hours, in file order.
    pub visitors: Vec<Visitor>,
    /// Who stands in where a crew is short, in file order.
    pub floaters: Vec<Floaters>,
    /// People of no crew who lend a hand, in file order.
    pub helping: Vec<Helping>,
    /// Groups whose people are new at the start of the run.
    pub learning: Vec<Learning>,
    pub crews: Vec<Crew>,
    pub equipment: Vec<Equipment>,
    pub parts: Vec<Part>,
    /// Short lines that make parts, in file order.
    pub feeders: Vec<Feeder>,
    pub zones: Vec<Zone>,
    pub room_caps: Vec<RoomCap>,
    /// Stations and racks in line order (the order of the file), then those of each feeder, then the
    /// repair bays.
    pub places: Vec<Place>,
    /// How many of `places` are on the line.
    pub on_line: usize,
    /// Ways side by side, in the order of the line.
    pub lanes: Vec<Lanes>,
    /// Every place of the line and of its feeders is in exactly one.
    pub segments: Vec<Segment>,
    pub steps: Vec<Step>,
    pub tests: Vec<Test>,
    /// Where faults are found and mended, in file order.
    pub gates: Vec<Gate>,
    pub windows: Vec<Window>,
    pub keeps: Vec<Keep>,
    /// Work that is kept apart, in file order.
    pub exclusions: Vec<Exclusion>,
    /// How units may stand.
    pub orientations: Vec<Orientation>,
    /// What units stand on, in file order.
    pub carriers: Vec<Carriers>,
    /// Where finished units wait; `None`: there is always room.
    pub yard: Option<Yard>,
    /// Breakdowns and short stops, in file order.
    pub stops: Vec<Stopping>,
    /// What people, bays and floor cost; `None` where the file says nothing of it.
    pub costs: Option<Costs>,
    /// How warm the shops are, in file order.
    pub temperatures: Vec<Temperature>,
    /// Who lets the crews take their breaks in turn; `None`: everybody stops for them.
    pub relief: Option<Relief>,
    /// In the order of `places`: the floor that each takes; `None` where none is stated.
    pub space: Option<Vec<Space>>,
    pub promises: Vec<Promise>,
    /// Of every interval and promise, 0.5 < confidence < 1; 0.95 where the file says nothing.
    pub confidence: f64,
}

impl Line {
    /// The steps done at `place`, in file order.
    pub fn steps_at(&self, place: PlaceId) -> impl Iterator<Item = (StepId, &Step)> {
        self.steps
            .iter()
            .enumerate()
            .filter(move |(_, step)| step.place == place)
            .map(|(index, step)| (StepId::from_index(index), step))
    }

    /// Work that runs may lose its end: something may stop, a push may cut it off, or people may be
    /// away who would go on with it.
    pub fn takes_ends_back(&self) -> bool {
        let travels = || self.steps.iter().any(|step| self.may_be_brought(step));
        !self.stops.is_empty() || self.people_come_and_go() || travels() || self.has_drift()
    }

    /// Not everybody is there in every shift: somebody may be absent, or a shift has fewer people.
    pub fn people_come_and_go(&self) -> bool {
        self.absence.is_some() || self.has_fewer_on_a_shift()
    }

    /// Some shift says how many people of a group it has.
    pub fn has_fewer_on_a_shift(&self) -> bool {
        let mut calendars = self.calendar.iter().chain(&self.own_hours);
        calendars.any(|calendar| calendar.week.iter().any(|shift| !shift.people.is_empty()))
    }

    /// Every shift in which people of a group come says how many it has: one more would come to none.
    pub fn no_shift_has_more(&self, group: GroupId) -> bool {
        let stated = |shift: &WeekShift| shift.people.iter().any(|(other, _)| *other == group);
        let calendars = self.calendar.iter().chain(&self.own_hours);
        // In other hours nobody of the group works.
        let mut of_group = calendars.filter(|calendar| calendar.week.iter().any(stated)).peekable();
        of_group.peek().is_some() && of_group.all(|calendar| calendar.week.iter().all(stated))
    }

    /// What a task has taken may lie at its unit: it goes on at a later place, or people were too late for it.
    pub fn parts_may_lie_at_units(&self) -> bool {
        let takes = |step: &StepId| !self.steps[step.index()].uses.is_empty();
        let closes = |window: &Window| !window.judged_at_end && takes(&window.closes);
        self.steps.iter().any(|step| !step.uses.is_empty() && self.may_be_brought(step))
            || self.has_walks() && self.windows.iter().any(closes)
    }

    /// More people than needed may share some work.
    pub fn shares_work(&self) -> bool {
        let fixes = || self.tests.iter().flat_map(|test| &test.outcomes).filter_map(|o| o.kind.fix());
        self.steps.iter().any(|step| step.shared.is_some())
            || fixes().any(|fix| fix.shared.is_some())
            || self.windows.iter().any(|window| window.redo_shared.is_some())
    }

    /// In how many gangs a crew works: one for each bay, if per bay.
    pub fn gangs_of(&self, crew: &Crew) -> u32 {
        crew.gangs(|place| self.places[place.index()].bays)
    }

    /// Skills of everybody in one gang of a crew, in the order of its members.
    pub fn skills_of(&self, crew: &Crew) -> Vec<u64> {
        let each = crew.members.iter().flat_map(|(count, group)| {
            std::iter::repeat_n(self.groups[group.index()].skills, *count as usize)
        });
        each.collect()
    }

    /// People of each group whom no crew wants: they stand in, and mend.
    pub fn spare_people(&self) -> Vec<u32> {
        let wanted = wanted(self.groups.len(), &self.crews, |place| self.places[place.index()].bays);
        self.groups.iter().zip(wanted).map(|(group, wanted)| group.count.saturating_sub(wanted)).collect()
    }

    /// All of `places`, repair bays included.
    pub fn places_in_order(&self) -> impl Iterator<Item = PlaceId> {
        (0..self.places.len()).map(PlaceId::from_index)
    }

    /// The feeder that a place belongs to.
    pub fn feeder_at(&self, place: PlaceId) -> Option<&Feeder> {
        self.feeders.iter().find(|feeder| feeder.has(place))
    }

    /// The first and the last place of the line, or of the feeder, on which a place stands; `None` for a
    /// repair bay.
    pub fn ends_of(&self, place: PlaceId) -> Option<(PlaceId, PlaceId)> {
        if place.index() < self.on_line {
            return Some((PlaceId(0), PlaceId::from_index(self.on_line - 1)));
        }
        self.feeder_at(place).map(|feeder| (feeder.first, feeder.last))
    }

    /// The place behind this one, on the line or in its feeder; `None` behind the last one. Where lanes begin it is
    /// the first place of the first lane.
    pub fn place_after(&self, place: PlaceId) -> Option<PlaceId> {
        let (_, last) = self.ends_of(place)?;
        if let Some((lanes, lane)) = self.lane_at(place)
            && lanes.lanes[lane].last == place
        {
            return Some(PlaceId::from_index(lanes.last().index() + 1));
        }
        (place < last).then(|| PlaceId::from_index(place.index() + 1))
    }

    /// The place and the segment rule it moves by; repair bays move at once.
    pub fn rule_at(&self, place: PlaceId) -> MoveRule {
        match self.places[place.index()].segment {
            Some(segment) => self.segments[segment.index()].rule,
            None => MoveRule::WhenReady { moving: crate::units::Time::ZERO },
        }
    }
}
