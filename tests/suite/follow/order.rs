//! Releases: when they may come, which model's turn it is, the spacing rules.

use super::Follower;
use super::unit::Unit;
use taktwright::line::{ModelId, Ratio, Release, SequenceKind};
use taktwright::units::Time;

/// floor(k x ratio), the time of the k-th release by takt.
fn times_floor(ratio: Ratio, k: u64) -> i128 {
    let product = ratio.numerator * i128::from(k);
    product.div_euclid(ratio.denominator)
}

impl Follower<'_> {
    /// A unit was released.
    pub fn released(&mut self, number: u64, model: ModelId, options: u64) {
        let expected = self.models_released.len() as u64;
        if number != expected {
            self.fault(Some(number), None, format!("is released and unit {expected} comes next"));
        }
        if model.index() >= self.line.models.len() {
            return self.fault(Some(number), None, "is of a model that does not exist");
        }
        let line = self.line;
        for (o, option) in line.options.iter().enumerate() {
            let has = options >> o & 1 == 1;
            if has && (!option.models[model.index()] || option.rate <= 0.0) {
                self.fault(Some(number), None, format!("has {}, which its model can't have", option.name));
            }
            if let Some(every) = option.every.filter(|_| option.models[model.index()]) {
                let before = self.models_released.iter().filter(|m| option.models[m.index()]).count();
                if has != (before + 1).is_multiple_of(every as usize) {
                    self.fault(Some(number), None, format!("has or lacks {} out of turn", option.name));
                }
            }
            if !has && option.models[model.index()] && option.rate >= 1.0 {
                self.fault(Some(number), None, format!("lacks {}, which every unit has", option.name));
            }
        }
        self.models_released.push(model);
        self.check_release_time(number);
        // Who stands where from the start decides of which model it is.
        let placed =
            self.line.lanes.iter().flat_map(|lanes| &lanes.lanes).any(|lane| lane.models.contains(&false));
        if number >= self.from_start || !placed {
            self.check_spacing(number, model);
            self.check_turn_of_model(number, model, placed && self.from_start > 0);
        }
        self.totals.released += 1;
        self.units.insert(number, Unit::new(line, model, options, self.now));
        self.places[0].outside.push(number);
        if number >= self.from_start {
            self.orders_known(number, |_| true);
        }
        self.judge_lots();
    }

    fn check_release_time(&mut self, number: u64) {
        if number < self.from_start {
            if self.now != Time::ZERO {
                self.fault(Some(number), None, "is to stand in the line from the start and comes later");
            }
            return;
        }
        let k = number - self.from_start + 1;
        let line = self.line;
        let wanted = match &line.release {
            Release::Saturated => None,
            Release::ByTakt => line.takt.map(|takt| (times_floor(takt, k), self.net)),
            Release::Every { gap, on_the_clock } => gap.as_constant().map(|gap| {
                let at = gap.round_ties_even() as i128 * i128::from(k);
                (at, if *on_the_clock { self.now } else { self.net })
            }),
            Release::List(times) => {
                let at = times.get(k as usize - 1).map(|(at, _)| i128::from(at.0));
                at.map(|at| (at, self.net))
            }
        };
        if let Some((wanted, found)) = wanted.filter(|(wanted, found)| *wanted != i128::from(found.0)) {
            self.fault(Some(number), None, format!("is released at {} and should be at {wanted}", found.0));
        }
    }

    /// At most so many of a model in any so many units released one after another.
    fn check_spacing(&mut self, number: u64, model: ModelId) {
        match self.line.sequence.kind {
            SequenceKind::Pattern(_) | SequenceKind::List(_) => return,
            SequenceKind::Random | SequenceKind::Batches(_) | SequenceKind::Levelled => {}
        }
        for rule in self.line.sequence.rules.iter().filter(|rule| rule.model == model) {
            let last = self.models_released.iter().rev().take(rule.window as usize);
            let found = last.filter(|m| **m == rule.model).count();
            if found > rule.most as usize {
                let text = format!("breaks `{}`: {found} of {} released last", rule.text, rule.window);
                self.fault(Some(number), None, text);
            }
        }
    }

    /// Patterns and lists say every model; batches without rules keep together.
    /// `placed`: batches do not begin with the first unit.
    fn check_turn_of_model(&mut self, number: u64, model: ModelId, placed: bool) {
        let index = number as usize;
        let wanted = match &self.line.sequence.kind {
            SequenceKind::Pattern(models) | SequenceKind::List(models) if !models.is_empty() => {
                Some(models[index % models.len()])
            }
            SequenceKind::Batches(_) if placed => None,
            SequenceKind::Batches(n) if self.line.sequence.rules.is_empty() && *n > 0 => {
                let first = index - index % *n as usize;
                self.models_released.get(first).copied()
            }
            SequenceKind::Levelled => self.levelled_turn(index, model),
            SequenceKind::Pattern(_)
            | SequenceKind::List(_)
            | SequenceKind::Batches(_)
            | SequenceKind::Random => None,
        };
        let listed = match &self.line.release {
            Release::List(rows) => {
                let row = index.checked_sub(self.from_start as usize).and_then(|k| rows.get(k));
                row.and_then(|(_, model)| *model)
            }
            Release::Saturated | Release::ByTakt | Release::Every { .. } => None,
        };
        if let Some(wanted) = listed.or(wanted).filter(|wanted| *wanted != model) {
            let name = |m: ModelId| &self.line.models[m.index()].name;
            let text = format!("is of model {} and the order says {}", name(model), name(wanted));
            self.fault(Some(number), None, text);
        }
    }

    /// The legal model that leaves the smallest sum of squares of count - share x n; the model
    /// released may be any that is as good to the last digits.
    fn levelled_turn(&self, index: usize, model: ModelId) -> Option<ModelId> {
        let before = &self.models_released[..index.min(self.models_released.len())];
        let n = (before.len() + 1) as f64;
        let off = |candidate: usize| -> f64 {
            let squares = self.line.models.iter().enumerate().map(|(m, own)| {
                let count = before.iter().filter(|r| r.index() == m).count() + usize::from(m == candidate);
                let d = count as f64 - own.share * n;
                d * d
            });
            squares.sum()
        };
        let legal = |candidate: usize| {
            self.line.sequence.rules.iter().filter(|r| r.model.index() == candidate).all(|rule| {
                let last = before.iter().rev().take(rule.window as usize - 1);
                last.filter(|m| m.index() == candidate).count() < rule.most as usize
            })
        };
        let best =
            (0..self.line.models.len()).filter(|m| legal(*m)).min_by(|a, b| off(*a).total_cmp(&off(*b)))?;
        (off(best) < off(model.index()) - 1e-9).then(|| ModelId::from_index(best))
    }
}
