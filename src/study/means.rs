//! What follows from the distributions alone, without a run: the figures of the page of `check`.

use crate::balance::{self, Load};
use crate::diagnostic::Diagnostic;
use crate::draws::Sampler;
use crate::line::{Line, ModelId, Step, TimeFor};
use crate::report::{LoadRow, PageExtras, TimeRow};
use crate::units::Time;

/// What mean times say of a line: its loads, looked at once.
pub struct Means<'a> {
    line: &'a Line,
    loads: Vec<Load>,
}

impl Means<'_> {
    pub fn of(line: &Line) -> Means<'_> {
        Means { line, loads: balance::loads(line) }
    }

    /// Loads of the stations and racks that have a window.
    pub fn rows(&self) -> Vec<LoadRow> {
        self.loads.iter().map(|load| load_row(self.line, load)).collect()
    }

    /// What the loads leave in doubt: stations over their window on average for some model.
    pub fn doubts(&self) -> Vec<Diagnostic> {
        balance::doubts(self.line, &self.loads)
    }

    /// Work content by model, loads, and the moments of every time. No content without loads: it would
    /// read as no work.
    pub fn page_extras(&self) -> PageExtras {
        let minutes = |micros: f64| micros / Time::MINUTE.micros() as f64;
        PageExtras {
            content: balance::work_content(self.line, &self.loads)
                .iter()
                .filter(|_| !self.loads.is_empty())
                .map(|c| (minutes(c.labour), minutes(c.elapsed)))
                .collect(),
            loads: self.rows(),
            times: times(self.line),
        }
    }
}

fn load_row(line: &Line, load: &Load) -> LoadRow {
    LoadRow {
        place: load.place,
        window_min: load.window / Time::MINUTE.micros() as f64,
        by_model: (0..line.models.len()).map(|m| load.share(m)).collect(),
        mean: load.mean_share(line),
        mean_with_retests: load.mean_share_with_retests(line),
    }
}

/// The moments of every time: one row for each step, or one for each model where they differ.
pub fn times(line: &Line) -> Vec<TimeRow> {
    line.steps.iter().flat_map(|step| rows_of(line, step)).collect()
}

fn rows_of(line: &Line, step: &Step) -> Vec<TimeRow> {
    let models: Vec<usize> = (0..line.models.len()).filter(|m| step.models[*m]).collect();
    let Some(first) = models.first() else { return Vec::new() };
    let most = |m: usize| step.shared.as_ref().map(|shared| &shared.most[m]);
    let alike = models.iter().all(|m| {
        step.times[*m] == step.times[*first]
            && step.needs[*m] == step.needs[*first]
            && most(*m) == most(*first)
    });
    match alike {
        true => vec![row(line, step, *first, None)],
        false => models.iter().map(|m| row(line, step, *m, Some(line.models[*m].name.clone()))).collect(),
    }
}

fn row(line: &Line, step: &Step, model: usize, shown: Option<String>) -> TimeRow {
    let TimeFor { dist, factor, .. } = &step.times[model];
    let minutes = |micros: f64| micros * factor / Time::MINUTE.micros() as f64;
    let law = Sampler::new(dist);
    let people = people(step, ModelId::from_index(model));
    TimeRow {
        step: step.name.clone(),
        label: step.label.clone(),
        place: line.places[step.place.index()].name.clone(),
        model: shown,
        people,
        most_people: step.shared.as_ref().map_or(people, |shared| shared.most_people(model)),
        mean_min: minutes(law.mean()),
        sd_min: minutes(law.variance().sqrt()),
        p05_min: minutes(law.quantile(0.05)),
        p50_min: minutes(law.quantile(0.5)),
        p95_min: minutes(law.quantile(0.95)),
        timings: dist.timings,
    }
}

/// Heads that the step takes for this model.
fn people(step: &Step, model: ModelId) -> u32 {
    step.needs.get(model.index()).map_or(0, |needs| needs.iter().map(|need| need.count).sum())
}
