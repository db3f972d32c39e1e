//! Which module may use which, and which crate belongs to whom.

use super::Offence;
use super::scan::{is_word, line_at, product_of, words};

/// Modules by rank, each with what it may import: only lower ranks, and not all of those.
const MODULES: [(&str, &[&str]); 13] = [
    // Its words need plurals and lists; `units` knows nothing of ours, so this climbs nowhere.
    ("diagnostic", &["units"]),
    ("units", &[]),
    ("numbers", &[]),
    ("syntax", &["diagnostic", "units", "numbers"]),
    ("line", &["diagnostic", "units", "numbers"]),
    ("check", &["diagnostic", "units", "numbers", "syntax", "line"]),
    ("draws", &["diagnostic", "units", "numbers", "line"]),
    ("schedule", &["diagnostic", "units", "numbers", "line"]),
    ("balance", &["diagnostic", "units", "numbers", "line", "draws", "schedule"]),
    ("simulate", &["diagnostic", "units", "numbers", "line", "draws", "schedule", "balance"]),
    ("stats", &["diagnostic", "units", "numbers", "line", "draws", "simulate"]),
    ("report", &["diagnostic", "units", "numbers", "line", "draws", "balance", "stats"]),
    (
        "study",
        &[
            "diagnostic",
            "units",
            "numbers",
            "syntax",
            "line",
            "check",
            "draws",
            "schedule",
            "balance",
            "simulate",
            "stats",
            "report",
        ],
    ),
];

/// Crates with few users: name, the folders that may use it.
const CRATES: [(&str, &[&str]); 21] = [
    ("petgraph", &["line"]),
    ("pest", &["syntax"]),
    ("pest_derive", &["syntax"]),
    ("rand", &["draws"]),
    ("rand_distr", &["draws"]),
    ("num_traits", &["draws"]),
    ("siphasher", &["draws"]),
    ("rayon", &["balance", "simulate", "cli"]),
    ("serde_yaml", &["study"]),
    ("quick_junit", &["study"]),
    ("schemars", &["diagnostic", "report", "study"]),
    ("annotate_snippets", &["diagnostic"]),
    ("comfy_table", &["report"]),
    ("csv", &["check", "report"]),
    ("rust_xlsxwriter", &["report"]),
    ("jiff", &["check", "cli"]),
    ("clap", &["cli"]),
    ("indicatif", &["cli"]),
    ("ctrlc", &["cli"]),
    ("tempfile", &["cli"]),
    ("anstream", &["cli"]),
];

pub fn is_known(folder: &str) -> bool {
    MODULES.iter().any(|(name, _)| *name == folder)
}

/// The module of a source file: `src/line/step.rs` belongs to `line`.
fn folder_of(file: &str) -> &str {
    file.trim_start_matches("src/").split('/').next().unwrap_or_default().trim_end_matches(".rs")
}

/// Imports that climb: a module uses one of its own rank or above.
pub fn climbing(file: &str, text: &str) -> Vec<Offence> {
    let folder = folder_of(file);
    let Some((_, allowed)) = MODULES.iter().find(|(name, _)| *name == folder) else { return Vec::new() };
    let code = product_of(text);
    used_modules(file, &code)
        .into_iter()
        .filter(|(_, used)| used != folder && is_known(used) && !allowed.contains(&used.as_str()))
        .map(|(at, used)| Offence {
            file: file.to_string(),
            line: line_at(&code, at),
            what: format!("{folder}/ may not import {used}/: it may import {}", said(allowed)),
        })
        .collect()
}

/// Crates used outside the folder they belong to.
pub fn borrowed(file: &str, text: &str) -> Vec<Offence> {
    let folder = folder_of(file);
    let code = product_of(text);
    let mut offences = Vec::new();
    for (name, users) in CRATES {
        for at in words(&code, name) {
            let before = code[..at].trim_end();
            let path = code[at + name.len()..].starts_with("::") && !before.ends_with("::");
            let whole = before.ends_with("use") && code[at + name.len()..].starts_with([';', ' ']);
            if (path || whole) && !users.contains(&folder) {
                offences.push(Offence {
                    file: file.to_string(),
                    line: line_at(&code, at),
                    what: format!(
                        "{name} is used in {} only: ask that module for what you need",
                        said(users)
                    ),
                });
            }
        }
    }
    offences
}

fn said(folders: &[&str]) -> String {
    match folders {
        [] => "nothing of ours".to_string(),
        folders => folders.iter().map(|f| format!("{f}/")).collect::<Vec<_>>().join(", "),
    }
}

/// Top-level modules that the code names, by `crate::x`, `crate::{x, y}` or `super` up to the root.
fn used_modules(file: &str, code: &str) -> Vec<(usize, String)> {
    let mut used = Vec::new();
    for at in words(code, "crate") {
        if let Some(rest) = code[at + 5..].strip_prefix("::") {
            let start = at + 7;
            used.extend(first_names(rest).into_iter().map(|(offset, name)| (start + offset, name)));
        }
    }
    // Steps from this module up to the root of the crate.
    let parts =
        file.trim_start_matches("src/").trim_end_matches(".rs").trim_end_matches("/mod").split('/').count();
    let climb = "super::".repeat(parts);
    for (at, _) in code.match_indices(&climb) {
        if !is_word(code.as_bytes(), at.wrapping_sub(1)) {
            let rest = &code[at + climb.len()..];
            used.extend(
                first_names(rest).into_iter().map(|(offset, name)| (at + climb.len() + offset, name)),
            );
        }
    }
    used
}

/// The first name of a path, or of each path of a group in braces.
fn first_names(rest: &str) -> Vec<(usize, String)> {
    let name_at = |from: usize| -> Option<(usize, String)> {
        let start = from + rest[from..].find(|c: char| !c.is_whitespace())?;
        let name: String =
            rest[start..].chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
        (!name.is_empty()).then_some((start, name))
    };
    if !rest.starts_with('{') {
        return name_at(0).into_iter().collect();
    }
    let (mut depth, mut names) = (0, Vec::new());
    for (at, c) in rest.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            break;
        }
        if depth == 1 && matches!(c, '{' | ',') {
            names.extend(name_at(at + 1));
        }
    }
    names
}

#[test]
fn a_climbing_import_is_seen_in_every_shape_it_can_take() {
    let bad = [
        ("src/line/place.rs", "use crate::check::Checked;\n", 1),
        ("src/line/place.rs", "use crate::{units::Time, syntax::{tree, Tree}, stats};\n", 2),
        ("src/line/mod.rs", "\nfn f() { crate::simulate::run() }\n", 1),
        ("src/line/mod.rs", "use super::study::Plan;\n", 1),
        ("src/line/place.rs", "use super::super::study::Plan;\n", 1),
        ("src/draws/mod.rs", "use crate::schedule::Floor;\n", 1),
        ("src/report/text.rs", "use crate::simulate::Observations;\n", 1),
        ("src/units/mod.rs", "use crate::diagnostic::Span;\n", 1),
        ("src/numbers/mod.rs", "use crate::units::Time;\n", 1),
    ];
    for (file, text, count) in bad {
        assert_eq!(climbing(file, text).len(), count, "{file}: {text}");
    }
    let good = [
        ("src/line/place.rs", "use crate::line::Step;\nuse crate::units::Time;\nuse super::Step;\n"),
        ("src/line/place.rs", "// crate::study\nfn f() -> &'static str { \"crate::study\" }\n"),
        ("src/line/place.rs", "#[cfg(test)]\nmod tests { use crate::check::check; }\n"),
        ("src/study/run.rs", "use crate::{report, simulate::{self, Settings}};\n"),
        ("src/lib.rs", "pub mod study;\nuse crate::study::run;\n"),
    ];
    for (file, text) in good {
        assert_eq!(climbing(file, text), [], "{file}: {text}");
    }
}

#[test]
fn a_borrowed_crate_is_seen_and_a_name_that_only_looks_like_it_is_not() {
    assert_eq!(borrowed("src/check/cycle.rs", "use petgraph::Graph;\n").len(), 1);
    assert_eq!(borrowed("src/stats/mod.rs", "fn f() { rand::random() }\n").len(), 1);
    assert_eq!(borrowed("src/study/mod.rs", "use clap;\n").len(), 1);
    assert_eq!(borrowed("src/line/precedence.rs", "use petgraph::Graph;\n"), []);
    assert_eq!(
        borrowed("src/check/mod.rs", "let rand = 3; mod clap; use self::clap::read; // petgraph::x\n"),
        []
    );
}
