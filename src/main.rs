//! The command `taktwright`: arguments in, exit status out. Everything it does stands in `cli`.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run().into()
}
