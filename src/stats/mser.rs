//! Where the warm-up ends: MSER-5.
//!
//! White, "An effective truncation heuristic for bias reduction in simulation output", Simulation 69
//! (1997), in batches of five as White, Cobb & Spratt recommend (Winter Simulation Conference 2000):
//! cut where what remains has the smallest estimated squared standard error of its mean,
//! sum (Y - mean)^2 / m^2 over the m batches kept. Given the average over replications at each
//! point, it yields one cut for all of them.

use serde::Serialize;

/// Values per batch.
pub const BATCH: usize = 5;

/// Batches that must remain: a handful at the very end is alike by chance (common practice).
const LEAST_KEPT: usize = 5;

/// Where the series is cut.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
pub struct Cut {
    /// Values dropped from the start; of `mser5` a multiple of [`BATCH`].
    pub dropped: usize,
    /// Values looked at, without the last incomplete batch.
    pub of: usize,
    /// The cut lies past the half: the run is too short to tell where its warm-up ends.
    pub past_half: bool,
}

/// The cut of a series, one value per equal stretch of time, averaged across replications. The
/// earliest of equal minima is taken. `None` for fewer than ten batches or values that are not finite.
pub fn mser5(series: &[f64]) -> Option<Cut> {
    let batches: Vec<f64> =
        series.chunks_exact(BATCH).map(|batch| batch.iter().sum::<f64>() / BATCH as f64).collect();
    let Cut { dropped, of, past_half } = mser_of_batches(&batches)?;
    Some(Cut { dropped: dropped * BATCH, of: of * BATCH, past_half })
}

/// The same of values that are batches already (a whole shift of output); counts batches.
pub fn mser_of_batches(batches: &[f64]) -> Option<Cut> {
    if batches.len() < 2 * LEAST_KEPT || batches.iter().any(|b| !b.is_finite()) {
        return None;
    }
    // From the end: mean and squares about it of the batches kept, updated one by one (Welford 1962).
    let (mut kept, mut mean, mut squares) = (0.0, 0.0, 0.0);
    let mut best = (f64::INFINITY, batches.len());
    for (start, batch) in batches.iter().enumerate().rev() {
        kept += 1.0;
        let difference = batch - mean;
        mean += difference / kept;
        squares += difference * (batch - mean);
        let measure = squares / (kept * kept);
        if batches.len() - start >= LEAST_KEPT && measure <= best.0 {
            best = (measure, start);
        }
    }
    let (_, start) = best;
    Some(Cut { dropped: start, of: batches.len(), past_half: 2 * start > batches.len() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::{Purpose, Stream};

    fn noise(n: usize) -> impl Iterator<Item = f64> {
        let stream = Stream::new(4, 0, Purpose::Resample, "noise");
        (0..n as u64).map(move |i| stream.uniform(i, 0) - 0.5)
    }

    /// The definition, written out: for every start, mean and squares anew.
    fn by_definition(series: &[f64]) -> usize {
        let batches: Vec<f64> = series.chunks_exact(5).map(|b| b.iter().sum::<f64>() / 5.0).collect();
        let measure = |start: usize| {
            let kept = &batches[start..];
            let m = kept.len() as f64;
            let mean = kept.iter().sum::<f64>() / m;
            kept.iter().map(|b| (b - mean) * (b - mean)).sum::<f64>() / (m * m)
        };
        let starts = 0..=batches.len() - LEAST_KEPT;
        5 * starts.min_by(|a, b| measure(*a).total_cmp(&measure(*b))).unwrap()
    }

    #[test]
    fn a_line_that_fills_up_is_cut_where_it_is_full() {
        let series: Vec<f64> =
            noise(500).enumerate().map(|(i, e)| 20.0 * (1.0 - libm::exp(-(i as f64) / 15.0)) + e).collect();
        let cut = mser5(&series).unwrap();
        assert_eq!(cut.dropped, by_definition(&series));
        assert!((40..=110).contains(&cut.dropped), "{cut:?}");
        assert!(!cut.past_half);
    }

    #[test]
    fn a_line_that_starts_full_is_hardly_cut() {
        let series: Vec<f64> = noise(1003).collect();
        let cut = mser5(&series).unwrap();
        assert_eq!((cut.dropped, cut.of), (by_definition(&series), 1000));
        assert!(cut.dropped < 500 && !cut.past_half, "{cut:?}");
    }

    #[test]
    fn a_queue_that_keeps_growing_is_told_apart() {
        let series: Vec<f64> = noise(500).enumerate().map(|(i, e)| i as f64 + e).collect();
        assert!(mser5(&series).unwrap().past_half);
        let late: Vec<f64> = noise(500).enumerate().map(|(i, e)| if i < 300 { 30.0 } else { e }).collect();
        let cut = mser5(&late).unwrap();
        assert_eq!(cut.dropped, by_definition(&late));
        assert!((300..=330).contains(&cut.dropped) && cut.past_half, "{cut:?}");
    }

    #[test]
    fn a_constant_series_needs_no_cut_and_a_short_one_gives_none() {
        assert_eq!(mser5(&[7.0; 50]), Some(Cut { dropped: 0, of: 50, past_half: false }));
        assert_eq!(mser5(&[7.0; 49]), None);
        assert_eq!(mser5(&[f64::NAN; 60]), None);
    }
}
