//! `taktwright levers`: what one more of each thing buys, ranked.

use super::console::{Console, Trouble};
use super::disk::FirstFile;
use super::options::{LineArgs, SpanArgs, StudyFormat};
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{reading, simulate, with_threads};
use clap::Args;
use std::path::PathBuf;
use taktwright::report::{LeversReport, render_levers};
use taktwright::study::{LineFile, levers, rank_levers};

#[derive(Args, Debug)]
pub struct LeversArgs {
    /// The file; `-` reads standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub line: LineArgs,
    /// Run nothing; print every lever as the layout that it is, to be put into the file.
    #[arg(long)]
    pub as_layouts: bool,
    #[command(flatten)]
    pub run: SpanArgs,
    /// The form of the ranking.
    #[arg(long, value_enum, default_value_t, value_name = "FORMAT")]
    pub format: StudyFormat,
    /// Write the ranking to this file instead of standard output.
    #[arg(long, short, value_name = "PATH")]
    pub output: Option<PathBuf>,
}

pub fn run(args: &LeversArgs, console: Console) -> Result<Status, Trouble> {
    let first = FirstFile::open(&args.file)?;
    let Some(read) = reading::sound_first(&first, &args.line.set, console)? else {
        return Ok(Status::BadInput);
    };
    let line = reading::layout(&read, &args.line)?;
    let taken: Vec<&str> = read.layouts.iter().map(|line| line.layout.as_str()).collect();
    let output = args.output.as_deref();
    if args.as_layouts {
        let (made, _) = levers(line, &taken);
        let edits: Vec<&str> = made.iter().map(|lever| lever.edit.as_str()).collect();
        console.deliver(&edits.join("\n"), output)?;
        return Ok(Status::Fine);
    }
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let file = LineFile { path: &first.name, sources: &first.sources, sets: &args.line.set };
    let outcome =
        with_threads(args.run.threads, || rank_levers(line, &taken, &file, &args.run.choices(), &progress))?;
    drop(progress);
    let ranked = match outcome {
        Ok(ranked) => ranked,
        Err(error) => return simulate::refuse(&error, &read, console),
    };
    console.deliver(&render_levers(&ranked, args.format.into(), &console.dress(output)), output)?;
    Ok(status_of(&ranked, console))
}

fn status_of(ranked: &LeversReport, console: Console) -> Status {
    if ranked.interrupted {
        console.remark("interrupted: some levers are missing or rest on the first round");
        return Status::Interrupted;
    }
    Status::Fine
}
