//! The order of models: kind, spacing rules, and whether any endless sequence can keep them.

use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::Names;
use super::quantity;
use super::spacing::{self, Rule};
use crate::diagnostic::Span;
use crate::diagnostic::words::spacing::{self as words, PairSaid, RuleSaid};
use crate::diagnostic::words::tables::{self, RowFault};
use crate::diagnostic::words::{limits, quantities};
use crate::line::{Model, ModelId, Sequence, SequenceKind, Spacing};
use crate::syntax::tree::{self, ClauseKind, Head, Name, Statement, Word};

/// Orders held in the bank where the file says nothing.
const LOOK_AHEAD: u32 = 50;
/// Slack under which a rule is doubted, as a share of all units.
const TIGHT: f64 = 0.02;
/// Units of a pattern or list at most.
const LONGEST_ORDER: usize = 1_000_000;

/// The fixed order of a pattern or list, before shares are known.
pub(super) fn fixed_order(
    statement: Option<&Statement>,
    names: &Names,
    desk: &mut Desk,
) -> Option<Vec<ModelId>> {
    let Head::SequenceKind(kind, _) = &statement?.head else { return None };
    match kind {
        tree::SequenceKind::Random | tree::SequenceKind::Levelled | tree::SequenceKind::Batches(_) => None,
        tree::SequenceKind::Pattern(list) => {
            let found: Vec<Option<ModelId>> = list.iter().map(|name| mix::model(name, names, desk)).collect();
            found.into_iter().collect()
        }
        tree::SequenceKind::List(file) => models_of_file(file, names, desk),
    }
}

/// The `model` column of a file.
fn models_of_file(file: &Name, names: &Names, desk: &mut Desk) -> Option<Vec<ModelId>> {
    let table = desk.table(file)?;
    let column = match table.column("model") {
        Some(column) => column,
        None if table.header.len() == 1 => 0,
        None => {
            desk.fault(tables::no_column(file.span, &file.text, "model", &[], &table.header));
            return None;
        }
    };
    let header = &table.header[column];
    let mut order = Vec::new();
    let mut bad = Vec::new();
    for (line, row) in &table.rows {
        let cell = table.cell(row, column);
        match known_model(cell, names) {
            Some(model) => order.push(model),
            None => bad.push((*line, RowFault::NotAModel(cell.to_string()))),
        }
    }
    if !bad.is_empty() && !desk.is_broken(Word::Model) {
        desk.fault(tables::bad_rows(file.span, &file.text, header, &bad));
    }
    if order.is_empty() && bad.is_empty() {
        desk.fault(tables::no_values(file.span, &file.text, header));
    }
    if order.len() > LONGEST_ORDER {
        let limit = LONGEST_ORDER.to_string();
        desk.fault(limits::over_limit(file.span, "orders of the list", &order.len().to_string(), &limit));
    }
    (bad.is_empty() && !order.is_empty()).then_some(order)
}

/// A model by its name, without a report.
pub(super) fn known_model(name: &str, names: &Names) -> Option<ModelId> {
    let roll = names.roll(super::names::Kind::Model);
    match roll.len() {
        0 => (name == mix::ONLY_MODEL).then_some(ModelId(0)),
        _ => roll.find(name).map(ModelId::from_index),
    }
}

/// The checked sequence; random without rules where the file has no `sequence` statement.
pub(super) fn sequence(
    statement: Option<&Statement>,
    order: Option<Vec<ModelId>>,
    models: &[Model],
    names: &Names,
    desk: &mut Desk,
) -> Sequence {
    let mut sequence = Sequence {
        kind: SequenceKind::Random,
        rules: Vec::new(),
        look_ahead: LOOK_AHEAD,
        span: Span::default(),
    };
    let Some(statement) = statement else { return sequence };
    sequence.span = statement.span;
    if let Some((n, _)) = clause!(statement, ClauseKind::Looking(n) => n) {
        sequence.look_ahead =
            quantity::count(n, "the number of orders ahead", 1, 10_000, desk).unwrap_or(LOOK_AHEAD);
    }
    sequence.rules = rules(statement, names, desk);
    if let Head::SequenceKind(kind, _) = &statement.head {
        sequence.kind = match (kind, order) {
            (tree::SequenceKind::Random, _) => SequenceKind::Random,
            (tree::SequenceKind::Levelled, _) => SequenceKind::Levelled,
            (tree::SequenceKind::Batches(n), _) => {
                SequenceKind::Batches(quantity::count(n, "the batch", 1, 10_000, desk).unwrap_or(1))
            }
            (tree::SequenceKind::Pattern(_), Some(order)) => SequenceKind::Pattern(order),
            (tree::SequenceKind::List(_), Some(order)) => SequenceKind::List(order),
            // The fault in the order has been reported.
            (tree::SequenceKind::Pattern(_) | tree::SequenceKind::List(_), None) => SequenceKind::Random,
        };
    }
    match &sequence.kind {
        SequenceKind::Random | SequenceKind::Levelled => judge_shares(&sequence.rules, models, desk),
        SequenceKind::Batches(size) => {
            judge_batches(*size, &sequence.rules, models, desk);
            judge_shares(&sequence.rules, models, desk);
        }
        SequenceKind::Pattern(order) => {
            judge_order(order, "pattern", statement, &sequence.rules, models, desk)
        }
        SequenceKind::List(order) => judge_order(order, "list", statement, &sequence.rules, models, desk),
    }
    sequence
}

fn rules(statement: &Statement, names: &Names, desk: &mut Desk) -> Vec<Spacing> {
    let mut rules = Vec::new();
    for clause in &statement.clauses {
        if let ClauseKind::NoTwo(name) = &clause.kind
            && let Some(model) = mix::model(name, names, desk)
        {
            let text = format!("no two {} adjacent", name.text);
            rules.push(Spacing { model, most: 1, window: 2, text, span: clause.span });
        }
        if let ClauseKind::AtMostOf { most, model: name, of_any } = &clause.kind {
            let model = mix::model(name, names, desk);
            let most = quantity::count(most, "the most of a model", 1, 1000, desk);
            let window = quantity::count(of_any, "the number of units looked at", 2, 1000, desk);
            let (Some(model), Some(most), Some(window)) = (model, most, window) else { continue };
            let text = format!("at most {most} {} of any {window}", name.text);
            if most >= window {
                let found = format!("{most} of any {window}");
                let allowed = "fewer than the units looked at, or the rule says nothing";
                desk.fault(quantities::out_of_range(clause.span, "the most of a model", &found, allowed));
                continue;
            }
            rules.push(Spacing { model, most, window, text, span: clause.span });
        }
    }
    rules
}

/// The rule as the sentences of its faults need it.
fn said<'a>(rule: &'a Spacing, models: &'a [Model]) -> RuleSaid<'a> {
    RuleSaid {
        span: rule.span,
        text: &rule.text,
        model: &models[rule.model.index()].name,
        most: rule.most,
        window: rule.window,
    }
}

/// Shares against rules, model by model and in pairs.
fn judge_shares(rules: &[Spacing], models: &[Model], desk: &mut Desk) {
    let before = desk.faults.len();
    for rule in rules {
        let share = models[rule.model.index()].share;
        let cap = f64::from(rule.most) / f64::from(rule.window);
        if share > cap + 1e-9 {
            desk.fault(words::share_over_cap(said(rule, models), share));
        }
    }
    if desk.faults.len() == before {
        judge_pairs(rules, models, desk);
    }
    if desk.faults.len() > before {
        return;
    }
    for rule in rules {
        let share = models[rule.model.index()].share;
        if f64::from(rule.most) / f64::from(rule.window) - share < TIGHT {
            desk.fault(words::tight(said(rule, models), share));
        }
    }
}

fn judge_pairs(rules: &[Spacing], models: &[Model], desk: &mut Desk) {
    let plain: Vec<Rule> = rules
        .iter()
        .map(|rule| Rule { model: rule.model.index(), most: rule.most, window: rule.window })
        .collect();
    let mut ruled: Vec<usize> = plain.iter().map(|rule| rule.model).collect();
    ruled.sort_unstable();
    ruled.dedup();
    for (position, one) in ruled.iter().enumerate() {
        for other in &ruled[position + 1..] {
            let (a, b) = (&models[*one], &models[*other]);
            let free = a.share + b.share < 1.0 - 1e-9;
            let Some(proof) =
                spacing::excluded((*one, a.share), (*other, b.share), &plain, free, &mut desk.proof_budget)
            else {
                continue;
            };
            let concerned: Vec<&Spacing> = rules
                .iter()
                .filter(|rule| rule.model.index() == *one || rule.model.index() == *other)
                .collect();
            let texts: Vec<String> = concerned.iter().map(|rule| rule.text.clone()).collect();
            let span = concerned.last().map_or(b.span, |rule| rule.span);
            let pair = PairSaid {
                models: [(&a.name, a.share), (&b.name, b.share)],
                weights: proof.weights,
                asked: proof.asked,
                most: proof.most,
            };
            desk.fault(words::shares_exclude(span, pair, &texts));
        }
    }
}

/// A batch of one model may itself break a rule.
fn judge_batches(size: u32, rules: &[Spacing], models: &[Model], desk: &mut Desk) {
    for rule in rules.iter().filter(|rule| size.min(rule.window) > rule.most) {
        desk.fault(words::batch_breaks(said(rule, models), size));
    }
}

/// A fixed order must keep its own rules, over its end too, and is compared with the shares.
fn judge_order(
    order: &[ModelId],
    what: &str,
    statement: &Statement,
    rules: &[Spacing],
    models: &[Model],
    desk: &mut Desk,
) {
    for rule in rules {
        let window = rule.window as usize;
        let is = |position: usize| order[position % order.len()] == rule.model;
        let mut inside = (0..window).filter(|position| is(*position)).count();
        for start in 0..order.len() {
            if inside > rule.most as usize {
                desk.fault(words::order_breaks(said(rule, models), what, inside, start + 1));
                break;
            }
            inside += usize::from(is(start + window));
            inside -= usize::from(is(start));
        }
    }
    let all = order.len() as f64;
    for (index, model) in models.iter().enumerate() {
        let built = order.iter().filter(|id| id.index() == index).count() as f64;
        if (built - model.share * all).abs() >= 1.0 {
            desk.fault(words::mix_differs(statement.span, what, &model.name, built / all, model.share));
            break;
        }
    }
}

/// How many units of each model the order holds.
pub(super) fn counts(order: &[ModelId], models: usize) -> Vec<u32> {
    let mut counts = vec![0; models.max(1)];
    for model in order {
        counts[model.index()] += 1;
    }
    counts
}
