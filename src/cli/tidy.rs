//! `taktwright tidy`: (being built)
use super::console::{Console, Trouble};
use super::options::TidyArgs;
use super::status::Status;
pub fn run(_: &TidyArgs, _: Console) -> Result<Status, Trouble> {
    Err(Trouble::Arguments("being built".to_string()))
}
