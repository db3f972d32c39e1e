//! `by 2 to 4 shared ...`: how many more people may share a task, and how much sooner it is done then.

use super::clauses::clause;
use super::desk::Desk;
use super::needs::{self, Asking, MOST};
use super::people::Staff;
use super::quantity::{self, said};
use super::steps::{Around, called};
use crate::diagnostic::Span;
use crate::diagnostic::words::quantities::out_of_range;
use crate::diagnostic::words::statements::missing_clause;
use crate::line::{Need, Place, Shared, SharedBy};
use crate::syntax::tree::{ClauseKind, Expr, FixPeople, SharedSpec, Statement};

/// What is shared, and what is said of it.
pub(super) struct Asked<'a> {
    /// `task a`, `the fix after test v`
    pub who: &'a str,
    pub spec: Option<(&'a SharedSpec, Span)>,
    /// Where it is missing, and what it would look like.
    pub span: Span,
    pub example: &'a str,
}

/// The people of a task, as far as they may be exceeded: `most` per model and need. `None` where every
/// number is exact, or where the clause is missing or faulty (which is reported).
pub(super) fn shared(
    statement: &Statement,
    needs: &[Vec<Need>],
    most: Vec<Vec<u32>>,
    desk: &mut Desk,
) -> Option<Shared> {
    let who = called(statement);
    let example = format!("{who} takes 40 min by 1 to 3 shared power 0.85");
    let spec = clause!(statement, ClauseKind::Shared(spec) => spec);
    let spec = spec.map(|(spec, clause)| (spec, clause.span));
    let asked = Asked { who: &who, spec, span: statement.word_span, example: &example };
    shared_as(&asked, needs, most, desk)
}

/// As `shared`, of whatever is done.
pub(super) fn shared_as(
    asked: &Asked,
    needs: &[Vec<Need>],
    most: Vec<Vec<u32>>,
    desk: &mut Desk,
) -> Option<Shared> {
    let who = asked.who;
    let more = |(needs, most): (&Vec<Need>, &Vec<u32>)| needs.iter().zip(most).any(|(n, m)| *m > n.count);
    let ranged = needs.iter().zip(&most).any(more);
    let Some((spec, span)) = asked.spec else {
        if ranged {
            desk.fault(missing_clause(asked.span, who, "`shared`", asked.example));
        }
        return None;
    };
    let by = match spec {
        SharedSpec::Power { power, fixed } => by_power(who, power, fixed.as_ref(), desk)?,
        SharedSpec::Table(rows) => {
            let table = table(who, rows, desk)?;
            for (needs, most) in needs.iter().zip(&most) {
                let least: u32 = needs.iter().map(|need| need.count).sum();
                let unsaid = |n: &u32| !table.iter().any(|(k, _)| k == n);
                if let Some(n) = (least + 1..=most.iter().sum::<u32>()).find(unsaid) {
                    report_unsaid(span, who, n, desk);
                    return None;
                }
            }
            SharedBy::Table(table)
        }
    };
    ranged.then_some(Shared { most, by })
}

/// Who does what a fail or a missed window asks for, alike for all models. `None` where something is faulty.
pub(super) fn fix_people(
    by: &FixPeople,
    who: &str,
    around: &Around,
    desk: &mut Desk,
) -> Option<(Vec<Need>, Option<Shared>)> {
    let (needs, most) = needs::needs_to(&by.needs, who, around.staff, desk)?;
    let spec = by.shared.as_ref().map(|spec| (spec, by.span));
    let asked = Asked { who, spec, span: by.span, example: "by 1 to 3 shared power 0.85" };
    let models = around.models.len();
    let shared = shared_as(&asked, &vec![needs.clone(); models], vec![most; models], desk);
    Some((needs, shared))
}

/// Reports people of a fix that the crew of its place can't fill: those it needs, then the most.
pub(super) fn judge_fix(
    needs: &[Need],
    shared: Option<&Shared>,
    asking: &Asking,
    place: &Place,
    staff: &Staff,
    desk: &mut Desk,
) {
    let fits = needs::judge(needs, asking, place, staff, desk);
    if let Some(most) = shared.and_then(|shared| shared.most.first()).filter(|_| fits) {
        needs::judge(&widest(needs, most), asking, place, staff, desk);
    }
}

fn by_power(who: &str, power: &Expr, fixed: Option<&Expr>, desk: &mut Desk) -> Option<SharedBy> {
    let what = format!("the power by which people share {who}");
    let found = quantity::factor(power, &what, desk)?;
    if found > 1.0 {
        desk.fault(out_of_range(power.span, &what, &said(power), "above 0 and at most 1"));
        return None;
    }
    let what = format!("the part of {who} that nobody shares");
    let fixed = match fixed {
        Some(fixed) => quantity::time(fixed, &what, desk)?.0 as f64,
        None => 0.0,
    };
    Some(SharedBy::Power { power: found, fixed })
}

/// Numbers of people that rise, shares that never do.
fn table(who: &str, rows: &[(Expr, Expr)], desk: &mut Desk) -> Option<Vec<(u32, f64)>> {
    let mut table: Vec<(u32, f64)> = Vec::new();
    for (people, share) in rows {
        let what = format!("the number of people who share {who}");
        let n = quantity::count(people, &what, table.last().map_or(2, |(n, _)| n + 1), MOST, desk)?;
        let what = format!("the share of its time that {who} takes");
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

fn report_unsaid(span: Span, who: &str, people: u32, desk: &mut Desk) {
    let who = format!("`shared` of {who}");
    let example = format!("shared {people} in 60 %");
    desk.fault(missing_clause(span, &who, &format!("a share for {people} people"), &example));
}

/// As many of each need as may come.
pub(super) fn widest(needs: &[Need], most: &[u32]) -> Vec<Need> {
    needs.iter().zip(most).map(|(need, most)| Need { count: *most, ..*need }).collect()
}
