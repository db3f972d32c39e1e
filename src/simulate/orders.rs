//! The order bank: which model enters next, under the spacing rules.

use super::compiled::Compiled;
use super::settings::RunErrorKind;
use crate::line::{Line, SequenceKind};
use std::collections::VecDeque;

/// Orders among which one for a lane is looked for, where the line starts full.
const MOST_LOOKED_AT: usize = 100_000;

#[derive(Clone, Debug)]
pub struct Orders {
    replication: u32,
    /// Orders drawn so far and not released, oldest first.
    bank: VecDeque<u16>,
    drawn: u64,
    released: u64,
    /// Models of the last releases, newest last; as long as the longest rule looks back.
    history: VecDeque<u16>,
    look_back: usize,
    counts: Vec<u64>,
    upper: Vec<f64>,
}

impl Orders {
    pub fn new(line: &Line, replication: u32) -> Orders {
        let look_back = line.sequence.rules.iter().map(|r| r.window as usize - 1).max().unwrap_or(0);
        let mut sum = 0.0;
        let upper = line
            .models
            .iter()
            .map(|m| {
                sum += m.share;
                sum
            })
            .collect();
        Orders {
            replication,
            bank: VecDeque::with_capacity(line.sequence.look_ahead as usize + 1),
            drawn: 0,
            released: 0,
            history: VecDeque::with_capacity(look_back + 1),
            look_back,
            counts: vec![0; line.models.len()],
            upper,
        }
    }

    /// The model of the next unit.
    ///
    /// # Errors
    /// None of the orders within the look-ahead keeps the rules.
    pub fn next(&mut self, compiled: &Compiled) -> Result<u16, RunErrorKind> {
        let line = compiled.line;
        let model = match &line.sequence.kind {
            SequenceKind::Random | SequenceKind::Batches(_) => self.take_from_bank(compiled)?,
            SequenceKind::Pattern(models) | SequenceKind::List(models) => {
                models[(self.released % models.len() as u64) as usize].0
            }
            SequenceKind::Levelled => self.levelled(line)?,
        };
        self.note(model);
        Ok(model)
    }

    /// The model of a unit that stands in the line at the start where not every model may: the next one in turn
    /// that may, whatever the spacing rules say, for it is not released. Those passed over keep their turn, save in
    /// a pattern or list, which goes on as it would have.
    ///
    /// # Errors
    /// None of the orders looked at may stand there.
    pub fn next_standing(&mut self, compiled: &Compiled, may: &[bool]) -> Result<u16, RunErrorKind> {
        let line = compiled.line;
        let none = RunErrorKind::NobodyStands { looked_at: MOST_LOOKED_AT as u32 };
        let found = match &line.sequence.kind {
            SequenceKind::Random | SequenceKind::Batches(_) => {
                let drawn = (0..MOST_LOOKED_AT).find(|at| {
                    if *at == self.bank.len() {
                        let order = self.draw(compiled);
                        self.bank.push_back(order);
                    }
                    may[self.bank[*at] as usize]
                });
                drawn.and_then(|at| self.bank.remove(at))
            }
            SequenceKind::Pattern(models) | SequenceKind::List(models) => {
                let from = (self.released % models.len() as u64) as usize;
                let in_turn = models[from..].iter().chain(&models[..from]);
                in_turn.map(|model| model.0).find(|model| may[*model as usize])
            }
            SequenceKind::Levelled => self.nearest_to_shares(line, |model| may[model]),
        };
        let model = found.ok_or(none)?;
        self.note(model);
        Ok(model)
    }

    /// A unit of a stated model was released: rules count it too.
    pub fn note(&mut self, model: u16) {
        self.released += 1;
        self.counts[model as usize] += 1;
        if self.look_back > 0 {
            if self.history.len() == self.look_back {
                self.history.pop_front();
            }
            self.history.push_back(model);
        }
    }

    fn take_from_bank(&mut self, compiled: &Compiled) -> Result<u16, RunErrorKind> {
        let line = compiled.line;
        if line.models.len() == 1 && line.sequence.rules.is_empty() {
            return Ok(0);
        }
        let look_ahead = line.sequence.look_ahead.max(1) as usize;
        for at in 0..look_ahead {
            if at == self.bank.len() {
                let order = self.draw(compiled);
                self.bank.push_back(order);
            }
            if self.is_legal(line, self.bank[at]) {
                return Ok(self.bank.remove(at).expect("the place was just looked at"));
            }
        }
        Err(RunErrorKind::NoLegalOrder { looked_at: look_ahead as u32 })
    }

    fn draw(&mut self, compiled: &Compiled) -> u16 {
        let batch = match compiled.line.sequence.kind {
            SequenceKind::Batches(n) => u64::from(n.max(1)),
            SequenceKind::Random
            | SequenceKind::Pattern(_)
            | SequenceKind::Levelled
            | SequenceKind::List(_) => 1,
        };
        let u = compiled.models.of_replication(self.replication).uniform(self.drawn / batch, 0);
        self.drawn += 1;
        self.upper.iter().position(|upper| u < *upper).unwrap_or(self.upper.len() - 1) as u16
    }

    fn is_legal(&self, line: &Line, model: u16) -> bool {
        line.sequence.rules.iter().filter(|rule| rule.model.0 == model).all(|rule| {
            let near =
                self.history.iter().rev().take(rule.window as usize - 1).filter(|m| **m == model).count();
            near < rule.most as usize
        })
    }

    /// The legal model that keeps sum (count - share x n)^2 least; ties in file order.
    fn levelled(&self, line: &Line) -> Result<u16, RunErrorKind> {
        let best = self.nearest_to_shares(line, |model| self.is_legal(line, model as u16));
        best.ok_or(RunErrorKind::NoLegalOrder { looked_at: line.models.len() as u32 })
    }

    fn nearest_to_shares(&self, line: &Line, may: impl Fn(usize) -> bool) -> Option<u16> {
        let n = (self.released + 1) as f64;
        let cost = |chosen: usize| {
            let off = |(m, model): (usize, &crate::line::Model)| {
                let d = self.counts[m] as f64 + f64::from(u8::from(m == chosen)) - model.share * n;
                d * d
            };
            line.models.iter().enumerate().map(off).sum::<f64>()
        };
        let legal = (0..line.models.len()).filter(|m| may(*m));
        let best = legal.min_by(|a, b| cost(*a).total_cmp(&cost(*b)).then(a.cmp(b)));
        best.map(|m| m as u16)
    }
}
