//! How long one unit may keep a place: bays x pace, less what a push takes.

use crate::line::{Calendar, Line, MoveRule, OF_THE_LINE, PartId, PlaceId, Step};
use crate::units::Time;

/// How long one unit may keep a place, microseconds; `None` where no pace is stated. In a feeder: one
/// part, of which units take more or fewer than one each. In a lane: one of the units that come there.
pub fn window(line: &Line, place: PlaceId) -> Option<f64> {
    let bays = f64::from(line.places[place.index()].bays);
    if let Some(feeder) = line.feeder_at(place) {
        let pace = match line.pace {
            Some(pace) => pace.as_minutes() * 60e6,
            None => slowest_push(line)?,
        };
        return Some(bays * pace * attended_beside(line, feeder.hours) / parts_per_unit(line, feeder.part));
    }
    let pace = match line.rule_at(place) {
        MoveRule::PushedEvery { every, .. } => every.0 as f64,
        MoveRule::WhenReady { .. } | MoveRule::PushedWhenReady { .. } => line.pace?.as_minutes() * 60e6,
    };
    Some(bays * pace / line.share_of_lane(place) - lost(line, place))
}

/// What a place offers to one unit of the line, microseconds: in a lane, where only a share of them comes, that share
/// of the window.
pub(super) fn room_per_unit(line: &Line, place: PlaceId) -> Option<f64> {
    Some(window(line, place)? * line.share_of_lane(place))
}

/// Net time of a week in some hours over that of the line: the pace is one of the line's net time.
fn attended_beside(line: &Line, hours: u16) -> f64 {
    if hours == OF_THE_LINE {
        return 1.0;
    }
    let week = |hours| line.calendar_of(hours).map_or(Time::WEEK, Calendar::week_net).0 as f64;
    week(hours) / week(OF_THE_LINE)
}

/// Time between the pushes of the slowest segment that has a signal, microseconds.
fn slowest_push(line: &Line) -> Option<f64> {
    let every = line.segments.iter().filter_map(|segment| match segment.rule {
        MoveRule::PushedEvery { every, .. } => Some(every.0),
        MoveRule::WhenReady { .. } | MoveRule::PushedWhenReady { .. } => None,
    });
    every.max().map(|every| every as f64)
}

/// Parts that a unit takes on average, those that other feeders' parts take for it included.
pub fn parts_per_unit(line: &Line, part: PartId) -> f64 {
    let taken = |step: &Step| step.uses.iter().find(|(p, _)| *p == part).map_or(0, |(_, n)| *n);
    let takes = line.steps.iter().filter(|step| taken(step) > 0);
    let share = |step: &Step| -> f64 {
        if let Some(feeder) = line.feeder_at(step.place) {
            return parts_per_unit(line, feeder.part) * line.share_with(step, 0);
        }
        let models = line.models.iter().enumerate().filter(|(m, _)| step.models[*m]);
        models.map(|(m, model)| model.share * line.share_with(step, m)).sum()
    };
    takes.map(|step| f64::from(taken(step)) * share(step)).sum()
}

/// What a push takes off the window, microseconds.
pub(super) fn lost(line: &Line, place: PlaceId) -> f64 {
    let rule = line.rule_at(place);
    if rule.is_pushed() { rule.index().0 as f64 } else { 0.0 }
}
