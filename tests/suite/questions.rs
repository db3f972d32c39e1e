//! The page of questions: every command runs, and says what the page says that it says.

use crate::harness::split;
use crate::house::{copy_of_scenarios, text_of};
use std::collections::BTreeMap;

/// One row of a table: what is asked, the command, and the pieces of its text, in order.
struct Row {
    asked: String,
    command: String,
    pieces: Vec<String>,
}

/// What stands between backticks.
fn spans(cell: &str) -> Vec<String> {
    cell.split('`').skip(1).step_by(2).map(str::to_string).collect()
}

fn rows(page: &str) -> Vec<Row> {
    let row = |line: &str| {
        let cells: Vec<&str> = line.trim_matches('|').split(" | ").map(str::trim).collect();
        let [asked, command, look, answer] = cells.as_slice() else { panic!("four cells: {line}") };
        let command = spans(command).into_iter().next()?;
        Some(Row { asked: (*asked).to_string(), command, pieces: [spans(look), spans(answer)].concat() })
    };
    page.lines().filter(|line| line.starts_with("| ")).filter_map(row).collect()
}

/// Everything that a command prints, with one space between words.
fn said(command: &str, folder: &std::path::Path) -> String {
    let arguments = command.strip_prefix("taktwright ").expect("a command of ours");
    let ran = std::process::Command::new(env!("CARGO_BIN_EXE_taktwright"))
        .args(split(arguments))
        .current_dir(folder)
        .env_clear()
        .output()
        .expect("the built program starts");
    let complained = String::from_utf8_lossy(&ran.stderr);
    assert!(matches!(ran.status.code(), Some(0 | 1)), "`{command}`: {complained}");
    let text = String::from_utf8(ran.stdout).expect("text");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_question_is_answered_where_the_page_says() {
    let rows = rows(&text_of("docs/questions.md"));
    assert!(rows.len() >= 20, "{} questions", rows.len());
    let folder = copy_of_scenarios();
    let mut answers: BTreeMap<String, String> = BTreeMap::new();
    for Row { asked, command, pieces } in rows {
        let text = answers.entry(command.clone()).or_insert_with(|| said(&command, folder.path()));
        assert!(pieces.len() >= 2, "{asked} has words to look for and an answer");
        let mut rest = text.as_str();
        for piece in pieces {
            let Some(at) = rest.find(&piece) else {
                panic!("{asked}\n{command}\ndoes not say (in this order): {piece}\nbut: {text}")
            };
            rest = &rest[at + piece.len()..];
        }
    }
}
