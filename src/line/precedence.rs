//! Who comes before whom: the graph of all steps.
//!
//! Owns circles, topological order and the steps on the way from one to another. The only user of
//! petgraph. A step that does not apply to a unit is passed through: it counts as done when all
//! its predecessors are done, so one graph serves every model.

use super::{Line, StepId};
use petgraph::Direction;
use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

/// The acyclic order of work.
#[derive(Clone, Debug)]
pub struct Precedence {
    graph: DiGraph<(), ()>,
    order: Vec<StepId>,
    /// Position of each step in `order`.
    rank: Vec<usize>,
}

impl Precedence {
    /// From the predecessors of each step. `Err` holds one circle per knot of steps that follow one
    /// another, each the shortest one through the knot's first step, in order of those steps; the
    /// first step is not repeated at the end.
    pub fn of(after: &[Vec<StepId>]) -> Result<Precedence, Vec<Vec<StepId>>> {
        let graph = graph_of(after);
        let circles = circles(&graph);
        if !circles.is_empty() {
            return Err(circles);
        }
        let order = file_order(&graph);
        let mut rank = vec![0; order.len()];
        for (position, step) in order.iter().enumerate() {
            rank[step.index()] = position;
        }
        Ok(Precedence { graph, order, rank })
    }

    /// Of a checked line, which has no circle.
    pub fn of_line(line: &Line) -> Precedence {
        let after: Vec<Vec<StepId>> = line.steps.iter().map(|step| step.after.clone()).collect();
        Precedence::of(&after).expect("the checker refuses circles")
    }

    /// Every step after all its predecessors; among those free to go, the first in the file first.
    pub fn order(&self) -> &[StepId] {
        &self.order
    }

    /// Where a step stands in `order`.
    pub fn rank(&self, step: StepId) -> usize {
        self.rank[step.index()]
    }

    /// The direct followers, in file order.
    pub fn followers(&self, step: StepId) -> Vec<StepId> {
        self.neighbours(step, Direction::Outgoing)
    }

    /// The direct predecessors, in file order.
    pub fn predecessors(&self, step: StepId) -> Vec<StepId> {
        self.neighbours(step, Direction::Incoming)
    }

    /// Is there a way from `first` to `later`? A step does not come before itself.
    pub fn comes_before(&self, first: StepId, later: StepId) -> bool {
        first != later && self.reached(first, Direction::Outgoing)[later.index()]
    }

    /// Per step: does it come after `step`, directly or through others?
    pub fn all_after(&self, step: StepId) -> Vec<bool> {
        self.apart_from(step, Direction::Outgoing)
    }

    /// Per step: does it come before `step`?
    pub fn all_before(&self, step: StepId) -> Vec<bool> {
        self.apart_from(step, Direction::Incoming)
    }

    fn apart_from(&self, step: StepId, direction: Direction) -> Vec<bool> {
        let mut reached = self.reached(step, direction);
        reached[step.index()] = false;
        reached
    }

    /// The steps on the ways from `first` to `last`, both included, in file order; empty where
    /// there is no way.
    pub fn between(&self, first: StepId, last: StepId) -> Vec<StepId> {
        let onward = self.reached(first, Direction::Outgoing);
        let back = self.reached(last, Direction::Incoming);
        (0..onward.len()).filter(|&i| onward[i] && back[i]).map(StepId::from_index).collect()
    }

    fn neighbours(&self, step: StepId, direction: Direction) -> Vec<StepId> {
        let mut found: Vec<StepId> = self
            .graph
            .neighbors_directed(NodeIndex::new(step.index()), direction)
            .map(|node| StepId::from_index(node.index()))
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Everything reached from `start`, itself included.
    fn reached(&self, start: StepId, direction: Direction) -> Vec<bool> {
        let mut seen = vec![false; self.order.len()];
        let mut open = vec![NodeIndex::new(start.index())];
        seen[start.index()] = true;
        while let Some(node) = open.pop() {
            for next in self.graph.neighbors_directed(node, direction) {
                if !seen[next.index()] {
                    seen[next.index()] = true;
                    open.push(next);
                }
            }
        }
        seen
    }
}

fn graph_of(after: &[Vec<StepId>]) -> DiGraph<(), ()> {
    let mut graph = DiGraph::with_capacity(after.len(), after.iter().map(Vec::len).sum());
    for _ in after {
        graph.add_node(());
    }
    for (later, befores) in after.iter().enumerate() {
        for before in befores {
            graph.add_edge(NodeIndex::new(before.index()), NodeIndex::new(later), ());
        }
    }
    graph
}

/// Topological order with ties in file order.
fn file_order(graph: &DiGraph<(), ()>) -> Vec<StepId> {
    let mut waits: Vec<usize> = graph
        .node_indices()
        .map(|node| graph.neighbors_directed(node, Direction::Incoming).count())
        .collect();
    let mut free: BinaryHeap<Reverse<usize>> =
        waits.iter().enumerate().filter(|(_, count)| **count == 0).map(|(index, _)| Reverse(index)).collect();
    let mut order = Vec::with_capacity(waits.len());
    while let Some(Reverse(index)) = free.pop() {
        order.push(StepId::from_index(index));
        for next in graph.neighbors_directed(NodeIndex::new(index), Direction::Outgoing) {
            waits[next.index()] -= 1;
            if waits[next.index()] == 0 {
                free.push(Reverse(next.index()));
            }
        }
    }
    order
}

fn circles(graph: &DiGraph<(), ()>) -> Vec<Vec<StepId>> {
    let mut found: Vec<Vec<StepId>> = Vec::new();
    for knot in kosaraju_scc(graph) {
        let Some(first) = knot.iter().min().copied() else { continue };
        let own_loop = graph.contains_edge(first, first);
        if knot.len() > 1 || own_loop {
            found.push(shortest_circle(graph, first, &knot));
        }
    }
    found.sort();
    found
}

/// Breadth first from `start` back to itself inside its knot, neighbours in file order.
fn shortest_circle(graph: &DiGraph<(), ()>, start: NodeIndex, knot: &[NodeIndex]) -> Vec<StepId> {
    let mut inside = vec![false; graph.node_count()];
    for node in knot {
        inside[node.index()] = true;
    }
    let mut came_from: Vec<Option<NodeIndex>> = vec![None; graph.node_count()];
    let mut queue = VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        let mut next: Vec<NodeIndex> = graph.neighbors_directed(node, Direction::Outgoing).collect();
        next.sort_unstable();
        for later in next {
            if later == start {
                let mut path = vec![StepId::from_index(node.index())];
                let mut back = node;
                while back != start {
                    let Some(before) = came_from[back.index()] else { break };
                    path.push(StepId::from_index(before.index()));
                    back = before;
                }
                path.reverse();
                return path;
            }
            if inside[later.index()] && came_from[later.index()].is_none() {
                came_from[later.index()] = Some(node);
                queue.push_back(later);
            }
        }
    }
    vec![StepId::from_index(start.index())]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(edges: &[&[u32]]) -> Vec<Vec<StepId>> {
        edges.iter().map(|befores| befores.iter().map(|&b| StepId(b)).collect()).collect()
    }

    fn ids(numbers: &[u32]) -> Vec<StepId> {
        numbers.iter().map(|&n| StepId(n)).collect()
    }

    #[test]
    fn order_keeps_precedence_and_then_the_file() {
        let order = Precedence::of(&after(&[&[2], &[], &[], &[0, 1]])).unwrap();
        assert_eq!(order.order(), ids(&[1, 2, 0, 3]));
        assert_eq!(order.predecessors(StepId(3)), ids(&[0, 1]));
        assert_eq!(order.followers(StepId(2)), ids(&[0]));
        assert_eq!(order.rank(StepId(0)), 2);
    }

    #[test]
    fn steps_between_two_are_those_on_some_way() {
        // 0 -> 1 -> 3, 0 -> 2 -> 3, 4 -> 3, 2 -> 5
        let order = Precedence::of(&after(&[&[], &[0], &[0], &[1, 2, 4], &[], &[2]])).unwrap();
        assert_eq!(order.between(StepId(0), StepId(3)), ids(&[0, 1, 2, 3]));
        assert_eq!(order.between(StepId(5), StepId(3)), ids(&[]));
        assert!(order.comes_before(StepId(0), StepId(5)));
        assert!(!order.comes_before(StepId(3), StepId(3)));
    }

    #[test]
    fn every_knot_gives_its_shortest_circle() {
        // 0 -> 1 -> 2 -> 0 with the short cut 1 -> 0; 4 follows itself; 3 is free.
        let circles = Precedence::of(&after(&[&[2, 1], &[0], &[1], &[], &[4]])).unwrap_err();
        assert_eq!(circles, vec![ids(&[0, 1]), ids(&[4])]);
    }

    #[test]
    fn parallel_edges_do_no_harm() {
        let order = Precedence::of(&after(&[&[], &[0, 0]])).unwrap();
        assert_eq!(order.order(), ids(&[0, 1]));
        assert_eq!(order.followers(StepId(0)), ids(&[1]));
    }
}
