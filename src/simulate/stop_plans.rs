//! Causes of stops, compiled: when they strike, how long they last, whom they find.

use super::timer::Timer;
use crate::draws::{Purpose, Stream};
use crate::line::{Comes, GapTime, Line, Stopped, Stopping};

/// One cause, compiled.
#[derive(Clone, Debug)]
pub struct StopPlan {
    pub gap: Timer,
    pub repair: Timer,
    pub comes: ComesPlan,
}

/// How its stops come about, compiled.
#[derive(Clone, Debug)]
pub enum ComesPlan {
    ByItself,
    /// Until it is answered; whether it is solved.
    Calls {
        answered: Timer,
        solved: Stream,
        share: f64,
    },
    Days {
        bad: Stream,
        share: f64,
    },
}

impl ComesPlan {
    fn new(stop: &Stopping, stream: &impl Fn(Purpose, &str) -> Stream) -> ComesPlan {
        match &stop.comes {
            Comes::ByItself => ComesPlan::ByItself,
            Comes::Calls { answered, solved } => ComesPlan::Calls {
                answered: Timer::plain(answered, stream(Purpose::StopCall, &stop.draws_as)),
                solved: stream(Purpose::CallSolved, &stop.draws_as),
                share: *solved,
            },
            Comes::Days { share } => {
                ComesPlan::Days { bad: stream(Purpose::Weather, &stop.draws_as), share: *share }
            }
        }
    }
}

/// The causes of a line, and whom they find.
#[derive(Clone, Debug, Default)]
pub struct StopPlans {
    pub causes: Vec<StopPlan>,
    /// Per group of people: how many are in no crew and mend.
    pub menders: Vec<u32>,
    /// Per place and per kind of equipment: causes that count its use.
    pub used_places: Vec<Vec<u16>>,
    pub used_equipment: Vec<Vec<u16>>,
}

impl StopPlans {
    pub fn new(line: &Line, stream: &impl Fn(Purpose, &str) -> Stream) -> StopPlans {
        if line.stops.is_empty() {
            return StopPlans::default();
        }
        let mut plans = StopPlans {
            menders: line.spare_people(),
            used_places: vec![Vec::new(); line.places.len()],
            used_equipment: vec![Vec::new(); line.equipment.len()],
            ..StopPlans::default()
        };
        for (index, stop) in line.stops.iter().enumerate() {
            plans.causes.push(StopPlan {
                gap: Timer::plain(&stop.gap, stream(gap_purpose(stop), &stop.draws_as)),
                repair: Timer::plain(&stop.repair, stream(Purpose::RepairTime, &stop.draws_as)),
                comes: ComesPlan::new(stop, stream),
            });
            if stop.runs == GapTime::Use {
                match &stop.what {
                    Stopped::Places(places) => {
                        places.iter().for_each(|p| plans.used_places[p.index()].push(index as u16));
                    }
                    Stopped::Equipment(e) => plans.used_equipment[e.index()].push(index as u16),
                }
            }
        }
        plans
    }
}

fn gap_purpose(stop: &Stopping) -> Purpose {
    match stop.comes {
        Comes::Calls { .. } => Purpose::StopCall,
        Comes::ByItself | Comes::Days { .. } => Purpose::StopGap,
    }
}
