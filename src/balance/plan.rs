//! What is asked of balancing, and what comes back.

use super::clash::Clash;
use super::load::Load;
use crate::line::{Line, PlaceId, StepId, ZoneId};

/// What a plan is judged by first.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Aim {
    /// As few stations as do at the stated pace.
    Stations,
    /// The shortest pace that these stations keep.
    Pace,
    /// As few people as do at the stated pace: those of crews that have work.
    People,
    /// Loads as even as possible.
    Smooth,
    /// As much as possible with few moves from today's line, one after the other.
    Moves,
}

/// How full a station may be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Caps {
    /// Of the window, weighted by the models' shares.
    pub mix: f64,
    /// Of the window, each model by itself.
    pub model: f64,
    /// The share of units of each model that shall keep the window, 0..1, if that is asked for.
    pub chance: Option<f64>,
}

impl Default for Caps {
    fn default() -> Self {
        Caps { mix: 1.0, model: 1.1, chance: None }
    }
}

/// Settings of one question.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Goal {
    pub aim: Aim,
    pub caps: Caps,
    /// A move must lower the largest load, or what is over the caps, by so much of a window.
    pub least_gain: f64,
    /// Plans looked at, at mean times, at most.
    pub most_looks: u64,
}

impl Goal {
    pub fn new(aim: Aim) -> Goal {
        Goal { aim, caps: Caps::default(), least_gain: 0.002, most_looks: 200_000 }
    }
}

/// Why a search ended.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stopped {
    /// Nothing better is left, by proof.
    Proof,
    /// No single move or swap makes it better.
    NoBetterMove,
    /// The number of plans to look at is used up.
    Looks,
    /// The caller's limit of time.
    Limit,
}

/// One change of the plan: a step to another place, or two that change places.
#[derive(Clone, PartialEq, Debug)]
pub struct Change {
    /// (step, from, to).
    pub moved: Vec<(StepId, PlaceId, PlaceId)>,
    pub before: Worth,
    pub after: Worth,
}

/// What a plan is worth beside others; lower is better in every figure.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Worth {
    /// Sum of what stations are over the caps, in windows.
    pub over: f64,
    /// Largest load weighted by the mix, in windows.
    pub largest: f64,
    /// Shortest pace at which every cap is kept, microseconds.
    pub pace: f64,
    /// Stations with work.
    pub stations: usize,
    /// People of the crews with work.
    pub people: u32,
    /// Sum of squares of the loads: lower where work goes from a fuller to an emptier station.
    pub squares: f64,
    /// Smoothness index over stations with work, in windows: sqrt(sum (largest - load)^2).
    pub smoothness: f64,
}

/// An assignment and what is known of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Plan {
    pub aim: Aim,
    /// For each step.
    pub at: Vec<PlaceId>,
    pub caps: Caps,
    /// Tasks on another side than the file has them.
    pub sides: Vec<(StepId, ZoneId)>,
    /// Of every place with work, exactly, before and after; by place.
    pub before: Vec<Load>,
    pub after: Vec<Load>,
    pub worth_before: Worth,
    pub worth: Worth,
    /// Changes in the order in which they should be made, best first.
    pub changes: Vec<Change>,
    /// Other single changes from today's line, best first.
    pub others: Vec<Change>,
    /// For the aim's own figure: stations, people, or pace in microseconds; `None` where none is known.
    pub lower_bound: Option<f64>,
    pub stopped: Stopped,
    pub looks: u64,
    /// Where something stays over its caps: what no plan keeps together; `None` where nothing is proven to clash.
    pub clash: Option<Clash>,
}

/// A millionth of a window over the caps is rounding.
pub const ROUNDING: f64 = 1e-6;

impl Plan {
    /// It keeps the caps with as few stations or people as are its aim, and no plan has fewer.
    pub fn is_as_few_as_can_be(&self) -> bool {
        let number = match self.aim {
            Aim::Stations => self.worth.stations as f64,
            Aim::People => f64::from(self.worth.people),
            Aim::Moves | Aim::Pace | Aim::Smooth => return false,
        };
        self.worth.over <= ROUNDING && self.lower_bound.is_some_and(|bound| number <= bound)
    }

    /// The line with its tasks where, and on the side, that the plan has them.
    pub fn on(&self, line: &Line) -> Line {
        let mut planned = line.clone();
        planned.place_steps(&self.at);
        self.sides.iter().for_each(|(step, zone)| planned.steps[step.index()].zones = vec![*zone]);
        planned
    }
}

/// Why there is no plan.
#[derive(Clone, PartialEq, Debug)]
pub enum NoPlan {
    /// No pace, takt or demand is stated.
    NoPace,
    /// Larger than the engine's widths: what, and the limit.
    TooLarge { what: &'static str, limit: u64 },
    /// No model ever visits any station.
    NoWork,
}
