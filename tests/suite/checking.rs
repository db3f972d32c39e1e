//! What a file means: families of rules from text to line, and the faults they report.

use taktwright::check::{Checked, check};
use taktwright::diagnostic::FileId;
use taktwright::diagnostic::MapSources;
use taktwright::syntax::parse;

fn checked(text: &str) -> Checked {
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.faults, vec![], "the text must read");
    check(&parsed.tree, &MapSources::default(), &[])
}

#[test]
fn show() {
    let text = std::fs::read_to_string("tests/fixtures/ok/whole.line").unwrap();
    let parsed = parse(FileId(0), &text);
    for f in &parsed.faults {
        println!("{:?}", f);
    }
    let c = check(&parsed.tree, &MapSources::default(), &[]);
    for f in &c.faults {
        println!(
            "{} {} | {} | {:?}\n     `{}`",
            f.code.text(),
            f.headline,
            f.marker,
            f.help,
            &text[f.primary.start as usize..f.primary.end as usize]
        );
    }
    for l in &c.layouts {
        println!("{} {} places {} steps", l.layout, l.places.len(), l.steps.len());
    }
    println!("{:#?}", c.layouts.first());
}
