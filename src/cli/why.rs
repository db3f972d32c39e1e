//! `taktwright why`: what the time of a station goes into.

use super::console::{Console, Trouble};
use super::options::WhyArgs;
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{reading, simulate, with_threads};
use taktwright::line::PlaceId;
use taktwright::report::render_cycles;
use taktwright::study::cycles;

pub fn run(args: &WhyArgs, console: Console) -> Result<Status, Trouble> {
    let Some(read) = reading::sound(&args.file, &args.line.set, console)? else {
        return Ok(Status::BadInput);
    };
    let line = reading::layout(&read, &args.line)?;
    let names: Vec<&str> = line.places.iter().map(|place| place.name.as_str()).collect();
    let Some(at) = names.iter().position(|name| *name == args.station) else {
        return Err(reading::not_among("station", &args.station, &names));
    };
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let place = PlaceId::from_index(at);
    let outcome = with_threads(args.run.threads, || cycles(line, place, &args.run.choices(), &progress))?;
    drop(progress);
    let found = match outcome {
        Ok(found) => found,
        Err(error) => return simulate::refuse(&error, &read, console),
    };
    args.page.print(console, |form, dress| render_cycles(&found, form, dress))?;
    Ok(Status::Fine)
}
