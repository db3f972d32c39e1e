//! `taktwright compare --vary`: a number of the line varied, every point on the same random days.

use super::console::{Console, Trouble};
use super::disk::FirstFile;
use super::options::{CompareArgs, LineArgs};
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{reading, simulate, with_threads};
use std::path::Path;
use taktwright::Reading;
use taktwright::line::Line;
use taktwright::report::{SweepReport, render_sweep};
use taktwright::study::{Axis, LineFile, Sweep, fit_together, points, readable_promise, sweep};

pub fn run(args: &CompareArgs, console: Console) -> Result<Status, Trouble> {
    let first = FirstFile::open(one_file(args)?)?;
    let Some(read) = reading::sound_first(&first, &args.set, console)? else {
        return Ok(Status::BadInput);
    };
    let (line, axes) = varied_line(args, &read)?;
    let taken: Vec<&str> = read.layouts.iter().map(|line| line.layout.as_str()).collect();
    if args.as_layouts {
        let edits: Vec<String> =
            points(line, &taken, &axes).into_iter().filter_map(|point| point.edit).collect();
        console.deliver(&edits.join("\n"), args.page.output.as_deref())?;
        return Ok(Status::Fine);
    }
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let asked = Sweep {
        base: line,
        taken: &taken,
        file: LineFile { path: &first.name, sources: &first.sources, sets: &args.set },
        axes: &axes,
        promises: &args.promise,
    };
    let outcome = with_threads(args.run.threads, || sweep(&asked, &args.run.choices(), &progress))?;
    drop(progress);
    let swept = match outcome {
        Ok(swept) => swept,
        Err(error) => return simulate::refuse(&error, &read, console),
    };
    args.page.print(console, |form, dress| render_sweep(&swept, form, dress))?;
    Ok(status_of(&swept, console))
}

/// The file whose line is varied.
pub fn one_file(args: &CompareArgs) -> Result<&Path, Trouble> {
    match args.files.as_slice() {
        [file] => Ok(file),
        [] | [_, ..] => {
            let what = "`--vary` is about one file: name one, and put it before `--vary`";
            Err(Trouble::Arguments(what.to_string()))
        }
    }
}

/// The layout that is varied, and what of it.
pub fn varied_line<'r>(args: &CompareArgs, read: &'r Reading) -> Result<(&'r Line, Vec<Axis>), Trouble> {
    let line = reading::layout(read, &LineArgs { layout: varied(args)?, set: Vec::new() })?;
    let axes = axes(args, line).map_err(Trouble::Arguments)?;
    Ok((line, axes))
}

/// The one layout that is varied; the file as it stands where none is named.
fn varied(args: &CompareArgs) -> Result<Option<String>, Trouble> {
    match args.layouts.as_slice() {
        [] => Ok(None),
        [layout] => Ok(Some(layout.clone())),
        [_, ..] => {
            let what =
                "`--vary` is about one layout: name one with `--layouts`, or none for the file as it stands";
            Err(Trouble::Arguments(what.to_string()))
        }
    }
}

fn axes(args: &CompareArgs, line: &Line) -> Result<Vec<Axis>, String> {
    let axes: Vec<Axis> =
        args.vary.ranges.iter().map(|range| Axis::read(range, line)).collect::<Result<_, _>>()?;
    fit_together(&axes)?;
    args.promise.iter().try_for_each(|promise| readable_promise(promise, line))?;
    Ok(axes)
}

fn status_of(swept: &SweepReport, console: Console) -> Status {
    if swept.interrupted {
        console.remark("interrupted: points are missing or rest on fewer replications");
        return Status::Interrupted;
    }
    if swept.advice.open.is_empty() { Status::Fine } else { Status::Fails }
}
