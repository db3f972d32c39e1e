//! `taktwright explain`: a diagnostic code, a word of the language, a measure of the report.

use super::console::{Console, Trouble};
use super::measures::{MEASURES, MeasureWords};
use super::options::ExplainArgs;
use super::reading;
use super::status::Status;
use std::fmt::Write as _;
use std::path::Path;
use taktwright::balance::{self, Caps};
use taktwright::diagnostic::{Code, Severity};
use taktwright::line::{PlaceId, StepId};
use taktwright::report::verdict_words;
use taktwright::syntax::tree::Word;
use taktwright::syntax::words::{CLAUSES, ClauseWord, LINKS};

pub fn run(args: &ExplainArgs, console: Console) -> Result<Status, Trouble> {
    if args.topic.is_empty() {
        console.print(&everything())?;
        return Ok(Status::Fine);
    }
    if let [file, task, station] = args.topic.as_slice()
        && file.ends_with(".line")
    {
        return why(Path::new(file), task, station, console);
    }
    let topic = args.topic.join(" ");
    let found = explain(&topic);
    if found.is_empty() {
        return Err(Trouble::Arguments(unknown(&topic)));
    }
    console.print(&found.concat())?;
    Ok(Status::Fine)
}

/// Why a task of a file can't go to a station, or what it comes to.
fn why(path: &Path, task: &str, station: &str, console: Console) -> Result<Status, Trouble> {
    let read = reading::read(path, &[])?;
    let Some(line) = read.layouts.first() else {
        reading::show(&read.faults, &read.map, console);
        return Ok(Status::BadInput);
    };
    let steps: Vec<&str> = line.steps.iter().map(|s| s.name.as_str()).collect();
    let places: Vec<&str> = line.places.iter().map(|p| p.name.as_str()).collect();
    let of = |what: &str, wanted: &str, known: &[&str]| {
        known.iter().position(|name| *name == wanted).ok_or_else(|| reading::not_among(what, wanted, known))
    };
    let step = StepId::from_index(of("task", task, &steps)?);
    let place = PlaceId::from_index(of("station", station, &places)?);
    let caps = Caps::default();
    let verdict = balance::why(line, step, place, caps)
        .map_err(|no| Trouble::Arguments(super::balance::refused(&no)))?;
    console.print(&verdict_words(line, step, place, caps, &verdict))?;
    Ok(Status::Fine)
}

/// All that the topic may mean: a word can open statements and clauses.
fn explain(topic: &str) -> Vec<String> {
    let wanted = topic.trim().to_lowercase();
    let codes =
        Code::ALL.iter().filter(|code| code.text().eq_ignore_ascii_case(&wanted)).map(|code| of_code(*code));
    let words = Word::find(&wanted).into_iter().map(of_word);
    let clauses = CLAUSES.iter().filter(|clause| clause.opener == wanted).map(of_clause);
    let links =
        LINKS.iter().filter(|link| **link == wanted && !CLAUSES.iter().any(|c| c.opener == **link)).map(
            |link| format!("{link}\n  Links the parts of a clause; reserved, so nothing can be named so.\n"),
        );
    let measures = MEASURES.iter().filter(|measure| measure.is_called(&wanted)).map(of_measure);
    codes.chain(words).chain(clauses).chain(links).chain(measures).collect()
}

fn of_code(code: Code) -> String {
    let kind = match code.severity() {
        Severity::Error => "an error: nothing is run until it is mended",
        Severity::Doubt => "a doubt: shown beside the result",
    };
    format!("{}\n  {}\n  It is {kind}.\n", code.text(), code.meaning().trim())
}

fn of_word(word: Word) -> String {
    format!("{} ...\n  A statement: {}.\n", word.text(), word.meaning())
}

fn of_clause(clause: &ClauseWord) -> String {
    format!("... {} ...\n  A clause: {}.\n", clause.opener, clause.meaning)
}

fn of_measure(measure: &MeasureWords) -> String {
    format!("{}\n  A measure, {}: {}.\n", measure.name, measure.unit, measure.meaning)
}

/// Every topic with its one line.
fn everything() -> String {
    let mut text = String::from("Statements\n");
    for word in Word::ALL {
        let _ = writeln!(text, "  {:<14} {}", word.text(), word.meaning());
    }
    text.push_str("\nClauses\n");
    for clause in CLAUSES {
        let _ = writeln!(text, "  {:<14} {}", clause.opener, clause.meaning);
    }
    text.push_str("\nMeasures\n");
    for measure in MEASURES {
        let _ = writeln!(text, "  {:<26} {}", measure.name, measure.unit);
    }
    text.push_str("\nCodes\n");
    for code in Code::ALL {
        let _ = writeln!(text, "  {}  {}", code.text(), code.meaning().trim());
    }
    text
}

fn unknown(topic: &str) -> String {
    let known = Word::ALL
        .iter()
        .map(|word| word.text())
        .chain(CLAUSES.iter().map(|clause| clause.opener))
        .chain(MEASURES.iter().map(|measure| measure.name))
        .chain(Code::ALL.iter().map(|code| code.text()));
    match taktwright::study::nearest(&topic.to_lowercase(), known) {
        Some(near) => format!("nothing is called `{topic}`; did you mean `{near}`?"),
        None => format!("nothing is called `{topic}`; `taktwright explain` lists every topic"),
    }
}
