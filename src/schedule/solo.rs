//! One place by itself, compiled again and again with other steps: what looks for better stations asks for
//! thousands of them.

use super::node::{Node, step_node};
use super::place::ShopPlace;
use super::shop::{Shop, TooLarge};
use crate::line::Line;

/// Nodes of steps that have been compiled before, by step; a step is at one place at a time.
#[derive(Clone, Debug)]
pub struct Spare {
    nodes: Vec<Option<Node>>,
    /// The place stands alone: nothing comes from other places (work that travels, drifts or is begun early).
    pub(super) is_alone: bool,
}

impl Spare {
    /// Nothing is kept, and the other places stand, too.
    pub(super) fn none() -> Spare {
        Spare { nodes: Vec::new(), is_alone: false }
    }

    /// For the steps of a line.
    pub fn of(line: &Line) -> Spare {
        Spare { nodes: vec![None; line.steps.len()], is_alone: true }
    }

    pub(super) fn node(&mut self, line: &Line, step: usize) -> Node {
        let kept = self.nodes.get_mut(step).and_then(Option::take);
        kept.unwrap_or_else(|| step_node(line, step, None))
    }

    /// Keeps what will be the same wherever its step stands: no copies, and nothing whose side is chosen.
    fn keep(&mut self, line: &Line, node: Node) {
        let step = node.step as usize;
        let own = step < self.nodes.len() && node.copy_of_window.is_none();
        if own && line.steps[step].sides.is_empty() {
            self.nodes[step] = Some(node);
        }
    }
}

impl Shop {
    /// One place with these steps and nothing anywhere else, for looking at one unit there: nobody helps, and of the
    /// crews there is only that of the place. The steps stand there in `line`.
    ///
    /// # Errors
    /// As [`Shop::new`].
    pub fn of_place(line: &Line, place: usize, own: &[usize], spare: &mut Spare) -> Result<Shop, TooLarge> {
        let mut shop = Shop::bare(line)?;
        if let Some(crew) = line.places[place].crew {
            shop.add_crew(line, crew.index());
        }
        for other in 0..line.places.len() {
            shop.places.push(ShopPlace::closed(&shop, other));
        }
        shop.refill(line, place, own, spare)?;
        Ok(shop)
    }

    /// The same place with other steps.
    ///
    /// # Errors
    /// As [`Shop::new`].
    pub fn refill(
        &mut self,
        line: &Line,
        place: usize,
        own: &[usize],
        spare: &mut Spare,
    ) -> Result<(), TooLarge> {
        self.nodes.drain(..).for_each(|node| spare.keep(line, node));
        self.successors.clear();
        self.predecessors.clear();
        self.bays = 0;
        self.bay_nodes = 0;
        self.bay_place.clear();
        self.bay_gang.clear();
        self.bay_node0.clear();
        self.gang_order.clear();
        self.uses_part.iter_mut().chain(&mut self.waits_for_equipment).for_each(Vec::clear);
        // A place without a crew gets nobody anew.
        self.gangs.retain(|gang| gang.crew.is_some());
        self.gangs.iter_mut().for_each(|gang| gang.places.clear());
        // Its own crew is the only one, so its gangs are the first.
        let gang_of_crew = vec![0; line.crews.len()];
        self.places[place] = self.add_place(line, place, own, &gang_of_crew, spare)?;
        self.finish(line);
        Ok(())
    }
}
