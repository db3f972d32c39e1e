//! `taktwright simulate`: many random days, one report, promises judged.

use super::console::{Console, Trouble, write_aside, write_folder};
use super::options::{ReportFormat, SimulateArgs};
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{now, reading, with_threads};
use std::path::Path;
use taktwright::Reading;
use taktwright::diagnostic::{Diagnostic, settle};
use taktwright::line::Line;
use taktwright::report::{self, Extras, Inputs, Report, Verdict, Warning};
use taktwright::study::{self, Means, RunChoices, StudyError};

pub fn run(args: &SimulateArgs, console: Console) -> Result<Status, Trouble> {
    place_of_tables(args)?;
    let Some(read) = reading::sound(&args.file, &args.line.set, console)? else {
        return Ok(Status::BadInput);
    };
    let line = reading::layout(&read, &args.line)?;
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let started = now();
    let choices = RunChoices { gains: args.gains, ..args.run.choices() };
    let outcome = with_threads(args.run.threads, || {
        let means = Means::of(line);
        let extras = Extras { loads: means.rows(), warnings: doubts(&read, &means), ..Extras::default() };
        taktwright::report_and_run(line, &choices, extras, &progress)
    })?;
    drop(progress);
    let (mut report, outcome) = match outcome {
        Ok(reported) => reported,
        Err(error) => return refuse(&error, &read, console),
    };
    let mut inputs = inputs_of(line, &read, args);
    if args.format == ReportFormat::Html {
        match study::replay(line, choices.seed, &outcome) {
            Ok(replay) => inputs.replay = replay,
            Err(error) => return refuse(&error, &read, console),
        }
    }
    if !args.output.reproducible {
        report.elapsed_s = Some(started.elapsed().as_secs_f64());
    }
    deliver(&report, &inputs, args, console)?;
    Ok(status_of(&report, console))
}

fn inputs_of(line: &Line, read: &Reading, args: &SimulateArgs) -> Inputs {
    Inputs::of(line, &read.map, &args.line.set, &study::times(line))
}

/// What the file and its loads leave in doubt stands in the report, whoever reads it.
fn doubts(read: &Reading, means: &Means) -> Vec<Warning> {
    let all = read.faults.iter().cloned().chain(means.doubts()).collect();
    let warning =
        |fault: Diagnostic| Warning { code: Some(fault.code.text().to_string()), text: fault.headline };
    settle(all).into_iter().map(warning).collect()
}

fn deliver(report: &Report, inputs: &Inputs, args: &SimulateArgs, console: Console) -> Result<(), Trouble> {
    let output = args.output.output.as_deref();
    let text = match args.format {
        ReportFormat::Text => report::render_text(report, &console.dress(output)),
        ReportFormat::Json => report::render(report, report::Format::Json),
        ReportFormat::Html => report::html_page(report, inputs),
        ReportFormat::Csv => return write_folder(place_of_tables(args)?, &report::csv_files(report)),
        ReportFormat::Xlsx => {
            let place = place_of_tables(args)?;
            let no_room =
                |why| format!("a workbook has no room for these tables ({why}); write `--format csv`");
            let book = report::workbook(report).map_err(|why| Trouble::Arguments(no_room(why)))?;
            return write_aside(place, &book);
        }
    };
    console.deliver(&text, output)
}

/// Tables and workbooks are files of their own and need a place; whatever goes to standard output needs none.
fn place_of_tables(args: &SimulateArgs) -> Result<&Path, Trouble> {
    let place = args.output.output.as_deref().filter(|path| *path != Path::new("-"));
    let lacks = |what: &str| Err(Trouble::Arguments(what.to_string()));
    match (place, args.format) {
        (Some(place), _) => Ok(place),
        (None, ReportFormat::Csv) => {
            lacks("`--format csv` writes a file for each table: add `--output FOLDER`")
        }
        (None, ReportFormat::Xlsx) => lacks("`--format xlsx` writes a workbook: add `--output FILE`"),
        (None, ReportFormat::Text | ReportFormat::Json | ReportFormat::Html) => Ok(Path::new("-")),
    }
}

fn status_of(report: &Report, console: Console) -> Status {
    if report.interrupted {
        console.remark(&format!("interrupted: the report rests on {} replications", report.replications));
        return Status::Interrupted;
    }
    let kept = report.promises.iter().all(|promise| promise.verdict == Verdict::Kept);
    if kept { Status::Fine } else { Status::Fails }
}

/// Why there is no report.
pub fn refuse(error: &StudyError, read: &Reading, console: Console) -> Result<Status, Trouble> {
    match error {
        StudyError::Run(fault) => {
            reading::show(std::slice::from_ref(fault), &read.map, console);
            Ok(Status::Fails)
        }
        StudyError::Interrupted => {
            console.complain(&format!("{error}\n"));
            Ok(Status::Interrupted)
        }
        StudyError::NoShifts | StudyError::NothingToChoose | StudyError::NeverSettles { .. } => {
            Err(Trouble::Arguments(error.to_string()))
        }
    }
}
