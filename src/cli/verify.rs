//! `taktwright verify`: (being built)
use super::console::{Console, Trouble};
use super::options::VerifyArgs;
use super::status::Status;
pub fn run(_: &VerifyArgs, _: Console) -> Result<Status, Trouble> {
    Err(Trouble::Arguments("being built".to_string()))
}
