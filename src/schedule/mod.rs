//! Work inside a station: which step of which unit starts when, on which people, equipment and room.
//!
//! Owns the rules by which a crew picks its next task. The simulator drives the same code with all
//! units of the line; `makespan` drives it with one unit alone, for loads and for the balancer.
//! Knows nothing of clocks, calendars, moves or random draws.

mod again;
mod amiss;
mod apart;
mod bay_work;
mod crew;
mod drift;
mod early;
mod entered;
mod equipment;
mod fetching;
mod floor;
mod gang;
mod halts;
mod helpers;
mod makespan;
mod movers;
mod node;
mod paths;
mod place;
mod presence;
mod ready;
mod seats;
mod sharing;
mod shop;
mod solo;
mod stock;
mod travel;
mod walks;
mod windows;

pub use amiss::Looked;
pub use bay_work::{BayWork, Lack, Status};
pub use floor::{Floor, Gate, Ready};
pub use gang::Gang;
pub use halts::Halts;
pub use helpers::{Helper, HelperState};
pub use makespan::Alone;
pub use node::{FIRST_OF_LOT, Node, NodeKind};
pub use paths::remaining_paths;
pub use place::ShopPlace;
pub use presence::Handover;
pub use ready::Walked;
pub use seats::{heads, seats, sits};
pub use shop::{MOST_NODES, Shop, TooLarge};
pub use solo::Spare;
pub use stock::{QueueNote, Stock, Waiter};
pub use windows::WindowNodes;
