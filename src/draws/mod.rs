//! Random draws by name, the laws they follow, and the exact moments of those laws.
//!
//! Owns the keyed streams, one sampler per kind of time distribution, and mean, variance, quantile and
//! cumulative function in closed form or to the last digits (the only user of `rand`,
//! `rand_distr` and `num_traits`). Refuses state: a draw is a function of seed, replication, purpose,
//! name, index and visit, and nothing else. Parameters have been checked before they come here.

mod ahead;
mod bounded;
mod det;
mod found;
mod listed;
pub mod moments;
mod normal;
mod philox;
mod sampler;
mod stream;
mod waiting;

pub use ahead::{Ahead, BLOCK, Scaled};
pub use found::Found;
pub use philox::philox4x32_10;
pub use sampler::Sampler;
pub use stream::{MAX_BLOCKS, MAX_REPLICATIONS, Purpose, Stream};
