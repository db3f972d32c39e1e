//! What begins its way: whether something may, and which unit of which model it is.

use super::run::Run;
use super::units::{Row, Unit};
use super::watcher::{Event, Watcher};
use crate::line::{ModelId, Release};

impl<W: Watcher> Run<'_, W> {
    /// Something may begin its way on the line that begins at this place, if one does.
    pub(super) fn may_enter(&self, place: usize) -> bool {
        if !self.carriers_for(place, 0) {
            return false;
        }
        match self.c.begins[place] {
            None => false,
            Some(0) => {
                !self.going_home
                    && (!self.outside.is_empty() || matches!(self.c.line.release, Release::Saturated))
            }
            Some(line) => self.next_part(line as usize - 1).is_some(),
        }
    }

    /// What begins its way there.
    pub(super) fn enters(&mut self, place: usize) -> Option<Row> {
        match self.c.begins[place]? {
            0 => self.outside.pop_front().or_else(|| self.create(None)),
            line => self.begin_part(line as usize - 1),
        }
    }

    /// A new unit: `model` if the release names it.
    pub(super) fn create(&mut self, model: Option<u16>) -> Option<Row> {
        let number = self.next_number;
        let model = match (self.plan.pop_front(), model) {
            (Some(planned), _) => planned,
            (None, Some(model)) => {
                self.orders.note(model);
                model
            }
            (None, None) => self.draw_model()?,
        };
        self.next_number += 1;
        let options = self.options_of(number, model);
        self.seen.released += 1;
        let row = self.units.add(Unit::new(number, model, options, self.clock.now()));
        self.see(Event::Released { unit: number, model: ModelId(model), options });
        self.show_faults(row);
        if !self.feeders.is_empty() {
            self.will_take(row);
            self.place_orders();
        }
        Some(row)
    }

    /// Drawn by the number of the unit, or taken in turn.
    fn options_of(&mut self, number: u64, model: u16) -> u64 {
        let mut options = 0;
        for (o, option) in self.c.line.options.iter().enumerate() {
            if !option.models[model as usize] {
                continue;
            }
            let has = match option.every {
                Some(every) => {
                    self.around.turns[o] += 1;
                    self.around.turns[o].is_multiple_of(u64::from(every))
                }
                None => self.c.options[o].of_replication(self.replication).uniform(number, 0) < option.rate,
            };
            options |= u64::from(has) << o;
        }
        options
    }

    fn draw_model(&mut self) -> Option<u16> {
        match self.orders.next(self.c) {
            Ok(model) => Some(model),
            Err(kind) => {
                self.failed = Some(kind);
                None
            }
        }
    }

    /// The model of a unit that has not entered yet; those before it are known.
    pub(super) fn next_model(&mut self, number: u64) -> Option<u16> {
        if let Release::List(list) = &self.c.line.release {
            let (_, stated) = list.get(number as usize)?;
            if let Some(model) = stated {
                self.orders.note(model.0);
                return Some(model.0);
            }
        }
        self.draw_model()
    }
}
