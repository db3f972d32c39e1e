//! What can run at a place: a task, a hold, a verdict, a fix; and everything that decides when it may.

use super::apart::{Side, sides};
use crate::line::{AtBreaks, Line, Need, Shared, Step, StepKind};

/// Beside the options of a part: it is the first one of its lot.
pub const FIRST_OF_LOT: u64 = 1 << 63;

/// What a node does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NodeKind {
    /// A task: attended.
    Work,
    /// A hold: no people; on the clock, or in attended time only.
    Hold { attended: bool },
    /// The verdict of a test: no time, falls when its procedure is done.
    Verdict { test: u16 },
    /// Fixing a failed unit in its bay, or working on it in a repair bay.
    Fix { test: u16, outcome: u16 },
}

#[derive(Clone, Debug)]
pub struct Node {
    pub kind: NodeKind,
    /// Index of the step, or `u32::MAX` for verdicts and fixes.
    pub step: u32,
    /// Done unless called (fixes, copies for a window's redo).
    pub dormant: bool,
    /// Set for the copy of a step that a window redoes elsewhere than at its own place.
    pub copy_of_window: Option<u16>,
    /// May be gone on with elsewhere: which of `Shop::travelling`.
    pub travels: Option<u16>,
    /// Set for the copy of a step that comes with its unit from another place.
    pub brought: bool,
    /// Set for the copy of a task that the crew of the place before may finish here.
    pub drifted: bool,
    /// Set for the copy of a task of the next place that the crew there may begin here.
    pub early: bool,
    /// Bit m: applies to model m.
    pub models: u64,
    /// Applies to units that have all these options.
    pub options: u64,
    /// Mends what a gate finds: a unit without faults does not have it.
    pub mends: bool,
    /// Takes no people, parts, equipment or room and closes no window: starts as soon as it is ready.
    pub free_start: bool,
    /// Judges or opens a window that asks for attended time ahead, or minds the breaks.
    pub gated: bool,
    /// People finish it first where a break comes.
    pub through: bool,
    /// Pieces of equipment: (equipment, pieces).
    pub equipment: Vec<(u16, u32)>,
    /// Parts it takes from stores at its start: (part, pieces).
    pub parts: Vec<(u16, u32)>,
    /// Some of them are re-kitted for whom others overtake.
    pub in_turn: bool,
    /// Room caps it counts against (indexes into `Shop::caps`).
    pub caps: Vec<u16>,
    /// Keeps that open at its start and close at its end (indexes into `Line::keeps`).
    pub opens: u64,
    pub closes: u64,
    /// Hold nodes among its local predecessors (for the audit), as local indexes.
    pub after_holds: Vec<u16>,
    /// Windows that it opens at its start / at its end, closes at its start / at its end.
    pub opens_at_start: Vec<u16>,
    pub opens_at_end: Vec<u16>,
    pub judges_at_start: Vec<u16>,
    pub judges_at_end: Vec<u16>,
    /// Per model: its needs.
    pub needs: Vec<Vec<Need>>,
    /// Per model: people it takes.
    pub heads: Vec<u32>,
    /// Never with fewer.
    pub exactly: bool,
    /// Its part in work that is kept apart.
    pub sides: Vec<Side>,
    /// Per model and need: the most people; empty where the number is exact.
    pub most: Vec<Vec<u32>>,
}

impl Node {
    /// It takes equipment, or its unit keeps some from it on.
    #[inline]
    pub fn takes_equipment(&self) -> bool {
        !self.equipment.is_empty() || self.opens != 0
    }

    pub fn is_hold(&self) -> bool {
        matches!(self.kind, NodeKind::Hold { .. })
    }

    /// Whether units of a model with these options have it.
    pub fn is_for(&self, model: usize, options: u64) -> bool {
        self.models >> model & 1 == 1 && self.options & !options == 0
    }

    /// Who does it, and how many more may share it.
    pub(super) fn set_needs(&mut self, needs: Vec<Vec<Need>>, shared: Option<&Shared>) {
        self.heads = needs.iter().map(|list| list.iter().map(|n| n.count).sum()).collect();
        self.needs = needs;
        self.most = shared.map_or_else(Vec::new, |shared| shared.most.clone());
        self.free_start = self.heads.iter().all(|n| *n == 0)
            && self.equipment.is_empty()
            && self.parts.is_empty()
            && self.caps.is_empty()
            && self.opens == 0
            && self.sides.is_empty()
            && !self.gated;
    }
}

pub(super) fn bare_node(line: &Line, kind: NodeKind, dormant: bool) -> Node {
    Node {
        kind,
        step: u32::MAX,
        dormant,
        copy_of_window: None,
        travels: None,
        brought: false,
        drifted: false,
        early: false,
        models: u64::MAX,
        options: 0,
        mends: false,
        free_start: true,
        gated: false,
        through: false,
        equipment: Vec::new(),
        parts: Vec::new(),
        in_turn: false,
        caps: Vec::new(),
        opens: 0,
        closes: 0,
        after_holds: Vec::new(),
        opens_at_start: Vec::new(),
        opens_at_end: Vec::new(),
        judges_at_start: Vec::new(),
        judges_at_end: Vec::new(),
        needs: vec![Vec::new(); line.models.len()],
        heads: vec![0; line.models.len()],
        exactly: false,
        sides: Vec::new(),
        most: Vec::new(),
    }
}

pub(super) fn step_node(line: &Line, index: usize, copy_of_window: Option<u16>) -> Node {
    let step: &Step = &line.steps[index];
    let kind = match &step.kind {
        StepKind::Task => NodeKind::Work,
        StepKind::Hold(hold) => NodeKind::Hold { attended: hold.attended },
    };
    let mut node = bare_node(line, kind, copy_of_window.is_some());
    node.step = index as u32;
    node.copy_of_window = copy_of_window;
    node.models =
        step.models.iter().enumerate().fold(0, |mask, (m, applies)| mask | u64::from(*applies) << m);
    node.options = step.options.iter().fold(0, |mask, o| mask | 1 << o.0);
    node.options |= if step.once_a_lot { FIRST_OF_LOT } else { 0 };
    node.mends = step.times.iter().any(|time| time.dist.faults().is_some());
    node.parts = step.uses.iter().map(|(p, n)| (p.0, *n)).collect();
    node.in_turn = step.uses.iter().any(|(part, _)| line.comes_in_turn(*part));
    node.equipment = step.equipment.iter().map(|(e, n)| (e.0, *n)).collect();
    if matches!(kind, NodeKind::Work) {
        let caps = line.room_caps.iter().enumerate().filter(|(_, cap)| cap.counts_now(step));
        node.caps = caps.map(|(c, _)| c as u16).collect();
    }
    for (k, keep) in line.keeps.iter().enumerate() {
        node.opens |= u64::from(keep.from.index() == index) << k;
        node.closes |= u64::from(keep.to.index() == index) << k;
    }
    for (w, window) in line.windows.iter().enumerate() {
        let w = w as u16;
        if window.opens.index() == index {
            if window.opens_at_end { node.opens_at_end.push(w) } else { node.opens_at_start.push(w) }
        }
        if window.closes.index() == index {
            if window.judged_at_end { node.judges_at_end.push(w) } else { node.judges_at_start.push(w) }
        }
    }
    node.gated = !node.opens_at_start.is_empty()
        || !node.opens_at_end.is_empty()
        || !node.judges_at_start.is_empty()
        || !node.judges_at_end.is_empty()
        || step.at_breaks != AtBreaks::Rests;
    node.through = step.at_breaks == AtBreaks::Through;
    node.sides = sides(line, index);
    node.set_needs(step.needs.clone(), step.shared.as_ref());
    node.exactly = step.exactly;
    node
}
