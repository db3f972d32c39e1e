//! One place of the compiled line: its nodes, its bays, and what is the same for every unit there.

use super::shop::Shop;

#[derive(Clone, Debug)]
pub struct ShopPlace {
    /// First node in `Shop::nodes` and how many.
    pub node0: u32,
    pub nodes: u16,
    /// First bay in the flat list of bays and how many.
    pub bay0: u32,
    pub bays: u16,
    /// First gang; one per bay if the crew is per bay.
    pub gang0: u16,
    pub gang_per_bay: bool,
    /// Predecessors to wait for when nothing of the place is done yet, dormant nodes left out.
    pub left0: Vec<u16>,
    /// Nodes to be done when nothing is.
    pub undone0: u16,
    /// Nodes without predecessors here, in order.
    pub sources: Vec<u16>,
    /// Its holds, as local nodes.
    pub holds: Vec<u16>,
    /// Some node takes what faults a unit brings to it.
    pub mends: bool,
    /// Every node applies to every unit and none is dormant.
    pub plain: bool,
    /// The segment is pushed: bays work in rotation.
    pub pushed: bool,
    /// What people walk to a unit here who come from another one, microseconds.
    pub walk: i64,
    /// The places of its line, or of its feeder.
    pub line: std::ops::RangeInclusive<usize>,
}

impl ShopPlace {
    /// Where nothing is looked at.
    pub(super) fn closed(shop: &Shop, place: usize) -> ShopPlace {
        ShopPlace {
            node0: shop.nodes.len() as u32,
            nodes: 0,
            bay0: shop.bay_place.len() as u32,
            bays: 0,
            gang0: 0,
            gang_per_bay: false,
            left0: Vec::new(),
            undone0: 0,
            sources: Vec::new(),
            holds: Vec::new(),
            mends: false,
            plain: true,
            pushed: false,
            walk: 0,
            line: place..=place,
        }
    }
}
