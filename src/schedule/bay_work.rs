//! The work on the unit in a bay: how much of it waits, runs and is done, and what it lacks.

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Status {
    /// Follows a step that is not done; or does not apply and waits to be passed through.
    Waiting,
    Ready,
    Running,
    Done,
}

/// The first need missing of a ready task.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Lack {
    Parts,
    Equipment,
    Room,
    People,
    /// It could start, and may not yet (attended time ahead is too short for its window).
    Leave,
}

#[derive(Clone, Copy, Debug)]
pub struct BayWork {
    pub model: u16,
    /// Grows with every entry into a bay: who entered first.
    pub entered: u64,
    pub returning: bool,
    /// Nodes not done.
    pub undone: u16,
    pub running_work: u16,
    pub running_holds: u16,
    pub ready: u16,
    /// Of the first-ranked ready task; meaningful while `ready` > 0.
    pub lack: Lack,
    pub(super) lack_walk: u32,
    /// Keeps held by the unit.
    pub kept: u64,
}

impl BayWork {
    /// How many holds, or pieces of work, run on it.
    pub(super) fn running(&mut self, holds: bool) -> &mut u16 {
        if holds { &mut self.running_holds } else { &mut self.running_work }
    }

    /// A unit that enters a bay as the `entered`-th entry of the run.
    pub fn new(model: u16, entered: u64, returning: bool, kept: u64) -> BayWork {
        BayWork {
            model,
            entered,
            returning,
            undone: 0,
            running_work: 0,
            running_holds: 0,
            ready: 0,
            lack: Lack::People,
            lack_walk: 0,
            kept,
        }
    }
}
