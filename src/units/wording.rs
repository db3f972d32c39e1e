//! Plurals, lists, rounding and times of day: the one place where numbers become words.

use super::Time;

/// `1 unit`, `3 units`.
pub fn count_of(n: usize, noun: &str) -> String {
    format!("{n} {}", plural(n, noun))
}

/// The noun in the number that `n` asks for.
pub fn plural(n: usize, noun: &str) -> String {
    match (n, noun) {
        (1, _) => noun.to_string(),
        (_, "person") => "people".to_string(),
        (_, noun) if noun.ends_with("ch") || noun.ends_with('s') || noun.ends_with('x') => {
            format!("{noun}es")
        }
        (_, noun) if noun.ends_with('y') && !noun.ends_with("ay") => {
            format!("{}ies", &noun[..noun.len() - 1])
        }
        (_, noun) => format!("{noun}s"),
    }
}

/// `a, b and c`.
pub fn join_and<S: AsRef<str>>(items: &[S]) -> String {
    join(items, "and")
}

/// `06:00`, of an offset from any midnight.
pub fn time_of_day(offset: Time) -> String {
    let minutes = offset.0.rem_euclid(Time::DAY.0) / Time::MINUTE.0;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

/// `Tue 06:00`, of an offset from a Monday's midnight.
pub fn time_of_week(offset: Time) -> String {
    const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    let day = offset.0.div_euclid(Time::DAY.0).rem_euclid(7);
    format!("{} {}", DAYS[day as usize], time_of_day(offset))
}

/// `a, b or c`.
pub fn join_or<S: AsRef<str>>(items: &[S]) -> String {
    join(items, "or")
}

fn join<S: AsRef<str>>(items: &[S], last: &str) -> String {
    match items {
        [] => String::new(),
        [only] => only.as_ref().to_string(),
        [init @ .., end] => {
            let init: Vec<&str> = init.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", init.join(", "), end.as_ref())
        }
    }
}

/// At most `places` decimals, trailing zeros dropped: `25.30` -> `25.3`, `18.00` -> `18`.
pub fn decimals(x: f64, places: usize) -> String {
    let text = format!("{x:.places$}");
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    };
    if text == "-0" { "0".to_string() } else { text }
}

/// Minutes for tables: one decimal from 10 up, two below.
pub fn minutes(m: f64) -> String {
    let places = if m.abs() >= 10.0 { 1 } else { 2 };
    format!("{m:.places$}")
}

/// A share 0..1 as `96 %`, or with one decimal where the whole number would hide it.
pub fn percent(share: f64) -> String {
    let p = share * 100.0;
    let places = if (0.0..1.0).contains(&p.abs()) && p != 0.0 || (p > 99.0 && p < 100.0) { 1 } else { 0 };
    format!("{p:.places$} %")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_lists_read_as_words() {
        assert_eq!(count_of(1, "bay"), "1 bay");
        assert_eq!(count_of(2, "bay"), "2 bays");
        assert_eq!(count_of(2, "person"), "2 people");
        assert_eq!(join_and(&["a", "b", "c"]), "a, b and c");
        assert_eq!(decimals(25.30, 2), "25.3");
        assert_eq!(percent(0.964), "96 %");
        assert_eq!(percent(0.004), "0.4 %");
    }

    #[test]
    fn offsets_read_as_times_of_the_day_and_of_the_week() {
        assert_eq!(time_of_day(Time::HOUR * 30), "06:00");
        assert_eq!(time_of_day(Time::from_minutes(14 * 60 + 5)), "14:05");
        assert_eq!(time_of_week(Time::HOUR * 30), "Tue 06:00");
        assert_eq!(time_of_week(Time::DAY * 7 - Time::MINUTE), "Sun 23:59");
        assert_eq!(time_of_week(Time::DAY * 7), "Mon 00:00");
    }
}
