//! Longest remaining paths inside a place, at mean times: what ranks the tasks of one unit.

use super::node::NodeKind;
use super::shop::Shop;

/// Longest remaining path inside the place per (node, model) at mean times, the node included;
/// steps that do not apply to the model count nothing.
///
/// `mean_length(step, model)` is the mean time of a step, microseconds.
pub fn remaining_paths(shop: &Shop, mean_length: impl Fn(usize, usize) -> i64) -> Vec<i64> {
    let mut path = vec![0i64; shop.nodes.len() * shop.models];
    for place in 0..shop.places.len() {
        let node0 = shop.places[place].node0 as usize;
        let nodes = shop.nodes_of(place);
        // Repeated relaxation in at most as many rounds as there are nodes: places are small, and
        // precedence was checked to have no circle.
        let mut changed = true;
        while changed {
            changed = false;
            for k in (0..nodes.len()).rev() {
                for model in 0..shop.models {
                    let own = match nodes[k].kind {
                        NodeKind::Work | NodeKind::Hold { .. } if nodes[k].models >> model & 1 == 1 => {
                            mean_length(nodes[k].step as usize, model)
                        }
                        NodeKind::Work
                        | NodeKind::Hold { .. }
                        | NodeKind::Verdict { .. }
                        | NodeKind::Fix { .. } => 0,
                    };
                    let after = shop.successors[node0 + k]
                        .iter()
                        .map(|s| path[(node0 + *s as usize) * shop.models + model])
                        .max()
                        .unwrap_or(0);
                    let at = (node0 + k) * shop.models + model;
                    if path[at] != own + after {
                        path[at] = own + after;
                        changed = true;
                    }
                }
            }
        }
    }
    path
}
