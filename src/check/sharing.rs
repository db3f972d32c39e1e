//! `by 2 to 4 shared ...`: how many more people may share a task, and how much sooner it is done then.

use super::clauses::clause;
use super::desk::Desk;
use super::needs::MOST;
use super::quantity::{self, said};
use super::steps::called;
use crate::diagnostic::Span;
use crate::diagnostic::words::quantities::out_of_range;
use crate::diagnostic::words::statements::missing_clause;
use crate::line::{Need, Shared, SharedBy};
use crate::syntax::tree::{ClauseKind, Expr, SharedSpec, Statement};

/// What `people_of` has found, and how far it may be exceeded: per model and need. `None` where every
/// number is exact, or where the clause is missing or faulty (which is reported).
pub(super) fn shared(
    statement: &Statement,
    needs: &[Vec<Need>],
    most: Vec<Vec<u32>>,
    desk: &mut Desk,
) -> Option<Shared> {
    let spec = clause!(statement, ClauseKind::Shared(spec) => spec);
    let more = |(needs, most): (&Vec<Need>, &Vec<u32>)| needs.iter().zip(most).any(|(n, m)| *m > n.count);
    let ranged = needs.iter().zip(&most).any(more);
    let Some((spec, clause)) = spec else {
        if ranged {
            let example = format!("{} takes 40 min by 1 to 3 shared power 0.85", called(statement));
            desk.fault(missing_clause(statement.word_span, &called(statement), "`shared`", &example));
        }
        return None;
    };
    let by = match spec {
        SharedSpec::Power { power, fixed } => by_power(statement, power, fixed.as_ref(), desk)?,
        SharedSpec::Table(rows) => {
            let table = table(statement, rows, desk)?;
            for (needs, most) in needs.iter().zip(&most) {
                let least: u32 = needs.iter().map(|need| need.count).sum();
                let unsaid = |n: &u32| !table.iter().any(|(k, _)| k == n);
                if let Some(n) = (least + 1..=most.iter().sum::<u32>()).find(unsaid) {
                    report_unsaid(clause.span, statement, n, desk);
                    return None;
                }
            }
            SharedBy::Table(table)
        }
    };
    ranged.then_some(Shared { most, by })
}

fn by_power(statement: &Statement, power: &Expr, fixed: Option<&Expr>, desk: &mut Desk) -> Option<SharedBy> {
    let what = format!("the power by which people share {}", called(statement));
    let found = quantity::factor(power, &what, desk)?;
    if found > 1.0 {
        desk.fault(out_of_range(power.span, &what, &said(power), "above 0 and at most 1"));
        return None;
    }
    let what = format!("the part of {} that nobody shares", called(statement));
    let fixed = match fixed {
        Some(fixed) => quantity::time(fixed, &what, desk)?.0 as f64,
        None => 0.0,
    };
    Some(SharedBy::Power { power: found, fixed })
}

/// Numbers of people that rise, shares that never do.
fn table(statement: &Statement, rows: &[(Expr, Expr)], desk: &mut Desk) -> Option<Vec<(u32, f64)>> {
    let mut table: Vec<(u32, f64)> = Vec::new();
    for (people, share) in rows {
        let what = format!("the number of people who share {}", called(statement));
        let n = quantity::count(people, &what, table.last().map_or(2, |(n, _)| n + 1), MOST, desk)?;
        let what = format!("the share of its time that {} takes", called(statement));
        let part = quantity::share(share, &what, desk)?.as_f64();
        let before = table.last().map_or(1.0, |(_, part)| *part);
        if part == 0.0 || part > before {
            let allowed = "above 0 and no more than with fewer people";
            desk.fault(out_of_range(share.span, &what, &said(share), allowed));
            return None;
        }
        table.push((n, part));
    }
    Some(table)
}

fn report_unsaid(span: Span, statement: &Statement, people: u32, desk: &mut Desk) {
    let who = format!("`shared` of {}", called(statement));
    let example = format!("shared {people} in 60 %");
    desk.fault(missing_clause(span, &who, &format!("a share for {people} people"), &example));
}

/// As many of each need as may come.
pub(super) fn widest(needs: &[Need], most: &[u32]) -> Vec<Need> {
    needs.iter().zip(most).map(|(need, most)| Need { count: *most, ..*need }).collect()
}
