//! The cost table: what money is called, what time and floor cost, how much floor there is.

use super::clauses::clause;
use super::desk::Desk;
use super::names::{Kind, Names, name_of};
use super::people::Staff;
use super::places::Ground;
use super::quantity::{self, Kind as Of};
use crate::diagnostic::Span;
use crate::diagnostic::words::{names as name_words, quantities, statements as words};
use crate::line::{Costs, Space};
use crate::syntax::tree::{ClauseKind, CostOf, CostSpec, Expr, ExprKind, Head, Statement};

/// Notes the word for money; before any quantity is read.
pub(super) fn money(statement: Option<&Statement>, desk: &mut Desk) {
    let Some(statement) = statement else { return };
    let name = name_of(statement);
    if super::unit_words::is_unit(&name.text) {
        desk.fault(name_words::duplicate(name.span, &name.text, "a unit of the language", name.span));
    } else {
        desk.money = Some(name.text);
    }
}

/// The costs of the file; `None` without a `cost` statement.
pub(super) fn costs(
    statements: &[&Statement],
    ground: &Ground,
    staff: &Staff,
    names: &Names,
    desk: &mut Desk,
) -> Option<Costs> {
    let first = statements.first()?;
    let Some(money) = desk.money.clone() else {
        if !desk.is_broken(crate::syntax::tree::Word::Money) {
            let example = "money EUR";
            desk.fault(words::missing_clause(
                first.word_span,
                "a file with costs",
                "a `money` statement",
                example,
            ));
        }
        return None;
    };
    let mut everybody = 0.0;
    let mut people: Vec<Option<f64>> = vec![None; staff.groups.len()];
    let mut table =
        Costs { money, people: Vec::new(), bays: vec![0.0; ground.places.len()], square_metre: 0.0 };
    let mut seen: Vec<(String, Span)> = Vec::new();
    for statement in statements {
        let Head::Cost(spec) = &statement.head else { continue };
        let (called, span) = match &spec.of {
            CostOf::People => ("people", spec.span),
            CostOf::Space => ("space", spec.span),
            CostOf::Named(name) => (name.text.as_str(), name.span),
        };
        if let Some((_, first)) = seen.iter().find(|(other, _)| other == called) {
            desk.fault(words::repeated_clause(span, *first, called, "cost"));
            continue;
        }
        seen.push((called.to_string(), span));
        let what = format!("the cost of {called}");
        match &spec.of {
            CostOf::People => everybody = per_hour(spec, &what, &table.money, desk).unwrap_or(0.0),
            CostOf::Space => table.square_metre = per_year(spec, &what, &table.money, desk).unwrap_or(0.0),
            CostOf::Named(name) => match names.roll(Kind::People).find(&name.text) {
                Some(group) => people[group] = per_hour(spec, &what, &table.money, desk),
                None => {
                    let place = ground.find(name, names, desk);
                    let cost = per_year(spec, &what, &table.money, desk);
                    if let (Some(place), Some(cost)) = (place, cost) {
                        table.bays[place.index()] = cost;
                    }
                }
            },
        }
    }
    table.people = people.into_iter().map(|own| own.unwrap_or(everybody)).collect();
    Some(table)
}

/// `38 EUR per hour`
fn per_hour(spec: &CostSpec, what: &str, money: &str, desk: &mut Desk) -> Option<f64> {
    let example = format!("38 {money} per hour");
    match &spec.amount.as_ref()?.kind {
        ExprKind::Per(inner, period) if period.text == "hour" => {
            quantity::amount_of(Of::Money, inner, what, &example, desk)
        }
        _ => {
            desk.fault(other_period(spec, what, "money per hour", &example));
            None
        }
    }
}

/// `9000 EUR per year`
fn per_year(spec: &CostSpec, what: &str, money: &str, desk: &mut Desk) -> Option<f64> {
    let example = format!("9000 {money} per year");
    if !spec.per_year {
        desk.fault(other_period(spec, what, "money per year", &example));
        return None;
    }
    quantity::amount_of(Of::Money, spec.amount.as_ref()?, what, &example, desk)
}

fn other_period(spec: &CostSpec, what: &str, wanted: &str, example: &str) -> crate::diagnostic::Diagnostic {
    let amount = spec.amount.as_ref().map(quantity::said).unwrap_or_default();
    let found = if spec.per_year { format!("{amount} per year") } else { amount };
    quantities::wrong_unit(spec.span, what, wanted, &found, example)
}

/// The floor that each place takes, in the order of the line's places; `None` where none says so.
pub(super) fn space(
    places: &[&Statement],
    ground: &Ground,
    names: &Names,
    desk: &mut Desk,
) -> Option<Vec<Space>> {
    let mut found = vec![Space::default(); ground.places.len()];
    let mut any = false;
    for statement in places {
        let Some(((bay, slot), _)) = clause!(statement, ClauseKind::Space { bay, slot } => (bay, slot))
        else {
            continue;
        };
        any = true;
        let name = name_of(statement);
        let what = format!("the space of {}", name.text);
        let mut area = |expr: &Expr| quantity::amount_of(Of::Area, expr, &what, "60 m2", desk).unwrap_or(0.0);
        let space = Space { bay: area(bay), slot: slot.as_ref().map_or(0.0, &mut area) };
        if let Some(id) = ground.find(&name, names, desk) {
            found[id.index()] = space;
        }
    }
    any.then_some(found)
}
