//! The house holds its own rules: imports point one way, each heavy crate has one user, files open
//! with what they are, nothing grows without being seen.
//!
//! Every rule is a function from text to offences; each is itself tested on bad snippets.

mod imports;
mod rules;
mod scan;
mod sizes;
mod tables;

use std::fs;
use std::path::{Path, PathBuf};

/// One thing that a rule objects to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Offence {
    pub file: String,
    pub line: usize,
    /// What is wrong and what to do instead.
    pub what: String,
}

/// The top folder of the repository.
pub fn top() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below `folder` whose name ends so, with `/` between parts, in order of name; packages that
/// the browser's check has fetched are not ours.
pub fn files_below(folder: &str, ending: &str) -> Vec<String> {
    let mut found = Vec::new();
    collect(&top().join(folder), ending, &mut found);
    found.sort();
    found
}

fn collect(folder: &Path, ending: &str, found: &mut Vec<String>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let path = entry.path();
        if path.is_dir() && path.ends_with("node_modules") {
            continue;
        }
        if path.is_dir() {
            collect(&path, ending, found);
        } else if path.to_string_lossy().ends_with(ending) {
            let inside = path.strip_prefix(top()).expect("collected below the top folder");
            found.push(inside.to_string_lossy().replace('\\', "/"));
        }
    }
}

pub fn text_of(file: &str) -> String {
    fs::read_to_string(top().join(file)).unwrap_or_else(|why| panic!("{file}: {why}"))
}

/// A temporary folder with the shipped scenarios in it.
pub fn copy_of_scenarios() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for file in files_below("scenarios", "") {
        let path = folder.path().join(&file);
        fs::create_dir_all(path.parent().expect("a file stands in a folder")).expect("a folder");
        fs::write(path, text_of(&file)).expect("a copy of a scenario");
    }
    folder
}

/// Fails with all offences, one a line.
#[track_caller]
fn none_of(offences: Vec<Offence>) {
    let said: Vec<String> = offences.iter().map(|o| format!("{}:{}: {}", o.file, o.line, o.what)).collect();
    assert!(said.is_empty(), "{} offences:\n{}\n", said.len(), said.join("\n"));
}

fn over_source(rule: impl Fn(&str, &str) -> Vec<Offence>) -> Vec<Offence> {
    files_below("src", ".rs").iter().flat_map(|file| rule(file, &text_of(file))).collect()
}

#[test]
fn imports_point_one_way() {
    none_of(over_source(imports::climbing));
}

#[test]
fn each_heavy_crate_has_one_user() {
    none_of(over_source(imports::borrowed));
}

#[test]
fn every_folder_of_the_source_has_a_rank() {
    for file in files_below("src", ".rs") {
        let folder =
            file.trim_start_matches("src/").split('/').next().unwrap_or_default().trim_end_matches(".rs");
        assert!(
            imports::is_known(folder) || ["lib", "main", "cli"].contains(&folder),
            "{file}: `{folder}` has no rank: give it one in tests/suite/house/imports.rs and DEVELOPERS.md"
        );
    }
}

#[test]
fn every_file_opens_with_what_it_is() {
    none_of(over_source(rules::head_comment));
}

#[test]
fn nothing_panics_without_a_reason() {
    none_of(over_source(rules::bare_panics));
}

#[test]
fn no_file_names_a_place_on_somebodys_machine() {
    let mut offences = Vec::new();
    for folder in ["src", "tests", "docs", "scenarios", "grammar", ".ci"] {
        for file in files_below(folder, "") {
            if let Ok(text) = fs::read_to_string(top().join(&file)) {
                offences.extend(rules::machine_paths(&file, &text));
            }
        }
    }
    for file in ["README.md", "DEVELOPERS.md", "Cargo.toml", ".clippy.toml", ".rustfmt.toml", ".gitignore"] {
        offences.extend(rules::machine_paths(file, &text_of(file)));
    }
    none_of(offences);
}

#[test]
fn the_top_level_is_exactly_the_agreed_list() {
    const AGREED: [&str; 9] = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "docs",
        "grammar",
        "scenarios",
        "src",
    ];
    const ALSO: [&str; 2] = ["target", "tests"];
    let found: Vec<String> = fs::read_dir(top())
        .expect("the repository can be read")
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| !name.starts_with('.'))
        .collect();
    for name in &found {
        assert!(
            AGREED.contains(&name.as_str()) || ALSO.contains(&name.as_str()),
            "`{name}` is not on the agreed list of the top level: find it a place in one of the folders"
        );
    }
    for name in AGREED {
        assert!(found.iter().any(|f| f == name), "`{name}` is missing from the top level");
    }
}

/// Long files and functions stand in `sizes.txt` with their length, and may only shrink. Set
/// TAKTWRIGHT_BLESS=1 to write the list anew; the diff is the review.
#[test]
fn long_files_and_functions_do_not_grow() {
    let sources: Vec<(String, String)> =
        files_below("src", ".rs").into_iter().map(|file| (file.clone(), text_of(&file))).collect();
    let now = sizes::over_the_aims(&sources);
    let list = "tests/suite/house/sizes.txt";
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        fs::write(top().join(list), sizes::write(&now)).expect("the list can be written");
    }
    let offences = sizes::grown(&now, &sizes::read(&text_of(list)));
    assert!(
        offences.is_empty(),
        "{}\n(aims: {} lines a file, {} a function)",
        offences.join("\n"),
        sizes::FILE,
        sizes::FUNCTION
    );
}
