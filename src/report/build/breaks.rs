//! Shifts that are decided on the day, and breaks in turn, as the file has them.

use super::shown_if;
use crate::line::{Line, Pause, WeekShift, wanted};
use crate::report::rows::{DecidedRow, TurnRow};
use crate::stats::Summary;
use crate::units::time_of_day;

/// One row for each shift that may be longer or left out.
pub fn decided(line: &Line, summary: &Summary) -> Vec<DecidedRow> {
    let lasts = |name: &str| {
        let week = line.calendar.as_ref().map_or(&[][..], |calendar| &calendar.week);
        let overtime = week.iter().find(|shift| shift.name == name).and_then(|shift| shift.overtime);
        overtime.map(|overtime| overtime.lasts.as_minutes())
    };
    let row = |figures: &crate::stats::DecidedShift| DecidedRow {
        shift: figures.name.clone(),
        overtime_min: lasts(&figures.name),
        with_overtime: shown_if(&figures.longer),
        worked: shown_if(&figures.worked),
    };
    summary.decided_shifts.iter().map(row).collect()
}

/// One row for each break of each shift; the days of a shift are alike.
pub fn turns(line: &Line) -> Vec<TurnRow> {
    let (Some(calendar), Some(relief)) = (&line.calendar, &line.relief) else { return Vec::new() };
    let people: u32 =
        wanted(line.groups.len(), &line.crews, |place| line.places[place.index()].bays).iter().sum();
    let turns = people.div_ceil(relief.count);
    let row = |shift: &WeekShift, pause: &Pause| {
        let length = pause.end - pause.start;
        TurnRow {
            shift: shift.name.clone(),
            at: time_of_day(pause.start),
            people,
            at_a_time: relief.count,
            length_min: length.as_minutes(),
            turns,
            takes_min: (length * i64::from(turns)).as_minutes(),
            room_min: shift.room_for_turns(pause.start).as_minutes(),
        }
    };
    let mut seen: Vec<&str> = Vec::new();
    let mut rows = Vec::new();
    for shift in &calendar.week {
        if !seen.contains(&shift.name.as_str()) {
            seen.push(&shift.name);
            rows.extend(shift.relieved.iter().map(|pause| row(shift, pause)));
        }
    }
    rows
}
