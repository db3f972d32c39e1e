//! Fixtures are files with a verdict: `tests/fixtures/ok` checks clean; in `tests/fixtures/err` every
//! fault stands in the file, as notes above the line it is reported at:
//!
//! ```text
//! #! T201 31-34 `rnise` is not a task, hold or test of this file
//! #!   help: did you mean `rinse`?
//! task dry takes 5 min after rnise
//! ```
//!
//! 31-34 are the first and the last column (a fault over several lines ends in `line:column`). Notes
//! at the very top belong to no line (an empty file) or, with `in FILE line:`, to a file included. An
//! unexpected fault and a missing one both fail; with `REWRITE_NOTES=1` in the environment the notes
//! are written anew, and the diff is the review.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use taktwright::diagnostic::{Code, Diagnostic, FileId, MapSources, Places};
use taktwright::{Reading, balance, read};

fn folder(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name)
}

/// The files of a folder by name, with the bytes of each.
#[expect(clippy::disallowed_methods, reason = "a test reads the files it judges")]
fn files(name: &str) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder(name)).expect("the folder is there") {
        let path = entry.expect("the folder can be read").path();
        let file = path.file_name().expect("a file has a name").to_string_lossy().into_owned();
        found.insert(file, std::fs::read(&path).expect("the file can be read"));
    }
    found
}

/// Everything that is said of a file, doubts about loads included.
fn reading(name: &str, bytes: &[u8], others: &BTreeMap<String, Vec<u8>>) -> Reading {
    let mut files = others.clone();
    files.insert(name.to_string(), bytes.to_vec());
    let mut reading = read(name, &MapSources { files }, &[]);
    for line in &reading.layouts {
        reading.faults.extend(balance::doubts(line, &balance::loads(line)));
    }
    reading
}

/// The text without its notes.
fn stripped(text: &[u8]) -> Vec<u8> {
    let mut kept = Vec::new();
    for line in text.split_inclusive(|byte| *byte == b'\n') {
        if !line.trim_ascii_start().starts_with(b"#!") {
            kept.extend_from_slice(line);
        }
    }
    kept
}

/// The text with a note above each line that a fault is reported at.
fn with_notes(text: &[u8], reading: &Reading) -> Vec<u8> {
    let mut places = Places::new(&reading.map);
    let mut top = Vec::new();
    let mut notes: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for fault in &reading.faults {
        let (line, note) = note(fault, reading, &mut places);
        match line {
            Some(line) => notes.entry(line).or_default().extend(note),
            None => top.extend(note),
        }
    }
    let mut out = Vec::new();
    let push = |out: &mut Vec<u8>, notes: &[String]| {
        for note in notes {
            out.extend_from_slice(note.as_bytes());
            out.push(b'\n');
        }
    };
    push(&mut out, &top);
    for (index, line) in text.split_inclusive(|byte| *byte == b'\n').enumerate() {
        push(&mut out, &notes.remove(&(index + 1)).unwrap_or_default());
        out.extend_from_slice(line);
    }
    // At the end of a text without a last line break there is no line to stand above.
    for notes in notes.values() {
        push(&mut out, notes);
    }
    out
}

/// The line (of the fixture itself) that a fault is reported at, and its note.
fn note(fault: &Diagnostic, reading: &Reading, places: &mut Places) -> (Option<usize>, Vec<String>) {
    let file = fault.primary.file;
    let range = places.range(fault.primary);
    let (start, end) = (places.place(file, range.start), places.place(file, range.end));
    let last = match end.line == start.line {
        true => end.column.saturating_sub(1).max(start.column).to_string(),
        false => format!("{}:{}", end.line - start.line + 1, end.column.saturating_sub(1)),
    };
    let place = match (file, reading.map.get(file)) {
        (FileId(0), _) | (_, None) => String::new(),
        (_, Some(other)) => format!("in {} {}:", other.path, start.line),
    };
    let inside = file == FileId(0) && !places.text(file).is_empty();
    let columns =
        if file == FileId(0) && !inside { String::new() } else { format!("{place}{}-{last} ", start.column) };
    let mut lines = vec![format!("#! {} {columns}{}", fault.code.text(), fault.headline)];
    lines.extend(fault.help.iter().map(|help| format!("#!   help: {help}")));
    (inside.then_some(start.line), lines)
}

/// The codes that the notes of a fixture name.
fn noted(text: &[u8]) -> BTreeSet<String> {
    String::from_utf8_lossy(text)
        .lines()
        .filter_map(|line| line.trim_start().strip_prefix("#! T"))
        .map(|rest| format!("T{}", rest.split(' ').next().unwrap_or_default()))
        .collect()
}

#[test]
#[expect(clippy::disallowed_methods, reason = "the notes are written back on demand")]
fn every_faulty_fixture_gives_exactly_the_faults_noted_in_it() {
    let all = files("err");
    let rewrite = std::env::var("REWRITE_NOTES").is_ok();
    let others: BTreeMap<String, Vec<u8>> = all
        .iter()
        .filter(|(name, _)| !name.ends_with(".line") || name.starts_with("part-"))
        .map(|(name, bytes)| (name.clone(), bytes.clone()))
        .collect();
    let mut wrong = Vec::new();
    for (name, text) in all.iter().filter(|(name, _)| name.ends_with(".line") && !name.starts_with("part-")) {
        let bare = stripped(text);
        let found = with_notes(&bare, &reading(name, &bare, &others));
        if found != *text {
            if rewrite {
                std::fs::write(folder("err").join(name), &found).expect("the fixture can be written");
            }
            let (found, text) = (String::from_utf8_lossy(&found), String::from_utf8_lossy(text));
            wrong.push(format!("---- {name} says\n{text}\n---- and gives\n{found}"));
        } else if noted(text).is_empty() {
            wrong.push(format!("---- {name} notes no fault at all"));
        }
    }
    assert!(wrong.is_empty() || rewrite, "{}", wrong.join("\n"));
}

#[test]
fn every_good_fixture_checks_clean() {
    let all = files("ok");
    // This one shows every clause to the reader; what it says is nonsense.
    for (name, text) in all.iter().filter(|(name, _)| name.ends_with(".line") && *name != "every-clause.line")
    {
        let found = reading(name, text, &all);
        let said: Vec<String> =
            found.faults.iter().map(|fault| format!("{} {}", fault.code.text(), fault.headline)).collect();
        assert_eq!(said, Vec::<String>::new(), "{name}");
        assert!(!found.layouts.is_empty(), "{name} gives a line");
    }
}

/// Codes that no line file gives: a run or a scenario does.
const NOT_OF_A_FILE: [Code; 4] = [Code::LockUp, Code::RunFailed, Code::BadScenario, Code::BadBaseline];

#[test]
fn every_code_has_a_fixture_and_a_section_in_the_reference() {
    let noted: BTreeSet<String> = files("err").values().flat_map(|text| noted(text)).collect();
    let page = include_str!("../../docs/diagnostics.md");
    let mut missing = Vec::new();
    for code in Code::ALL {
        let text = code.text();
        if !noted.contains(text) && !NOT_OF_A_FILE.contains(code) {
            missing.push(format!("{text} ({code:?}) has no fixture in tests/fixtures/err"));
        }
        let heading = format!("\n### {text} ");
        match page.find(&heading) {
            None => missing.push(format!("{text} ({code:?}) has no section in docs/diagnostics.md")),
            Some(at) => {
                let section = &page[at + heading.len()..];
                let section = section.find("\n#").map_or(section, |end| &section[..end]);
                let meaning = code.meaning().trim();
                if !section.contains(meaning) {
                    missing.push(format!("the section of {text} does not say: {meaning}"));
                }
            }
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

#[test]
fn the_harness_sees_a_missing_and_an_unexpected_note() {
    let text = b"station S crew 1\ntask t takes 5\n";
    let noted = with_notes(text, &reading("a.line", text, &BTreeMap::new()));
    assert_eq!(
        String::from_utf8_lossy(&noted),
        "station S crew 1\n#! T301 14-14 the time of task t needs a unit of time\n#!   help: write `5 min`\ntask t takes 5\n"
    );
    assert_eq!(stripped(&noted), text);
}
