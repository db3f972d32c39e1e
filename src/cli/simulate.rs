//! `taktwright simulate`: (being built)
use super::console::{Console, Trouble};
use super::options::SimulateArgs;
use super::status::Status;
pub fn run(_: &SimulateArgs, _: Console) -> Result<Status, Trouble> {
    Err(Trouble::Arguments("being built".to_string()))
}
