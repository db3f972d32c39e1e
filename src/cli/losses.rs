//! `taktwright losses`: where the units go, cause by cause.

use super::console::{Console, Trouble};
use super::options::LossesArgs;
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{reading, simulate, with_threads};
use taktwright::report::render_losses;
use taktwright::study::losses;

pub fn run(args: &LossesArgs, console: Console) -> Result<Status, Trouble> {
    let Some(read) = reading::sound(&args.file, &args.line.set, console)? else {
        return Ok(Status::BadInput);
    };
    let line = reading::layout(&read, &args.line)?;
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let outcome = with_threads(args.run.threads, || losses(line, &args.run.choices(), &progress))?;
    drop(progress);
    let found = match outcome {
        Ok(found) => found,
        Err(error) => return simulate::refuse(&error, &read, console),
    };
    args.page.print(console, |form, dress| render_losses(&found, form, dress))?;
    Ok(Status::Fine)
}
