//! What a search may spend, and what it answers.

/// What a search may spend. Counts decide the answer; `stop` only ends it.
pub struct Budget<'a> {
    /// Steps of listing loads, in both directions together.
    pub most_steps: u64,
    /// Bytes of states kept, in both directions together.
    pub most_memory: usize,
    /// An answer with so many stations is good enough.
    pub enough: usize,
    /// Answers with more stations are of no interest: it is enough to prove that there is none with
    /// fewer.
    pub most_stations: Option<usize>,
    /// Asked now and then; true ends the search at once.
    pub stop: &'a dyn Fn() -> bool,
}

impl Default for Budget<'_> {
    fn default() -> Self {
        Budget {
            most_steps: 20_000_000_000,
            most_memory: 1 << 30,
            enough: 0,
            most_stations: None,
            stop: &|| false,
        }
    }
}

/// Why a search ended.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StoppedBy {
    /// The answer is the best there is, or as good as was asked for.
    Proof,
    Steps,
    Memory,
    /// The caller.
    Caller,
}

/// The best assignment found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answer {
    /// For each task, from 0.
    pub station_of: Vec<usize>,
    pub stations: usize,
    /// No assignment has fewer stations than this.
    pub lower_bound: usize,
    pub steps: u64,
    pub stopped_by: StoppedBy,
}

impl Answer {
    pub fn is_proven(&self) -> bool {
        self.stations == self.lower_bound
    }
}

/// The best answer so far, in the order of the file's line.
pub(super) struct Best {
    pub station_of: Vec<usize>,
    pub stations: usize,
}

impl Best {
    /// Takes over an answer that is better. `backwards`: its stations count from the end.
    pub fn offer(&mut self, station_of: &[usize], stations: usize, backwards: bool) {
        if stations < self.stations {
            self.stations = stations;
            self.station_of = station_of.to_vec();
            if backwards {
                self.station_of.iter_mut().for_each(|s| *s = stations - 1 - *s);
            }
        }
    }
}
