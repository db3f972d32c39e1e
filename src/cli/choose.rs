//! `taktwright compare --choose-best`: the best of many layouts with a stated probability.

use super::compare::{candidates, sound_files};
use super::console::{Console, Trouble};
use super::disk::FirstFile;
use super::options::{CompareArgs, read_above_zero};
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{simulate, sweep, with_threads};
use clap::Args;
use taktwright::Reading;
use taktwright::report::{ChoiceReport, PointLeftOut, render_choice};
use taktwright::study::{Candidate, ChoiceTerms, LineFile, Sweep, choose, point_lines, read_share};

#[derive(Args, Debug)]
pub struct ChoiceArgs {
    /// Take the best with a stated probability: replications go on for the layouts, or the points of `--vary`,
    /// that are still in the race. `--replications` is then the most of one layout (default: 10240).
    #[arg(long, conflicts_with_all = ["within", "as_layouts"])]
    pub choose_best: bool,
    /// With `--choose-best`: the probability of taking the best, as in `--confidence 90%` (default: that of the
    /// file).
    #[arg(long, value_name = "SHARE", requires = "choose_best", value_parser = read_confidence)]
    pub confidence: Option<f64>,
    /// With `--choose-best`: the least lead worth finding, in good units a shift (an hour without shifts), as
    /// in `--indifference 0.1` (default: 0.5 % of what the first makes). The probability holds where the best
    /// leads every other by as much.
    #[arg(long, value_name = "UNITS", requires = "choose_best", value_parser = read_indifference)]
    pub indifference: Option<f64>,
}

/// Between the layouts of the files.
pub fn run(args: &CompareArgs, console: Console) -> Result<Status, Trouble> {
    let Some(files) = sound_files(args, console)? else { return Ok(Status::BadInput) };
    decide(args, &candidates(&files, &args.layouts)?, Vec::new(), &files[0].1, console)
}

/// Between the points of a sweep.
pub fn among_points(args: &CompareArgs, console: Console) -> Result<Status, Trouble> {
    let first = FirstFile::open(sweep::one_file(args)?)?;
    let Some(read) = super::reading::sound_first(&first, &args.set, console)? else {
        return Ok(Status::BadInput);
    };
    let (base, axes) = sweep::varied_line(args, &read)?;
    let taken: Vec<&str> = read.layouts.iter().map(|line| line.layout.as_str()).collect();
    let file = LineFile { path: &first.name, sources: &first.sources, sets: &args.set };
    let (points, left_out) =
        point_lines(&Sweep { base, taken: &taken, file, axes: &axes, promises: &args.promise });
    let candidates: Vec<Candidate<'_>> = points
        .iter()
        .map(|(point, line)| Candidate { name: point.name.clone(), line: line.as_ref().unwrap_or(base) })
        .collect();
    decide(args, &candidates, left_out, &read, console)
}

fn decide(
    args: &CompareArgs,
    candidates: &[Candidate<'_>],
    left_out: Vec<PointLeftOut>,
    read: &Reading,
    console: Console,
) -> Result<Status, Trouble> {
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let asked = ChoiceTerms {
        confidence: args.choice.confidence,
        indifference: args.choice.indifference,
        most: args.run.replications,
    };
    let outcome = with_threads(args.run.threads, || {
        choose(candidates, left_out, asked, &args.run.choices(), &progress)
    })?;
    drop(progress);
    let choice = match outcome {
        Ok(choice) => choice,
        Err(error) => return simulate::refuse(&error, read, console),
    };
    args.page.print(console, |form, dress| render_choice(&choice, form, dress))?;
    Ok(status_of(&choice, console))
}

fn status_of(choice: &ChoiceReport, console: Console) -> Status {
    if choice.interrupted {
        console.remark("interrupted: nothing is chosen");
        return Status::Interrupted;
    }
    if choice.chosen.is_some() { Status::Fine } else { Status::Fails }
}

/// More than even chances, less than certain.
fn read_confidence(text: &str) -> Result<f64, String> {
    match read_share(text)? {
        share if share > 0.5 && share < 1.0 => Ok(share),
        _ => Err(format!("`{text}` is not between 50 and 100 %")),
    }
}

fn read_indifference(text: &str) -> Result<f64, String> {
    read_above_zero(text, "write units above 0, as in `0.1`")
}
