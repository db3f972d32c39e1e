//! `taktwright check`: (being built)
use super::console::{Console, Trouble};
use super::options::CheckArgs;
use super::status::Status;
pub fn run(_: &CheckArgs, _: Console) -> Result<Status, Trouble> {
    Err(Trouble::Arguments("being built".to_string()))
}
