//! The arguments as typed, and the settings they mean: read once, checked once.

use super::balance::BalanceArgs;
use super::choose::ChoiceArgs;
use super::console::Color;
use super::levers::LeversArgs;
use super::page::PageArgs;
use super::vary::VaryArgs;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;
use taktwright::simulate::Horizon;
use taktwright::study::{GAIN_REPLICATIONS, Precision, RunChoices, WarmUpChoice, read_share, read_time};
use taktwright::units::Time;

/// Balances and simulates production lines that are written down as text.
///
/// A `.line` file says what is built, where, by whom and how long it takes. This program reads it,
/// reports every fault in it, and runs it on many random weeks to say how many units come out, how
/// sure that is, and where the time goes.
#[derive(Parser, Debug)]
#[command(name = "taktwright", version, max_term_width = 100, after_help = super::words::MAIN_EXAMPLES)]
pub struct Arguments {
    #[command(subcommand)]
    pub command: Command,
    /// Colour what people read (`auto`: on a terminal, unless NO_COLOR is set).
    #[arg(long, global = true, value_enum, default_value_t, value_name = "WHEN")]
    pub color: Color,
    /// No progress and no remarks; faults are still reported.
    #[arg(long, short, global = true)]
    pub quiet: bool,
}

#[derive(Subcommand, Debug)]
pub enum Command {
    /// Read line files, report every fault and doubt, and show what follows from mean times.
    #[command(after_help = super::words::CHECK_EXAMPLES)]
    Check(CheckArgs),
    /// Write line files in their canonical form, keeping every comment.
    #[command(after_help = super::words::TIDY_EXAMPLES)]
    Tidy(TidyArgs),
    /// Find better stations for tasks: what moves, what it buys, what binds.
    #[command(after_help = super::words::BALANCE_EXAMPLES)]
    Balance(BalanceArgs),
    /// Run a line on many random days and report what it does; judge its promises.
    #[command(after_help = super::words::SIMULATE_EXAMPLES)]
    Simulate(SimulateArgs),
    /// Run layouts, or one with a number varied, on the same random days, and say which to take.
    #[command(after_help = super::words::COMPARE_EXAMPLES)]
    Compare(CompareArgs),
    /// What one more of each thing buys (bay, slot, person, equipment, faster work, better tests, moves), ranked.
    #[command(after_help = super::words::LEVERS_EXAMPLES)]
    Levers(LeversArgs),
    /// Where the units go: from the time of a shift to its good units, cause by cause.
    #[command(after_help = super::words::LOSSES_EXAMPLES)]
    Losses(LossesArgs),
    /// Why a station takes as long as it does: its cycles, a typical one and a bad one drawn.
    #[command(after_help = super::words::WHY_EXAMPLES)]
    Why(WhyArgs),
    /// Run scenario files and judge what they expect.
    #[command(after_help = super::words::VERIFY_EXAMPLES)]
    Verify(VerifyArgs),
    /// Explain a diagnostic code, a word of the language, or a measure of the report.
    #[command(after_help = super::words::EXPLAIN_EXAMPLES)]
    Explain(ExplainArgs),
}

/// What to read, and as what.
#[derive(Args, Debug)]
pub struct LineArgs {
    /// The layout to take (default: the file as it stands).
    #[arg(long, value_name = "NAME")]
    pub layout: Option<String>,
    /// Another value for a `let` of the file, as in `--set welders=4`; may be repeated.
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = read_setting)]
    pub set: Vec<(String, String)>,
}

#[derive(Args, Debug)]
pub struct CheckArgs {
    /// The files; `-` reads standard input.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    #[command(flatten)]
    pub line: LineArgs,
    /// What to print; with `json` the diagnostics go to standard output.
    #[arg(long, value_enum, default_value_t, value_name = "FORMAT")]
    pub format: Format,
}

#[derive(Args, Debug)]
pub struct TidyArgs {
    /// The files; `-` reads standard input and writes standard output.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Change nothing; only say which files are not in their canonical form (exit status 1).
    #[arg(long)]
    pub check: bool,
}

/// How long, how often, from which seed.
#[derive(Args, Debug)]
pub struct SpanArgs {
    /// Another seed gives other random days; the same seed gives the same result.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Independent runs of the same length (default: 100).
    #[arg(long, value_name = "N", conflicts_with = "within", value_parser = clap::value_parser!(u32).range(2..=1_000_000))]
    pub replications: Option<u32>,
    /// Go on until the band of the mean output is this narrow, as in `--within 1%`.
    #[arg(long, value_name = "SHARE", value_parser = read_share)]
    pub within: Option<f64>,
    /// Shifts counted in each replication, after its warm-up (default with a calendar: whole weeks
    /// of together 20 shifts or more).
    #[arg(long, value_name = "N", group = "horizon", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub shifts: Option<u32>,
    /// Finished units counted in each replication, after its warm-up (default without a calendar:
    /// 1000).
    #[arg(long, value_name = "N", group = "horizon", value_parser = clap::value_parser!(u64).range(1..=1_000_000_000))]
    pub units: Option<u64>,
    /// Clock time counted in each replication, after its warm-up, as in `--for 40h`.
    #[arg(long = "for", value_name = "TIME", group = "horizon", value_parser = read_time)]
    pub lasting: Option<Time>,
    /// What to cut from the front of every replication: `auto`, `none` or a time.
    #[arg(long, value_name = "auto|none|TIME", value_parser = read_warm_up)]
    pub warm_up: Option<WarmUpChoice>,
    /// Threads (default: all of the machine's); the result never depends on it.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

#[derive(Args, Debug)]
pub struct SimulateArgs {
    /// The file; `-` reads standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub line: LineArgs,
    #[command(flatten)]
    pub run: SpanArgs,
    /// Replications for each station's gain (attended minutes x 0.95); `0` leaves the gains out.
    #[arg(long, value_name = "N", default_value_t = GAIN_REPLICATIONS, value_parser = read_gains)]
    pub gains: u32,
    /// The form of the report.
    #[arg(long, value_enum, default_value_t, value_name = "FORMAT")]
    pub format: ReportFormat,
    #[command(flatten)]
    pub output: OutputArgs,
}

#[derive(Args, Debug)]
pub struct CompareArgs {
    /// The files: layouts of one, or several files as they stand; `-` reads standard input.
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// The layouts, parted by commas, the one to set the others against first (default: all, the file
    /// as it stands first); may be repeated. With `--vary`, the one layout that is varied.
    #[arg(long, value_name = "NAME,NAME")]
    pub layouts: Vec<String>,
    #[command(flatten)]
    pub vary: VaryArgs,
    /// With `--vary`: a promise judged at every point, as in `--promise "at least 18 units per shift on 80 %
    /// of shifts"`; may be repeated. Those of the file are judged too.
    #[arg(long, value_name = "SENTENCE", requires = "vary")]
    pub promise: Vec<String>,
    /// With `--vary`: run nothing; print every point as the layout that it is, to be put into the file.
    #[arg(long, requires = "vary")]
    pub as_layouts: bool,
    #[command(flatten)]
    pub choice: ChoiceArgs,
    /// Another value for a `let` of the files, as in `--set welders=4`; may be repeated.
    #[arg(long = "set", value_name = "NAME=VALUE", value_parser = read_setting)]
    pub set: Vec<(String, String)>,
    #[command(flatten)]
    pub run: SpanArgs,
    #[command(flatten)]
    pub page: PageArgs,
}

#[derive(Args, Debug)]
pub struct LossesArgs {
    /// The file; `-` reads standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub line: LineArgs,
    #[command(flatten)]
    pub run: SpanArgs,
    #[command(flatten)]
    pub page: PageArgs,
}

#[derive(Args, Debug)]
pub struct WhyArgs {
    /// The file; `-` reads standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The station, by its name in the file.
    #[arg(value_name = "STATION")]
    pub station: String,
    #[command(flatten)]
    pub line: LineArgs,
    #[command(flatten)]
    pub run: SpanArgs,
    #[command(flatten)]
    pub page: PageArgs,
}

#[derive(Args, Debug)]
pub struct OutputArgs {
    /// Write the report there instead of to standard output.
    #[arg(long, short, value_name = "PATH")]
    pub output: Option<PathBuf>,
    /// Leave out whatever differs from run to run (elapsed time), so that equal runs give equal
    /// bytes.
    #[arg(long)]
    pub reproducible: bool,
}

#[derive(Args, Debug)]
pub struct VerifyArgs {
    /// The scenario files (YAML).
    #[arg(required = true, value_name = "SCENARIO")]
    pub scenarios: Vec<PathBuf>,
    /// Write what this run found into each scenario's baseline file, instead of comparing with it.
    #[arg(long)]
    pub bless: bool,
    /// Threads (default: all of the machine's); the result never depends on it.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// The form of the verdicts; `junit` for CI servers.
    #[arg(long, value_enum, default_value_t, value_name = "FORMAT")]
    pub format: VerdictFormat,
    /// Write the verdicts to this file instead of standard output.
    #[arg(long, short, value_name = "PATH")]
    pub output: Option<PathBuf>,
}

#[derive(Args, Debug)]
pub struct ExplainArgs {
    /// A code (`T101`), a word (`hold`), a measure (`units per shift`), or a file with a task and a station;
    /// without one: all topics.
    #[arg(value_name = "TOPIC")]
    pub topic: Vec<String>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum Format {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
}

impl From<Format> for taktwright::report::Format {
    fn from(format: Format) -> taktwright::report::Format {
        match format {
            Format::Text => taktwright::report::Format::Text,
            Format::Json => taktwright::report::Format::Json,
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum ReportFormat {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
    /// One page for a browser or a printer, whole in itself.
    Html,
    /// Tables for a spreadsheet: a file for each in the folder that `--output` names.
    Csv,
    /// The same tables as one workbook, a sheet for each, in the file that `--output` names.
    Xlsx,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum VerdictFormat {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
    /// For CI servers.
    Junit,
}

impl SpanArgs {
    /// The settings these arguments mean, without gains by station.
    pub fn choices(&self) -> RunChoices {
        let horizon = match (self.shifts, self.units, self.lasting) {
            (Some(n), _, _) => Some(Horizon::Shifts(n)),
            (None, Some(n), _) => Some(Horizon::Units(n)),
            (None, None, Some(time)) => Some(Horizon::For(time)),
            (None, None, None) => None,
        };
        let precision = match (self.within, self.replications) {
            (Some(share), _) => Precision::Within(share),
            (None, Some(n)) => Precision::Replications(n),
            (None, None) => Precision::default(),
        };
        RunChoices { seed: self.seed, precision, horizon, warm_up: self.warm_up, gains: 0 }
    }
}

/// A number above 0; `cure` says how to write one.
pub fn read_above_zero(text: &str, cure: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(number) if number > 0.0 && number.is_finite() => Ok(number),
        Ok(_) | Err(_) => Err(cure.to_string()),
    }
}

pub fn read_setting(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim().to_string(), value.trim().to_string()))
        }
        Some(_) | None => Err("write it as in `welders=4`".to_string()),
    }
}

fn read_warm_up(text: &str) -> Result<WarmUpChoice, String> {
    match text {
        "auto" => Ok(WarmUpChoice::Auto),
        "none" => Ok(WarmUpChoice::None),
        time => read_time(time).map(WarmUpChoice::For),
    }
}

/// 0, or enough replications for a band.
fn read_gains(text: &str) -> Result<u32, String> {
    match text.parse() {
        Ok(1) => Err("one replication gives no band: 2 or more, or 0 to leave the gains out".to_string()),
        Ok(n) if n <= 100_000 => Ok(n),
        Ok(_) | Err(_) => Err("a whole number from 0 to 100000 is needed".to_string()),
    }
}
