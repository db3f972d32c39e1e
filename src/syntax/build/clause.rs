//! The clauses of a statement, one arm for each kind.

use super::around::is_around;
use super::mark::mark;
use super::{Builder, Built, Parts, parts, says};
use crate::diagnostic::Span;
use crate::syntax::grammar::{Rule, is_keyword};
use crate::syntax::tree::{
    BuildsSpec, Clause, ClauseKind, Expr, FixPeople, ForWhat, Name, Need, Outcome, PauseKind, SharedSpec,
    TimeSpec, Weekday,
};
use pest::iterators::Pair;

impl Builder<'_> {
    /// `clause`; adds one clause, or one for each cap of `up to 3 people, 4 at A06`.
    pub(super) fn clause(&self, pair: Pair<'_, Rule>, into: &mut Vec<Clause>) -> Built<()> {
        let span = self.span(&pair);
        let clause = pair.into_inner().next().expect("a clause is one of its kinds");
        let word_span = self.opener(&clause);
        if clause.as_rule() == Rule::up_to {
            for cap in parts(clause) {
                let cap_span = self.span(&cap);
                let span = if into.last().is_some_and(|last| last.word_span == word_span) {
                    cap_span
                } else {
                    word_span.to(cap_span)
                };
                let mut inner = parts(cap);
                let people = self.count(inner.due())?;
                let at = inner.next().map(|name| self.name(&name));
                into.push(Clause { span, word_span, kind: ClauseKind::UpTo { people, at } });
            }
            return Ok(());
        }
        let kind = self.kind(clause)?;
        into.push(Clause { span, word_span, kind });
        Ok(())
    }

    /// The word or two words that open a clause.
    fn opener(&self, clause: &Pair<'_, Rule>) -> Span {
        let two = matches!(
            clause.as_rule(),
            Rule::at_least
                | Rule::tries
                | Rule::at_most_of
                | Rule::go_on
                | Rule::most_days
                | Rule::only_with
                | Rule::false_alarm
                | Rule::only_if
                | Rule::on_fail
                | Rule::up_to
                | Rule::no_two
                | Rule::pulls_off
                | Rule::stored
                | Rule::late_work
                | Rule::may_move
                | Rule::may_travel
                | Rule::may_stand
        );
        let mut inner = clause.clone().into_inner();
        let first = inner.next().expect("a clause starts with its word");
        if matches!(clause.as_rule(), Rule::lots | Rule::part_lots | Rule::trucks) {
            let of = inner.nth(1).expect("`in lots of` and `in trucks of` have three words");
            return self.span(&first).to(self.span(&of));
        }
        match first.as_rule() {
            Rule::pass_rate => self.span(&first.into_inner().next().expect("it starts with its word")),
            _ if two => self.span(&first).to(self.span(&inner.next().expect("it has two words"))),
            _ => self.span(&first),
        }
    }

    fn kind(&self, clause: Pair<'_, Rule>) -> Built<ClauseKind> {
        let rule = clause.as_rule();
        if let Some(mark) = mark(rule) {
            return Ok(mark);
        }
        Ok(match rule {
            Rule::through if says(&clause, Rule::k_breaks) => ClauseKind::ThroughBreaks,
            Rule::through => ClauseKind::ThroughNights,
            Rule::when => {
                let mut inner = parts(clause);
                let (of, least) = (self.name(&inner.due()), self.amount(inner.due())?);
                ClauseKind::When { of, least, waits: inner.next().is_some() }
            }
            Rule::goes_first => ClauseKind::First(parts(clause).map(|names| self.names(names)).collect()),
            Rule::drift => self.drift(clause)?,
            Rule::returns => ClauseKind::Returns { first: says(&clause, Rule::k_first) },
            Rule::crew => self.crew(clause)?,
            Rule::pause => self.pause(clause)?,
            Rule::on_fail => self.on_fail(parts(clause))?,
            Rule::for_ => self.for_models(parts(clause))?,
            Rule::within => self.within(parts(clause))?,
            Rule::may_stand => ClauseKind::MayStand(self.spans(parts(clause).due())),
            Rule::stopping => self.stopping(clause)?,
            Rule::shared => ClauseKind::Shared(self.shared(parts(clause).due())?),
            Rule::station_times => ClauseKind::Times(self.count(parts(parts(clause).due()).due())?),
            Rule::passes => {
                let (first, again) = self.pass_rate(parts(clause).due())?;
                ClauseKind::Passes { first, again }
            }
            Rule::helping => ClauseKind::Helping(self.amount(parts(clause).due())?),
            Rule::answering => ClauseKind::Answering(self.amount(parts(clause).due())?),
            Rule::walk => ClauseKind::Walk(self.amount(parts(clause).due())?),
            Rule::late_work => {
                let most = parts(clause).next().map(|cap| self.count(parts(cap).due())).transpose()?;
                ClauseKind::LateWork { most }
            }
            Rule::with => ClauseKind::With(parts(clause).map(|tool| self.tool(tool)).collect::<Built<_>>()?),
            Rule::uses => ClauseKind::Uses(parts(clause).map(|tool| self.tool(tool)).collect::<Built<_>>()?),
            Rule::lots | Rule::part_lots | Rule::trucks | Rule::short | Rule::wrong => {
                self.material(rule, parts(clause))?
            }
            Rule::on_days => ClauseKind::OnDays(parts(clause).map(|span| day_span(&span)).collect()),
            Rule::conveyor => {
                let mut inner = parts(clause);
                ClauseKind::Conveyor { speed: self.amount(inner.due())?, apart: self.amount(inner.due())? }
            }
            Rule::length => ClauseKind::Length(self.amount(parts(clause).due())?),
            Rule::escapes => {
                let mut inner = parts(clause);
                ClauseKind::Escapes { share: self.amount(inner.due())?, to: self.name(&inner.due()) }
            }
            Rule::false_alarm => {
                let mut inner = parts(clause);
                let share = self.amount(inner.due())?;
                let in_place = inner.next().is_none_or(|retest| says(&retest, Rule::k_place));
                ClauseKind::FalseAlarm { share, in_place }
            }
            Rule::when_under => {
                let mut inner = parts(clause);
                let units = self.count(inner.due())?;
                ClauseKind::WhenUnder { units, at: parts(inner.due()).next().map(|at| self.clock(&at)) }
            }
            Rule::most_days => ClauseKind::MostDays(self.count(parts(clause).due())?),
            rule if is_around(rule) => self.around_kind(rule, parts(clause))?,
            _ => self.short_kind(rule, parts(clause))?,
        })
    }

    /// The clauses that hold one or a few plain parts.
    fn short_kind(&self, rule: Rule, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let part = inner.due();
        Ok(match rule {
            Rule::takes => ClauseKind::Takes(self.time(part)?),
            Rule::by => ClauseKind::By(self.needs(part)?),
            Rule::in_ => self.inside(part),
            Rule::beside => ClauseKind::Beside(self.names(part)),
            Rule::apart => ClauseKind::Apart(self.names(part)),
            Rule::after => ClauseKind::After(self.names(part)),
            Rule::on_share => ClauseKind::OnShare(self.amount(part)?),
            Rule::answered => ClauseKind::Answered(self.time(part)?),
            Rule::solved => {
                let share = self.amount(part)?;
                ClauseKind::Solved { share, lasts: self.time(inner.due())? }
            }
            Rule::stands => ClauseKind::Needs(self.names(part)),
            Rule::at => ClauseKind::At(self.name(&part)),
            Rule::at_least => ClauseKind::AtLeast(self.amount(part)?),
            Rule::tries => ClauseKind::AtMostTries(self.count(part)?),
            Rule::at_most_of => {
                let (most, model) = (self.count(part)?, self.name(&inner.due()));
                ClauseKind::AtMostOf { most, model, of_any: self.count(inner.due())? }
            }
            Rule::only => ClauseKind::Only(self.names(part)),
            Rule::only_with => ClauseKind::OnlyWith(self.names(part)),
            Rule::on_layout => ClauseKind::OnLayout(self.label(&part)),
            Rule::of => ClauseKind::Of(self.spans(part)),
            Rule::covering => ClauseKind::Covering(self.spans(part)),
            Rule::serving => ClauseKind::Serving(self.spans(part)),
            Rule::bays => ClauseKind::Bays(self.count(part)?),
            Rule::slots => ClauseKind::Slots(self.count(part)?),
            Rule::places => ClauseKind::Places(self.count(part)?),
            Rule::space => {
                let bay = self.amount(part)?;
                let slot = inner.next().map(|slot| self.amount(parts(slot).due())).transpose()?;
                ClauseKind::Space { bay, slot }
            }
            Rule::can => ClauseKind::Can(self.names(part)),
            Rule::hours => {
                let mut clocks = parts(part);
                ClauseKind::Hours { from: self.clock(&clocks.due()), to: self.clock(&clocks.due()) }
            }
            Rule::pushed_every => {
                ClauseKind::PushedEvery { every: self.amount(part)?, on_the_grid: inner.next().is_some() }
            }
            Rule::may_travel => {
                let to = self.name(&part);
                let factor = inner.next().map(|by| self.count(parts(by).due())).transpose()?;
                ClauseKind::MayTravel { to, factor }
            }
            Rule::index => ClauseKind::Index(self.amount(part)?),
            Rule::moving => ClauseKind::Moving(self.amount(part)?),
            Rule::meeting => ClauseKind::Meeting(self.amount(part)?),
            Rule::clean_up => ClauseKind::CleanUp(self.amount(part)?),
            Rule::home => {
                let units = self.count(part)?;
                let not_before = inner.next().map(|limit| self.clock(&parts(limit).due()));
                ClauseKind::Home { units, not_before }
            }
            Rule::no_two => ClauseKind::NoTwo(self.name(&part)),
            Rule::looking => ClauseKind::Looking(self.count(part)?),
            Rule::builds => ClauseKind::Builds(match part.as_rule() {
                Rule::to_stock => BuildsSpec::ToStock,
                _ => BuildsSpec::Ahead(self.count(parts(part).due())?),
            }),
            Rule::draws => ClauseKind::DrawsAs(self.name(&part)),
            Rule::stored => {
                let places = self.count(part)?;
                let stock = inner.next().map(|stock| self.count(parts(stock).due())).transpose()?;
                ClauseKind::StoreOf { places, at_start: stock }
            }
            other => unreachable!("{other:?} is a clause of the grammar and of no arm here"),
        })
    }

    /// `needs`
    pub(super) fn needs(&self, pair: Pair<'_, Rule>) -> Built<Vec<Need>> {
        parts(pair).map(|need| self.need(need)).collect()
    }

    fn need(&self, pair: Pair<'_, Rule>) -> Built<Need> {
        let span = self.span(&pair);
        let mut inner = parts(pair);
        let count = self.count(inner.due())?;
        let most = inner.next_if(Rule::count).map(|most| self.count(most)).transpose()?;
        let skill = inner.next().map(|name| self.name(&name));
        Ok(Need { count, most, skill, span })
    }

    /// `shared_power` or `shared_table`
    fn shared(&self, pair: Pair<'_, Rule>) -> Built<SharedSpec> {
        let rule = pair.as_rule();
        let mut inner = parts(pair);
        if rule == Rule::shared_power {
            let power = self.count(inner.due())?;
            let fixed = inner.next().map(|fixed| self.amount(parts(fixed).due())).transpose()?;
            return Ok(SharedSpec::Power { power, fixed });
        }
        let row = |pair| {
            let mut inner = parts(pair);
            Ok((self.count(inner.due())?, self.amount(inner.due())?))
        };
        Ok(SharedSpec::Table(inner.map(row).collect::<Built<_>>()?))
    }

    /// `tool`: a name, perhaps with how many.
    fn tool(&self, pair: Pair<'_, Rule>) -> Built<(Option<Expr>, Name)> {
        let mut inner = parts(pair);
        let first = inner.due();
        if first.as_rule() == Rule::name {
            return Ok((None, self.name(&first)));
        }
        let count = self.operand(first)?;
        Ok((Some(count), self.name(&inner.due())))
    }

    /// `pass_rate`: at first, and again.
    fn pass_rate(&self, pair: Pair<'_, Rule>) -> Built<(Expr, Option<Expr>)> {
        let mut inner = parts(pair);
        let first = self.amount(inner.due())?;
        Ok((first, inner.next().map(|again| self.amount(again)).transpose()?))
    }

    fn for_models(&self, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let models = self.names(inner.due());
        let what = inner.due();
        let what = match what.as_rule() {
            Rule::factor_by => ForWhat::Factor(self.count(parts(what).due())?),
            Rule::needs => ForWhat::People(self.needs(what)?),
            Rule::pass_rate => {
                let (first, again) = self.pass_rate(what)?;
                ForWhat::Passes { first, again }
            }
            _ => ForWhat::Time(self.time(what)?),
        };
        Ok(ClauseKind::For { models, what })
    }

    fn within(&self, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let limit = self.amount(inner.due())?;
        let Some(otherwise) = inner.next() else {
            return Ok(ClauseKind::Within { limit, redo: Vec::new(), takes: None, by: None });
        };
        let mut inner = parts(otherwise);
        let redo = self.names(inner.due());
        let takes = self.fix_time(&mut inner)?;
        let by = self.fix_people(&mut inner)?;
        Ok(ClauseKind::Within { limit, redo, takes, by })
    }

    fn fix_time(&self, inner: &mut Parts<'_>) -> Built<Option<TimeSpec>> {
        inner.next_if(Rule::fix_time).map(|time| self.time(parts(time).due())).transpose()
    }

    fn fix_people(&self, inner: &mut Parts<'_>) -> Built<Option<FixPeople>> {
        let Some(people) = inner.next_if(Rule::fix_people) else { return Ok(None) };
        let span = self.span(&people);
        let mut inner = parts(people);
        let needs = self.needs(inner.due())?;
        let shared = inner.next().map(|fix| parts(fix).due()).map(|shared| self.shared(parts(shared).due()));
        Ok(Some(FixPeople { needs, shared: shared.transpose()?, span }))
    }

    fn on_fail(&self, mut inner: Parts<'_>) -> Built<ClauseKind> {
        let share = inner.next_if(Rule::amount).map(|share| self.amount(share)).transpose()?;
        let outcome = inner.due();
        let rule = outcome.as_rule();
        let in_place = says(&outcome, Rule::k_place);
        let mut inner = parts(outcome);
        let outcome = match rule {
            Rule::fixed => {
                let takes = self.fix_time(&mut inner)?.expect("a fix says how long it takes");
                Outcome::FixedInPlace { takes, by: self.fix_people(&mut inner)? }
            }
            Rule::back => {
                let place = self.name(&inner.due());
                let redo = self.names_of(&mut inner, Rule::redo);
                Outcome::BackTo { place, redo, then: self.names_of(&mut inner, Rule::then) }
            }
            Rule::to_repair => {
                let place = self.name(&inner.due());
                let takes = self.fix_time(&mut inner)?.expect("a repair says how long it takes");
                let by = self.fix_people(&mut inner)?;
                Outcome::ToRepair { place, takes, by, then: self.names_of(&mut inner, Rule::then) }
            }
            Rule::scrapped => Outcome::Scrapped,
            _ => Outcome::Retest { in_place },
        };
        Ok(ClauseKind::OnFail { share, outcome })
    }

    /// `redo` or `then`, where it stands.
    fn names_of(&self, inner: &mut Parts<'_>, rule: Rule) -> Vec<Name> {
        inner.next_if(rule).map_or_else(Vec::new, |list| self.names(parts(list).due()))
    }

    fn crew(&self, clause: Pair<'_, Rule>) -> Built<ClauseKind> {
        let mut members = Vec::new();
        let mut per_bay = false;
        for part in parts(clause) {
            if part.as_rule() == Rule::per_bay {
                per_bay = true;
                continue;
            }
            let mut inner = parts(part);
            let count = self.count(inner.due())?;
            members.push((count, inner.next().map(|name| self.name(&name))));
        }
        Ok(ClauseKind::Crew { members, per_bay })
    }

    fn pause(&self, clause: Pair<'_, Rule>) -> Built<ClauseKind> {
        let kind = if says(&clause, Rule::k_meal) {
            PauseKind::Meal
        } else if says(&clause, Rule::k_break) {
            PauseKind::Break
        } else {
            PauseKind::Stop
        };
        let paid = match (says(&clause, Rule::k_paid), says(&clause, Rule::k_unpaid)) {
            (true, _) => Some(true),
            (_, true) => Some(false),
            (false, false) => None,
        };
        let mut inner = parts(clause);
        let at = self.clock(&inner.due());
        Ok(ClauseKind::Pause { kind, at, lasting: self.amount(inner.due())?, paid })
    }
}

pub(super) fn day_span(pair: &Pair<'_, Rule>) -> (Weekday, Option<Weekday>) {
    let mut days = pair.clone().into_inner().filter(|part| !is_keyword(part.as_rule()));
    let mut day = || days.next().map(|day| weekday(day.as_str()));
    (day().expect("a span of days starts with one"), day())
}

fn weekday(text: &str) -> Weekday {
    match text {
        "mon" => Weekday::Mon,
        "tue" => Weekday::Tue,
        "wed" => Weekday::Wed,
        "thu" => Weekday::Thu,
        "fri" => Weekday::Fri,
        "sat" => Weekday::Sat,
        _ => Weekday::Sun,
    }
}
