//! A mergeable record of many whole microseconds: exact sums, percentiles to a tenth of a percent.
//!
//! Log-linear bins: values below 2048 have a bin each; above, every octave is cut into 1024 bins, so
//! a bin is at most 1/1024 of its lower edge wide and its middle is within 1/2048 of every value in
//! it. Count, sum, sum of squares, least and greatest are exact integers, so merging in any order
//! gives the same record. Refuses to judge: intervals are made in `stats`.

/// Width of a bin over its lower edge, at most.
pub const RELATIVE_BIN_WIDTH: f64 = 1.0 / 1024.0;

const BINS_PER_OCTAVE: usize = 1024;

/// Bins in use up to which they are listed one by one: most records of one replication stay so, and cost sixteen
/// bytes each instead of eight thousand for every octave they touch.
const FEW: usize = 1024;

/// Values up to which that is done: each has to be looked for in the list, which many do not repay.
const MANY: u64 = 8192;

/// Values with their counts: a list of the bins in use while they and the values are few, then one row of bins per
/// octave; a row exists once used. Which of the two depends on nothing but the values, so equal records are equal.
#[derive(Clone, Default, PartialEq, Eq, Debug)]
struct Side {
    /// (row x 1024 + place, count) in rising order; empty once there are rows.
    few: Vec<(u32, u64)>,
    /// Values in that list.
    listed: u64,
    /// Row 0 holds 0..1024, row 1 holds 1024..2048, row k holds 2^(k+9)..2^(k+10).
    rows: Vec<Vec<u64>>,
}

/// Row and place of a magnitude.
fn bin_of(magnitude: u64) -> (usize, usize) {
    let bits = (u64::BITS - magnitude.leading_zeros()) as usize;
    if bits <= 10 {
        return (0, magnitude as usize);
    }
    // The leading one stands for the row; the ten bits after it are the place.
    (bits - 10, (magnitude >> (bits - 11)) as usize - BINS_PER_OCTAVE)
}

/// Smallest magnitude of a bin and how many magnitudes it holds.
fn edges_of(row: usize, place: usize) -> (u64, u64) {
    match row {
        0 => (place as u64, 1),
        row => (((BINS_PER_OCTAVE + place) as u64) << (row - 1), 1 << (row - 1)),
    }
}

impl Side {
    #[inline]
    fn add(&mut self, magnitude: u64, times: u64) {
        let (row, place) = bin_of(magnitude);
        match self.rows.get_mut(row) {
            Some(bins) if !bins.is_empty() => bins[place] += times,
            Some(_) | None => self.open(row, place, times),
        }
    }

    /// Adds to a bin whose row is not there yet.
    fn open(&mut self, row: usize, place: usize, times: u64) {
        if !(self.rows.is_empty() && self.list(row, place, times)) {
            self.spread();
            self.row(row)[place] += times;
        }
    }

    /// Adds to the list; `false` where that is too long already, or has been searched too often.
    fn list(&mut self, row: usize, place: usize, times: u64) -> bool {
        let listed = self.listed.saturating_add(times);
        if listed > MANY {
            return false;
        }
        let bin = (row * BINS_PER_OCTAVE + place) as u32;
        match self.few.binary_search_by_key(&bin, |(bin, _)| *bin) {
            Ok(at) => self.few[at].1 += times,
            Err(_) if self.few.len() == FEW => return false,
            Err(at) => self.few.insert(at, (bin, times)),
        }
        self.listed = listed;
        true
    }

    /// The list becomes rows.
    fn spread(&mut self) {
        self.listed = 0;
        for (bin, times) in std::mem::take(&mut self.few) {
            self.row(bin as usize / BINS_PER_OCTAVE)[bin as usize % BINS_PER_OCTAVE] += times;
        }
    }

    fn row(&mut self, row: usize) -> &mut [u64] {
        if row >= self.rows.len() {
            self.rows.resize(row + 1, Vec::new());
        }
        let bins = &mut self.rows[row];
        if bins.is_empty() {
            *bins = vec![0; BINS_PER_OCTAVE];
        }
        bins
    }

    fn merge(&mut self, other: &Side) {
        for (bin, times) in &other.few {
            let (row, place) = (*bin as usize / BINS_PER_OCTAVE, *bin as usize % BINS_PER_OCTAVE);
            self.open(row, place, *times);
        }
        if other.rows.is_empty() {
            return;
        }
        self.spread();
        for (row, theirs) in other.rows.iter().enumerate().filter(|(_, bins)| !bins.is_empty()) {
            for (count, more) in self.row(row).iter_mut().zip(theirs) {
                *count += more;
            }
        }
    }

    /// (lower edge, magnitudes held, count) of the bins in use, from 0 outwards.
    fn bins(&self) -> impl DoubleEndedIterator<Item = (u64, u64, u64)> + '_ {
        let few = self.few.iter().map(|(bin, count)| {
            let (low, width) = edges_of(*bin as usize / BINS_PER_OCTAVE, *bin as usize % BINS_PER_OCTAVE);
            (low, width, *count)
        });
        let rows = self.rows.iter().enumerate().flat_map(|(row, bins)| {
            bins.iter().enumerate().filter(|(_, count)| **count > 0).map(move |(place, count)| {
                let (low, width) = edges_of(row, place);
                (low, width, *count)
            })
        });
        few.chain(rows)
    }
}

/// The record of one quantity in microseconds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Histogram {
    from_zero: Side,
    below_zero: Side,
    count: u64,
    sum: i128,
    sum_of_squares: u128,
    least: i64,
    greatest: i64,
}

impl Default for Histogram {
    fn default() -> Histogram {
        Histogram::new()
    }
}

impl Histogram {
    pub fn new() -> Histogram {
        Histogram {
            from_zero: Side::default(),
            below_zero: Side::default(),
            count: 0,
            sum: 0,
            sum_of_squares: 0,
            least: i64::MAX,
            greatest: i64::MIN,
        }
    }

    /// Notes one value. Allocates while bins are few, then only when the value opens a new octave.
    #[inline]
    pub fn record(&mut self, value: i64) {
        // Most values come one by one, and wide products are dear.
        let magnitude = u128::from(value.unsigned_abs());
        self.note(value, 1, i128::from(value), magnitude * magnitude);
    }

    /// Notes the same value `times` times. Sums are exact while `times` x value^2 stays below 2^128,
    /// that is for 3e8 values of thirty years each; beyond, overflow checks stop the run.
    pub fn record_times(&mut self, value: i64, times: u64) {
        if times == 0 {
            return;
        }
        let magnitude = u128::from(value.unsigned_abs());
        let squares = magnitude * magnitude * u128::from(times);
        self.note(value, times, i128::from(value) * i128::from(times), squares);
    }

    #[inline]
    fn note(&mut self, value: i64, times: u64, sum: i128, squares: u128) {
        let side = if value < 0 { &mut self.below_zero } else { &mut self.from_zero };
        side.add(value.unsigned_abs(), times);
        self.count += times;
        self.sum += sum;
        self.sum_of_squares += squares;
        self.least = self.least.min(value);
        self.greatest = self.greatest.max(value);
    }

    /// Adds the record of another replication; any order of merging gives the same.
    pub fn merge(&mut self, other: &Histogram) {
        self.from_zero.merge(&other.from_zero);
        self.below_zero.merge(&other.below_zero);
        self.count += other.count;
        self.sum += other.sum;
        self.sum_of_squares += other.sum_of_squares;
        self.least = self.least.min(other.least);
        self.greatest = self.greatest.max(other.greatest);
    }

    pub fn count(&self) -> u64 {
        self.count
    }

    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// Sum of the values, exact.
    pub fn sum(&self) -> i128 {
        self.sum
    }

    /// Sum of the squares, exact.
    pub fn sum_of_squares(&self) -> u128 {
        self.sum_of_squares
    }

    pub fn min(&self) -> Option<i64> {
        (self.count > 0).then_some(self.least)
    }

    pub fn max(&self) -> Option<i64> {
        (self.count > 0).then_some(self.greatest)
    }

    /// Microseconds; `None` without values.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.sum as f64 / self.count as f64)
    }

    /// Variance with divisor n - 1, in square microseconds; `None` below two values. The squares are
    /// taken about the whole number next to the mean, in integers, so nothing cancels.
    pub fn variance(&self) -> Option<f64> {
        if self.count < 2 {
            return None;
        }
        let n = i128::from(self.count);
        let centre = self.sum.div_euclid(n);
        let rest = self.sum - centre * n;
        // sum (x - c)^2 = sum x^2 - c (2 sum x - n c); the sum of squares bounds every part.
        let about_centre = self.sum_of_squares as i128 - centre * (self.sum + rest);
        let correction = (rest as f64) * (rest as f64 / n as f64);
        Some((about_centre as f64 - correction).max(0.0) / (n - 1) as f64)
    }

    /// The value below or at which a share `p` of all values lies: the value of rank ceil(p n), at
    /// least 1, to within 1/2048 of itself; exact below 2048 and at both ends. `None` without values
    /// or for a `p` outside [0, 1].
    pub fn quantile(&self, p: f64) -> Option<i64> {
        if self.count == 0 || !(0.0..=1.0).contains(&p) {
            return None;
        }
        let rank = ((p * self.count as f64).ceil() as u64).clamp(1, self.count);
        if rank == 1 {
            return Some(self.least);
        }
        if rank == self.count {
            return Some(self.greatest);
        }
        let mut seen = 0;
        for (middle, count) in self.middles() {
            seen += count;
            if seen >= rank {
                return Some(middle.clamp(self.least, self.greatest));
            }
        }
        Some(self.greatest)
    }

    /// How many values are at most `limit`. A value in the same bin as the limit counts as at most
    /// it, so the answer is exact for limits below 2048 and to a bin's width elsewhere.
    pub fn count_at_most(&self, limit: i64) -> u64 {
        if self.count == 0 || limit >= self.greatest {
            return self.count;
        }
        if limit < self.least {
            return 0;
        }
        let own_bin = middle_of(limit);
        self.middles().take_while(|(middle, _)| *middle <= own_bin).map(|(_, count)| count).sum()
    }

    /// (middle of the bin, count) in rising order: for drawing.
    pub fn middles(&self) -> impl Iterator<Item = (i64, u64)> + '_ {
        let below = self.below_zero.bins().rev().map(|(low, width, count)| (-middle(low, width), count));
        let above = self.from_zero.bins().map(|(low, width, count)| (middle(low, width), count));
        below.chain(above)
    }
}

/// Middle of a bin, rounded down, within the range of an i64 (2^63 itself stands for `i64::MIN`).
fn middle(low: u64, width: u64) -> i64 {
    i64::try_from(low + (width - 1) / 2).unwrap_or(i64::MAX)
}

/// Middle of the bin that `value` falls into.
fn middle_of(value: i64) -> i64 {
    let (row, place) = bin_of(value.unsigned_abs());
    let (low, width) = edges_of(row, place);
    if value < 0 { -middle(low, width) } else { middle(low, width) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Deterministic values over many octaves, both signs.
    fn scattered(n: u64) -> Vec<i64> {
        (0..n)
            .map(|i| {
                let mixed = i.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (i << 7);
                let magnitude = (mixed >> (mixed % 34 + 24)) as i64;
                if mixed & 8 == 0 { -magnitude / 16 } else { magnitude }
            })
            .collect()
    }

    fn record_of(values: &[i64]) -> Histogram {
        let mut record = Histogram::new();
        values.iter().for_each(|v| record.record(*v));
        record
    }

    #[test]
    fn every_magnitude_lies_inside_its_bin_and_bins_are_narrow() {
        for shift in 0..64 {
            for offset in [-2_i64, -1, 0, 1, 2, 77] {
                let magnitude = (1_u64 << shift).wrapping_add_signed(offset);
                let (row, place) = bin_of(magnitude);
                let (low, width) = edges_of(row, place);
                assert!(low <= magnitude && magnitude - low < width, "{magnitude} in {low} + {width}");
                assert!(width == 1 || width as f64 <= RELATIVE_BIN_WIDTH * low as f64);
                assert!(magnitude >= 2048 || width == 1, "exact below 2048");
            }
        }
    }

    #[test]
    fn sums_and_ends_are_exact() {
        let values = scattered(5000);
        let record = record_of(&values);
        assert_eq!(record.count(), 5000);
        assert_eq!(record.sum(), values.iter().map(|v| i128::from(*v)).sum::<i128>());
        let squares: u128 = values.iter().map(|v| u128::from(v.unsigned_abs()).pow(2)).sum();
        assert_eq!(record.sum_of_squares(), squares);
        assert_eq!(record.min(), values.iter().min().copied());
        assert_eq!(record.max(), values.iter().max().copied());
    }

    #[test]
    fn percentiles_keep_to_a_twentieth_of_a_percent() {
        let mut values = scattered(20_001);
        let record = record_of(&values);
        values.sort_unstable();
        for p in [0.0, 0.001, 0.1, 0.25, 0.5, 0.9, 0.95, 0.99, 0.9999, 1.0] {
            let rank = ((p * 20_001.0_f64).ceil() as usize).clamp(1, 20_001);
            let (exact, shown) = (values[rank - 1] as f64, record.quantile(p).unwrap() as f64);
            assert!((shown - exact).abs() <= exact.abs() / 2048.0, "p {p}: {shown} for {exact}");
        }
        assert_eq!(record.quantile(0.0), record.min());
        assert_eq!(record.quantile(1.0), record.max());
    }

    #[test]
    fn merging_in_any_order_gives_the_same_record() {
        let values = scattered(3000);
        let whole = record_of(&values);
        // Some listed bin by bin, some in rows.
        let cut = values.split_at(900);
        let parts: Vec<Histogram> = cut.0.chunks(70).chain(cut.1.chunks(2100)).map(record_of).collect();
        assert!(parts.iter().any(|p| p.from_zero.rows.is_empty()));
        assert!(parts.iter().any(|p| p.from_zero.few.is_empty()));
        let mut forwards = Histogram::new();
        parts.iter().for_each(|p| forwards.merge(p));
        let mut backwards = Histogram::new();
        parts.iter().rev().for_each(|p| backwards.merge(p));
        assert_eq!(forwards, whole);
        assert_eq!(backwards, whole);
        assert_ne!(record_of(&values[1..]), whole);
    }

    #[test]
    fn many_values_in_few_bins_give_the_same_record_in_any_order() {
        let values: Vec<i64> = (0..MANY as i64 + 100).map(|k| 1000 + k % 7).collect();
        let whole = record_of(&values);
        assert!(whole.from_zero.few.is_empty());
        let (most, rest) = values.split_at(MANY as usize);
        let (most, rest) = (record_of(most), record_of(rest));
        assert_eq!((most.from_zero.rows.len(), rest.from_zero.rows.len()), (0, 0));
        let (mut forwards, mut backwards) = (most.clone(), rest.clone());
        forwards.merge(&rest);
        backwards.merge(&most);
        assert_eq!(forwards, whole);
        assert_eq!(backwards, whole);
        assert!((0..7).all(|k| whole.count_at_most(1000 + k) - whole.count_at_most(999 + k) >= MANY / 7));
    }

    #[test]
    fn counts_up_to_a_limit_take_the_limits_own_bin() {
        let record = record_of(&[-5000, -3, 0, 0, 7, 7, 2047, 1_000_000, 1_000_100, 2_000_000]);
        assert_eq!(record.count_at_most(-5001), 0);
        assert_eq!(record.count_at_most(-4), 1);
        assert_eq!(record.count_at_most(0), 4);
        assert_eq!(record.count_at_most(7), 6);
        assert_eq!(record.count_at_most(1_000_000), 9, "1000100 shares the bin");
        assert_eq!(record.count_at_most(1_500_000), 9);
        assert_eq!(record.count_at_most(i64::MAX), 10);
    }

    #[test]
    fn the_variance_of_large_neighbours_does_not_cancel() {
        let base = 4_000_000_000_000_000;
        let record = record_of(&[base, base + 1, base + 2, base + 3]);
        assert!((record.variance().unwrap() - 5.0 / 3.0).abs() < 1e-15);
        let record = record_of(&[-base, -base - 1, -base - 2, -base - 3]);
        assert!((record.variance().unwrap() - 5.0 / 3.0).abs() < 1e-15);
        assert_eq!(record_of(&[9; 50]).variance(), Some(0.0));
    }

    #[test]
    fn an_empty_record_has_no_values_to_show() {
        let empty = Histogram::new();
        assert_eq!((empty.min(), empty.max(), empty.quantile(0.5)), (None, None, None));
        assert_eq!((empty.mean(), empty.variance(), empty.count_at_most(5)), (None, None, 0));
        let one = record_of(&[12]);
        assert_eq!((one.mean(), one.variance(), one.quantile(0.3)), (Some(12.0), None, Some(12)));
        assert_eq!(one.quantile(1.2), None);
        assert_eq!(one.quantile(f64::NAN), None);
    }

    #[test]
    fn the_ends_of_the_integers_fit() {
        let record = record_of(&[i64::MIN, i64::MAX]);
        assert_eq!((record.min(), record.max(), record.sum()), (Some(i64::MIN), Some(i64::MAX), -1));
        let mut same = Histogram::new();
        same.record_times(4, 3);
        assert_eq!(same, record_of(&[4, 4, 4]));
    }
}
