//! The checked line: what the file means once every name, unit and rule has been settled.
//!
//! Owns the data that balancing and simulation share: models, places, steps, people, calendar,
//! time distributions, precedence (the only user of petgraph). Plain data with typed ids, no text
//! handling and no randomness.

mod dist;

pub use dist::{Dist, Shape};
