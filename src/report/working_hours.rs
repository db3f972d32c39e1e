//! Doubts about working hours: what the calendar asks of people. It decides nothing about the law, which is the
//! country's and the agreement's; it says where a plan lies beyond what Directive 2003/88/EC of the European Union
//! takes as its limits (articles 3, 4 and 6; from memory): 11 h of rest a day, a break after 6 h, 48 h a week.

use crate::line::{Calendar, Line, WeekShift};
use crate::units::{Time, join_and, plural};
use std::collections::BTreeMap;

/// Longer stretches without a break are doubted.
const STRETCH: Time = Time::from_minutes(6 * 60);
const REST: Time = Time::from_minutes(11 * 60);
const WEEK: Time = Time::from_minutes(48 * 60);

/// Of the line's calendar and of those of feeders that have their own.
pub fn doubts(line: &Line) -> Vec<String> {
    let calendars: Vec<&Calendar> = line.calendar.iter().chain(&line.own_hours).collect();
    let over = |is_over: &dyn Fn(&[&WeekShift]) -> bool| {
        let of_one = calendars.iter().flat_map(|calendar| same_people(calendar));
        of_one.filter(|(_, shifts)| is_over(shifts)).map(|(name, _)| name).collect::<Vec<&str>>()
    };
    let says = |names: Vec<&str>, one: &str, more: &str, rest: &str| {
        let goes = if names.len() == 1 { one } else { more };
        let named = plural(names.len(), "shift");
        (!names.is_empty()).then(|| format!("The {named} {} {goes} {rest}.", join_and(&names)))
    };
    let no_break = over(&|shifts| shifts.iter().any(|shift| shift.longest_stretch() > STRETCH));
    let all = [
        says(no_break, "goes", "go", "on for more than 6 h without a break"),
        says(
            over(&|shifts| rest(shifts) < REST),
            "leaves",
            "leave",
            "less than 11 h between one day and the next",
        ),
        says(over(&|shifts| week(shifts) > WEEK), "asks", "ask", "for more than 48 h a week"),
    ];
    all.into_iter().flatten().collect()
}

/// Shifts of one name are worked by the same people.
fn same_people(calendar: &Calendar) -> BTreeMap<&str, Vec<&WeekShift>> {
    let mut named: BTreeMap<&str, Vec<&WeekShift>> = BTreeMap::new();
    for shift in &calendar.week {
        named.entry(&shift.name).or_default().push(shift);
    }
    named
}

fn longer(shift: &WeekShift) -> Time {
    shift.overtime.map_or(Time::ZERO, |overtime| overtime.lasts)
}

/// The shortest time from one shift's end, overtime worked, to the next one's start, from week to week.
fn rest(shifts: &[&WeekShift]) -> Time {
    let starts = shifts.iter().map(|shift| shift.start).skip(1);
    let again = shifts.first().map(|first| first.start + Time::DAY * 7);
    let rests = shifts.iter().zip(starts.chain(again)).map(|(shift, next)| next - shift.end - longer(shift));
    rests.min().unwrap_or(Time::NEVER)
}

/// Time at work in a week with all of its overtime; what is unpaid is not work.
fn week(shifts: &[&WeekShift]) -> Time {
    let planned: Time = shifts.iter().map(|shift| shift.end - shift.start - shift.unpaid()).sum();
    let most = shifts.iter().filter_map(|shift| shift.overtime?.most_days).max();
    let mut overtime: Vec<Time> = shifts.iter().map(|shift| longer(shift)).collect();
    overtime.sort_unstable();
    let days = most.map_or(overtime.len(), |days| days as usize);
    planned + overtime.into_iter().rev().take(days).sum::<Time>()
}
