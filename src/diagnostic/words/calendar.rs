//! Times of the calendar that do not fit together: T601, T604, T802.

use crate::diagnostic::{Code, Diagnostic, Span};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadCalendar, span, headline).marked(marker).help(cure)
}

pub fn nothing_left(span: Span, shift: &str) -> Diagnostic {
    let headline = format!("shift {shift} has no attended time left after its pauses");
    bad(span, headline, "nothing left", "shorten the pauses or lengthen the shift")
}

/// A pause that begins before its shift or ends after it.
pub fn does_not_fit(span: Span, what: &str, shift_lasts: &str) -> Diagnostic {
    let headline = format!("{what} does not fit into the shift, which lasts {shift_lasts}");
    bad(span, headline, "outside the shift", "move it, shorten it, or lengthen the shift")
}

pub fn pauses_overlap(span: Span, what: &str, other: &str, first: Span) -> Diagnostic {
    let cure = "one ends where the other begins at the earliest";
    bad(span, format!("{what} overlaps {other}"), "overlaps", cure).label(first, "the other")
}

/// A clock time that the shift does not hold.
pub fn outside_shift(span: Span, what: &str, at: &str, from: &str, to: &str) -> Diagnostic {
    let headline = format!("{what} at {at} is outside the shift, {from} to {to}");
    bad(span, headline, "outside the shift", "name a time inside the shift")
}

pub fn no_such_clock(span: Span, clock: &str) -> Diagnostic {
    let headline = format!("there is no {clock} on the clock");
    bad(span, headline, "no such time", "clock times run from 00:00 to 24:00")
}

pub fn shifts_overlap(
    span: Span,
    shift: &str,
    day: &str,
    earlier: &str,
    ends: &str,
    first: Span,
) -> Diagnostic {
    let headline = format!("shift {shift} on {day} overlaps shift {earlier}, which ends at {ends}");
    let cure = "let one end where the other begins, or give them different days";
    bad(span, headline, "overlaps", cure).label(first, "the other")
}

pub fn dates_backwards(span: Span, from: &str, to: &str) -> Diagnostic {
    bad(span, format!("{from} to {to} runs backwards"), "runs backwards", "write the earlier date first")
}

/// `what` opens the sentence: "the demand is per shift".
pub fn no_calendar(span: Span, what: &str) -> Diagnostic {
    Diagnostic::new(Code::NoCalendar, span, format!("{what}, but the file states no shift"))
        .marked("asks for a shift")
        .help("state one: `shift day 06:00 to 14:30 on mon to fri`")
}

pub fn no_first_date(span: Span) -> Diagnostic {
    Diagnostic::new(Code::NoCalendar, span, "closed dates need the date of the first day of the run")
        .marked("when is this?")
        .help("state it: `start empty on 2026-11-30`")
}

pub fn long_stretch(span: Span, shift: &str, stretch: &str) -> Diagnostic {
    Diagnostic::new(
        Code::LongStretch,
        span,
        format!("shift {shift} has {stretch} of attended time without a break"),
    )
    .marked("no break for more than 6 h")
    .help("the law and your agreements decide when breaks are due; this is only a reminder")
}

/// Breaks in turn that don't go round before the next pause. People, those who sit in, turns; length of the
/// break, time that the turns take, time there is.
pub fn turns_do_not_fit(
    span: Span,
    (people, relief, turns): (u32, u32, u32),
    at: &str,
    [length, needed, room]: &[String; 3],
) -> Diagnostic {
    let headline = format!(
        "the break at {at} does not go round: {people} people, {relief} at a time, take {turns} turns of {length}, \
         {needed}, and the next pause comes after {room}"
    );
    bad(span, headline, "too few to go round", "let more people sit in, or make the breaks shorter")
}

pub fn overtime_too_long(span: Span, shift: &str, lasts: &str, room: &str) -> Diagnostic {
    let headline =
        format!("overtime of shift {shift} lasts {lasts}, and the next shift begins {room} after it");
    bad(span, headline, "into the next shift", "make it shorter")
}
