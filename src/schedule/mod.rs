//! Work inside a station: which step of which unit starts when, on which people, equipment and room.
//!
//! Owns the rules by which a crew picks its next task. The simulator drives the same code with all
//! units of the line; `makespan` drives it with one unit alone, for loads and for the balancer.
//! Knows nothing of clocks, calendars, moves or random draws.

mod crew;
mod floor;
mod halts;
mod makespan;
mod paths;
mod presence;
mod shop;
mod stock;
mod travel;

pub use floor::{BayWork, Floor, Gate, Lack, Ready, Status};
pub use halts::Halts;
pub use makespan::{Makespan, one_unit};
pub use paths::remaining_paths;
pub use presence::Handover;
pub use shop::{Gang, Node, NodeKind, Shop, ShopPlace, TooLarge, WindowNodes};
pub use stock::{QueueNote, Stock, Waiter};
