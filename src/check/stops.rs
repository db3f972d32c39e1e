//! Stops: what stops, in which time the next stop is counted, who mends it.

use super::clauses::clause;
use super::demand;
use super::desk::Desk;
use super::exact::Exact;
use super::mix::label;
use super::names::{Kind, Names, name_of};
use super::people::Staff;
use super::places::Ground;
use super::quantity::{self, said};
use super::times;
use crate::diagnostic::Span;
use crate::diagnostic::words::{quantities, statements as words, stops as stop_words};
use crate::line::{
    Calendar, Comes, Dist, EquipmentId, GapTime, GroupId, Keep, Mending, PlaceId, Shape, Step, Stopped,
    Stopping, calendar_of, hours_of_stopped,
};
use crate::syntax::tree::{
    ClauseKind, Expr, GapSpec, Head, MendedBy, Name, Need, Statement, StoppingSpec, TimeOf, Word,
};
use crate::units::Time;

/// What the rules need to know of the rest of the line.
pub(super) struct Around<'a> {
    pub calendar: Option<&'a Calendar>,
    pub own_hours: &'a [Calendar],
    pub steps: &'a [Step],
    pub keeps: &'a [Keep],
    pub ground: &'a Ground,
    pub staff: &'a Staff,
    pub names: &'a Names,
}

impl Around<'_> {
    /// The calendar by which stops of these things are counted.
    fn calendar_of(&self, what: &Stopped) -> Option<&Calendar> {
        let hours = hours_of_stopped(what, &self.ground.places, self.steps, self.keeps);
        calendar_of(self.calendar, self.own_hours, hours)
    }
}

/// Every cause of stops, in the order of the statements: `places`, `equipment`, then `stops`.
pub(super) fn stops(
    places: &[&Statement],
    equipment: &[&Statement],
    stops: &[&Statement],
    others: &[&Statement],
    around: &Around,
    desk: &mut Desk,
) -> Vec<Stopping> {
    let mut found = Vec::new();
    for statement in places {
        let name = name_of(statement);
        // Of two places of one name the second has been reported.
        let first = around.names.roll(Kind::Place).find(&name.text);
        let own = first.is_some_and(|first| around.names.roll(Kind::Place).span(first) == name.span);
        if let Some(id) = around.ground.find(&name, around.names, desk).filter(|_| own) {
            causes(statement, "", Stopped::Places(vec![id]), around, &mut found, desk);
        }
    }
    for (index, statement) in equipment.iter().enumerate() {
        let what = Stopped::Equipment(EquipmentId::from_index(index));
        causes(statement, "equipment ", what, around, &mut found, desk);
    }
    for statement in stops {
        let name = name_of(statement);
        if clause!(statement, ClauseKind::Stopping(spec) => spec).is_none() {
            let who = format!("stops {}", name.text);
            let example = format!("stops {} stopping every exponential mean 200 h for 20 min", name.text);
            desk.fault(words::missing_clause(name.span, &who, "`stopping`", &example));
            continue;
        }
        let what = Stopped::Places(group(statement, around, desk));
        causes(statement, "stops ", what, around, &mut found, desk);
    }
    for statement in others {
        let cause = match statement.word {
            Word::Calls => calls(statement, around, desk),
            _ => weather(statement, around, desk),
        };
        found.extend(cause);
    }
    judge_draws(&found, desk);
    found
}

/// `calls rope 6 per shift of A1 to A9, answered in 1 min, solved 85 %, else stopping for 2/4/15 min`
fn calls(statement: &Statement, around: &Around, desk: &mut Desk) -> Option<Stopping> {
    let name = name_of(statement);
    let of = format!("calls {}", name.text);
    let example = format!("calls {} 6 per shift solved 85 %, else stopping for 4 min", name.text);
    let Head::Value(rate) = &statement.head else {
        desk.fault(words::missing_clause(name.span, &of, "a number of calls", &example));
        return None;
    };
    let Some(((share, lasts), clause)) =
        clause!(statement, ClauseKind::Solved { share, lasts } => (share, lasts))
    else {
        desk.fault(words::missing_clause(name.span, &of, "`solved`", &example));
        return None;
    };
    let what = Stopped::Places(group(statement, around, desk));
    let mean = mean_gap(rate, &format!("the number of {of}"), &of, around.calendar_of(&what), desk);
    let solved = quantity::share(share, &format!("the share of {of} that is solved"), desk);
    if solved.is_some_and(|solved| solved == Exact::ONE) {
        desk.fault(stop_words::never_stops(clause.span, &of, "100 % of them are solved"));
        return None;
    }
    let repair = times::dist(lasts, &format!("the length of a stop after {of}"), desk);
    let answered = match clause!(statement, ClauseKind::Answered(time) => time) {
        Some((time, _)) => times::dist(time, &format!("the time until {of} are answered"), desk),
        None => Some(Dist { shape: Shape::Constant { value: 0.0 }, timings: None }),
    };
    Some(Stopping {
        label: label(statement),
        draws_as: key_of(statement, "calls "),
        what,
        gap: Dist { shape: Shape::Exponential { mean: mean? }, timings: None },
        runs: GapTime::Net,
        comes: Comes::Calls { answered: answered?, solved: solved?.as_f64() },
        repair: repair?,
        mending: Mending::OnTheClock,
        name: name.text,
        span: statement.span,
    })
}

/// `weather rain of B12 on 8 % of days`
fn weather(statement: &Statement, around: &Around, desk: &mut Desk) -> Option<Stopping> {
    let name = name_of(statement);
    let of = format!("weather {}", name.text);
    let Some((share, clause)) = clause!(statement, ClauseKind::OnShare(share) => share) else {
        let example = format!("{of} of A2 on 8 % of days");
        desk.fault(words::missing_clause(name.span, &of, "`on ... of days`", &example));
        return None;
    };
    let share = quantity::share(share, &format!("the share of days with {of}"), desk)?;
    if share == Exact::ZERO || share == Exact::ONE {
        desk.fault(stop_words::never_stops(clause.span, &of, "it is the same on all days"));
        return None;
    }
    Some(Stopping {
        label: label(statement),
        draws_as: key_of(statement, "weather "),
        what: Stopped::Places(group(statement, around, desk)),
        gap: Dist { shape: Shape::Constant { value: 0.0 }, timings: None },
        runs: GapTime::Clock,
        comes: Comes::Days { share: share.as_f64() },
        repair: Dist { shape: Shape::Constant { value: Time::DAY.0 as f64 }, timings: None },
        mending: Mending::OnTheClock,
        name: name.text,
        span: statement.span,
    })
}

/// The key of its draws; `kind` opens it, as other things may have the same name.
fn key_of(statement: &Statement, kind: &str) -> String {
    let name = name_of(statement);
    let drawn =
        clause!(statement, ClauseKind::DrawsAs(name) => name).map_or(&name.text, |(old, _)| &old.text);
    format!("{kind}{drawn}")
}

/// The places of a `stops` statement: those of its `of`, else all on the line.
fn group(statement: &Statement, around: &Around, desk: &mut Desk) -> Vec<PlaceId> {
    let Some((spans, _)) = clause!(statement, ClauseKind::Of(spans) => spans) else {
        return (0..around.ground.on_line).map(PlaceId::from_index).collect();
    };
    let mut places: Vec<PlaceId> = Vec::new();
    for (id, span, _) in around.ground.spans(spans, around.names, desk) {
        match places.contains(&id) {
            true => desk.fault(words::repeated_in_list(span, &around.ground.place(id).name, "of")),
            false => places.push(id),
        }
    }
    places.sort_unstable();
    places
}

/// The causes that the `stopping` clauses of one statement state. `kind` opens the key of the draws:
/// equipment may have the name of a station.
fn causes(
    statement: &Statement,
    kind: &str,
    what: Stopped,
    around: &Around,
    found: &mut Vec<Stopping>,
    desk: &mut Desk,
) {
    let name = name_of(statement);
    let key = key_of(statement, kind);
    let mut number = 0;
    for clause in &statement.clauses {
        let ClauseKind::Stopping(spec) = &clause.kind else { continue };
        number += 1;
        let of = format!("{} {}", statement.word.text(), name.text);
        let gap = gap(&spec.gap, &of, around.calendar_of(&what), desk);
        let repair = times::dist(&spec.lasts, &format!("the length of a stop of {of}"), desk);
        let mending = mending(spec, &of, around, desk);
        if let (Some((gap, runs)), Some(repair), Some(mending)) = (gap, repair, mending) {
            found.push(Stopping {
                name: name.text.clone(),
                label: label(statement),
                draws_as: if number == 1 { key.clone() } else { format!("{key} {number}") },
                what: what.clone(),
                gap,
                runs,
                comes: Comes::ByItself,
                repair,
                mending,
                span: clause.span,
            });
        }
    }
}

fn gap(spec: &GapSpec, of: &str, calendar: Option<&Calendar>, desk: &mut Desk) -> Option<(Dist, GapTime)> {
    let what = format!("the time to the next stop of {of}");
    match spec {
        GapSpec::Every { gap, of, span } => {
            let dist = times::dist(gap, &what, desk)?;
            if dist.as_constant() == Some(0.0) {
                desk.fault(quantities::out_of_range(*span, &what, "0", "longer than 0"));
                return None;
            }
            let runs = match of {
                None | Some(TimeOf::Clock) => GapTime::Clock,
                Some(TimeOf::Net) => GapTime::Net,
                Some(TimeOf::Use) => GapTime::Use,
            };
            Some((dist, runs))
        }
        GapSpec::Rate(rate) => {
            let mean = mean_gap(rate, &what, &format!("the stops of {of}"), calendar, desk)?;
            Some((Dist { shape: Shape::Exponential { mean }, timings: None }, GapTime::Net))
        }
    }
}

/// Mean time between things that come so many per period, microseconds of net time.
fn mean_gap(rate: &Expr, what: &str, who: &str, calendar: Option<&Calendar>, desk: &mut Desk) -> Option<f64> {
    let found = quantity::value(rate, desk)?;
    let period = match found.kind {
        quantity::Kind::Rate(period) => period,
        quantity::Kind::Number => {
            let fix = format!("{} per shift", said(rate));
            desk.fault(quantities::missing_unit(rate.span, what, "a period", &fix));
            return None;
        }
        other => {
            let example = "every 40 h` or `6 per shift";
            desk.fault(quantities::wrong_unit(rate.span, what, "a rate", other.said(), example));
            return None;
        }
    };
    let n = found.amount.as_f64();
    if n <= 0.0 || n > 100_000.0 {
        desk.fault(quantities::out_of_range(rate.span, who, &said(rate), "above 0 and at most 100000"));
        return None;
    }
    let why = format!("{who} are per shift");
    let (net, periods) = demand::net_time(period, calendar, rate.span, &why, desk)?;
    Some(net.0 as f64 / periods as f64 / n)
}

fn mending(spec: &StoppingSpec, of: &str, around: &Around, desk: &mut Desk) -> Option<Mending> {
    match &spec.mended {
        MendedBy::Time(None | Some(TimeOf::Clock)) => Some(Mending::OnTheClock),
        MendedBy::Time(Some(TimeOf::Net | TimeOf::Use)) => Some(Mending::InNetTime),
        MendedBy::People(needs) => by_people(needs, of, around, desk),
    }
}

/// People who mend are of one group and in no crew.
fn by_people(needs: &[Need], of: &str, around: &Around, desk: &mut Desk) -> Option<Mending> {
    let [Need { count, most: None, skill: Some(group), span }] = needs else {
        let span = needs.iter().map(|need| need.span).reduce(Span::to)?;
        desk.fault(stop_words::menders_of_one_group(span, of));
        return None;
    };
    let count = quantity::count(count, &format!("the people who mend {of}"), 1, 1000, desk)?;
    let index = around.names.find(Kind::People, group, desk)?;
    let staff = around.staff;
    let id = GroupId::from_index(index);
    let free = staff.free_of(id, around.ground);
    let group: &Name = group;
    if count > free {
        let has = staff.groups[index].count;
        desk.fault(stop_words::menders_in_crews(*span, of, &group.text, count, has, free));
        return None;
    }
    Some(Mending::By { count, group: id })
}

/// Two causes with one key would have the same bad days.
fn judge_draws(stops: &[Stopping], desk: &mut Desk) {
    for (index, one) in stops.iter().enumerate() {
        // Two statements of one name have been reported as such.
        let same = |other: &&Stopping| other.draws_as == one.draws_as && other.name != one.name;
        if let Some(first) = stops[..index].iter().find(same) {
            desk.fault(crate::diagnostic::words::names::duplicate_draws(
                one.span,
                &one.name,
                &first.name,
                first.span,
            ));
        }
    }
}
