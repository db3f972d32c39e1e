//! The state of the work: every bay's nodes, every gang's free people and ready tasks, equipment,
//! room. The caller owns time: it is told which tasks started and calls back when they end.

use super::amiss::Looked;
use super::apart::Counts;
use super::bay_work::{BayWork, Status};
use super::entered::AllEntered;
use super::halts::Halts;
use super::helpers::HelperState;
use super::node::NodeKind;
use super::presence::Manned;
use super::seats::{heads, seats};
use super::shop::Shop;
use super::stock::Stock;

/// What the caller says of a task that has all it needs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Gate {
    Go,
    NotNow,
    /// Something is amiss with its parts, which it takes; it waits until that is put right.
    Amiss,
    /// Its window is missed: it must not start; the caller undoes what the window says.
    Missed,
}

#[derive(Clone, Copy, Debug)]
pub struct Ready {
    /// Rank: class, then who entered first, then the longest remaining path, then file order.
    pub rank: u128,
    pub bay: u32,
    pub node: u16,
}

#[derive(Clone, Debug)]
pub struct GangState {
    pub free: u128,
    /// Who is there in this shift, at work or not.
    pub here: u128,
    /// With whom it was last worked out what they can do.
    pub(super) manned_with: Option<u128>,
    /// Visitors outside their hours: they begin nothing.
    pub off: u128,
    /// Who moves the units of a segment, and whom a push keeps back that waits for people.
    pub moving: u128,
    pub kept_back: u128,
    /// Some work has begun and nobody goes on with it.
    pub unmanned: bool,
    /// Gone home until its next shift: it begins nothing.
    pub home: bool,
    /// Its hours are over, where a feeder has hours of its own.
    pub away: bool,
    pub idle_since: Vec<i64>,
    /// Where each of them was last: by the entry of the unit into its bay.
    pub(super) last: Vec<u64>,
    pub ready: Vec<Ready>,
    /// Needs a walk.
    pub dirty: bool,
}

#[derive(Clone, Debug)]
pub struct Floor {
    pub bays: Vec<BayWork>,
    /// Per bay and node.
    pub status: Vec<Status>,
    pub left: Vec<u16>,
    pub skip: Vec<bool>,
    pub people: Vec<u128>,
    /// Per bay and kind of equipment: pieces that running tasks of its unit ask for.
    pub(super) used: Vec<u32>,
    /// Per bay node: keeps that began as people set out for it; empty where nobody walks or nothing is kept.
    pub(super) opened: Vec<u64>,
    /// Remaining path inside the place per (node of the shop, model), microseconds.
    pub path: Vec<i64>,
    pub gangs: Vec<GangState>,
    /// What units found at the places that had not been there.
    pub(super) entered: AllEntered,
    /// As `Shop::helpers`.
    pub helpers: Vec<HelperState>,
    /// Some of them have come free since the caller last looked.
    pub helpers_freed: bool,
    /// Per (node of the shop, model): mean time, where somebody helps.
    pub planned: Vec<i64>,
    /// Gangs that need a walk, in the order they were marked.
    pub dirty_gangs: Vec<u16>,
    pub free_equipment: Vec<u32>,
    /// Some of it was taken or given back since the caller last looked.
    pub equipment_moved: bool,
    /// Pieces have come back since holds that wait for some were looked at.
    pub came_free: bool,
    /// Per kind of equipment that has to be fetched: the places of its free pieces.
    pub(super) stands: Vec<Vec<u16>>,
    /// Per bay node: how long what starts fetches equipment; empty where nothing has to be fetched.
    pub(super) way: Vec<i64>,
    /// Gangs whose work lets that of others go first, each with the gang of the other.
    pub(super) passed: Vec<(u16, u16)>,
    pub stock: Stock,
    /// Per bay node; empty where nothing can be amiss with parts.
    pub(super) looked: Vec<Looked>,
    /// Tasks whose parts were found amiss since the caller last looked.
    pub laid_out: Vec<(u32, u16)>,
    /// What is stopped.
    pub halts: Halts,
    pub(super) room: Vec<u32>,
    /// Per bay or place, and exclusion.
    pub(super) apart: Vec<Counts>,
    /// Per node and model, where people may be missing; empty where everybody always comes. Bays of one crew share
    /// them: `manned0` says per bay where its nodes stand.
    pub(super) manned: Vec<Manned>,
    pub(super) manned0: Vec<u32>,
    /// Per gang: where the nodes of the place behind stand for it, where each bay has a crew that begins early there;
    /// `u32::MAX` for others. Empty where none does.
    pub(super) early0: Vec<u32>,
    /// Per bay node, likewise: people with whom what runs has begun; 0 for what takes none.
    pub(super) started: Vec<u8>,
    /// Per bay node: the gang that came along to finish it; empty where no crew drifts.
    pub(super) carried: Vec<u16>,
    pub(super) walks: u32,
    /// (entry from which on units are barred, people the task could use): claims of the current walk.
    pub(super) claims: Vec<(u64, u128)>,
    stack: Vec<u16>,
}

impl Floor {
    /// `path`: longest remaining path inside the place per (node, model), node-major.
    pub fn new(shop: &Shop, path: Vec<i64>) -> Floor {
        let idle = BayWork::new(0, 0, false, 0);
        Floor {
            bays: vec![idle; shop.bays],
            status: vec![Status::Done; shop.bay_nodes],
            left: vec![0; shop.bay_nodes],
            skip: vec![false; shop.bay_nodes],
            people: vec![0; shop.bay_nodes],
            used: vec![0; shop.bays * shop.equipment.len()],
            opened: vec![
                0;
                if shop.has_walks && !shop.keep_equipment.is_empty() { shop.bay_nodes } else { 0 }
            ],
            path,
            gangs: shop
                .gangs
                .iter()
                .map(|g| GangState {
                    free: g.all,
                    here: g.all,
                    manned_with: None,
                    off: 0,
                    moving: 0,
                    kept_back: 0,
                    unmanned: false,
                    home: false,
                    away: false,
                    idle_since: vec![0; g.people.len()],
                    last: vec![super::walks::NOWHERE; g.people.len()],
                    ready: Vec::with_capacity(16),
                    dirty: false,
                })
                .collect(),
            entered: AllEntered::new(shop),
            helpers: vec![HelperState::default(); shop.helpers.len()],
            helpers_freed: false,
            planned: Vec::new(),
            dirty_gangs: Vec::with_capacity(shop.gangs.len()),
            free_equipment: shop.equipment.clone(),
            equipment_moved: true,
            came_free: false,
            stands: Floor::stand_anywhere(shop),
            way: vec![0; if shop.fetching.iter().any(|f| f.way > 0) { shop.bay_nodes } else { 0 }],
            passed: Vec::new(),
            stock: Stock::unlimited(shop.part_of.len()),
            looked: Vec::new(),
            laid_out: Vec::new(),
            halts: Halts::new(shop),
            room: vec![0; shop.bays * shop.caps.len()],
            apart: Floor::apart_counts(shop),
            manned: Vec::new(),
            manned0: Vec::new(),
            early0: Vec::new(),
            started: Vec::new(),
            carried: Vec::new(),
            walks: 0,
            claims: Vec::with_capacity(8),
            stack: Vec::with_capacity(8),
        }
    }

    #[inline]
    pub fn mark(&mut self, gang: usize) {
        if !self.gangs[gang].dirty {
            self.gangs[gang].dirty = true;
            self.dirty_gangs.push(gang as u16);
        }
    }

    /// A unit stands in the bay and its work may begin. `done(local)` says what needs no doing,
    /// `applies` what applies to it. Newly ready nodes are appended to `fresh`.
    pub fn enter(
        &mut self,
        shop: &Shop,
        bay: usize,
        unit: BayWork,
        done: impl Fn(usize) -> bool,
        applies: impl Fn(usize) -> bool,
        fresh: &mut Vec<u16>,
    ) {
        let place = &shop.places[shop.bay_place[bay] as usize];
        let (n, base) = (place.nodes as usize, shop.bay_node0[bay] as usize);
        self.bays[bay] = unit;
        self.bays[bay].undone = 0;
        for k in 0..n {
            let carried = self.is_carried(shop, bay, k);
            let is_done = !carried && (shop.nodes[place.node0 as usize + k].dormant || done(k));
            self.skip[base + k] = !applies(k);
            self.status[base + k] = match (carried, is_done) {
                (true, _) => Status::Running,
                (false, true) => Status::Done,
                (false, false) => Status::Waiting,
            };
            self.bays[bay].undone += u16::from(!is_done);
            if carried {
                *self.bays[bay].running(shop.nodes[place.node0 as usize + k].is_hold()) += 1;
            }
        }
        self.recount(shop, bay, fresh);
    }

    /// As `enter` for a place all of whose nodes are to be done and apply.
    #[inline]
    pub fn enter_plain(&mut self, shop: &Shop, bay: usize, unit: BayWork, fresh: &mut Vec<u16>) {
        let place = &shop.places[shop.bay_place[bay] as usize];
        let (n, base) = (place.nodes as usize, shop.bay_node0[bay] as usize);
        self.bays[bay] = unit;
        self.bays[bay].undone = place.undone0;
        if n == 1 {
            self.status[base] = Status::Ready;
        } else {
            self.left[base..base + n].copy_from_slice(&place.left0);
            self.status[base..base + n].fill(Status::Waiting);
            for k in &place.sources {
                self.status[base + *k as usize] = Status::Ready;
            }
        }
        fresh.extend_from_slice(&place.sources);
    }

    /// Counts anew what every waiting node waits for, and passes on what is free.
    pub(super) fn recount(&mut self, shop: &Shop, bay: usize, fresh: &mut Vec<u16>) {
        let place = &shop.places[shop.bay_place[bay] as usize];
        let (n, base, node0) = (place.nodes as usize, shop.bay_node0[bay] as usize, place.node0 as usize);
        for k in 0..n {
            if self.status[base + k] == Status::Waiting {
                self.left[base + k] = shop.predecessors[node0 + k]
                    .iter()
                    .filter(|p| self.status[base + **p as usize] != Status::Done)
                    .count() as u16;
            }
        }
        // What is free now is settled before anything is passed through, so that no node is seen twice.
        self.stack.clear();
        self.stack.extend((0..n as u16).filter(|k| {
            self.status[base + *k as usize] == Status::Waiting && self.left[base + *k as usize] == 0
        }));
        let free = std::mem::take(&mut self.stack);
        for k in &free {
            self.release(shop, bay, *k, fresh);
        }
        self.stack = free;
    }

    /// A waiting node waits for nothing any more: ready, or passed through if it does not apply.
    fn release(&mut self, shop: &Shop, bay: usize, local: u16, fresh: &mut Vec<u16>) {
        let base = shop.bay_node0[bay] as usize;
        if self.skip[base + local as usize] {
            self.done(shop, bay, local, fresh);
        } else {
            self.status[base + local as usize] = Status::Ready;
            fresh.push(local);
        }
    }

    /// Marks a node done and releases what followed it.
    pub fn done(&mut self, shop: &Shop, bay: usize, local: u16, fresh: &mut Vec<u16>) {
        let base = shop.bay_node0[bay] as usize;
        let node0 = shop.places[shop.bay_place[bay] as usize].node0 as usize;
        self.status[base + local as usize] = Status::Done;
        self.bays[bay].undone -= 1;
        let closes = shop.nodes[node0 + local as usize].closes;
        if closes != 0 {
            self.close_keeps(shop, bay, closes);
        }
        for next in &shop.successors[node0 + local as usize] {
            let at = base + *next as usize;
            if self.status[at] == Status::Waiting {
                self.left[at] -= 1;
                if self.left[at] == 0 {
                    self.release(shop, bay, *next, fresh);
                }
            }
        }
    }

    /// A task has ended: its people, room and equipment are free again (what is kept stays held).
    /// Call `done` afterwards. Returns its people.
    pub fn end_work(&mut self, shop: &Shop, bay: usize, local: usize, now: i64) -> u128 {
        let at = shop.bay_node0[bay] as usize + local;
        let node = shop.node(bay, local);
        let gang = self.gang_of(shop, bay, local);
        let people = std::mem::take(&mut self.people[at]);
        self.nobody_goes_on(at);
        self.bays[bay].running_work -= 1;
        if people != 0 {
            let state = &mut self.gangs[gang];
            state.free |= people & shop.gangs[gang].all;
            seats(people).for_each(|seat| state.idle_since[seat] = now);
            if !self.gangs[gang].ready.is_empty() || self.gangs[gang].unmanned {
                self.mark(gang);
            }
            self.helpers_end(shop, gang, people);
        }
        if !node.caps.is_empty() {
            let room = bay * shop.caps.len();
            for cap in &node.caps {
                self.room[room + *cap as usize] -= heads(people);
            }
            self.mark(shop.bay_gang[bay] as usize);
        }
        self.carried_ends(at);
        if node.takes_equipment() {
            self.return_equipment(shop, bay, local);
        }
        if !node.sides.is_empty() {
            self.note_apart(shop, bay, local, false);
        }
        people
    }

    /// What runs is over, whatever it is. Call `done` afterwards.
    pub(super) fn end(&mut self, shop: &Shop, bay: usize, local: usize, now: i64) {
        match shop.node(bay, local).kind {
            NodeKind::Hold { .. } => self.end_hold(shop, bay, local),
            NodeKind::Work | NodeKind::Fix { .. } | NodeKind::Verdict { .. } => {
                self.end_work(shop, bay, local, now);
            }
        }
    }

    /// A hold is over. Call `done` afterwards.
    #[inline]
    pub fn end_hold(&mut self, shop: &Shop, bay: usize, local: usize) {
        self.bays[bay].running_holds -= 1;
        self.carried_ends(shop.bay_node0[bay] as usize + local);
        if !shop.node(bay, local).sides.is_empty() {
            self.note_apart(shop, bay, local, false);
        }
    }

    /// What was started from the list is an attended hold: it holds, and is no work.
    pub fn started_hold(&mut self, bay: usize) {
        self.bays[bay].running_work -= 1;
        self.bays[bay].running_holds += 1;
    }

    /// A node that nobody does starts; for holds and free tasks. What it takes is free.
    #[inline]
    pub fn start_free(&mut self, shop: &Shop, bay: usize, local: usize) {
        if shop.node(bay, local).takes_equipment() {
            self.take_equipment(shop, bay, local);
        }
        self.status[shop.bay_node0[bay] as usize + local] = Status::Running;
        match shop.node(bay, local).kind {
            NodeKind::Hold { .. } => self.bays[bay].running_holds += 1,
            NodeKind::Work | NodeKind::Verdict { .. } | NodeKind::Fix { .. } => {
                self.bays[bay].running_work += 1
            }
        }
        if !shop.node(bay, local).sides.is_empty() {
            self.note_apart(shop, bay, local, true);
        }
    }
}
