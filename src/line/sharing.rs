//! Work that more people than it needs may share, and how much sooner it is done then.

/// `by 2 to 4`: the people a task may take beyond those it needs.
#[derive(Clone, PartialEq, Debug)]
pub struct Shared {
    /// Per model and need: the most people, never fewer than the need asks for.
    pub most: Vec<Vec<u32>>,
    pub by: SharedBy,
}

/// How the time falls with the number of people.
#[derive(Clone, PartialEq, Debug)]
pub enum SharedBy {
    /// T(n) = fixed + (T - fixed) x (needed / n)^power, where T is the time with the people it needs;
    /// `fixed` in microseconds is what no helper shortens. (The usual crew-size law: work / n^power, with
    /// powers of 0.75 to 0.95; common practice, no source.)
    Power { power: f64, fixed: f64 },
    /// (people, share of the time), rising in people; a number that is not listed has the whole time.
    Table(Vec<(u32, f64)>),
}

impl SharedBy {
    /// Microseconds, not rounded, that `people` take for what `needed` people do in `time`.
    pub fn time(&self, time: f64, needed: u32, people: u32) -> f64 {
        match self {
            SharedBy::Power { power, fixed } => {
                let fixed = fixed.min(time);
                fixed + (time - fixed) * libm::pow(f64::from(needed) / f64::from(people), *power)
            }
            SharedBy::Table(rows) => {
                let share = |n: u32| rows.iter().find(|(k, _)| *k == n).map_or(1.0, |(_, share)| *share);
                time * share(people) / share(needed)
            }
        }
    }
}

impl Shared {
    /// The most people for a model.
    pub fn most_people(&self, model: usize) -> u32 {
        self.most[model].iter().sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_fixed_is_never_shared() {
        let by = SharedBy::Power { power: 0.5, fixed: 10.0 };
        assert_eq!(by.time(50.0, 1, 4), 10.0 + 40.0 / 2.0);
        assert_eq!(by.time(50.0, 1, 1), 50.0);
        assert_eq!(by.time(6.0, 1, 4), 6.0, "shorter than what is fixed: nothing is left to share");
    }

    /// 40 min alone, 22 with two, 17 with three: 40 / 2^0.86 = 22.04, 40 / 3^0.78 = 16.98.
    #[test]
    fn a_table_says_it_for_each_number() {
        let by = SharedBy::Table(vec![(2, 0.55), (3, 0.425)]);
        assert_eq!([1, 2, 3].map(|n| by.time(40.0, 1, n)), [40.0, 22.0, 17.0]);
        // Where a model needs two, its own time is that of two.
        assert!((by.time(22.0, 2, 3) - 17.0).abs() < 1e-12);
    }
}
