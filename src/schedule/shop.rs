//! The line compiled to flat arrays of nodes: everything that can run at a place, in file order.
//!
//! Besides its own steps a place has a node for the verdict of each of its tests, one for each fix
//! in place, and copies of the steps that a missed window sends back (they are redone where the
//! closing step stands). Copies and fixes are dormant until called.

use super::fetching::Fetching;
use super::gang::Gang;
use super::helpers::Helper;
use super::node::{Node, NodeKind, bare_node};
use super::place::ShopPlace;
use super::solo::Spare;
use super::windows::WindowNodes;
use crate::line::{FailOutcome, Fix, Line, OutcomeKind, PlaceId, Reach, Test};

/// A cap on people, with the number in force at each place.
#[derive(Clone, Debug)]
pub struct Cap {
    pub at_place: Vec<u32>,
}

/// The compiled line.
#[derive(Clone, Debug)]
pub struct Shop {
    pub models: usize,
    pub places: Vec<ShopPlace>,
    pub nodes: Vec<Node>,
    /// Successors and predecessors of every node, as local indexes of its place.
    pub successors: Vec<Vec<u16>>,
    pub predecessors: Vec<Vec<u16>>,
    pub gangs: Vec<Gang>,
    /// Everybody who helps crews that they are not of.
    pub helpers: Vec<Helper>,
    pub bays: usize,
    /// Of each bay: place, gang, and first entry in per-bay node arrays.
    pub bay_place: Vec<u16>,
    pub bay_gang: Vec<u16>,
    pub bay_node0: Vec<u32>,
    pub bay_nodes: usize,
    pub caps: Vec<Cap>,
    /// How far each exclusion reaches.
    pub exclusions: Vec<Reach>,
    /// Per place: those from which moves lead here, or the other way round, and how many; empty where places stand in
    /// one row.
    pub(super) far: Vec<Vec<(u16, u32)>>,
    pub equipment: Vec<u32>,
    /// Per kind of equipment: how it is fetched, and who gets it first.
    pub fetching: Vec<Fetching>,
    pub has_turns: bool,
    pub keep_equipment: Vec<u16>,
    pub parts: usize,
    /// Per part: the first of its kinds. What is made for one model is a kind of its own.
    pub kind0: Vec<u16>,
    /// Per kind: its part.
    pub part_of: Vec<u16>,
    /// Gangs whose work takes each kind of part.
    pub uses_part: Vec<Vec<u16>>,
    /// Gangs that may wait for each piece of equipment.
    pub waits_for_equipment: Vec<Vec<u16>>,
    pub windows: Vec<WindowNodes>,
    /// Steps that may be gone on with elsewhere than at their own place, in file order.
    pub travelling: Vec<u32>,
    /// People walk to some place.
    pub has_walks: bool,
    /// More people than needed may share some work.
    pub has_shared: bool,
    /// Order in which gangs start work: last place of the line first.
    pub gang_order: Vec<u16>,
}

/// Nodes of a place at most.
pub const MOST_NODES: usize = 60_000;

/// A line larger than the engine's fixed widths.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TooLarge {
    pub what: &'static str,
    pub limit: u64,
}

fn too_many(what: &'static str, n: usize, limit: u64) -> Result<(), TooLarge> {
    if n as u64 > limit { Err(TooLarge { what, limit }) } else { Ok(()) }
}

/// The fix of a failed unit at a place, if it is fixed there.
fn fix_at<'a>(test: &Test, outcome: &'a FailOutcome, place: usize) -> Option<&'a Fix> {
    let at = match &outcome.kind {
        OutcomeKind::FixedInPlace(_) => test.place,
        OutcomeKind::ToRepair { place, .. } => *place,
        OutcomeKind::BackTo { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => return None,
    };
    outcome.kind.fix().filter(|_| at.index() == place)
}

fn holds_of(list: &[Node]) -> Vec<u16> {
    (0..list.len() as u16).filter(|k| list[usize::from(*k)].is_hold()).collect()
}

/// All nodes are for every unit and begin with it; a unit that may come with work begun is looked at closely.
fn is_plain(line: &Line, place: usize, list: &[Node], models: usize) -> bool {
    let all_models = if models == 64 { u64::MAX } else { (1 << models) - 1 };
    let plain = |node: &Node| {
        !node.dormant && !node.mends && node.models & all_models == all_models && node.options == 0
    };
    !line.begins_early(place) && list.iter().all(plain)
}

impl Shop {
    /// # Errors
    /// More than 64 models or keeps, 63 options, 128 people in one crew, 65,000 bays or nodes of a place.
    pub fn new(line: &Line) -> Result<Shop, TooLarge> {
        let mut shop = Shop::bare(line)?;
        let gang_of_crew = shop.add_crews(line);
        let most = shop.add_helpers(line);
        too_many("people in one crew and those who help it", most, 128)?;
        let mut steps_at: Vec<Vec<usize>> = vec![Vec::new(); line.places.len()];
        for (index, step) in line.steps.iter().enumerate() {
            steps_at[step.place.index()].push(index);
        }
        for (place, own) in steps_at.iter().enumerate() {
            let added = shop.add_place(line, place, own, &gang_of_crew, &mut Spare::none())?;
            shop.places.push(added);
        }
        shop.finish(line);
        Ok(shop)
    }

    /// Nothing but what all places share.
    pub(super) fn bare(line: &Line) -> Result<Shop, TooLarge> {
        too_many("models", line.models.len(), 64)?;
        too_many("options", line.options.len(), 63)?;
        too_many("kept equipment", line.keeps.len(), 64)?;
        too_many("people in one crew", line.crews.iter().map(|c| c.size() as usize).max().unwrap_or(0), 128)?;
        too_many("bays", line.places.iter().map(|p| p.bays as usize).sum(), 60_000)?;

        let mut shop = Shop {
            models: line.models.len(),
            places: Vec::new(),
            nodes: Vec::new(),
            successors: Vec::new(),
            predecessors: Vec::new(),
            gangs: Vec::new(),
            helpers: Vec::new(),
            bays: 0,
            bay_place: Vec::new(),
            bay_gang: Vec::new(),
            bay_node0: Vec::new(),
            bay_nodes: 0,
            caps: line
                .room_caps
                .iter()
                .map(|cap| Cap {
                    at_place: (0..line.places.len()).map(|p| cap.people_at(PlaceId::from_index(p))).collect(),
                })
                .collect(),
            exclusions: line.exclusions.iter().map(|exclusion| exclusion.reach).collect(),
            far: super::apart::far(line),
            equipment: line.equipment.iter().map(|e| e.count).collect(),
            fetching: line.equipment.iter().map(|e| Fetching::of(line, e)).collect(),
            has_turns: line.equipment.iter().any(|e| !e.first.is_empty()),
            parts: line.parts.len(),
            kind0: Vec::new(),
            part_of: Vec::new(),
            uses_part: vec![Vec::new(); line.parts.len()],
            keep_equipment: line.keeps.iter().map(|k| k.equipment.0).collect(),
            waits_for_equipment: vec![Vec::new(); line.equipment.len()],
            windows: vec![WindowNodes { place: 0, undone: Vec::new(), closes: 0 }; line.windows.len()],
            travelling: (0..line.steps.len() as u32)
                .filter(|s| line.may_be_brought(&line.steps[*s as usize]))
                .collect(),
            has_walks: line.has_walks(),
            has_shared: line.shares_work(),
            gang_order: Vec::new(),
        };
        shop.add_kinds(line);
        Ok(shop)
    }

    /// Gangs of every crew; returns the first gang of each.
    fn add_crews(&mut self, line: &Line) -> Vec<u16> {
        (0..line.crews.len()).map(|crew| self.add_crew(line, crew)).collect()
    }

    /// The gangs of one crew; returns the first of them.
    pub(super) fn add_crew(&mut self, line: &Line, crew: usize) -> u16 {
        let first = self.gangs.len() as u16;
        for instance in 0..line.gangs_of(&line.crews[crew]) {
            self.gangs.push(Gang::of_crew(line, crew, instance as u16));
        }
        first
    }

    /// The nodes and bays of a place; nodes made before are taken from `spare`.
    pub(super) fn add_place(
        &mut self,
        line: &Line,
        place: usize,
        own: &[usize],
        gang_of_crew: &[u16],
        spare: &mut Spare,
    ) -> Result<ShopPlace, TooLarge> {
        let stated = &line.places[place];
        let node0 = self.nodes.len();
        let mut list: Vec<Node> = own.iter().map(|s| spare.node(line, *s)).collect();
        let local = |step: usize| own.iter().position(|s| *s == step);
        let mut edges: Vec<(usize, usize)> = Vec::new();
        for (k, step) in own.iter().enumerate() {
            edges.extend(line.steps[*step].after.iter().filter_map(|p| local(p.index())).map(|p| (p, k)));
        }
        for (t, test) in line.tests.iter().enumerate() {
            if test.place.index() == place {
                let verdict = list.len();
                list.push(bare_node(line, NodeKind::Verdict { test: t as u16 }, false));
                let inside: Vec<usize> = test.steps.iter().filter_map(|s| local(s.index())).collect();
                edges.extend(inside.iter().map(|k| (*k, verdict)));
                for (k, step) in own.iter().enumerate() {
                    let follows = line.steps[*step].after.iter().any(|p| test.steps.contains(p));
                    if follows && !inside.contains(&k) {
                        edges.push((verdict, k));
                    }
                }
            }
            for (o, outcome) in test.outcomes.iter().enumerate() {
                if let Some(fix) = fix_at(test, outcome, place) {
                    let mut node = bare_node(line, NodeKind::Fix { test: t as u16, outcome: o as u16 }, true);
                    node.set_needs(vec![fix.needs.clone(); line.models.len()], fix.shared.as_ref());
                    list.push(node);
                }
            }
        }
        self.add_windows(line, place, own, &mut list, &mut edges);
        for (k, step) in self.travelling.iter().enumerate() {
            if let Some(local) = local(*step as usize) {
                list[local].travels = Some(k as u16);
            }
        }
        if !spare.is_alone {
            let crew = stated.crew.map(|crew| &self.gangs[gang_of_crew[crew.index()] as usize]);
            super::travel::add_copies(line, &self.travelling, place, own, crew, &mut list, &mut edges);
        }
        if list.len() > MOST_NODES {
            return Err(TooLarge { what: "steps at one place", limit: MOST_NODES as u64 });
        }
        edges.sort_unstable();
        edges.dedup();
        let n = list.len();
        let (mut successors, mut predecessors) = (vec![Vec::new(); n], vec![Vec::new(); n]);
        for (from, to) in edges {
            successors[from].push(to as u16);
            predecessors[to].push(from as u16);
        }
        note_holds(line, own.len(), &predecessors, &mut list);
        let left0: Vec<u16> = (0..n)
            .map(|k| predecessors[k].iter().filter(|p| !list[**p as usize].dormant).count() as u16)
            .collect();
        let (gang0, gang_per_bay) = match stated.crew {
            Some(crew) => (gang_of_crew[crew.index()], line.crews[crew.index()].per_bay),
            None => {
                self.gangs.push(Gang::nobody(line));
                ((self.gangs.len() - 1) as u16, false)
            }
        };
        let bay0 = self.bay_place.len();
        for bay in 0..stated.bays {
            self.bay_place.push(place as u16);
            self.bay_gang.push(gang0 + if gang_per_bay { bay as u16 } else { 0 });
            self.bay_node0.push(self.bay_nodes as u32);
            self.bay_nodes += n;
        }
        let compiled = ShopPlace {
            node0: node0 as u32,
            nodes: n as u16,
            bay0: bay0 as u32,
            bays: stated.bays as u16,
            gang0,
            gang_per_bay,
            undone0: list.iter().filter(|node| !node.dormant).count() as u16,
            sources: (0..n).filter(|k| left0[*k] == 0 && !list[*k].dormant).map(|k| k as u16).collect(),
            left0,
            holds: holds_of(&list),
            mends: list.iter().any(|node| node.mends),
            plain: is_plain(line, place, &list, self.models),
            walk: stated.walk.0,
            line: line
                .ends_of(PlaceId::from_index(place))
                .map_or(place..=place, |(first, last)| first.index()..=last.index()),
            pushed: line.rule_at(PlaceId::from_index(place)).is_pushed(),
        };
        self.nodes.extend(list);
        self.successors.extend(successors);
        self.predecessors.extend(predecessors);
        Ok(compiled)
    }

    pub(super) fn finish(&mut self, line: &Line) {
        self.bays = self.bay_place.len();
        for (place, compiled) in self.places.iter().enumerate().rev().filter(|(_, p)| p.bays > 0) {
            let gangs = if compiled.gang_per_bay {
                compiled.gang0..compiled.gang0 + compiled.bays
            } else {
                compiled.gang0..compiled.gang0 + 1
            };
            for gang in gangs {
                let list = &mut self.gangs[gang as usize].places;
                if !list.contains(&(place as u16)) {
                    list.push(place as u16);
                }
                if !self.gang_order.contains(&gang) {
                    self.gang_order.push(gang);
                }
                for node in &self.nodes[compiled.node0 as usize..][..compiled.nodes as usize] {
                    for (part, _) in &node.parts {
                        let users = &mut self.uses_part[*part as usize];
                        if !users.contains(&gang) {
                            users.push(gang);
                        }
                    }
                    let kept = (0..line.keeps.len())
                        .filter(|k| node.opens >> k & 1 == 1)
                        .map(|k| self.keep_equipment[k]);
                    for equipment in node.equipment.iter().map(|(e, _)| *e).chain(kept) {
                        let waiting = &mut self.waits_for_equipment[equipment as usize];
                        if !waiting.contains(&gang) {
                            waiting.push(gang);
                        }
                    }
                }
            }
        }
        self.know_gangs();
    }

    /// The nodes of a place.
    #[inline]
    pub fn nodes_of(&self, place: usize) -> &[Node] {
        let compiled = &self.places[place];
        &self.nodes[compiled.node0 as usize..][..compiled.nodes as usize]
    }

    /// A node by its bay and local index.
    #[inline]
    pub fn node(&self, bay: usize, local: usize) -> &Node {
        &self.nodes[self.places[self.bay_place[bay] as usize].node0 as usize + local]
    }
}

/// Which holds of the place (the first so many nodes are its `own` steps), or of those that go on there, each node is
/// the first to follow: where it starts, their audit ends.
fn note_holds(line: &Line, own: usize, predecessors: &[Vec<u16>], list: &mut [Node]) {
    let nodes = list.iter().enumerate();
    let holds: Vec<bool> = nodes.map(|(k, n)| n.is_hold() && (k < own || n.drifted)).collect();
    let steps: Vec<u32> = list.iter().map(|node| node.step).collect();
    for (k, node) in list.iter_mut().enumerate() {
        node.after_holds = predecessors[k].iter().copied().filter(|p| holds[usize::from(*p)]).collect();
        if node.early {
            // What is begun early waits for no hold of this place: it is done there. It follows them all the same.
            let after = &line.steps[node.step as usize].after;
            let follows = |p: &usize| holds[*p] && after.iter().any(|before| before.0 == steps[*p]);
            node.after_holds.extend((0..steps.len()).filter(follows).map(|p| p as u16));
        }
    }
}
