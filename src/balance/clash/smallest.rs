//! From a set of statements that clash to a smallest one.
//!
//! First whatever can be left out is left out, in halves and then one by one (a deletion filter: Chinneck &
//! Dravnieks, ORSA J. Computing 3 (1991)), so that no statement of what is left can be missed. Then the smallest
//! is looked for by hitting sets: what is missing from anything that fits has a statement of every clash in it, so
//! a smallest set that hits all of these and still clashes is a smallest clash (Ignatiev et al., CP 2015). Both
//! from memory.

use super::facts::{Facts, Said};
use super::fits::Fits;
use crate::balance::plan::Caps;
use crate::line::Line;

/// Sets tried on the way to the smallest.
const MOST_TRIES: usize = 400;
/// Looks for one smallest hitting set.
const MOST_HITS: u64 = 200_000;
/// Statements of a clash up to which a smaller one is looked for.
const SMALL: usize = 12;

/// Statements that no plan keeps together at the pace.
#[derive(Clone, PartialEq, Debug)]
pub struct Clash {
    /// In the order of the file; without any one of them there is no proof against a plan.
    pub said: Vec<Said>,
    /// No smaller set clashes, by proof.
    pub smallest: bool,
}

/// A smallest set of statements of the line that clash; `None` where none is proven to.
pub fn clash(line: &Line, caps: Caps) -> Option<Clash> {
    let facts = Facts::new(line, caps)?;
    let all = vec![true; facts.said.len()];
    if facts.fits(&all) != Fits::No {
        return None;
    }
    let found = filtered(&facts, all);
    let (found, smallest) = smallest(&facts, found);
    let said = found.into_iter().map(|k| facts.said[k].clone()).collect();
    Some(Clash { said, smallest })
}

/// What is left when nothing more can be left out.
fn filtered(facts: &Facts, mut holds: Vec<bool>) -> Vec<usize> {
    let left = |holds: &[bool]| -> Vec<usize> { (0..holds.len()).filter(|k| holds[*k]).collect() };
    let mut size = holds.len().div_ceil(2);
    loop {
        let mut changed = false;
        for chunk in left(&holds).chunks(size) {
            chunk.iter().for_each(|k| holds[*k] = false);
            if facts.fits(&holds) == Fits::No {
                changed = true;
            } else {
                chunk.iter().for_each(|k| holds[*k] = true);
            }
        }
        if size == 1 && !changed {
            return left(&holds);
        }
        size = if size == 1 { 1 } else { size.div_ceil(2) };
    }
}

/// The smallest clash, and whether that is proven; `found` where the search is cut short.
fn smallest(facts: &Facts, found: Vec<usize>) -> (Vec<usize>, bool) {
    if found.len() <= 1 {
        return (found, true);
    }
    if found.len() > SMALL {
        return (found, false);
    }
    let mut missing: Vec<Vec<usize>> = Vec::new();
    for _ in 0..MOST_TRIES {
        let hits = match hitting(&missing, found.len()) {
            Hits::Found(hits) => hits,
            Hits::None => return (found, true),
            Hits::Unknown => return (found, false),
        };
        if hits.len() >= found.len() {
            return (found, true);
        }
        let mut holds = vec![false; facts.said.len()];
        hits.iter().for_each(|k| holds[*k] = true);
        match facts.fits(&holds) {
            Fits::No => return (hits, true),
            Fits::Unknown => return (found, false),
            Fits::Yes => {}
        }
        for k in 0..holds.len() {
            if !holds[k] {
                holds[k] = true;
                holds[k] = facts.fits(&holds) == Fits::Yes;
            }
        }
        missing.push((0..holds.len()).filter(|k| !holds[*k]).collect());
    }
    (found, false)
}

enum Hits {
    Found(Vec<usize>),
    /// None with so few.
    None,
    Unknown,
}

/// A smallest set that has something of each of the sets, if one has less than `most`.
fn hitting(sets: &[Vec<usize>], most: usize) -> Hits {
    let mut looks = 0;
    for size in 0..most {
        let mut chosen = Vec::new();
        if hit(sets, size, &mut chosen, &mut looks) {
            return Hits::Found(chosen);
        }
        if looks > MOST_HITS {
            return Hits::Unknown;
        }
    }
    Hits::None
}

fn hit(sets: &[Vec<usize>], size: usize, chosen: &mut Vec<usize>, looks: &mut u64) -> bool {
    *looks += 1;
    let open = sets.iter().filter(|set| !set.iter().any(|k| chosen.contains(k)));
    let Some(first) = open.min_by_key(|set| set.len()) else {
        chosen.sort_unstable();
        return true;
    };
    if size == 0 || *looks > MOST_HITS {
        return false;
    }
    for k in first {
        chosen.push(*k);
        if hit(sets, size - 1, chosen, looks) {
            return true;
        }
        chosen.retain(|other| other != k);
    }
    false
}
