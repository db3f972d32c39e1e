//! What the entry of a unit into a bay comes to, kept for the next unit like it.
//!
//! Which steps apply, which wait and which are ready follows from the place and the unit alone as long as nothing
//! of that place has been done to it. So it is worked out once for each kind of unit and copied from then on.

use super::bay_work::{BayWork, Status};
use super::floor::Floor;
use super::shop::Shop;

/// Kinds of units that are kept for a place; whoever comes with another one is worked out each time.
const MOST_KINDS: usize = 16;

/// The nodes of a place as a unit finds them that has not been there before.
#[derive(Clone, Debug)]
struct Entered {
    /// Its model and its options.
    unit: (u16, u64),
    undone: u16,
    status: Vec<Status>,
    left: Vec<u16>,
    skip: Vec<bool>,
    ready: Vec<u16>,
}

/// Per place: the kinds of units that have come so far.
#[derive(Clone, Debug, Default)]
pub(super) struct AllEntered(Vec<Vec<Entered>>);

impl AllEntered {
    pub(super) fn new(shop: &Shop) -> AllEntered {
        AllEntered(vec![Vec::new(); shop.places.len()])
    }
}

impl Floor {
    /// Enters the bay as the last unit of this kind did; false if there was none. Newly ready nodes are appended to
    /// `fresh`.
    #[inline]
    pub fn enter_alike(
        &mut self,
        shop: &Shop,
        bay: usize,
        (unit, options): (BayWork, u64),
        fresh: &mut Vec<u16>,
    ) -> bool {
        let place = shop.bay_place[bay] as usize;
        let Some(kept) = self.entered.0[place].iter().find(|kept| kept.unit == (unit.model, options)) else {
            return false;
        };
        let base = shop.bay_node0[bay] as usize;
        let nodes = base..base + kept.status.len();
        self.bays[bay] = unit;
        self.bays[bay].undone = kept.undone;
        self.status[nodes.clone()].copy_from_slice(&kept.status);
        self.left[nodes.clone()].copy_from_slice(&kept.left);
        self.skip[nodes].copy_from_slice(&kept.skip);
        fresh.extend_from_slice(&kept.ready);
        true
    }

    /// The unit has just entered the bay, and `ready` is what is ready: the next of its kind will find the same.
    pub fn keep_entered(&mut self, shop: &Shop, bay: usize, (model, options): (u16, u64), ready: &[u16]) {
        let place = shop.bay_place[bay] as usize;
        let kinds = &mut self.entered.0[place];
        if kinds.len() == MOST_KINDS {
            return;
        }
        let base = shop.bay_node0[bay] as usize;
        let nodes = base..base + shop.places[place].nodes as usize;
        kinds.push(Entered {
            unit: (model, options),
            undone: self.bays[bay].undone,
            status: self.status[nodes.clone()].to_vec(),
            left: self.left[nodes.clone()].to_vec(),
            skip: self.skip[nodes].to_vec(),
            ready: ready.to_vec(),
        });
    }
}
