//! Feeders in lots: which part is the first one of its lot, known at once from what was begun before; and
//! whether it was that part's turn, judged when the units are known for which parts were ordered by then.

use super::Follower;
use std::collections::VecDeque;
use taktwright::line::{Builds, ModelId, StartState};

#[derive(Clone, Copy, Debug)]
enum Happened {
    Begun(u64, ModelId),
    /// A part was lost: it is made again before any other.
    Again(ModelId),
    /// A unit takes no part any more.
    Cancelled(ModelId),
}

/// A lot: its model, and how many are still to be begun.
#[derive(Clone, Copy, Default, Debug)]
struct Lot {
    model: Option<ModelId>,
    left: u32,
}

impl Lot {
    /// Another part is begun; whether a lot of so many begins with it.
    fn add(&mut self, model: ModelId, size: u32) -> bool {
        let begins = self.left == 0 || self.model != Some(model);
        self.left = if begins { size } else { self.left } - 1;
        self.model = Some(model);
        begins
    }
}

#[derive(Clone, Default, Debug)]
pub struct LotsNow {
    now: Lot,
    /// What happened and is not judged yet, each with the number of units whose orders had come.
    happened: VecDeque<(u64, Happened)>,
    /// As it stood at the first of these.
    then: Lot,
    orders: VecDeque<ModelId>,
    placed: u64,
    at_start: u32,
    spare: Vec<u32>,
}

impl Follower<'_> {
    /// A part is begun: is it the first one of its lot?
    pub fn begins_lot(&mut self, f: usize, number: u64, model: ModelId) -> bool {
        let Some(size) = self.line.feeders[f].lot else { return false };
        let begins = self.lots[f].now.add(model, size);
        self.note_lot(f, Happened::Begun(number, model));
        begins
    }

    pub fn lot_lost(&mut self, f: usize, model: ModelId) {
        self.note_lot(f, Happened::Again(model));
    }

    pub fn lot_cancelled(&mut self, f: usize, model: ModelId) {
        self.note_lot(f, Happened::Cancelled(model));
    }

    /// Parts for units that stand in the line from the start are no matter of lots.
    fn note_lot(&mut self, f: usize, what: Happened) {
        let feeder = &self.line.feeders[f];
        let (Some(_), Builds::Ahead(ahead), StartState::Empty) = (feeder.lot, feeder.builds, self.line.start)
        else {
            return;
        };
        let now = &mut self.lots[f];
        if now.spare.is_empty() {
            now.spare = vec![0; self.line.models.len()];
            now.at_start = self.line.parts[feeder.part.index()].at_start;
        }
        now.happened.push_back((self.models_released.len() as u64 + u64::from(ahead), what));
    }

    /// Another unit is known: what waited for it is judged.
    pub fn judge_lots(&mut self) {
        for f in 0..self.lots.len() {
            while let Some((due, what)) = self.lots[f].happened.front().copied() {
                if due > self.models_released.len() as u64 {
                    break;
                }
                self.lots[f].happened.pop_front();
                self.place_orders(f, due);
                self.judge_lot(f, what);
            }
        }
    }

    fn place_orders(&mut self, f: usize, due: u64) {
        while self.lots[f].placed < due {
            let model = self.models_released[self.lots[f].placed as usize];
            let takes = self.taker(self.line.feeders[f].part, model).is_some();
            let now = &mut self.lots[f];
            now.placed += 1;
            if !takes {
                continue;
            }
            if now.at_start > 0 {
                now.at_start -= 1;
            } else if now.spare[model.index()] > 0 {
                now.spare[model.index()] -= 1;
            } else {
                now.orders.push_back(model);
            }
        }
    }

    fn judge_lot(&mut self, f: usize, what: Happened) {
        let (feeder, now) = (&self.line.feeders[f], &mut self.lots[f]);
        match what {
            Happened::Again(model) => now.orders.push_front(model),
            Happened::Cancelled(model) => match now.orders.iter().position(|other| *other == model) {
                Some(at) => {
                    now.orders.remove(at);
                }
                None => now.spare[model.index()] += 1,
            },
            Happened::Begun(number, model) => {
                let of_lot = |other: &ModelId| now.then.left > 0 && Some(*other) == now.then.model;
                let turn = now.orders.iter().copied().find(of_lot).or(now.orders.front().copied());
                now.then.add(model, feeder.lot.unwrap_or(1));
                match now.orders.iter().position(|other| *other == model) {
                    Some(at) if turn == Some(model) => {
                        now.orders.remove(at);
                    }
                    Some(_) | None => {
                        let text = format!("was begun out of its lot's turn: {turn:?} was due");
                        self.fault(Some(number), Some(feeder.first), text);
                    }
                }
            }
        }
    }
}
