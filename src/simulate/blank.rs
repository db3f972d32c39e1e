//! The counts of a replication before anything is counted.

use super::feeders::FeederCounts;
use super::observations::{
    CarrierCounts, CrewCounts, FloaterCounts, GateCounts, HelpCounts, HoldCounts, PlaceCounts, Replication,
    SegmentCounts, StopCounts, TestCounts, WindowCounts,
};
use super::stores::PartCounts;
use super::week::HOURS;
use crate::line::Line;
use crate::units::Time;

/// Counts at zero.
pub(super) fn blank(line: &Line, index: u32) -> Replication {
    let over_the_week = line.places_over_the_week();
    let hours = |shown: bool| vec![0; if shown { HOURS } else { 0 }];
    Replication {
        index,
        hours: hours(over_the_week.contains(&true)),
        places: line
            .places
            .iter()
            .zip(&over_the_week)
            .map(|(p, shown)| PlaceCounts {
                bay_levels: vec![0; p.bays as usize + 1],
                slot_levels: vec![0; p.slots as usize + 1],
                by_hour: hours(*shown),
                ..PlaceCounts::default()
            })
            .collect(),
        segments: vec![SegmentCounts::default(); line.segments.len()],
        tests: vec![TestCounts::default(); line.tests.len()],
        crews: vec![CrewCounts::default(); line.crews.len()],
        group_busy: vec![0; line.groups.len()],
        group_walking: vec![0; line.groups.len()],
        group_moving: vec![0; line.groups.len()],
        group_absent: vec![0; line.groups.len()],
        group_off: vec![0; line.groups.len()],
        begun: vec![0; line.calendar.as_ref().map_or(0, |c| c.week.len())],
        overtime: vec![0; line.calendar.as_ref().map_or(0, |c| c.week.len())],
        left_out: vec![0; line.calendar.as_ref().map_or(0, |c| c.week.len())],
        gates: vec![GateCounts::default(); line.gates.len()],
        lane_units: vec![0; line.lanes.iter().map(|lanes| lanes.lanes.len()).sum()],
        carriers: vec![CarrierCounts::default(); line.carriers.len()],
        floaters: vec![FloaterCounts::default(); line.floaters.len()],
        helping: vec![HelpCounts::default(); line.helping.len()],
        equipment_busy: vec![0; line.equipment.len()],
        parts: vec![PartCounts::default(); line.parts.len()],
        feeders: vec![FeederCounts::default(); line.feeders.len()],
        holds: line
            .steps
            .iter()
            .filter_map(|s| s.hold())
            .map(|h| HoldCounts { minimum: h.minimum, shortest: Time::NEVER, ..HoldCounts::default() })
            .collect(),
        windows: vec![WindowCounts::default(); line.windows.len()],
        stops: vec![StopCounts::default(); line.stops.len()],
        finished_by_model: vec![0; line.models.len()],
        ..Replication::default()
    }
}
