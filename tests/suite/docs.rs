//! The docs are tests: every block in the line language, in README.md and under docs/, reads as it
//! claims, and so does every line that ships.
//!
//! A fenced block marked `line` that holds a `line` statement is a whole file; any other is added to
//! the page's `line prelude`. A code after the mark (`line T402`) must be given, and nothing else but
//! doubts. `line fragment` is part of a file shown in full elsewhere: it is only read. A second word
//! with a dot in it (`line trim.line`, `csv times.csv`) names a file for the later blocks of the page.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use taktwright::check::check;
use taktwright::diagnostic::{Diagnostic, FileId, MapSources, Severity};
use taktwright::syntax::tree::Word;
use taktwright::syntax::words::CLAUSES;
use taktwright::syntax::{load, parse};

/// A fenced block: the words after the fence, its text, the line it starts on.
struct Block {
    marks: Vec<String>,
    text: String,
    line: usize,
}

/// All fenced blocks of a page, in order.
fn blocks(page: &str) -> Vec<Block> {
    let mut found = Vec::new();
    let mut open: Option<Block> = None;
    for (index, row) in page.lines().enumerate() {
        match (row.strip_prefix("```"), &mut open) {
            (Some(marks), None) => {
                let marks = marks.split_whitespace().map(str::to_string).collect();
                open = Some(Block { marks, text: String::new(), line: index + 1 });
            }
            (Some(_), Some(_)) => found.extend(open.take()),
            (None, Some(block)) => {
                block.text.push_str(row);
                block.text.push('\n');
            }
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a fence is not closed");
    found
}

/// What a block of the line language claims.
#[derive(PartialEq, Debug)]
enum Claim {
    Clean,
    Gives(String),
    OnlyRead,
}

impl Block {
    fn second(&self) -> &str {
        self.marks.get(1).map_or("", String::as_str)
    }

    fn is_file(&self) -> bool {
        self.second().contains('.')
    }

    fn claim(&self) -> Claim {
        match self.second() {
            "fragment" => Claim::OnlyRead,
            "" | "prelude" => Claim::Clean,
            code => Claim::Gives(code.to_string()),
        }
    }

    fn is_whole(&self) -> bool {
        self.text.lines().any(|row| row.starts_with("line "))
    }
}

/// Every offence of a page against its claims.
fn offences(page: &str) -> Vec<String> {
    let mut files: BTreeMap<String, String> = BTreeMap::new();
    let mut prelude = String::new();
    let mut found = Vec::new();
    for block in blocks(page) {
        if block.is_file() {
            files.insert(block.second().to_string(), block.text.clone());
            continue;
        }
        if block.marks.first().map(String::as_str) != Some("line") {
            continue;
        }
        if block.second() == "prelude" {
            prelude.clone_from(&block.text);
        }
        let added = !block.is_whole() && block.claim() != Claim::OnlyRead;
        let text = if added { format!("{prelude}{}", block.text) } else { block.text.clone() };
        let faults = match block.claim() {
            Claim::OnlyRead => parse(FileId(0), &text).faults,
            Claim::Clean | Claim::Gives(_) => faults_of(&text, &files),
        };
        found.extend(offence(&block, &faults));
    }
    found
}

/// Everything that is wrong with a whole file, in its layouts too.
fn faults_of(text: &str, files: &BTreeMap<String, String>) -> Vec<Diagnostic> {
    let mut sources = MapSources::one("page.line", text);
    sources.files.extend(files.iter().map(|(name, text)| (name.clone(), text.as_bytes().to_vec())));
    let loaded = load("page.line", &sources);
    let mut faults = check(&loaded.tree, &sources, &[]).faults;
    faults.extend(loaded.faults);
    faults
}

fn offence(block: &Block, faults: &[Diagnostic]) -> Option<String> {
    let errors: Vec<&Diagnostic> = faults.iter().filter(|f| f.severity == Severity::Error).collect();
    let codes: Vec<&str> = errors.iter().map(|f| f.code.text()).collect();
    let right = match block.claim() {
        Claim::Gives(code) => codes == [code.as_str()],
        Claim::Clean | Claim::OnlyRead => codes.is_empty(),
    };
    let said: Vec<String> = errors.iter().map(|f| format!("{} {}", f.code.text(), f.headline)).collect();
    (!right)
        .then(|| format!("line {}: claims {:?}, gives {said:?}\n{}", block.line, block.claim(), block.text))
}

/// The project's folder.
fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The files below a folder with this ending, in order of their paths.
fn files_below(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("the folder can be read").path();
        if path.is_dir() {
            found.extend(files_below(&path, ending));
        } else if path.extension().is_some_and(|e| e == ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

#[expect(clippy::disallowed_methods, reason = "a test reads the files it judges")]
fn text_of(path: &Path) -> String {
    std::fs::read_to_string(path).expect("the file can be read")
}

#[test]
fn every_block_of_the_docs_reads_as_it_claims() {
    let mut pages = files_below(&root().join("docs"), "md");
    pages.push(root().join("README.md"));
    let mut found = Vec::new();
    for page in &pages {
        let of_page = offences(&text_of(page));
        found.extend(of_page.into_iter().map(|o| format!("{}, {o}", page.display())));
    }
    assert!(found.is_empty(), "{} offences\n{}", found.len(), found.join("\n"));
}

#[test]
fn every_shipped_line_is_free_of_errors() {
    let lines = files_below(&root().join("scenarios"), "line");
    assert!(lines.len() >= 2, "the shipped lines are where the test looks");
    for path in lines {
        let faults = faults_of(&text_of(&path), &BTreeMap::new());
        let errors: Vec<_> = faults.iter().filter(|f| f.severity == Severity::Error).collect();
        assert!(errors.is_empty(), "{}: {errors:#?}", path.display());
    }
}

#[test]
fn the_fragments_of_the_readme_stand_in_the_first_line() {
    let shipped: Vec<String> =
        text_of(&root().join("scenarios/first.line")).lines().map(|l| l.trim().to_string()).collect();
    let readme = text_of(&root().join("README.md"));
    let shown: Vec<String> = blocks(&readme)
        .into_iter()
        .filter(|b| b.marks.first().map(String::as_str) == Some("line"))
        .flat_map(|b| b.text.lines().map(|l| l.trim().to_string()).collect::<Vec<_>>())
        .collect();
    for row in shown.iter().filter(|row| !row.is_empty()) {
        assert!(shipped.contains(row), "README.md shows a row that the file doesn't hold: {row}");
    }
    for row in shipped.iter().filter(|row| !row.is_empty() && !row.starts_with('#')) {
        assert!(shown.contains(row), "README.md doesn't explain: {row}");
    }
}

/// Whether a heading of the reference is about this word.
fn is_described(page: &str, word: &str) -> bool {
    let ends = |c: char| !(c.is_alphanumeric() || c == '-');
    let mut titles = page.lines().filter_map(|row| row.strip_prefix("### "));
    titles.any(|title| title.split(ends).any(|piece| piece == word))
}

#[test]
fn every_word_of_the_language_is_in_the_reference() {
    let page = text_of(&root().join("docs/language.md"));
    let missing: Vec<&str> =
        Word::ALL.iter().filter(|word| !is_described(&page, word.text())).map(|word| word.text()).collect();
    assert_eq!(missing, Vec::<&str>::new(), "statement words without their section or row");
    for clause in CLAUSES {
        assert!(page.contains(clause.opener), "`{}` is described", clause.opener);
    }
}

/// The tables of a report stand in these sources, each with its name.
#[test]
fn every_table_of_a_report_is_in_its_list_of_files() {
    let page = text_of(&root().join("docs/reports.md"));
    let mut names = 0;
    for source in ["around", "judged", "line", "people", "places", "tests"] {
        let text = text_of(&root().join(format!("src/report/tables/{source}.rs")));
        let openings = text.split("Writing::").skip(1).filter_map(|rest| rest.split_once('('));
        let levels = text.split("    levels(").skip(1).map(|rest| ("at", rest));
        for (_, rest) in openings.chain(levels).filter(|(how, _)| ["of", "at", "those"].contains(how)) {
            let Some(name) = rest.trim_start().strip_prefix('"').and_then(|rest| rest.split('"').next())
            else {
                continue;
            };
            assert!(page.contains(&format!("`{name}.csv`")), "docs/reports.md does not list {name}.csv");
            names += 1;
        }
    }
    assert!(names >= 35, "{names} tables were found");
}

#[test]
fn every_link_of_the_docs_leads_somewhere() {
    let mut pages = files_below(&root().join("docs"), "md");
    pages.extend([root().join("README.md"), root().join("DEVELOPERS.md")]);
    let mut broken = Vec::new();
    for page in &pages {
        let text = text_of(page);
        for target in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
            let folder = page.parent().expect("a page stands in a folder");
            let path = if file.is_empty() { page.clone() } else { folder.join(file) };
            let leads = file.starts_with("https://")
                || path.exists()
                    && (anchor.is_empty() || text_of(&path).lines().any(|row| anchor_of(row) == anchor));
            if !leads {
                broken.push(format!("{}: {target}", page.display()));
            }
        }
    }
    assert!(broken.is_empty(), "{broken:#?}");
}

/// The anchor that a heading gets: lower case, blanks become dashes, other signs fall away.
fn anchor_of(row: &str) -> String {
    let Some(title) = row.starts_with('#').then(|| row.trim_start_matches('#').trim()) else {
        return String::new();
    };
    let kept = title.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
    kept.map(|c| if c == ' ' { '-' } else { c.to_ascii_lowercase() }).collect()
}

#[test]
fn the_first_screen_of_the_readme_is_what_the_program_says() {
    let run = std::process::Command::new(env!("CARGO_BIN_EXE_taktwright"))
        .args(["simulate", "scenarios/first.line", "--color", "never"])
        .current_dir(root())
        .output()
        .expect("the program starts");
    let said = String::from_utf8(run.stdout).expect("reports are UTF-8");
    let screen = said.split("\n\nThe line\n").next().expect("a split has a first part");
    let readme = text_of(&root().join("README.md"));
    let shown = blocks(&readme).into_iter().find(|b| b.marks == ["text"]).expect("the screen stands there");
    assert_eq!(
        shown.text.trim_end(),
        screen.trim_end(),
        "paste the new screen, and say in docs/changes.md why"
    );
}

#[test]
fn the_test_of_the_docs_sees_a_wrong_claim() {
    let prelude = "```line prelude\nline \"P\"\nstation A crew 1\ntask a takes 5 min\n```\n";
    let offences_of = |block: &str| offences(&format!("{prelude}{block}")).len();
    assert_eq!(offences_of("```line\ntask b takes 5 min\n```\n"), 0);
    assert_eq!(offences_of("```line\ntask b tkes 5 min\n```\n"), 1, "a fault that nobody claims");
    assert_eq!(offences_of("```line T301\ntask b takes 5\n```\n"), 0);
    assert_eq!(offences_of("```line T301\ntask b takes 5 min\n```\n"), 1, "a claim without a fault");
    assert_eq!(offences_of("```line T301\ntask b takes 5 %\n```\n"), 1, "another fault than claimed");
}
