//! Reading line files: what parses, and what a fault is told.

use taktwright::diagnostic::FileId;
use taktwright::syntax::tree::{ClauseKind, Word};
use taktwright::syntax::{Parsed, parse};

fn read(text: &str) -> Parsed {
    parse(FileId(0), text)
}

#[test]
fn a_file_with_every_clause_reads_without_a_fault() {
    let text = include_str!("../fixtures/ok/every-clause.line");
    let parsed = read(text);
    assert_eq!(parsed.faults, []);
    let openings = text.lines().filter(|line| !line.starts_with([' ', '#', '}']) && !line.is_empty()).count();
    assert_eq!(parsed.tree.statements.len(), openings);
}

#[test]
fn up_to_with_a_station_makes_one_clause_for_each_cap() {
    let parsed = read("zone inside up to 3 people, 4 at A06");
    let clauses = &parsed.tree.statements[0].clauses;
    let places: Vec<_> = clauses
        .iter()
        .map(|clause| match &clause.kind {
            ClauseKind::UpTo { at, .. } => at.as_ref().map(|name| name.text.as_str()),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(places, [None, Some("A06")]);
}

#[test]
fn a_statement_that_can_not_be_read_leaves_the_name_that_it_gives() {
    let parsed = read("task a01 tkes 3 min\nchange station A16 bayz 3\nstation A05 crew 2\n");
    assert_eq!(parsed.faults.len(), 2);
    let broken = &parsed.tree.broken;
    assert_eq!(broken[0].word, Some(Word::Task));
    assert_eq!(broken[0].name.as_ref().map(|name| name.text.as_str()), Some("a01"));
    assert_eq!(broken[1].name, None, "a change refers to a name and gives none");
    assert_eq!(parsed.tree.statements.len(), 1);
}
