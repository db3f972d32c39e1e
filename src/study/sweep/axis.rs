//! What is varied, as it is asked for: `pace 22 to 26 min by 0.5`, `bays of A10 1 to 4`.

use crate::line::Line;
use crate::study::edits::Dial;
use crate::study::values::{UNITS, read_time, split};
use crate::units::{count_of, decimals};

/// Points of one axis, at most, and of both axes together.
pub const MOST_POINTS: usize = 100;

/// A dial and the settings it goes through.
#[derive(Clone, PartialEq, Debug)]
pub struct Axis {
    pub dial: Dial,
    /// As it is asked for.
    pub name: String,
    /// Rising, two or more; a pace in microseconds.
    pub values: Vec<i64>,
    /// What it is set to as the line stands.
    pub today: i64,
}

impl Axis {
    /// Reads `NAME A to B by C`; counts go by 1 where nothing is said.
    ///
    /// # Errors
    /// What is wrong, with the cure.
    pub fn read(text: &str, line: &Line) -> Result<Axis, String> {
        let said = Said::of(text)?;
        let dial = Dial::read(line, &said.words)?;
        let values = match dial.is_a_time() {
            true => said.times(text)?,
            false => said.counts()?,
        };
        Ok(Axis { name: dial.name(line), today: dial.today(line), dial, values })
    }

    /// `bays of A10 3`
    pub fn named(&self, value: i64) -> String {
        format!("{} {}", self.name, self.dial.said(value))
    }

    /// `pace 22 min to 26 min by 0.5 min`
    pub fn words(&self) -> String {
        let [first, .., last] = self.values.as_slice() else { return self.name.clone() };
        let by = self.values[1] - first;
        let step = if by == 1 { String::new() } else { format!(" by {}", self.dial.said(by)) };
        format!("{} {} to {}{step}", self.name, self.dial.said(*first), self.dial.said(*last))
    }
}

/// The pieces of what was asked for.
struct Said<'t> {
    words: Vec<&'t str>,
    from: String,
    to: String,
    by: Option<String>,
}

impl<'t> Said<'t> {
    fn of(text: &'t str) -> Result<Said<'t>, String> {
        let tokens: Vec<&str> = text.split_whitespace().collect();
        let starts = |token: &str| token.starts_with(|c: char| c.is_ascii_digit());
        let broken = || {
            format!("`{text}` does not say from where to where: write it as in `pace 22 to 26 min by 0.5`")
        };
        let to = tokens.iter().rposition(|token| *token == "to").ok_or_else(broken)?;
        let (before, after) = (&tokens[..to], &tokens[to + 1..]);
        // `22` or `22 min`.
        let from = match before {
            [.., number] if starts(number) => before.len() - 1,
            [.., number, _] if starts(number) => before.len() - 2,
            _ => return Err(broken()),
        };
        let by = after.iter().position(|token| *token == "by");
        let end = by.unwrap_or(after.len());
        if !after.first().is_some_and(|number| starts(number)) {
            return Err(broken());
        }
        Ok(Said {
            words: before[..from].to_vec(),
            from: before[from..].join(" "),
            to: after[..end].join(" "),
            by: by.map(|by| after[by + 1..].join(" ")),
        })
    }

    /// Whole numbers, none below 0.
    fn counts(&self) -> Result<Vec<i64>, String> {
        let count = |text: &str| -> Result<i64, String> {
            let number: Result<u32, _> = text.parse();
            match (number, split(text)) {
                (Ok(n), _) => Ok(i64::from(n)),
                (Err(_), (number, unit)) if !unit.is_empty() && number.parse::<u32>().is_ok() => {
                    Err(format!("`{text}` is a count and takes no unit: write `{number}`"))
                }
                (Err(_), _) => Err(format!("`{text}` is no whole number: counts go by 1, 2, 3")),
            }
        };
        let by = self.by.as_deref().map_or(Ok(1), count)?;
        points(count(&self.from)?, count(&self.to)?, by, &|value| value.to_string())
    }

    /// Times; a unit that one of the three has holds for those that have none.
    fn times(&self, text: &str) -> Result<Vec<i64>, String> {
        let Some(by) = &self.by else {
            return Err(format!("`{text}` does not say in which steps: add `by 0.5 min`"));
        };
        let all = [&self.from, &self.to, by];
        let Some(unit) = [1, 0, 2].into_iter().map(|k| split(all[k]).1).find(|unit| !unit.is_empty()) else {
            return Err(format!("`{text}` has no unit of time: write `{} min`", self.to));
        };
        let time = |text: &str| {
            let whole = if split(text).1.is_empty() { format!("{text} {unit}") } else { text.to_string() };
            read_time(&whole).map(|time| time.micros())
        };
        let length = UNITS.iter().find(|(name, _)| *name == unit).map_or(1, |(_, length)| length.micros());
        let said = |micros: i64| format!("{} {unit}", decimals(micros as f64 / length as f64, 6));
        points(time(&self.from)?, time(&self.to)?, time(by)?, &said)
    }
}

/// Every setting from one end to the other, both of them met.
fn points(from: i64, to: i64, by: i64, said: &dyn Fn(i64) -> String) -> Result<Vec<i64>, String> {
    if by <= 0 {
        return Err("steps of 0 lead nowhere: say by how much, as in `by 1`".to_string());
    }
    if from == to {
        return Err(format!("{} to {} is one value: say a range", said(from), said(to)));
    }
    if from > to {
        return Err(format!("the range runs backwards: write `{} to {}`", said(to), said(from)));
    }
    let count = (to - from) / by + 1;
    let most = i64::try_from(MOST_POINTS).unwrap_or(i64::MAX);
    if count > most {
        let points = count_of(usize::try_from(count).unwrap_or(usize::MAX), "point");
        return Err(format!("{points} are more than {MOST_POINTS}: take longer steps or a shorter range"));
    }
    let last = from + (count - 1) * by;
    if last != to {
        let next = said(last + by);
        let shorter = if count > 1 { format!("`to {}` or ", said(last)) } else { String::new() };
        let [by, from, to] = [by, from, to].map(said);
        return Err(format!("steps of {by} from {from} do not meet {to}: write {shorter}`to {next}`"));
    }
    Ok((0..count).map(|k| from + k * by).collect())
}

/// Are these few enough to be run together, and is each of its own?
///
/// # Errors
/// What is too much, with the cure.
pub fn fit_together(axes: &[Axis]) -> Result<(), String> {
    if axes.len() > 2 {
        return Err(format!(
            "{} ranges at once: two make a grid, a third one nobody could read; run them apart",
            axes.len()
        ));
    }
    if let [one, other] = axes
        && one.dial == other.dial
    {
        return Err(format!("`{}` is varied twice: once will do", one.name));
    }
    let all: usize = axes.iter().map(|axis| axis.values.len()).product();
    match all > MOST_POINTS {
        true => {
            Err(format!("a grid of {} is more than {MOST_POINTS}: take longer steps", count_of(all, "point")))
        }
        false => Ok(()),
    }
}
