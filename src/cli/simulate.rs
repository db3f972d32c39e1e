//! `taktwright simulate`: many random days, one report, promises judged.

use super::console::{Console, Trouble};
use super::options::{Format, SimulateArgs};
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{now, reading, with_threads};
use taktwright::Reading;
use taktwright::diagnostic::{Diagnostic, settle};
use taktwright::line::Line;
use taktwright::report::{Extras, Report, Verdict, Warning};
use taktwright::study::{self, RunChoices, StudyError};

pub fn run(args: &SimulateArgs, console: Console) -> Result<Status, Trouble> {
    let Some(read) = reading::sound(&args.file, &args.line.set, console)? else {
        return Ok(Status::BadInput);
    };
    let line = reading::layout(&read, &args.line)?;
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let started = now();
    let extras = Extras { loads: study::loads(line), warnings: doubts(&read, line), ..Extras::default() };
    let choices = RunChoices { gains: args.gains, ..args.run.choices() };
    let outcome =
        with_threads(args.run.threads, || taktwright::report_of(line, &choices, extras, &progress))?;
    drop(progress);
    let mut report = match outcome {
        Ok(report) => report,
        Err(error) => return refuse(&error, &read, console),
    };
    if !args.output.reproducible {
        report.elapsed_s = Some(started.elapsed().as_secs_f64());
    }
    console.deliver(&rendered(&report, args, console), args.output.output.as_deref())?;
    Ok(status_of(&report, console))
}

/// What the file and its loads leave in doubt stands in the report, whoever reads it.
fn doubts(read: &Reading, line: &Line) -> Vec<Warning> {
    let all = read.faults.iter().cloned().chain(study::doubts(line)).collect();
    let warning =
        |fault: Diagnostic| Warning { code: Some(fault.code.text().to_string()), text: fault.headline };
    settle(all).into_iter().map(warning).collect()
}

fn rendered(report: &Report, args: &SimulateArgs, console: Console) -> String {
    match args.output.format {
        Format::Json => taktwright::report::render(report, taktwright::report::Format::Json),
        Format::Text => {
            taktwright::report::render_text(report, &console.dress(args.output.output.as_deref()))
        }
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
        StudyError::NoShifts | StudyError::NeverSettles { .. } => Err(Trouble::Arguments(error.to_string())),
    }
}
