//! What to take, in a sentence.

use super::comparison::{CompareReport, LayoutRow, weeks_differ};
use super::record::Estimate;
use super::wording::quoted;
use crate::units::{count_of, decimals, join_and, percent};

/// The advice of a comparison, for whoever has to choose.
pub fn advice_sentence(comparison: &CompareReport) -> String {
    format!("{}{}", by_the_shift(comparison), by_the_week(comparison))
}

/// What a shift makes says little where layouts work more or fewer of them.
fn by_the_week(comparison: &CompareReport) -> String {
    if !weeks_differ(comparison.layouts.iter()) {
        return String::new();
    }
    let weekly = comparison.layouts.iter().filter_map(|row| {
        let (units, shifts) = (row.units_per_week?, row.shifts_per_week?);
        let shifts = count_of(shifts as usize, "shift");
        Some(format!("{} makes {} in {shifts}", quoted(&row.layout), decimals(units, 1)))
    });
    let weekly: Vec<String> = weekly.collect();
    match weekly.is_empty() {
        true => " Not all layouts have shifts.".to_string(),
        false => format!(" But weeks differ, and by the week {}: go by that.", join_and(&weekly)),
    }
}

fn by_the_shift(comparison: &CompareReport) -> String {
    let advice = &comparison.advice;
    let row = |name: &Option<String>| {
        let name = name.as_ref()?;
        comparison.layouts.iter().find(|row| row.layout == *name)
    };
    match (row(&advice.take), row(&advice.most)) {
        (Some(take), _) => take_it(comparison, take),
        (None, Some(most)) => {
            let others: Vec<String> = advice.open.iter().map(|name| quoted(name)).collect();
            let how = match advice.more {
                Some(more) => {
                    format!("; about {} of each would tell", count_of(more as usize, "more replication"))
                }
                None => String::new(),
            };
            format!(
                "These runs cannot tell which to take: {} makes {} on average, but cannot be told from {}{how}.",
                quoted(&most.layout),
                made(most),
                join_and(&others)
            )
        }
        (None, None) => "Nothing was finished, so nothing can be compared.".to_string(),
    }
}

fn take_it(comparison: &CompareReport, take: &LayoutRow) -> String {
    let equals: Vec<String> = comparison.advice.equals.iter().map(|name| quoted(name)).collect();
    let mut sentence = format!("Take {}: it makes {}", quoted(&take.layout), made(take));
    if !equals.is_empty() {
        let ignored = percent(comparison.ignored);
        sentence.push_str(&format!(
            ", the same within {ignored} as {}, with the fewest people and places",
            join_and(&equals)
        ));
    }
    sentence.push_str(&more_than_base(comparison, take));
    sentence.push('.');
    if take.promises_broken > 0 {
        sentence.push_str(&format!(" It breaks {}.", count_of(take.promises_broken as usize, "promise")));
    }
    sentence
}

/// `14.2 units a shift`
fn made(row: &LayoutRow) -> String {
    match (&row.units_per_shift, &row.units_per_hour) {
        (Some(count), _) => format!("{} units a shift", decimals(count.mean, 2)),
        (None, Some(count)) => format!("{} units an hour", decimals(count.mean, 2)),
        (None, None) => "nothing".to_string(),
    }
}

/// `, 3.1 (2.9 to 3.3) more than “today”`
fn more_than_base(comparison: &CompareReport, take: &LayoutRow) -> String {
    let base = &comparison.base;
    let pair = comparison.pairs.iter().find(|p| p.layout == take.layout && p.against == *base);
    match pair.and_then(|p| p.difference) {
        Some(Estimate { mean, low: Some(low), high: Some(high), .. }) if low > 0.0 => {
            let [mean, low, high] = [mean, low, high].map(|x| decimals(x, 2));
            format!(", {mean} ({low} to {high}) more than {}", quoted(base))
        }
        Some(_) | None => String::new(),
    }
}
