//! Copies of steps that a missed window sends back: they are redone where the closing step stands.

use super::node::{Node, step_node};
use super::shop::Shop;
use crate::line::{Line, Window};

/// A window's nodes at the place of its closing step.
#[derive(Clone, Debug)]
pub struct WindowNodes {
    pub place: u16,
    /// Local nodes undone by a miss.
    pub undone: Vec<u16>,
    /// Local node of the closing step.
    pub closes: u16,
}

impl Shop {
    /// Copies of the steps that windows closing here send back, with their edges.
    pub(super) fn add_windows(
        &mut self,
        line: &Line,
        place: usize,
        own: &[usize],
        list: &mut Vec<Node>,
        edges: &mut Vec<(usize, usize)>,
    ) {
        for (w, window) in line.windows.iter().enumerate() {
            if line.steps[window.closes.index()].place.index() != place {
                continue;
            }
            let mut at: Vec<(usize, usize)> = Vec::new();
            for step in &window.undone {
                // A redo with its own time or people is a copy even where the step stands here.
                let differs = window.redo.first() == Some(step)
                    && (window.redo_time.is_some() || window.redo_needs.is_some());
                let stands = own.iter().position(|s| *s == step.index()).filter(|_| !differs);
                let here = stands.unwrap_or_else(|| {
                    let mut copy = step_node(line, step.index(), Some(w as u16));
                    if window.redo_time.is_some() && differs {
                        copy.most = Vec::new();
                    }
                    // A redo with a time of its own undoes first and then does again: what is new begins
                    // to count when it ends.
                    if window.redo_time.is_some() && window.opens == *step && differs {
                        copy.opens_at_start.retain(|other| *other != w as u16);
                        copy.opens_at_end.push(w as u16);
                        copy.opens_at_end.dedup();
                    }
                    list.push(copy);
                    list.len() - 1
                });
                at.push((step.index(), here));
            }
            let closes = own.iter().position(|s| *s == window.closes.index());
            let closes = closes.expect("the closing step stands at its own place");
            if let Some(needs) = &window.redo_needs
                && let Some(first) =
                    window.redo.first().and_then(|s| at.iter().find(|(step, _)| *step == s.index()))
                && list[first.1].copy_of_window.is_some()
            {
                list[first.1].set_needs(vec![needs.clone(); line.models.len()], window.redo_shared.as_ref());
            }
            add_edges(line, window, &at, closes, edges);
            let copies = at.iter().filter(|(_, node)| list[*node].copy_of_window.is_some());
            copies.for_each(|copy| wait_for_copy(line, window, own, *copy, edges));
            self.windows[w] = WindowNodes {
                place: place as u16,
                undone: at.iter().map(|(_, node)| *node as u16).collect(),
                closes: closes as u16,
            };
        }
    }
}

/// Between what is done again, (step, node) each, and from it to the closing step.
fn add_edges(
    line: &Line,
    window: &Window,
    at: &[(usize, usize)],
    closes: usize,
    edges: &mut Vec<(usize, usize)>,
) {
    for (step, node) in at.iter().chain([&(window.closes.index(), closes)]) {
        let before = line.steps[*step].after.iter();
        let again = before.filter_map(|p| at.iter().find(|(s, _)| *s == p.index()));
        edges.extend(again.map(|(_, from)| (*from, *node)));
    }
}

/// What stands here (`own`), follows a step that is done again as a copy (step, node) and is not done again itself waits
/// for that anew, if it has not begun.
fn wait_for_copy(
    line: &Line,
    window: &Window,
    own: &[usize],
    (step, copy): (usize, usize),
    edges: &mut Vec<(usize, usize)>,
) {
    let again = |s: usize| s == window.closes.index() || window.undone.iter().any(|u| u.index() == s);
    for (local, own) in own.iter().enumerate() {
        if line.steps[*own].after.iter().any(|p| p.index() == step) && !again(*own) {
            edges.push((copy, local));
        }
    }
}
