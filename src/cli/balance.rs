//! `taktwright balance`: which task at which station; with `--write` the answer goes into the file.

use super::console::{Console, Trouble, write_aside};
use super::disk::FirstFile;
use super::options::{LineArgs, OutputArgs, SpanArgs};
use super::progress::{Progress, listen_for_ctrl_c};
use super::reading;
use super::status::Status;
use super::{now, with_threads};
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};
use std::time::Duration;
use taktwright::balance::{Aim, Goal, NoPlan, Plan, improve};
use taktwright::diagnostic::{FileId, Patched};
use taktwright::line::{Line, Step};
use taktwright::report::{Simulated, balance_report, render_balance};
use taktwright::study::{RunChoices, StudyError, read_share, read_time, simulate_plan};
use taktwright::syntax::{self, Edit, patched, place_tasks, side_tasks};
use taktwright::units::{Time, count_of};

#[derive(Args, Debug)]
pub struct BalanceArgs {
    /// The file; `-` reads standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub line: LineArgs,
    /// What to look for.
    #[arg(long, value_enum, default_value_t, value_name = "AIM")]
    pub aim: BalanceAim,
    /// End the search after this time, as in `--limit 10s`, with the best answer so far; the report says
    /// so. Without it the search ends by itself and its answer never depends on the machine.
    #[arg(long, value_name = "TIME", value_parser = read_time)]
    pub limit: Option<Time>,
    /// A further cap: this share of the units of each model keeps the window of each station, as in `--chance 95%`.
    #[arg(long, value_name = "SHARE", value_parser = read_share)]
    pub chance: Option<f64>,
    /// Put the answer into the file as `at` clauses; nothing else of it changes.
    #[arg(long)]
    pub write: bool,
    /// Run the line as it stands and as planned on the same random days, and say what comes of it.
    #[arg(long)]
    pub check_with_simulation: bool,
    #[command(flatten)]
    pub run: SpanArgs,
    /// The form of the report.
    #[arg(long, value_enum, default_value_t, value_name = "FORMAT")]
    pub format: BalanceFormat,
    #[command(flatten)]
    pub output: OutputArgs,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum BalanceAim {
    /// As few stations as do at the stated pace.
    Stations,
    /// The shortest pace for these stations.
    Pace,
    /// As few people as do at the stated pace: crews are left without work.
    People,
    /// Loads as even as possible.
    Smooth,
    /// Single moves and swaps from today's line, each with what it buys.
    #[default]
    Moves,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum BalanceFormat {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
    /// One page for a browser or a printer, whole in itself.
    Html,
    /// The order of work as a graph in the DOT language, for programs that draw or read graphs.
    Dot,
}

impl From<BalanceFormat> for taktwright::report::BalanceFormat {
    fn from(format: BalanceFormat) -> taktwright::report::BalanceFormat {
        match format {
            BalanceFormat::Text => taktwright::report::BalanceFormat::Text,
            BalanceFormat::Json => taktwright::report::BalanceFormat::Json,
            BalanceFormat::Html => taktwright::report::BalanceFormat::Html,
            BalanceFormat::Dot => taktwright::report::BalanceFormat::Dot,
        }
    }
}

pub fn run(args: &BalanceArgs, console: Console) -> Result<Status, Trouble> {
    if args.write {
        check_writable(args)?;
    }
    let Some(read) = reading::sound(&args.file, &args.line.set, console)? else {
        return Ok(Status::BadInput);
    };
    let line = reading::layout(&read, &args.line)?;
    if args.chance.is_some_and(|kept| !(0.5..1.0).contains(&kept)) {
        return Err(Trouble::Arguments("--chance is a share from 50 % to under 100 %".to_string()));
    }
    let mut goal = Goal::new(match args.aim {
        BalanceAim::Stations => Aim::Stations,
        BalanceAim::Pace => Aim::Pace,
        BalanceAim::People => Aim::People,
        BalanceAim::Smooth => Aim::Smooth,
        BalanceAim::Moves => Aim::Moves,
    });
    goal.caps.chance = args.chance;
    let started = now();
    let limit = args.limit.map(|time| Duration::from_micros(time.0.unsigned_abs()));
    let stop = || limit.is_some_and(|limit| started.elapsed() >= limit);
    let plan = improve(line, &goal, &stop).map_err(|why| Trouble::Arguments(refused(&why)))?;
    let mut report = balance_report(line, &plan, &read.map);
    if !args.output.reproducible {
        report.elapsed_s = Some(started.elapsed().as_secs_f64());
    }
    if args.check_with_simulation {
        match simulated(args, line, &plan, console)? {
            Ok(found) => report.simulated = Some(found),
            Err(error) => return super::simulate::refuse(&error, &read, console),
        }
    }
    let output = args.output.output.as_deref();
    console.deliver(&render_balance(&report, args.format.into(), &console.dress(output)), output)?;
    if args.write {
        write(args, line, &plan, console)?;
    }
    Ok(if report.feasible { Status::Fine } else { Status::Fails })
}

/// Today's line and the plan on the same random days.
fn simulated(
    args: &BalanceArgs,
    line: &Line,
    plan: &Plan,
    console: Console,
) -> Result<Result<Simulated, StudyError>, Trouble> {
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let choices = RunChoices { gains: 0, ..args.run.choices() };
    let compared =
        with_threads(args.run.threads, || simulate_plan(line, &plan.on(line), &choices, &progress))?;
    drop(progress);
    Ok(compared.map(|compared| Simulated {
        text: format!("the plan against today's line: {}", compared.words()),
        before: compared.old_mean,
        difference: compared.difference.as_ref().map(Into::into),
    }))
}

/// Why nothing can be balanced, with the cure.
pub fn refused(why: &NoPlan) -> String {
    match why {
        NoPlan::NoPace => {
            "nothing says how fast the line shall go: state `pace 23 min`, `takt 24 min` or a demand"
                .to_string()
        }
        NoPlan::TooLarge { what, limit } => format!("the line has more {what} than the limit of {limit}"),
        NoPlan::NoWork => "no step applies to any model: there is nothing to balance".to_string(),
    }
}

/// Only the file as it stands can be rewritten: a layout's statements may stand in several places.
fn check_writable(args: &BalanceArgs) -> Result<(), Trouble> {
    let refuse = |what: &str| Err(Trouble::Arguments(what.to_string()));
    if args.file == Path::new("-") {
        return refuse("--write needs a file: standard input can't be rewritten");
    }
    if args.line.layout.as_deref().is_some_and(|layout| layout != "today") {
        return refuse("--write rewrites the file as it stands: leave `--layout` out");
    }
    if !args.line.set.is_empty() {
        return refuse(
            "--write would write an answer for other `let` values than the file has: leave `--set` out",
        );
    }
    Ok(())
}

/// Puts the plan into the file (and the files it includes) as `at` clauses, once what comes out reads
/// as the plan.
fn write(args: &BalanceArgs, line: &Line, plan: &Plan, console: Console) -> Result<(), Trouble> {
    let moves: Vec<(String, String)> = line
        .steps
        .iter()
        .zip(&plan.at)
        .filter(|(step, at)| step.place != **at)
        .map(|(step, at)| (step.name.clone(), line.places[at.index()].name.clone()))
        .collect();
    let sides: Vec<(String, String)> = plan
        .sides
        .iter()
        .map(|(s, zone)| (line.steps[s.index()].name.clone(), line.zones[zone.index()].name.clone()))
        .collect();
    if moves.is_empty() && sides.is_empty() {
        console.remark("nothing moves: nothing is written");
        return Ok(());
    }
    let first = FirstFile::open(&args.file)?;
    let loaded = syntax::load(&first.name, &first.sources);
    let mut edits = place_tasks(&loaded.tree, &moves);
    edits.extend(side_tasks(&loaded.tree, &sides));
    edits.sort_by_key(|edit| (edit.file, edit.start));
    let texts = Patched { files: texts(&loaded, &edits), under: &first.sources };
    let again = taktwright::read(&first.name, &texts, &[]);
    let planned = plan.on(line);
    let as_planned = again.layouts.first().is_some_and(|now| {
        let alike = |(now, then): (&Step, &Step)| now.place == then.place && now.zones == then.zones;
        now.steps.len() == line.steps.len() && now.steps.iter().zip(&planned.steps).all(alike)
    });
    if !as_planned {
        reading::show(&again.faults, &again.map, console);
        return Err(Trouble::Arguments(
            "the file with the answer in it would not read as the answer: nothing is written".to_string(),
        ));
    }
    for (name, text) in &texts.files {
        let path = format!("{}{name}", first.shown_before);
        write_aside(Path::new(&path), text.as_bytes())?;
        console.remark(&format!("wrote {path}"));
    }
    console.remark(&format!("{} moved", count_of(moves.len(), "task")));
    if !sides.is_empty() {
        console.remark(&format!("{} on another side", count_of(sides.len(), "task")));
    }
    Ok(())
}

/// The files that change, with their new text.
fn texts(loaded: &syntax::Loaded, edits: &[Edit]) -> Vec<(String, String)> {
    let changed = |id: &FileId| edits.iter().any(|edit| edit.file == *id);
    (0..loaded.map.files.len())
        .map(|k| FileId(u32::try_from(k).unwrap_or(u32::MAX)))
        .filter(changed)
        .filter_map(|id| loaded.map.get(id).map(|file| (file.path.clone(), patched(&file.text, id, edits))))
        .collect()
}
