//! Rows of the whole line, its tests, people and equipment.

use super::{shown, shown_if};
use crate::line::Line;
use crate::report::record::{
    CountFrom, FlowTime, HomeTime, Interval, LineMeasures, ModelRow, ShiftsAt, UnitsPerShift,
};
use crate::report::rows::{
    ClosedFormRow, EquipmentRow, EquipmentShares, FeederRow, FloaterRow, FloaterShares, HelpRow, HelpShares,
    OrderingRow, PeopleKind, PeopleRow, PeopleShares, PresenceRow, StoreRow, TestRow, Wait, WrongRow,
};
use crate::report::wording::percent_of;
use crate::stats::{
    self, AskedFrom, FeederFigures, NoClosedForm, PerShift, QueueModel, Summary, TestFigures, Times, Who,
};
use crate::units::count_of;

pub fn line_measures(line: &Line, summary: &Summary) -> LineMeasures {
    let (count, flow) = (&summary.count, &summary.flow);
    let tested = !line.tests.is_empty();
    LineMeasures {
        units_per_hour: shown_if(&count.per_hour),
        units_per_shift: count.per_shift.as_ref().map(units_per_shift),
        minutes_between_units: Interval {
            mean: shown_if(&flow.between_units.mean),
            cv: shown_if(&flow.between_units.cv),
            p05: shown_if(&flow.between_units.p05),
            p50: shown_if(&flow.between_units.p50),
            p95: shown_if(&flow.between_units.p95),
        },
        flow_time_min: flow_time(&flow.flow_time),
        flow_time_from_release_min: flow_time(&flow.from_release),
        work_in_process: shown_if(&flow.work_in_process),
        first_pass_yield: flow.first_pass.as_ref().filter(|_| tested).map(shown),
        rolled_yield: shown_if(&flow.rolled),
        labour_min_per_unit: shown_if(&flow.labour),
        attended_min_per_unit: shown_if(&flow.attended),
        little_residual: i64::try_from(summary.books.little_residual).unwrap_or(i64::MAX),
        home_after_min: count.home.as_ref().map(|home| HomeTime {
            mean: shown_if(&home.mean),
            p50: shown_if(&home.p50),
            p95: shown_if(&home.p95),
        }),
        finished: count.finished,
        scrapped: count.scrapped,
        set_aside: count.set_aside,
        models: line
            .models
            .iter()
            .zip(&count.by_model)
            .map(|(model, finished)| ModelRow {
                id: model.name.clone(),
                label: model.label.clone(),
                share: model.share,
                share_finished: *finished,
            })
            .collect(),
    }
}

fn units_per_shift(shifts: &PerShift) -> UnitsPerShift {
    let mean = shown(&shifts.mean);
    let asked = shifts.asked.as_ref();
    UnitsPerShift {
        mean: mean.mean,
        low: mean.low,
        high: mean.high,
        confidence: mean.confidence,
        n: mean.n,
        sd: shifts.sd,
        p05: shown_if(&shifts.p05),
        p50: shown_if(&shifts.p50),
        p95: shown_if(&shifts.p95),
        histogram: shifts.histogram.iter().map(|s| ShiftsAt { units: s.units, shifts: s.shifts }).collect(),
        first_shift: shifts.first,
        count: asked.map(|a| a.target.value()),
        count_from: asked.map(|a| match a.from {
            AskedFrom::Demand => CountFrom::Demand,
            AskedFrom::Home => CountFrom::Home,
        }),
        chance_of_count: asked.and_then(|a| shown_if(&a.chance)),
    }
}

fn flow_time(times: &Times) -> FlowTime {
    FlowTime {
        mean: shown_if(&times.mean),
        p50: shown_if(&times.p50),
        p90: shown_if(&times.p90),
        p95: shown_if(&times.p95),
    }
}

pub fn tests(line: &Line, summary: &Summary) -> Vec<TestRow> {
    summary.tests.iter().map(|figures| test(line, figures)).collect()
}

fn test(line: &Line, figures: &TestFigures) -> TestRow {
    let test = &line.tests[figures.test.index()];
    let place = &line.places[test.place.index()];
    TestRow {
        id: test.name.clone(),
        label: test.label.clone(),
        station: place.name.clone(),
        bays: place.bays,
        arrivals: shown_if(&figures.arrivals),
        arrivals_per_shift: shown_if(&figures.arrivals_per_shift),
        first_pass_yield: shown_if(&figures.first_pass),
        attempts_per_unit: shown_if(&figures.attempts),
        wrong_verdicts: figures.wrong.as_ref().map(|wrong| WrongRow {
            false_alarms: shown_if(&wrong.alarms),
            let_through: shown_if(&wrong.escaped),
            found_later: wrong.found,
        }),
        wait_min: Wait {
            mean: shown_if(&figures.wait.mean),
            p50: shown_if(&figures.wait.p50),
            p90: shown_if(&figures.wait.p90),
            p95: shown_if(&figures.wait.p95),
            max: figures.wait.max,
        },
        blocked_upstream: shown_if(&figures.blocked_upstream),
        queue_length: shown_if(&figures.queue),
        chance_of_wait: shown_if(&figures.chance_of_wait),
        busy_bays: shown_if(&figures.busy_bays),
        service_min: shown_if(&figures.service.mean),
        closed_form: figures.closed_form.as_ref().ok().map(|form| closed_form(form, place.bays)),
        no_closed_form: figures.closed_form.as_ref().err().map(|why| no_closed_form(*why)),
    }
}

fn closed_form(form: &stats::ClosedForm, bays: u32) -> ClosedFormRow {
    let model = match form.model {
        QueueModel::Kingman => "one bay, Kingman 1961".to_string(),
        QueueModel::AllenCunneen => format!("{}, Allen-Cunneen", count_of(bays as usize, "bay")),
    };
    ClosedFormRow {
        wait_min: form.wait,
        model,
        assumptions: format!(
            "units come one by one and independently, first come first served, unlimited room, steady; \
             spread as observed: ca2 {:.2}, ce2 {:.2}",
            form.ca2, form.ce2
        ),
        load: form.load,
    }
}

fn no_closed_form(why: NoClosedForm) -> String {
    match why {
        NoClosedForm::Pushed => "units arrive by the push, not one by one".to_string(),
        NoClosedForm::Overloaded(load) => {
            format!(
                "the bays would need {} of all the time there is: no steady wait exists",
                percent_of(load)
            )
        }
        NoClosedForm::Breaks(share) => {
            format!("attended time stopped during {} of the visits (limit 10 %)", percent_of(share))
        }
        NoClosedForm::PlacesFull(share) => {
            format!("its waiting places were full {} of the time (limit 1 %)", percent_of(share))
        }
        NoClosedForm::TooFewVisits(visits) => {
            format!("only {}, too few to see their spread", count_of(visits as usize, "visit"))
        }
    }
}

pub fn people(line: &Line, summary: &Summary) -> Vec<PeopleRow> {
    summary
        .people
        .iter()
        .map(|figures| {
            let (id, label, kind) = match figures.who {
                Who::Crew(crew) => (line.crews[crew.index()].name.clone(), None, PeopleKind::Crew),
                Who::Group(group) => {
                    let group = &line.groups[group.index()];
                    (group.name.clone(), group.label.clone(), PeopleKind::Group)
                }
            };
            let each = |part: fn(&stats::Banded) -> Option<f64>| {
                Some(PeopleShares {
                    working: part(figures.working.as_ref()?)?,
                    waiting: part(figures.waiting.as_ref()?)?,
                    walking: figures.walking.as_ref().and_then(part),
                    moving_units: figures.moving_units.as_ref().and_then(part),
                    off_shift: part(figures.off_shift.as_ref()?)?,
                })
            };
            PeopleRow {
                id,
                label,
                kind,
                count: figures.count,
                shares: each(|e| Some(e.value)),
                shares_plus_minus: each(stats::Banded::half_width),
                presence: figures.absent.as_ref().map(|absent| presence(figures, absent)),
            }
        })
        .collect()
}

fn presence(figures: &stats::PeopleFigures, absent: &stats::Banded) -> PresenceRow {
    let short = figures.short_shifts.as_ref();
    PresenceRow {
        present: f64::from(figures.count) * (1.0 - absent.value),
        absent: absent.value,
        absent_plus_minus: absent.half_width(),
        short_shifts: short.map(|s| s.value),
        short_shifts_low: short.and_then(|s| s.low),
        short_shifts_high: short.and_then(|s| s.high),
    }
}

pub fn floaters(line: &Line, summary: &Summary) -> Vec<FloaterRow> {
    let row = |(floaters, figures): (&crate::line::Floaters, &stats::FloaterFigures)| {
        let each = |part: fn(&stats::Banded) -> Option<f64>| {
            Some(FloaterShares {
                standing_in: part(figures.standing_in.as_ref()?)?,
                spare: part(figures.spare.as_ref()?)?,
                absent: part(figures.absent.as_ref()?)?,
            })
        };
        FloaterRow {
            label: floaters.label.clone(),
            count: floaters.count,
            shares: each(|e| Some(e.value)),
            shares_plus_minus: each(stats::Banded::half_width),
        }
    };
    line.floaters.iter().zip(&summary.floaters).map(row).collect()
}

pub fn helping(line: &Line, summary: &Summary) -> Vec<HelpRow> {
    let row = |(helping, figures): (&crate::line::Helping, &stats::HelpFigures)| {
        let group = &line.groups[helping.group.index()];
        let each = |part: fn(&stats::Banded) -> Option<f64>| {
            Some(HelpShares {
                helping: part(figures.helping.as_ref()?)?,
                own: part(figures.own.as_ref()?)?,
                absent: part(figures.absent.as_ref()?)?,
                standing_in: figures.standing_in.as_ref().and_then(part),
                mending: figures.mending.as_ref().and_then(part),
            })
        };
        HelpRow {
            id: group.name.clone(),
            label: group.label.clone(),
            count: figures.count,
            at_most: helping.share,
            shares: each(|e| Some(e.value)),
            shares_plus_minus: each(stats::Banded::half_width),
            tasks: figures.tasks,
        }
    };
    line.helping.iter().zip(&summary.helping).map(row).collect()
}

pub fn equipment(line: &Line, summary: &Summary) -> Vec<EquipmentRow> {
    summary
        .equipment
        .iter()
        .map(|figures| {
            let equipment = &line.equipment[figures.equipment.index()];
            EquipmentRow {
                id: equipment.name.clone(),
                label: equipment.label.clone(),
                count: figures.count,
                shares: figures.in_use.map(|e| EquipmentShares { in_use: e.value, free: 1.0 - e.value }),
                shares_plus_minus: figures
                    .in_use
                    .and_then(|e| e.half_width())
                    .map(|half| EquipmentShares { in_use: half, free: half }),
            }
        })
        .collect()
}

pub fn stores(line: &Line, summary: &Summary) -> Vec<StoreRow> {
    summary
        .stores
        .iter()
        .map(|figures| {
            let part = &line.parts[figures.part.index()];
            let bought = |lots| part.origin.lots().map(|_| lots);
            StoreRow {
                id: part.name.clone(),
                label: part.label.clone(),
                places: part.places,
                mean: shown_if(&figures.level),
                share_empty: shown_if(&figures.empty),
                share_full: shown_if(&figures.full),
                came: shown_if(&figures.came),
                used: shown_if(&figures.used),
                waits: shown_if(&figures.waits),
                lots: bought(figures.lots),
                late_lots: bought(figures.late_lots),
                lots_kept_out: bought(figures.lots_kept_out),
                ordering: figures.ordering.as_ref().map(|ordering| OrderingRow {
                    on_order: shown_if(&ordering.on_order),
                    orders: shown_if(&ordering.orders),
                    ran_out: shown_if(&ordering.ran_out),
                }),
                short: part.short.as_ref().map(|_| figures.short),
                missing_min: figures.missing,
                wrong: part.wrong.as_ref().map(|_| figures.wrong),
                out_of_turn: part.wrong.as_ref().map(|_| figures.out_of_turn),
                rekit_min: figures.rekitting,
            }
        })
        .collect()
}

pub fn feeders(line: &Line, summary: &Summary) -> Vec<FeederRow> {
    let row = |figures: &FeederFigures| {
        let feeder = &line.feeders[figures.feeder];
        let places = feeder.first.index()..=feeder.last.index();
        let tested = line.tests.iter().any(|test| feeder.has(test.place));
        FeederRow {
            id: feeder.name.clone(),
            label: line.parts[feeder.part.index()].label.clone(),
            places: places.map(|p| line.places[p].name.clone()).collect(),
            made_per_hour: shown_if(&figures.made_per_hour),
            own_net_min: figures.own_net,
            on_the_way: shown_if(&figures.on_the_way).filter(|_| !feeder.way.is_zero()),
            first_pass_yield: shown_if(&figures.first_pass).filter(|_| tested),
            making_min: shown_if(&figures.making),
            made: figures.made,
            lost: figures.lost,
            lots: feeder.lot.map(|_| figures.lots),
            trucks: feeder.every.map(|_| figures.trucks),
        }
    };
    summary.feeders.iter().map(row).collect()
}
