//! Small drawings of our own: patterns of states, bars of time and of load, the count by shifts.

use super::writer::Page;
use crate::report::bins::binned;
use crate::report::looks::{Look, main_states, share};
use crate::report::record::{Estimate, UnitsPerShift};
use crate::report::rows::StateShares;
use crate::report::wording::{percent_of, thousands};
use crate::units::decimals;

/// Length of the whole of net time in a bar.
const WHOLE: f64 = 400.0;
/// Columns of the histogram, at most.
const BARS: usize = 16;

/// Patterns and shapes that the bars use, once in a page.
pub const PATTERNS: &str = include_str!("patterns.svg");

/// A state is told by its pattern; colour only helps.
pub fn fill(look: Look) -> &'static str {
    match look {
        Look::Working => "#1d5c63",
        Look::Holding => "url(#p-hold)",
        Look::Moving => "url(#p-move)",
        Look::Short => "url(#p-short)",
        Look::Waiting => "url(#p-step)",
        Look::Blocked => "url(#p-block)",
        Look::Signal => "url(#p-signal)",
        Look::Starved => "#ffffff",
        Look::OffShift => "url(#p-off)",
        Look::Stopped => "#1b1b1f",
    }
}

pub fn length(x: f64) -> String {
    decimals(x, 2)
}

/// One bar for the whole of net time, the same scale everywhere.
pub fn time_bar(page: &mut Page, name: &str, shares: &StateShares) {
    let attributes = [("class", "bar"), ("viewBox", "0 0 402 18"), ("role", "img")];
    page.element("svg", &attributes, |page| {
        page.leaf("title", &[], &format!("Net time of {name}: {}", main_states(shares, 13)));
        let mut x = 1.0;
        for look in Look::ALL {
            let wide = WHOLE * share(shares, look);
            if wide > 0.0 {
                rectangle(page, [x, 1.0, wide, 13.0], fill(look), "edge");
            }
            x += wide;
        }
        ticks(page);
    });
}

/// The quarters of a bar.
pub fn ticks(page: &mut Page) {
    for quarter in 0..=4 {
        let x = length(1.0 + WHOLE * f64::from(quarter) / 4.0);
        page.element(
            "line",
            &[("x1", &x), ("x2", &x), ("y1", "14"), ("y2", "18"), ("class", "tick")],
            |_| {},
        );
    }
}

pub fn rectangle(page: &mut Page, [x, y, wide, high]: [f64; 4], fill: &str, class: &str) {
    let [x, y, wide, high] = [x, y, wide, high].map(length);
    page.element(
        "rect",
        &[("x", &x), ("y", &y), ("width", &wide), ("height", &high), ("fill", fill), ("class", class)],
        |_| {},
    );
}

/// What the patterns of some bars mean, in words.
pub fn legend(page: &mut Page, rows: &[&StateShares]) {
    let parts = rows.iter().any(|shares| shares.short_of_parts > 0.0);
    page.element("ul", &[("class", "legend")], |page| {
        for look in Look::ALL {
            if rows.iter().any(|shares| share(shares, look) > 0.0) {
                page.element("li", &[], |page| {
                    page.element("svg", &[("viewBox", "0 0 26 14"), ("aria-hidden", "true")], |page| {
                        rectangle(page, [1.0, 1.0, 24.0, 12.0], fill(look), "edge");
                    });
                    page.text(look.words(parts));
                });
            }
        }
    });
}

/// A load against its window, which ends at the heavy line; the scale ends at one and a half windows.
pub fn load_bar(page: &mut Page, name: &str, load: f64) {
    const WINDOW: f64 = 100.0;
    page.element("svg", &[("class", "load"), ("viewBox", "0 0 152 16"), ("role", "img")], |page| {
        page.leaf("title", &[], &format!("{name} needs {} of its window", percent_of(load)));
        let wide = WINDOW * load.clamp(0.0, 1.5);
        rectangle(page, [1.0, 4.0, wide.min(WINDOW), 8.0], "#1d5c63", "edge");
        if wide > WINDOW {
            rectangle(page, [1.0 + WINDOW, 4.0, wide - WINDOW, 8.0], "url(#p-short)", "edge");
        }
        page.constant("<line x1=\"101\" x2=\"101\" y1=\"0\" y2=\"16\" class=\"window\"></line>");
    });
}

/// A mean with its band on a scale from `low` to `high`.
pub fn band_bar(page: &mut Page, says: &str, of: &Estimate, [low, high]: [f64; 2]) {
    let wide = if high > low { WHOLE / (high - low) } else { 0.0 };
    let at = |value: f64| 1.0 + (value - low) * wide;
    let (from, to) = (at(of.low.unwrap_or(of.mean)), at(of.high.unwrap_or(of.mean)));
    page.element("svg", &[("class", "bar"), ("viewBox", "-6 0 416 18"), ("role", "img")], |page| {
        page.leaf("title", &[], says);
        page.constant("<line x1=\"1\" x2=\"401\" y1=\"9\" y2=\"9\" class=\"tick\"></line>");
        rectangle(page, [from, 5.0, to - from, 8.0], "url(#p-hold)", "edge");
        rectangle(page, [at(of.mean) - 2.0, 2.0, 4.0, 14.0], "#1d5c63", "edge");
    });
}

/// What is left of the greatest level, and the piece that is lost from above it; a gain takes no piece.
pub fn loss_bar(page: &mut Page, says: &str, [left, lost, most]: [i64; 3]) {
    let wide = |part: i64| WHOLE * part.max(0) as f64 / most.max(1) as f64;
    page.element("svg", &[("class", "bar"), ("viewBox", "0 0 402 18"), ("role", "img")], |page| {
        page.leaf("title", &[], says);
        rectangle(page, [1.0, 1.0, wide(left), 15.0], "#1d5c63", "edge");
        if lost > 0 {
            rectangle(page, [1.0 + wide(left), 1.0, wide(lost), 15.0], "url(#p-short)", "edge");
        }
    });
}

/// How many shifts made how many units, and where the count lies.
pub fn histogram(page: &mut Page, shifts: &UnitsPerShift) {
    let bars = binned(&shifts.histogram, BARS);
    let greatest = bars.iter().map(|bar| bar.shifts).max().unwrap_or(0).max(1);
    let total: u64 = bars.iter().map(|bar| bar.shifts).sum();
    let step = 400.0 / bars.len().max(1) as f64;
    let asked = shifts.count.and_then(|count| {
        let at = bars.iter().position(|bar| count <= f64::from(bar.to)).unwrap_or(bars.len());
        Some((count, step * at as f64)).filter(|_| count > 0.0)
    });
    page.element("svg", &[("class", "histogram"), ("viewBox", "-6 -2 412 156"), ("role", "img")], |page| {
        page.leaf("title", &[], &format!("Shifts by their good units, {} shifts", thousands(total)));
        let each = |bar: &crate::report::bins::Bar| {
            format!("{} units on {} shifts", bar.name, thousands(bar.shifts))
        };
        page.leaf("desc", &[], &bars.iter().map(each).collect::<Vec<String>>().join(", "));
        for (k, bar) in bars.iter().enumerate() {
            let high = 100.0 * bar.shifts as f64 / greatest as f64;
            let makes_it = shifts.count.is_none_or(|count| f64::from(bar.to) >= count);
            let fill = if makes_it { "#1d5c63" } else { "url(#p-miss)" };
            let x = step * k as f64;
            rectangle(page, [x + 1.5, 118.0 - high, (step - 3.0).max(1.0), high], fill, "edge");
            label(page, x + step / 2.0, 132.0, &bar.name);
        }
        page.constant("<line x1=\"0\" x2=\"400\" y1=\"118\" y2=\"118\" class=\"axis\"></line>");
        if let Some((count, x)) = asked {
            let (from, anchor) = if x > 240.0 { (x - 6.0, "end") } else { (x + 6.0, "start") };
            let x = length(x);
            page.element(
                "line",
                &[("x1", &x), ("x2", &x), ("y1", "0"), ("y2", "124"), ("class", "asked")],
                |_| {},
            );
            let says = format!("the count, {}", decimals(count, 2));
            page.leaf("text", &[("x", &length(from)), ("y", "10"), ("text-anchor", anchor)], &says);
        }
        label(page, 200.0, 147.0, "good units of a shift");
    });
}

fn label(page: &mut Page, x: f64, y: f64, text: &str) {
    page.leaf("text", &[("x", &length(x)), ("y", &length(y)), ("text-anchor", "middle")], text);
}
