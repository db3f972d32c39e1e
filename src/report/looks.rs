//! States of a place that are read together: in tables, bars and sentences of every format.

use super::rows::StateShares;
use crate::stats::BayState;

/// States that are read together in tables and bars.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Look {
    Working,
    Holding,
    Moving,
    /// Work is left and something is missing.
    Short,
    /// Work is left and another step is not done.
    Waiting,
    /// Done, and nowhere to go.
    Blocked,
    /// Done (or empty) before the push.
    Signal,
    Starved,
    OffShift,
    Stopped,
}

impl Look {
    pub const ALL: [Look; 10] = [
        Look::Working,
        Look::Holding,
        Look::Moving,
        Look::Short,
        Look::Waiting,
        Look::Blocked,
        Look::Signal,
        Look::Starved,
        Look::OffShift,
        Look::Stopped,
    ];

    pub fn of(state: BayState) -> Look {
        match state {
            BayState::Working => Look::Working,
            BayState::Holding => Look::Holding,
            BayState::Moving => Look::Moving,
            BayState::ShortOfParts
            | BayState::ShortOfEquipment
            | BayState::ShortOfRoom
            | BayState::ShortOfPeople => Look::Short,
            BayState::WaitingForStep => Look::Waiting,
            BayState::Blocked => Look::Blocked,
            BayState::WaitingForSignal => Look::Signal,
            BayState::Starved => Look::Starved,
            BayState::OffShift => Look::OffShift,
            BayState::Stopped => Look::Stopped,
        }
    }

    pub fn heading(self) -> &'static str {
        match self {
            Look::Working => "work",
            Look::Holding => "hold",
            Look::Moving => "move",
            Look::Short => "short",
            Look::Waiting => "step",
            Look::Blocked => "block",
            Look::Signal => "signal",
            Look::Starved => "starve",
            Look::OffShift => "off",
            Look::Stopped => "stop",
        }
    }

    /// As a legend says it; `parts`: something was short of parts, and the words say so.
    pub fn words(self, parts: bool) -> &'static str {
        match self {
            Look::Working => "work",
            Look::Holding => "hold",
            Look::Moving => "move",
            Look::Short if parts => "short of people, parts, equipment or room",
            Look::Short => "short of people, equipment or room",
            Look::Waiting => "waiting for another step",
            Look::Blocked => "done and blocked",
            Look::Signal => "waiting for the signal",
            Look::Starved => "starved",
            Look::OffShift => "off shift",
            Look::Stopped => "stopped",
        }
    }
}

/// Share of the time that looks so.
pub fn share(shares: &StateShares, look: Look) -> f64 {
    BayState::ALL.iter().filter(|state| Look::of(**state) == look).map(|state| shares.of(*state)).sum()
}

/// The states that take most of a station's time, in words: `working 71 %, short of people 9 %`.
pub fn main_states(shares: &StateShares, most: usize) -> String {
    let mut states: Vec<BayState> = BayState::ALL.to_vec();
    states.sort_by(|a, b| shares.of(*b).total_cmp(&shares.of(*a)));
    let shown = states.iter().filter(|state| shares.of(**state) >= 0.01).take(most);
    let words: Vec<String> =
        shown.map(|state| format!("{} {:.0} %", state.words(), 100.0 * shares.of(*state))).collect();
    words.join(", ")
}
