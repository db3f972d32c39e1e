//! `taktwright compare`: layouts on the same random days, and which of them to take.

use super::console::{Console, Trouble};
use super::options::CompareArgs;
use super::progress::{Progress, listen_for_ctrl_c};
use super::status::Status;
use super::{choose, reading, simulate, sweep, with_threads};
use taktwright::Reading;
use taktwright::report::{CompareReport, render_comparison};
use taktwright::study::{Candidate, side_by_side};

pub fn run(args: &CompareArgs, console: Console) -> Result<Status, Trouble> {
    match (args.choice.choose_best, args.vary.ranges.is_empty()) {
        (false, true) => {}
        (false, false) => return sweep::run(args, console),
        (true, true) => return choose::run(args, console),
        (true, false) => return choose::among_points(args, console),
    }
    let Some(files) = sound_files(args, console)? else { return Ok(Status::BadInput) };
    let candidates = candidates(&files, &args.layouts)?;
    listen_for_ctrl_c();
    let progress = Progress::new(console);
    let outcome =
        with_threads(args.run.threads, || side_by_side(&candidates, &args.run.choices(), &progress))?;
    drop(progress);
    let comparison = match outcome {
        Ok(comparison) => comparison,
        Err(error) => return simulate::refuse(&error, &files[0].1, console),
    };
    args.page.print(console, |form, dress| render_comparison(&comparison, form, dress))?;
    Ok(status_of(&comparison, console))
}

/// Every file read, by the stem of its name; `None` where one can't be run, which was said.
pub fn sound_files(args: &CompareArgs, console: Console) -> Result<Option<Vec<(String, Reading)>>, Trouble> {
    let mut files = Vec::new();
    for file in &args.files {
        let Some(read) = reading::sound(file, &args.set, console)? else { return Ok(None) };
        let stem = file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
        files.push((stem, read));
    }
    Ok(Some(files))
}

/// The layouts asked for, in that order; all of one file, or each file as it stands.
pub fn candidates<'r>(
    files: &'r [(String, Reading)],
    wanted: &[String],
) -> Result<Vec<Candidate<'r>>, Trouble> {
    let several = files.len() > 1;
    let known: Vec<&str> =
        files.iter().flat_map(|(_, read)| read.layouts.iter().map(|line| line.layout.as_str())).collect();
    let names = names(wanted, &known);
    let mut found = Vec::new();
    for (stem, read) in files {
        let chosen = |layout: &str| match names.is_empty() {
            true => !several || Some(layout) == read.layouts.first().map(|line| line.layout.as_str()),
            false => names.iter().any(|name| name == layout),
        };
        for line in read.layouts.iter().filter(|line| chosen(&line.layout)) {
            let name = match (several, names.is_empty()) {
                (false, _) => line.layout.clone(),
                (true, true) => stem.clone(),
                (true, false) => format!("{stem}, {}", line.layout),
            };
            found.push(Candidate { name, line });
        }
    }
    if let Some(missing) = names.iter().find(|name| !known.contains(&name.as_str())) {
        return Err(reading::not_among("layout", missing, &known));
    }
    // In the order asked for: the first is the one that the others are set against.
    let place = |c: &Candidate<'_>| names.iter().position(|name| *name == c.line.layout);
    found.sort_by_key(place);
    if found.len() < 2 {
        let what = "there is nothing to compare: a second layout or a second file is needed";
        return Err(Trouble::Arguments(what.to_string()));
    }
    Ok(found)
}

/// `--layouts a,b` names two layouts, unless one is called so.
fn names(wanted: &[String], known: &[&str]) -> Vec<String> {
    let split = |text: &String| -> Vec<String> {
        match known.contains(&text.as_str()) {
            true => vec![text.clone()],
            false => text.split(',').map(|part| part.trim().to_string()).collect(),
        }
    };
    let mut names: Vec<String> = wanted.iter().flat_map(split).filter(|name| !name.is_empty()).collect();
    let mut seen = std::collections::BTreeSet::new();
    names.retain(|name| seen.insert(name.clone()));
    names
}

fn status_of(comparison: &CompareReport, console: Console) -> Status {
    if comparison.interrupted {
        console.remark(&format!("interrupted: this rests on {} replications", comparison.replications));
        return Status::Interrupted;
    }
    if comparison.advice.take.is_some() { Status::Fine } else { Status::Fails }
}
