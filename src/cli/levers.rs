//! `taktwright levers`: what one more of each thing buys, ranked.

use super::console::{Console, Trouble};
use super::disk::FirstFile;
use super::options::{LineArgs, SpanArgs, read_above_zero, read_setting};
use super::page::PageArgs;
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{reading, simulate, with_threads};
use clap::Args;
use std::path::PathBuf;
use taktwright::line::Line;
use taktwright::report::{LeversReport, render_levers};
use taktwright::study::{LineFile, Purse, levers, rank_levers};

#[derive(Args, Debug)]
pub struct LeversArgs {
    /// The file; `-` reads standard input.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub line: LineArgs,
    /// What a lever costs once, by its name or its kind, as in `--once bay=60000` or `--once "one more bay at
    /// A10=45000"`; may be repeated. Kinds: bay, rack place, repair place, slot, crew seat, spare worker, floater,
    /// shared tool, quicker station, better test, larger store, carrier, larger yard, moved task.
    #[arg(long, value_name = "LEVER=MONEY", value_parser = read_once, requires = "earns")]
    pub once: Vec<(String, f64)>,
    /// With `--once`: what a good unit earns above what is bought for it, in the money of the file; the table then
    /// says after how many shifts each lever is paid back.
    #[arg(long, value_name = "MONEY", value_parser = read_money, requires = "once")]
    pub earns: Option<f64>,
    /// Run nothing; print every lever as the layout that it is, to be put into the file.
    #[arg(long)]
    pub as_layouts: bool,
    #[command(flatten)]
    pub run: SpanArgs,
    #[command(flatten)]
    pub page: PageArgs,
}

pub fn run(args: &LeversArgs, console: Console) -> Result<Status, Trouble> {
    let first = FirstFile::open(&args.file)?;
    let Some(read) = reading::sound_first(&first, &args.line.set, console)? else {
        return Ok(Status::BadInput);
    };
    let line = reading::layout(&read, &args.line)?;
    let taken: Vec<&str> = read.layouts.iter().map(|line| line.layout.as_str()).collect();
    if args.as_layouts {
        let (made, _) = levers(line, &taken);
        let edits: Vec<&str> = made.iter().map(|lever| lever.edit.as_str()).collect();
        console.deliver(&edits.join("\n"), args.page.output.as_deref())?;
        return Ok(Status::Fine);
    }
    let purse = args.earns.map(|earns| Purse { earns, once: args.once.clone() });
    if let Some(purse) = &purse {
        fits(purse, line, &taken)?;
    }
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let file = LineFile { path: &first.name, sources: &first.sources, sets: &args.line.set };
    let outcome = with_threads(args.run.threads, || {
        rank_levers(line, &taken, &file, purse.as_ref(), &args.run.choices(), &progress)
    })?;
    drop(progress);
    let ranked = match outcome {
        Ok(ranked) => ranked,
        Err(error) => return simulate::refuse(&error, &read, console),
    };
    args.page.print(console, |form, dress| render_levers(&ranked, form, dress))?;
    Ok(status_of(&ranked, console))
}

/// `bay=60000`
fn read_once(text: &str) -> Result<(String, f64), String> {
    let (name, money) = read_setting(text).map_err(|_| "write it as in `bay=60000`".to_string())?;
    Ok((name, read_money(&money)?))
}

fn read_money(text: &str) -> Result<f64, String> {
    read_above_zero(text, "write an amount above 0 without its word, as in `1900`")
}

/// Every cost is that of a lever or a kind, and the file says what running costs: a payback without that would
/// be too good.
fn fits(purse: &Purse, line: &Line, taken: &[&str]) -> Result<(), Trouble> {
    if line.costs.is_none() {
        let what = "the file states no costs, so what a lever costs to run is not known: add a `money` and a \
                    `cost` statement, as in `money EUR` and `cost people 38 EUR per hour`";
        return Err(Trouble::Arguments(what.to_string()));
    }
    let Some((name, near)) = purse.unknown(&levers(line, taken).0) else { return Ok(()) };
    let cure = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => "`--as-layouts` prints all by their names".to_string(),
    };
    Err(Trouble::Arguments(format!("no lever and no kind of lever is called `{name}`; {cure}")))
}

fn status_of(ranked: &LeversReport, console: Console) -> Status {
    if ranked.interrupted {
        console.remark("interrupted: some levers are missing or rest on the first round");
        return Status::Interrupted;
    }
    Status::Fine
}
