//! The best of many layouts with a stated probability: replications go on for those still in the race.
//!
//! Owns the runs; who is dropped when is for `stats::choosing` to say, by one count for each replication.

use super::compare::{IGNORED, name_of_count, value};
use super::plan::{MOST_REPLICATIONS, Plan, RunChoices, horizon_words};
use super::run::{Attendant, Outcome, go_on};
use super::side_by_side::{Candidate, cautions, layout_row};
use super::together::{count_of_lines, cut_words, longer};
use super::{StudyError, warm_up};
use crate::line::{Line, Measure};
use crate::report::{
    CHOICE_SCHEMA, Caution, ChoiceReport, ChoiceRow, Extras, PointLeftOut, Report, build, choice_sentence,
};
use crate::simulate::{Observations, Settings, WarmUp};
use crate::stats::choosing::{Race, Terms, next_look};
use crate::stats::summarise;
use crate::units::{count_of, join_and, percent};

/// Replications of each before the first look: the fewest that any interval of ours rests on.
pub const FIRST_STAGE: usize = 20;

/// The first of the replications that only find what is worth telling apart: days that no race ever sees.
const APART: u32 = 1_000_000;

/// What is asked of the choice.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct ChoiceTerms {
    /// Probability of taking the best; that of the file where nobody says.
    pub confidence: Option<f64>,
    /// The least lead worth finding, in units a shift or an hour; `IGNORED` of the first layout's mean.
    pub indifference: Option<f64>,
    /// The most replications of one layout.
    pub most: Option<u32>,
}

/// A candidate in the race.
struct Runner<'l> {
    name: &'l str,
    line: &'l Line,
    observed: Observations,
}

/// How all of them are run, and what has come of it so far.
struct Field<'l, 'a, A: Attendant> {
    settings: Settings,
    measure: Measure,
    attendant: &'a A,
    runners: Vec<Runner<'l>>,
    left_out: Vec<PointLeftOut>,
    /// No warm-up of their own was found for these.
    unsettled: Vec<String>,
}

/// Runs the candidates until one is left, or all that are left are alike; the first is the one whose mean says
/// what is worth telling apart. Those that can't be run are left out.
///
/// # Errors
/// The choices do not fit a line, fewer than two candidates can be run, the first never settles, or a run
/// could not go on.
pub fn choose(
    candidates: &[Candidate<'_>],
    left_out: Vec<PointLeftOut>,
    asked: ChoiceTerms,
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<ChoiceReport, StudyError> {
    let Some(first) = candidates.first() else { return Err(StudyError::NothingToChoose) };
    let lines: Vec<&Line> = candidates.iter().map(|c| c.line).collect();
    let measure = count_of_lines(&lines);
    let plan = Plan::of(first.line, &RunChoices { gains: 0, ..choices.clone() })?;
    let mut settings = Settings {
        seed: plan.seed,
        first: 0,
        count: 0,
        horizon: plan.horizon,
        warm_up: WarmUp::None,
        record_finishes: false,
        faster: None,
    };
    let (cut, unsettled) = cut_of(candidates, choices, attendant)?;
    settings.warm_up = cut;
    let (indifference, apart) = match asked.indifference {
        Some(stated) => (stated, 0),
        None => (IGNORED * mean_apart(first.line, measure, &settings, attendant)?, FIRST_STAGE),
    };
    let mut field = Field { settings, measure, attendant, runners: Vec::new(), left_out, unsettled };
    field.line_up(candidates)?;
    let terms = Terms {
        runners: field.runners.len(),
        confidence: asked.confidence.unwrap_or(first.line.confidence),
        indifference,
        first: FIRST_STAGE,
    };
    let most = asked.most.map_or(MOST_REPLICATIONS, |most| most as usize);
    let (race, interrupted) = field.run(&terms, most)?;
    let setting = Setting { terms, shared: asked.indifference.is_none(), apart, interrupted };
    Ok(field.record(&lines, &race, &setting))
}

/// One cut for all: the longest that any of them needs. The first must settle; of others it is said.
fn cut_of(
    candidates: &[Candidate<'_>],
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<(WarmUp, Vec<String>), StudyError> {
    let (mut cut, mut unsettled) = (WarmUp::None, Vec::new());
    for (k, candidate) in candidates.iter().enumerate() {
        match warm_up::find(candidate.line, &Plan::of(candidate.line, choices)?, attendant) {
            Ok(own) => cut = longer(cut, own),
            Err(StudyError::NeverSettles { .. }) if k > 0 => unsettled.push(candidate.name.clone()),
            // It is left out where it can't be run, when it is run.
            Err(StudyError::Run(_)) if k > 0 => {}
            Err(error) => return Err(error),
        }
    }
    Ok((cut, unsettled))
}

/// The mean count of a line on days that no race sees: what is worth telling apart must not lean on the values
/// that decide.
fn mean_apart(
    line: &Line,
    measure: Measure,
    settings: &Settings,
    attendant: &impl Attendant,
) -> Result<f64, StudyError> {
    let mut seen = Observations::default();
    let settings = Settings { first: APART, ..settings.clone() };
    go_on(line, &settings, FIRST_STAGE, &mut seen, attendant)?;
    let counts = counts(measure, &seen, 0);
    if counts.len() < FIRST_STAGE {
        return Err(StudyError::Interrupted);
    }
    Ok(counts.iter().sum::<f64>() / counts.len() as f64)
}

/// The count of each replication from the one of this number on; where nothing was counted nothing was made.
fn counts(measure: Measure, observed: &Observations, from: usize) -> Vec<f64> {
    let runs = observed.replications.iter().skip(from);
    runs.map(|run| value(measure, run).unwrap_or(0.0)).collect()
}

/// What the record says of how the race was set.
struct Setting {
    terms: Terms,
    /// The indifference is a share of the first layout's mean.
    shared: bool,
    apart: usize,
    interrupted: bool,
}

impl<'l, A: Attendant> Field<'l, '_, A> {
    /// The first replications of each; those that can't be run are left out.
    fn line_up(&mut self, candidates: &'l [Candidate<'l>]) -> Result<(), StudyError> {
        for (k, candidate) in candidates.iter().enumerate() {
            let mut observed = Observations::default();
            match go_on(candidate.line, &self.settings, FIRST_STAGE, &mut observed, self.attendant) {
                Ok(()) if observed.interrupted => return Err(StudyError::Interrupted),
                Ok(()) => {
                    self.runners.push(Runner { name: &candidate.name, line: candidate.line, observed });
                }
                Err(StudyError::Run(fault)) if k > 0 => {
                    let why = fault.headline.clone();
                    self.left_out.push(PointLeftOut { point: candidate.name.clone(), why });
                }
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }

    /// The race, and whether it was stopped.
    fn run(&mut self, terms: &Terms, most: usize) -> Result<(Race, bool), StudyError> {
        let first: Vec<Vec<f64>> =
            self.runners.iter().map(|r| counts(self.measure, &r.observed, 0)).collect();
        let Some(mut race) = Race::begin(terms, &first) else { return Err(StudyError::NothingToChoose) };
        while !race.is_decided() && race.values() < most {
            let until = next_look(&race).min(most);
            let mut more = Vec::new();
            for runner in race.running() {
                let runner = &mut self.runners[runner];
                go_on(runner.line, &self.settings, until, &mut runner.observed, self.attendant)?;
                if runner.observed.interrupted {
                    return Ok((race, true));
                }
                more.push(counts(self.measure, &runner.observed, race.values()));
            }
            race.go_on(&more);
        }
        Ok((race, false))
    }

    fn report_of(&self, runner: &Runner<'_>) -> Report {
        let outcome = Outcome {
            observations: runner.observed.clone(),
            horizon: self.settings.horizon,
            warm_up: self.settings.warm_up,
            gains: Vec::new(),
            cautions: Vec::new(),
        };
        let summary = summarise(runner.line, &outcome.observations, &outcome.beside(runner.line));
        build(runner.line, &summary, &outcome.add_to(Extras::default()))
    }

    fn record(self, lines: &[&Line], race: &Race, setting: &Setting) -> ChoiceReport {
        let terms = &setting.terms;
        let reports: Vec<Report> = self.runners.iter().map(|runner| self.report_of(runner)).collect();
        let lead = race.leaders();
        let rows: Vec<ChoiceRow> = (self.runners.iter().zip(&reports).enumerate())
            .map(|(k, (_, report))| self.row(k, report, race, lead.first().copied()))
            .collect();
        let needs = |k: &usize| (rows[*k].does.people, rows[*k].does.places, *k);
        let decided = race.is_decided() && !setting.interrupted;
        let chosen = lead.iter().copied().min_by_key(needs).filter(|_| decided);
        let names = |all: &[usize]| all.iter().map(|k| self.runners[*k].name.to_string()).collect::<Vec<_>>();
        let others: Vec<usize> = lead.iter().copied().filter(|k| Some(*k) != chosen).collect();
        let mut of_lines: Vec<&str> = lines.iter().map(|line| line.name.as_str()).collect();
        of_lines.dedup();
        let most = rows.iter().map(|row| row.replications).max().unwrap_or(0);
        let mut record = ChoiceReport {
            schema: CHOICE_SCHEMA.to_string(),
            version: env!("CARGO_PKG_VERSION").to_string(),
            line: join_and(&of_lines),
            seed: self.settings.seed,
            run: self.words(most),
            interrupted: setting.interrupted,
            confidence: terms.confidence,
            indifference: terms.indifference,
            indifference_share: setting.shared.then_some(IGNORED),
            replications_apart: whole(setting.apart),
            judged_on: name_of_count(self.measure).to_string(),
            chosen: chosen.map(|k| self.runners[k].name.to_string()),
            alike: if decided { names(&others) } else { Vec::new() },
            open: if decided { Vec::new() } else { names(&race.running()) },
            decided_after: whole(race.decided_after()),
            sentence: String::new(),
            first_stage: whole(FIRST_STAGE),
            spent: rows.iter().map(|row| u64::from(row.replications)).sum(),
            same_for_all: u64::from(most) * rows.len() as u64,
            rests_on: rests_on(setting),
            layouts: rows,
            cautions: self.cautions(&reports),
            left_out: self.left_out,
        };
        record.sentence = choice_sentence(&record);
        record
    }

    fn row(&self, k: usize, report: &Report, race: &Race, leader: Option<usize>) -> ChoiceRow {
        let runner = &self.runners[k];
        let dropped = race.dropped(k);
        let own = counts(self.measure, &runner.observed, 0);
        let behind = leader.filter(|leader| *leader != k).map(|leader| {
            let leader = &self.runners[leader];
            let leads = counts(self.measure, &leader.observed, 0);
            let both = own.len().min(leads.len());
            leads.iter().zip(&own).map(|(lead, own)| lead - own).sum::<f64>() / both.max(1) as f64
        });
        ChoiceRow {
            does: layout_row(runner.name, runner.line, report),
            replications: whole(own.len()),
            dropped_after: dropped.map(|dropped| whole(dropped.after)),
            dropped_by: dropped.map(|dropped| self.runners[dropped.by].name.to_string()),
            behind,
        }
    }

    /// `20 to 130 replications of 5 shifts, no warm-up, seed 7`
    fn words(&self, most: u32) -> String {
        let range = match whole(FIRST_STAGE) == most {
            true => count_of(FIRST_STAGE, "replication"),
            false => format!("{FIRST_STAGE} to {}", count_of(most as usize, "replication")),
        };
        let (horizon, cut) = (horizon_words(self.settings.horizon), cut_words(self.settings.warm_up));
        format!("{range} of {horizon}, {cut}, seed {}", self.settings.seed)
    }

    fn cautions(&self, reports: &[Report]) -> Vec<Caution> {
        let caution = |topic: &str, text: String| Caution { topic: topic.to_string(), text };
        let mut all = vec![caution(
            "bands",
            "A band is that of its layout alone, at the replications that it had; it does not allow for the \
             race, which stops when somebody is well ahead. For bands of differences run `compare` without \
             `--choose-best`."
                .to_string(),
        )];
        if !self.unsettled.is_empty() {
            let text = format!(
                "No warm-up of their own was found for these, and they are judged after that of the others: {}. \
                 A longer run, or a stated warm-up, would settle it.",
                self.unsettled.join("; ")
            );
            all.push(caution("warm-up", text));
        }
        all.extend(cautions(reports.iter()));
        all
    }
}

/// What the probability rests on, and what it does not say.
fn rests_on(setting: &Setting) -> Vec<String> {
    let terms = &setting.terms;
    let mut all = vec![
        format!(
            "The procedure: Kim & Nelson's, fully sequential (2001). {} of each, then looks at 30, 40, 50 ...; \
             a layout is dropped as soon as another is ahead by more than chance explains, at {} in all.",
            count_of(terms.first, "replication"),
            percent(terms.confidence)
        ),
        "The same random days for all, which the procedure allows for: it goes by differences.".to_string(),
        "The count of a replication taken as normal: near enough where a replication counts many shifts, less \
         so for one or two."
            .to_string(),
        "Where another is closer to the best than the least lead, either may be taken, and no probability is \
         promised."
            .to_string(),
    ];
    if setting.shared {
        all.push(format!(
            "The least lead: {} of the mean of the first layout, from {} on days of their own; \
             `--indifference UNITS` states another.",
            percent(IGNORED),
            count_of(setting.apart, "replication")
        ));
    }
    all
}

fn whole(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
