//! `taktwright verify`: scenario files, their verdicts, their baselines.

use super::console::{Console, Trouble, write_aside};
use super::disk::FirstFile;
use super::options::{VerdictFormat, VerifyArgs};
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{reading, with_threads};
use std::path::{Path, PathBuf};
use taktwright::Reading;
use taktwright::diagnostic::words::scenario as words;
use taktwright::diagnostic::{Diagnostic, FileId, SourceFault, SourceMap, Sources, Span};
use taktwright::study::{
    Baseline, Judged, Scenario, StudyError, Verdict, VerdictForm, Verified, prepare, read_scenario,
    render_verdicts, verify,
};

pub fn run(args: &VerifyArgs, console: Console) -> Result<Status, Trouble> {
    listen_for_ctrl_c();
    let mut status = Status::Fine;
    let mut judged = Vec::new();
    for path in &args.scenarios {
        let progress = Progress::new(console);
        let one = with_threads(args.threads, || one(path, args, console, &progress))??;
        drop(progress);
        status = status.or_worse(one.status);
        judged.push(Judged { file: path.display().to_string(), verified: one.verified });
        if one.status == Status::Interrupted {
            break;
        }
    }
    let form = match args.format {
        VerdictFormat::Text => VerdictForm::Text,
        VerdictFormat::Json => VerdictForm::Json,
        VerdictFormat::Junit => VerdictForm::Junit,
    };
    console.deliver(&render_verdicts(&judged, form), args.output.as_deref())?;
    Ok(status)
}

/// One scenario: what came of it, and what that means for the status.
struct One {
    status: Status,
    verified: Result<Verified, Vec<String>>,
}

fn one(path: &Path, args: &VerifyArgs, console: Console, progress: &Progress) -> Result<One, Trouble> {
    let mut map = SourceMap::default();
    let Some((file, text)) = scenario_text(path, &mut map)? else {
        return refuse(&[words::not_there(Span::default(), &path.display().to_string())], &map, console);
    };
    let (scenario, faults) = read_scenario(file, &text);
    let Some(scenario) = scenario else { return refuse(&faults, &map, console) };
    let sets: Vec<(String, String)> =
        scenario.set.iter().map(|(name, value)| (name.value.clone(), value.clone())).collect();
    let read = reading::read(&beside(path, &scenario.line.value), &sets)?;
    if reading::has_errors(&read.faults) {
        return refuse(&read.faults, &read.map, console);
    }
    let bench = match prepare(&scenario, &read.layouts) {
        Ok(bench) => bench,
        Err(faults) => return refuse(&faults, &map, console),
    };
    let stored = match stored(path, &scenario, args.bless)? {
        Ok(stored) => stored,
        Err(fault) => return refuse(&[*fault], &map, console),
    };
    match verify(&scenario, &bench, stored.as_ref(), progress) {
        Ok(verified) => finish(path, &scenario, verified, args.bless, console),
        Err(error) => failed(&error, &read, console),
    }
}

/// The scenario's text in the map, under the path as typed; `None` where there is no such file.
fn scenario_text(path: &Path, map: &mut SourceMap) -> Result<Option<(FileId, String)>, Trouble> {
    let first = FirstFile::open(path)?;
    let shown = format!("{}{}", first.shown_before, first.name);
    match first.sources.read(&first.name) {
        Ok(bytes) => {
            let text = String::from_utf8_lossy(&bytes).into_owned();
            Ok(Some((map.add(shown, text.clone()), text)))
        }
        Err(SourceFault::Missing) => {
            map.add(shown, "");
            Ok(None)
        }
        Err(fault) => Err(Trouble::Arguments(format!("cannot read {shown}: {}", said(&fault)))),
    }
}

/// A path written in the scenario, from the scenario's folder.
fn beside(scenario: &Path, written: &str) -> PathBuf {
    match scenario.parent() {
        Some(folder) => folder.join(written),
        None => PathBuf::from(written),
    }
}

/// The baseline to compare with: none where the scenario names none or it is about to be written.
fn stored(
    path: &Path,
    scenario: &Scenario,
    bless: bool,
) -> Result<Result<Option<Baseline>, Box<Diagnostic>>, Trouble> {
    let Some(named) = scenario.baseline.as_ref().filter(|_| !bless) else { return Ok(Ok(None)) };
    let first = FirstFile::open(&beside(path, &named.value))?;
    Ok(match first.sources.read(&first.name) {
        Ok(bytes) => Baseline::read(&bytes)
            .map(Some)
            .map_err(|why| Box::new(words::bad_baseline(named.span, &named.value, &why))),
        Err(SourceFault::Missing) => Err(Box::new(words::no_baseline(named.span, &named.value))),
        Err(fault) => Err(Box::new(words::bad_baseline(named.span, &named.value, &said(&fault)))),
    })
}

fn finish(
    path: &Path,
    scenario: &Scenario,
    verified: Verified,
    bless: bool,
    console: Console,
) -> Result<One, Trouble> {
    if verified.interrupted {
        return Ok(One { status: Status::Interrupted, verified: Ok(verified) });
    }
    if let (true, Some(baseline)) = (bless, &scenario.baseline) {
        let target = beside(path, &baseline.value);
        write_aside(&target, verified.results.write().as_bytes())?;
        console.remark(&format!("wrote {}", target.display()));
    }
    let holds = verified.findings.iter().all(|finding| finding.verdict == Verdict::Holds);
    let status = if holds { Status::Fine } else { Status::Fails };
    Ok(One { status, verified: Ok(verified) })
}

fn refuse(faults: &[Diagnostic], map: &SourceMap, console: Console) -> Result<One, Trouble> {
    reading::show(faults, map, console);
    let reasons =
        faults.iter().filter(|fault| fault.is_error()).map(|fault| fault.headline.clone()).collect();
    Ok(One { status: Status::BadInput, verified: Err(reasons) })
}

fn failed(error: &StudyError, read: &Reading, console: Console) -> Result<One, Trouble> {
    let status = super::simulate::refuse(error, read, console);
    let reasons = vec![error.to_string()];
    match status {
        Ok(status) => Ok(One { status, verified: Err(reasons) }),
        Err(Trouble::Arguments(what)) => {
            console.complain(&format!("error: {what}\n"));
            Ok(One { status: Status::BadInput, verified: Err(reasons) })
        }
        Err(trouble) => Err(trouble),
    }
}

fn said(fault: &SourceFault) -> String {
    match fault {
        SourceFault::Missing => "it is not there".to_string(),
        SourceFault::Unreadable(reason) => reason.clone(),
        SourceFault::Outside => "it lies outside the folder tree".to_string(),
        SourceFault::TooLarge { found, allowed } => format!("it has {found} bytes, the limit is {allowed}"),
    }
}
