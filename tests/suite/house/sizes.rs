//! Lengths of files and functions: aims that long ones may not grow beyond.

use super::scan::{item_end, line_at, product_of, words};
use std::collections::BTreeMap;

/// Lines of a file, test code not counted.
pub const FILE: usize = 400;
/// Lines of a function.
pub const FUNCTION: usize = 60;

/// `src/x.rs` or `src/x.rs fn name` with its length.
pub type Sizes = BTreeMap<String, usize>;

/// What is longer than the aims.
pub fn over_the_aims(sources: &[(String, String)]) -> Sizes {
    let mut over = Sizes::new();
    for (file, text) in sources {
        let code = product_of(text);
        let lines = text.lines().count() - test_lines(text, &code);
        if lines > FILE {
            over.insert(file.clone(), lines);
        }
        for at in words(&code, "fn") {
            let name: String =
                code[at + 3..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            let end = item_end(code.as_bytes(), at);
            let lines = line_at(&code, end - 1) + 1 - line_at(&code, at);
            if lines > FUNCTION && !name.is_empty() {
                over.insert(format!("{file} fn {name}"), lines);
            }
        }
    }
    over
}

/// Lines that hold code only because of tests.
fn test_lines(text: &str, product: &str) -> usize {
    let code = super::scan::code_of(text);
    code.lines()
        .zip(product.lines())
        .filter(|(all, left)| !all.trim().is_empty() && left.trim().is_empty())
        .count()
}

/// What has grown beyond what the list allows. What has shrunk leaves the list with the next blessing.
pub fn grown(now: &Sizes, list: &Sizes) -> Vec<String> {
    let mut said = Vec::new();
    for (what, lines) in now {
        match list.get(what) {
            None => said.push(format!("{what}: {lines} lines: split it by subject")),
            Some(allowed) if lines > allowed => {
                said.push(format!("{what}: {lines} lines, it had {allowed}: split it by subject"));
            }
            Some(_) => {}
        }
    }
    said
}

pub fn write(sizes: &Sizes) -> String {
    let head =
        "# Longer than the aims; may shrink, not grow. Written by TAKTWRIGHT_BLESS=1 cargo test house.\n";
    sizes.iter().fold(head.to_string(), |text, (what, lines)| format!("{text}{lines} {what}\n"))
}

pub fn read(text: &str) -> Sizes {
    text.lines()
        .filter(|line| !line.starts_with('#') && !line.trim().is_empty())
        .map(|line| {
            let (lines, what) = line.split_once(' ').expect("a length, then what has it");
            (what.to_string(), lines.parse().expect("a length in lines"))
        })
        .collect()
}

#[test]
fn a_long_file_or_function_is_seen_and_may_only_shrink() {
    let body = |n: usize| format!("fn long() {{\n{}}}\n", "    step();\n".repeat(n));
    let now = over_the_aims(&[("src/a.rs".to_string(), body(70)), ("src/b.rs".to_string(), body(10))]);
    assert_eq!(write(&now).lines().nth(1), Some("72 src/a.rs fn long"));
    assert_eq!(grown(&now, &read("72 src/a.rs fn long\n")), Vec::<String>::new());
    assert_eq!(grown(&now, &read("71 src/a.rs fn long\n")).len(), 1);
    assert_eq!(grown(&now, &Sizes::new()).len(), 1);
    assert_eq!(grown(&Sizes::new(), &read("72 src/a.rs fn long\n")), Vec::<String>::new());
    let long_tests =
        format!("fn a() {{}}\n#[cfg(test)]\nmod tests {{\n{}}}\n", "    fn t() {}\n".repeat(500));
    assert_eq!(over_the_aims(&[("src/a.rs".to_string(), long_tests)]), Sizes::new());
}
