//! A test, compiled: what its units pass by, and what a fail leads to.

use crate::draws::{Purpose, Stream};
use crate::line::{Line, OutcomeKind, WrongVerdicts};
use crate::schedule::{NodeKind, Shop};

/// What a test does with units.
#[derive(Clone, Debug)]
pub struct TestPlan {
    /// Per model: share of units that pass the first attempt, and later ones.
    passes: Vec<(f64, f64)>,
    /// Upper ends of the shares of the outcomes.
    shares: Vec<f64>,
    pub most_tries: u32,
    /// Local nodes called again by a retest: procedure and verdict.
    pub again: Vec<u16>,
    /// Steps of the procedure.
    pub steps: Vec<u32>,
    /// Local node of each outcome's fix, where it has one (in place or at the repair place).
    pub fix: Vec<Option<u16>>,
    verdict: Stream,
    outcome: Stream,
    wrong: WrongVerdicts,
    escape: Stream,
}

impl TestPlan {
    pub fn new(line: &Line, shop: &Shop, t: usize, stream: &impl Fn(Purpose, &str) -> Stream) -> TestPlan {
        let test = &line.tests[t];
        let place = test.place.index();
        let fix_at = |place: usize, o: usize| {
            shop.nodes_of(place)
                .iter()
                .position(|n| n.kind == NodeKind::Fix { test: t as u16, outcome: o as u16 })
                .map(|k| k as u16)
        };
        let mut again: Vec<u16> = Vec::new();
        for (k, node) in shop.nodes_of(place).iter().enumerate() {
            let procedure = node.copy_of_window.is_none() && test.steps.iter().any(|s| s.0 == node.step);
            if procedure || node.kind == (NodeKind::Verdict { test: t as u16 }) {
                again.push(k as u16);
            }
        }
        let mut sum = 0.0;
        TestPlan {
            passes: test.passes.clone(),
            shares: test
                .outcomes
                .iter()
                .map(|o| {
                    sum += o.share;
                    sum
                })
                .collect(),
            most_tries: test.most_tries.unwrap_or(u32::MAX),
            again,
            steps: test.steps.iter().map(|s| s.0).collect(),
            fix: test
                .outcomes
                .iter()
                .enumerate()
                .map(|(o, outcome)| match &outcome.kind {
                    OutcomeKind::FixedInPlace(_) => fix_at(place, o),
                    OutcomeKind::ToRepair { place, .. } => fix_at(place.index(), o),
                    OutcomeKind::BackTo { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => None,
                })
                .collect(),
            verdict: stream(Purpose::Verdict, &test.draws_as),
            outcome: stream(Purpose::Outcome, &test.draws_as),
            wrong: test.wrong.clone(),
            escape: stream(Purpose::Escape, &test.draws_as),
        }
    }

    /// Whether a unit passes this attempt (1 is the first).
    /// `sound`: it has just failed by a false alarm.
    pub fn passes(&self, replication: u32, model: usize, (unit, sound): (u64, bool), attempt: u32) -> bool {
        let (first, again) = self.passes[model];
        let share = match attempt {
            1 => first,
            _ if sound => self.wrong.sound[model],
            _ => again,
        };
        share >= 1.0 || self.verdict.of_replication(replication).uniform(unit, attempt) < share
    }

    /// Whether a unit that passed this attempt is faulty; `sound` as above.
    pub fn escapes(&self, replication: u32, (unit, sound): (u64, bool), attempt: u32) -> bool {
        let share = self.wrong.escapes.map_or(0.0, |(share, _)| share);
        share > 0.0 && !sound && self.escape.of_replication(replication).uniform(unit, attempt) < share
    }

    /// Its units carry what it says wrongly; such tests are among the first 64 of the line.
    pub fn judges_wrongly(&self) -> bool {
        self.wrong != WrongVerdicts::default()
    }

    pub fn is_alarm(&self, outcome: usize) -> bool {
        self.wrong.alarm == Some(outcome)
    }

    /// Which outcome follows where an earlier test has let a fault through: any but a false alarm.
    pub fn outcome_of_fault(&self, replication: u32, unit: u64, attempt: u32) -> usize {
        let Some(alarm) = self.wrong.alarm else { return self.outcome(replication, unit, attempt) };
        let real = if alarm == 0 { 1.0 } else { self.shares[alarm - 1] };
        let u = self.outcome.of_replication(replication).uniform(unit, attempt) * real;
        self.shares[..alarm].iter().position(|upper| u < *upper).unwrap_or(alarm.saturating_sub(1))
    }

    /// Which outcome follows a failed attempt.
    pub fn outcome(&self, replication: u32, unit: u64, attempt: u32) -> usize {
        let u = self.outcome.of_replication(replication).uniform(unit, attempt);
        // The last one takes what rounding leaves beyond the sum of the shares.
        self.shares.iter().position(|upper| u < *upper).unwrap_or(self.shares.len() - 1)
    }
}
