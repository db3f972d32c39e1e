//! Times and shares as they are typed on the command line and in scenario files: `40h`, `1.5 h`, `1%`.

use crate::units::Time;

/// The units of time of the language with their length; a command line takes no others.
pub const UNITS: [(&str, Time); 5] =
    [("s", Time::SECOND), ("min", Time::MINUTE), ("h", Time::HOUR), ("day", Time::DAY), ("days", Time::DAY)];

/// `40h`, `23 min`, `1.5 days`: a positive length of time.
///
/// # Errors
/// What is wrong, with the cure.
pub fn read_time(text: &str) -> Result<Time, String> {
    let (number, unit) = split(text);
    let value: f64 = number.parse().map_err(|_| format!("`{text}` is no time: write it as in `40 h`"))?;
    if unit.is_empty() {
        return Err(format!("`{text}` has no unit: write `{number} min` or `{number} h`"));
    }
    let Some((_, length)) = UNITS.iter().find(|(name, _)| *name == unit) else {
        return Err(format!("`{unit}` is no unit of time: use s, min, h or days"));
    };
    match Time::from_micros_f64(value * length.micros() as f64) {
        Some(time) if time > Time::ZERO => Ok(time),
        Some(_) | None => Err(format!("`{text}` is not a time longer than 0")),
    }
}

/// `1%`, `0.5 %`: a share above 0 and at most 1.
///
/// # Errors
/// What is wrong, with the cure.
pub fn read_share(text: &str) -> Result<f64, String> {
    let (number, unit) = split(text);
    let value: f64 = number.parse().map_err(|_| format!("`{text}` is no share: write it as in `1 %`"))?;
    match unit {
        "%" if value > 0.0 && value <= 100.0 => Ok(value / 100.0),
        "%" => Err(format!("`{text}` is not between 0 and 100 %")),
        "" => Err(format!("`{text}` has no `%`: write `{number} %`")),
        other => Err(format!("`{other}` is no unit of a share: write `{number} %`")),
    }
}

/// The name that `text` was likely meant to be: at most a third of its letters differ.
pub fn nearest<'a>(text: &str, known: impl Iterator<Item = &'a str>) -> Option<String> {
    let most = (text.chars().count() / 3).max(1);
    known
        .map(|name| (strsim::damerau_levenshtein(text, name), name))
        .filter(|(distance, _)| *distance <= most)
        .min()
        .map(|(_, name)| name.to_string())
}

/// Number and unit, with or without a space between.
pub fn split(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    (number, unit.trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_shares_are_read_with_or_without_a_space() {
        assert_eq!(read_time("40h"), Ok(Time::HOUR * 40));
        assert_eq!(read_time("1.5 min"), Ok(Time::SECOND * 90));
        assert_eq!(read_share("1%"), Ok(0.01));
        assert_eq!(read_share("0.5 %"), Ok(0.005));
    }

    #[test]
    fn a_missing_or_foreign_unit_is_refused_with_the_cure() {
        assert_eq!(read_time("40"), Err("`40` has no unit: write `40 min` or `40 h`".to_string()));
        assert!(read_time("3 weeks").is_err_and(|e| e.contains("use s, min, h or days")));
        assert_eq!(read_time("0 h"), Err("`0 h` is not a time longer than 0".to_string()));
        assert!(read_time("1e9 h").is_err());
        assert_eq!(read_share("1"), Err("`1` has no `%`: write `1 %`".to_string()));
        assert!(read_share("101 %").is_err());
        assert!(read_share("nan %").is_err());
    }
}
