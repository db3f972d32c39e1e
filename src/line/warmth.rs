//! How warm a shop is, and what a hold asks of it.

use crate::diagnostic::Span;
use crate::units::Time;

/// How warm it is over the week, which repeats.
#[derive(Clone, PartialEq, Debug)]
pub struct Temperature {
    pub name: String,
    pub label: Option<String>,
    /// From that offset from Monday 00:00 on, degrees Celsius: sorted, the first one at 0; never empty.
    pub week: Vec<(Time, f64)>,
    pub span: Span,
}

/// `when hall at least 15 C`: time counts for the hold only while it is as warm as that.
#[derive(Clone, PartialEq, Debug)]
pub struct Warmth {
    /// By its number among the temperatures of the line.
    pub of: usize,
    /// Degrees Celsius.
    pub least: f64,
    /// Colder time undoes what has passed; otherwise it only does not count.
    pub again: bool,
    /// When it is warm enough: offsets from Monday 00:00, sorted, with gaps between, below one week; never
    /// empty. One that goes on over Sunday midnight is two.
    pub week: Vec<(Time, Time)>,
    pub span: Span,
}

impl Temperature {
    /// When it is at least so warm: offsets from Monday 00:00, sorted, with gaps between.
    pub fn warm(&self, least: f64) -> Vec<(Time, Time)> {
        let ends = self.week.iter().skip(1).map(|(from, _)| *from).chain([Time::WEEK]);
        let mut found: Vec<(Time, Time)> = Vec::new();
        for ((from, degrees), to) in self.week.iter().zip(ends) {
            match found.last_mut() {
                _ if *degrees < least => {}
                Some(last) if last.1 == *from => last.1 = to,
                Some(_) | None => found.push((*from, to)),
            }
        }
        found
    }
}

impl Warmth {
    /// It is warm enough all the week.
    pub fn always(&self) -> bool {
        self.week == [(Time::ZERO, Time::WEEK)]
    }
}
