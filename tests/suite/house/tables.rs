//! Tables of words in the docs against the code: the language, the codes, the commands.

use super::{files_below, text_of, top};
use std::fs;
use std::process::Command;
use taktwright::diagnostic::Code;
use taktwright::syntax::tree::Word;
use taktwright::syntax::words::CLAUSES;

/// The page of commands: what `--help` of each says, in order.
fn page_of_commands() -> String {
    let mut page = "\
# The commands

Written by the program from its own help (`TAKTWRIGHT_BLESS=1 cargo test commands`); a test holds the
two together. Reports go to standard output, diagnostics and progress to standard error.
"
    .to_string();
    for command in [
        "", "check", "tidy", "balance", "simulate", "compare", "levers", "losses", "why", "verify", "explain",
    ] {
        let ran = Command::new(env!("CARGO_BIN_EXE_taktwright"))
            .args([command, "--help"].iter().filter(|a| !a.is_empty()))
            .env_clear()
            .output()
            .expect("the built program starts");
        let help = String::from_utf8(ran.stdout).expect("help is text");
        let help: Vec<&str> = help.lines().map(str::trim_end).collect();
        page.push_str(&format!("\n## taktwright {command}",));
        page = page.trim_end().to_string();
        page.push_str(&format!("\n\n```text\n{}\n```\n", help.join("\n").trim_end()));
    }
    page
}

#[test]
fn the_page_of_commands_is_what_help_says() {
    let path = top().join("docs/commands.md");
    let page = page_of_commands();
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        fs::write(&path, &page).expect("docs can be written");
    }
    let published = fs::read_to_string(&path).unwrap_or_default();
    assert!(published == page, "docs/commands.md is stale: TAKTWRIGHT_BLESS=1 cargo test commands");
}

#[test]
fn every_word_of_the_language_stands_in_its_reference() {
    let reference = text_of("docs/language.md");
    for word in Word::ALL {
        let section = reference.lines().any(|line| {
            line.strip_prefix("### ").is_some_and(|names| names.split(", ").any(|name| name == word.text()))
        });
        assert!(section, "docs/language.md has no section for the statement `{}`", word.text());
    }
    let code = format!(" {} ", code_in(&reference).replace(['\n', ',', '(', ')', '|'], " "));
    for clause in CLAUSES {
        let shown = code.contains(&format!(" {} ", clause.opener));
        assert!(shown, "docs/language.md does not show the clause `{}`", clause.opener);
    }
}

/// What stands between backticks, in lines and in blocks.
fn code_in(page: &str) -> String {
    page.split('`').skip(1).step_by(2).fold(String::new(), |all, piece| format!("{all} {piece} "))
}

#[test]
fn every_code_has_its_section() {
    let page = text_of("docs/diagnostics.md");
    for code in Code::ALL {
        let section = page.lines().any(|line| line.starts_with('#') && line.contains(code.text()));
        assert!(section, "docs/diagnostics.md has no section for {}", code.text());
    }
    for line in page.lines().filter(|line| line.starts_with('#')) {
        let codes = line.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| is_code(w));
        for word in codes {
            assert!(
                Code::ALL.iter().any(|code| code.text() == word),
                "docs/diagnostics.md explains {word}, which is no code"
            );
        }
    }
}

fn is_code(word: &str) -> bool {
    word.len() == 4 && word.starts_with('T') && word[1..].chars().all(|c| c.is_ascii_digit())
}

#[test]
fn every_page_that_a_page_links_to_is_there() {
    let pages =
        files_below("docs", ".md").into_iter().chain(["README.md", "DEVELOPERS.md"].map(str::to_string));
    for page in pages {
        let folder = page.rsplit_once('/').map_or("", |(folder, _)| folder);
        for target in links(&text_of(&page)) {
            let path = top().join(folder).join(&target);
            assert!(path.exists(), "{page} links to {target}, which is not there");
        }
    }
}

/// Relative targets of `[text](target)`, without their anchors.
fn links(text: &str) -> Vec<String> {
    text.match_indices("](")
        .filter_map(|(at, _)| text[at + 2..].split(')').next())
        .map(|target| target.split('#').next().unwrap_or_default().to_string())
        .filter(|target| !target.is_empty() && !target.contains("://") && !target.contains(' '))
        .collect()
}
