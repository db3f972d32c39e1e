//! Rules over the text of single files.

use super::Offence;
use super::scan::{line_at, product_of};

/// A file of the source opens with `//!`: what it owns, what it refuses.
pub fn head_comment(file: &str, text: &str) -> Vec<Offence> {
    let first = text.lines().next().unwrap_or_default();
    let said = first.strip_prefix("//! ").unwrap_or_default();
    if said.len() >= 12 && !said.starts_with('(') {
        return Vec::new();
    }
    vec![Offence {
        file: file.to_string(),
        line: 1,
        what: "the first line says, after `//! `, what this file is for".to_string(),
    }]
}

/// `unwrap` is refused; `expect`, `panic` and `unreachable` need words that say why it can't happen.
pub fn bare_panics(file: &str, text: &str) -> Vec<Offence> {
    let code = product_of(text);
    let mut offences = Vec::new();
    let mut refuse = |at: usize, what: &str| {
        offences.push(Offence { file: file.to_string(), line: line_at(&code, at), what: what.to_string() });
    };
    for (at, _) in code.match_indices(".unwrap()") {
        refuse(at, "`unwrap` says nothing: handle it, or `expect` with the reason why it can't happen");
    }
    for call in [".expect(", "unreachable!(", "panic!("] {
        for (at, _) in code.match_indices(call) {
            let after = text[at + call.len()..].trim_start();
            let reason = after.strip_prefix('"').map_or(0, |rest| rest.find('"').unwrap_or(0));
            let own = call == ".expect(" && !after.starts_with(['"', ')']);
            if reason < 15 && !own {
                refuse(at, "the text says why this can't happen, in a sentence");
            }
        }
    }
    offences
}

/// Absolute paths of a machine: they mean nothing to anybody else.
pub fn machine_paths(file: &str, text: &str) -> Vec<Offence> {
    // Written apart, so that this list does not accuse itself.
    let roots = ["home", "root", "Users", "work", "tmp", "var/folders"].map(|root| format!("/{root}/"));
    let mut offences = Vec::new();
    for (number, line) in text.lines().enumerate() {
        for root in &roots {
            let absolute = line.match_indices(root.as_str()).any(|(at, _)| {
                !line[..at].ends_with(|c: char| {
                    c.is_alphanumeric() || matches!(c, '.' | '_' | '-' | '}' | ')' | '*')
                })
            });
            if absolute {
                offences.push(Offence {
                    file: file.to_string(),
                    line: number + 1,
                    what: format!(
                        "`{root}...` is a place on somebody's machine: write paths from the top folder"
                    ),
                });
            }
        }
    }
    offences
}

#[test]
fn a_file_without_a_head_comment_is_seen() {
    assert_eq!(head_comment("src/a.rs", "use x;\n").len(), 1);
    assert_eq!(head_comment("src/a.rs", "//! (being built)\n").len(), 1);
    assert_eq!(head_comment("src/a.rs", "//! Where units stand: stations, racks, repair bays.\n"), []);
}

#[test]
fn a_bare_panic_is_seen_and_one_with_a_reason_is_not() {
    let bad = "fn f() { a.unwrap(); b.expect(\"\"); c.expect(\"oops\"); panic!(); unreachable!(\"never\") }";
    assert_eq!(bare_panics("src/a.rs", bad).len(), 5);
    let good = "fn f() { a.expect(\"the checker refuses an empty table\"); parser.expect(Rule::k_task)?; }\n\
        // a.unwrap()\n#[cfg(test)]\nmod tests { fn t() { a.unwrap() } }\n";
    assert_eq!(bare_panics("src/a.rs", good), []);
}

#[test]
fn a_path_of_a_machine_is_seen_and_a_relative_one_is_not() {
    let bad = format!("see /{}/me/plant.line\n", "home");
    assert_eq!(machine_paths("docs/a.md", &bad).len(), 1);
    assert_eq!(machine_paths("docs/a.md", &format!("src/{0}/x, ./{0}/x, target/{0}/y\n", "work")), []);
}
