//! The command line: arguments, disk, threads, progress, exit status. One file per subcommand.
//!
//! Belongs to the program, not to the library: the library cannot import it. A command goes from
//! arguments to settings (checked once), calls the library, hands one text to one writer, and ends in
//! one status.

mod balance;
mod check;
mod choose;
mod compare;
mod console;
mod disk;
mod explain;
mod levers;
mod losses;
mod measures;
mod options;
mod page;
mod progress;
mod reading;
mod simulate;
mod status;
mod sweep;
mod tidy;
mod vary;
mod verify;
mod why;
mod words;

use clap::Parser;
use console::{Color, Console, Trouble};
use options::{Arguments, Command};
pub use status::Status;
use std::time::Instant;

/// What `main` does: the whole program from the arguments to the status.
pub fn run() -> Status {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return refuse(&error),
    };
    let console = Console::new(arguments.color, arguments.quiet);
    let outcome = match &arguments.command {
        Command::Check(args) => check::run(args, console),
        Command::Tidy(args) => tidy::run(args, console),
        Command::Balance(args) => balance::run(args, console),
        Command::Simulate(args) => simulate::run(args, console),
        Command::Compare(args) => compare::run(args, console),
        Command::Levers(args) => levers::run(args, console),
        Command::Losses(args) => losses::run(args, console),
        Command::Why(args) => why::run(args, console),
        Command::Verify(args) => verify::run(args, console),
        Command::Explain(args) => explain::run(args, console),
    };
    console.close(outcome)
}

/// Help and version are asked for and go to standard output; everything else is a fault in the
/// arguments.
fn refuse(error: &clap::Error) -> Status {
    let asked_for = !error.use_stderr();
    let text = error.render();
    let console = Console::new(Color::Auto, false);
    if asked_for {
        return console.close(console.print(&text.ansi().to_string()).map(|()| Status::Fine));
    }
    console.complain(&text.ansi().to_string());
    Status::BadInput
}

/// For elapsed time that is shown, and for limits of time, which only end a search that says so.
#[expect(clippy::disallowed_methods, reason = "no result depends on it")]
fn now() -> Instant {
    Instant::now()
}

/// Runs `work` with so many threads; all of the machine's where nobody says how many.
fn with_threads<R: Send>(threads: Option<u16>, work: impl FnOnce() -> R + Send) -> Result<R, Trouble> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads.map_or(0, usize::from)).build().map_err(
        |why| Trouble::Machine {
            what: "cannot start the threads".to_string(),
            why: std::io::Error::other(why),
        },
    )?;
    Ok(pool.install(work))
}
