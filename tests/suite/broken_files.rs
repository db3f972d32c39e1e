//! Broken files that can't carry notes: bad bytes, line ends, marks, sizes, depths, missing files. Each
//! ends in the right code at the right place, within bounded time, and never in a panic.

use proptest::prelude::*;
use taktwright::diagnostic::{
    Code, FileId, MapSources, Places, SourceFault, SourceMap, Sources, render_text, to_json,
};
use taktwright::syntax::{limits, load, parse, tidy};

/// Code, file, line and column of everything said about some files, the first being `plant.line`.
fn said(files: &[(&str, &[u8])]) -> Vec<(&'static str, String, usize, usize)> {
    let files = files.iter().map(|(name, bytes)| (name.to_string(), bytes.to_vec())).collect();
    let loaded = load("plant.line", &MapSources { files });
    let mut places = Places::new(&loaded.map);
    loaded
        .faults
        .iter()
        .map(|fault| {
            let range = places.range(fault.primary);
            let place = places.place(fault.primary.file, range.start);
            let path = loaded.map.get(fault.primary.file).expect("it was read").path.clone();
            (fault.code.text(), path, place.line, place.column)
        })
        .collect()
}

/// One file, one fault.
#[track_caller]
fn one(bytes: impl AsRef<[u8]>, code: &'static str, line: usize, column: usize) {
    let found = said(&[("plant.line", bytes.as_ref())]);
    assert_eq!(found, [(code, "plant.line".to_string(), line, column)]);
}

#[track_caller]
fn clean(bytes: impl AsRef<[u8]>) {
    assert_eq!(said(&[("plant.line", bytes.as_ref())]), []);
}

const STATION: &str = "station A1 crew 2\n";

#[test]
fn a_file_without_a_statement_is_empty() {
    for empty in ["", "\n", "   \t \r\n", "# only a remark", "\u{feff}", "\u{feff}# remark\r\n\r\n"] {
        one(empty, "T109", 1, 1);
    }
}

#[test]
fn bytes_that_are_no_utf8_are_shown_at_the_first_of_them() {
    one(b"station A1\nstation Pr\xfcfstand\n", "T107", 2, 11);
    one(b"station A1\n\xc3", "T107", 2, 1);
    one(b"\xff\xfes\0t\0a\0", "T107", 1, 1);
    one(b"\xfe\xff\0s\0t", "T107", 1, 1);
    one(b"task \xc0\xaf takes 3 min", "T107", 1, 6);
    one(b"task a # \xed\xa0\x80", "T107", 1, 10);
    one(b"task \"\xf4\x90\x80\x80\"", "T107", 1, 7);
    one([STATION.as_bytes(), b"\x80\x80\x80\x80"].concat(), "T107", 2, 1);
}

#[test]
fn a_nul_is_refused_where_it_stands() {
    one("station A1\0\n", "T107", 1, 11);
    one("\0", "T107", 1, 1);
    one(format!("{STATION}# a remark\n\0"), "T107", 3, 1);
    one("station \"a\0b\" \0", "T107", 1, 11);
}

#[test]
fn other_control_characters_are_faults_of_their_statement() {
    one("station A1 \u{1b}[31m\nstation A2", "T101", 1, 12);
    one("station A1\ntask a \u{7} takes 3 min\n", "T101", 2, 8);
    one("station A1 \u{feff}bays 2", "T101", 1, 12);
    one("station A1\u{200b} bays 2", "T101", 1, 11);
    one("station A1\u{2028}station A2", "T101", 1, 11);
    one("station A1 \u{202e}bays 2", "T101", 1, 12);
}

#[test]
fn places_are_right_after_every_kind_of_line_end() {
    one("station A1\r\nstation A2 bayz 2\r\n", "T101", 2, 12);
    one("station A1\rstation A2 bayz 2\r", "T101", 2, 12);
    one("station A1\n\r\n\rstation A2 bayz 2", "T101", 4, 12);
    one("\r\n\r\nstation\tA2\tbayz\t2", "T101", 3, 12);
    clean("station A1\r\nstation A2\rstation A3\nstation A4");
}

#[test]
fn places_are_right_after_marks_and_wide_characters() {
    one("\u{feff}station A1 bayz 2", "T101", 1, 13);
    one("station 溶接 \"検査\" bayz 2", "T101", 1, 17);
    one("station e\u{301}a bayz 2", "T101", 1, 13);
    one("# 😀\nstation A1 \"😀😀\" bayz 2", "T101", 2, 17);
    one("station\u{a0}A1 bayz 2", "T101", 1, 12);
}

#[test]
fn a_statement_that_stops_at_the_end_of_the_file_is_shown_there() {
    one("station A1\ntask a takes", "T101", 2, 13);
    one("station A1\ntask a takes   \n\n", "T101", 2, 13);
    one("station A1\ntask a takes # how long?", "T101", 2, 13);
    one("task", "T101", 1, 5);
    one("station A1 \"open", "T101", 1, 12);
    one("station A1 \"", "T101", 1, 12);
    one("let x = (", "T106", 1, 9);
}

#[test]
fn braces_that_do_not_close_are_shown_where_they_open() {
    one("layout \"a\" {", "T106", 1, 12);
    one("station A1\nlayout \"a\" {\n  change station A1 bays 2\n", "T106", 2, 12);
    one("lane p of q {\n  station P1 crew 1\n", "T106", 1, 13);
    one("feeder p {\n  station P1 crew 1\n", "T106", 1, 10);
    one("}", "T106", 1, 1);
    one("station A1 }", "T106", 1, 12);
    one("station A1 }\n  bays 2\n", "T106", 1, 12);
    one("layout \"a\" { } }", "T106", 1, 16);
    one("{", "T106", 1, 1);
    one("{ }", "T102", 1, 1);
    one("station A1 { bays 2 }", "T101", 1, 12);
}

#[test]
fn what_is_nested_too_deep_ends_in_one_fault_at_the_first_too_deep() {
    one("{".repeat(100_000), "T106", 1, limits::NESTING + 1);
    one(format!("let x = {}", "(".repeat(100_000)), "T106", 1, 9 + limits::NESTING);
    one(format!("yard x {}", "{ ".repeat(50_000)), "T106", 1, 8 + 2 * limits::NESTING);
    let (open, close) = ("(".repeat(limits::NESTING), ")".repeat(limits::NESTING));
    clean(format!("let x = {open}1{close}"));
    one(format!("let x = ({open}1{close})"), "T106", 1, 9 + limits::NESTING);
    let nested = |depth: usize| format!("{}{}", "layout \"a\" {\n".repeat(depth), "}\n".repeat(depth));
    clean(nested(limits::NESTING));
    one(nested(limits::NESTING + 1), "T106", limits::NESTING + 1, 12);
}

#[test]
fn a_bracket_left_open_in_each_line_is_a_fault_in_each() {
    let text = "let x = (1\n".repeat(200);
    let found = said(&[("plant.line", text.as_bytes())]);
    assert_eq!(found.len(), 200);
    assert!(found.iter().enumerate().all(|(at, fault)| fault.0 == "T106" && fault.2 == at + 1));
}

#[test]
fn an_endless_line_reads_or_ends_in_one_fault() {
    let names = "a, ".repeat(limits::STATEMENT_BYTES / 3 - 10);
    clean(format!("task x after {names}a"));
    one(format!("task x after {names}{names}a"), "T902", 1, 1);
    one(format!("{STATION}{}", "x".repeat(5_000_000)), "T102", 2, 1);
    one(format!("task {}", "é".repeat(1_000_000)), "T902", 1, 1);
    one(format!("let x = {}1", "1 + ".repeat(60_000)), "T902", 1, 9);
    one(format!("let x = 1{}", "0".repeat(100_000)), "T902", 1, 9);
    one(format!("station A1 \"{}", "#".repeat(1_000_000)), "T101", 1, 12);
    clean(format!("station A1{}# {}", " ".repeat(1_000_000), "remark ".repeat(100_000)));
}

#[test]
fn a_file_of_a_hundred_megabytes_is_refused_unread() {
    let huge = "task a takes 3 min\n".repeat(100_000_000 / 19);
    one(&huge, "T107", 1, 1);
    let parsed = parse(FileId(0), &huge);
    assert_eq!(parsed.faults.len(), 1);
    assert_eq!(tidy(&huge).map_err(|faults| faults.len()), Err(1));
}

#[test]
fn a_file_full_of_faults_ends_at_a_stated_number() {
    for line in ["zonk\n", "task a tkes 3 min\n", "} ", "layout \"x\" { y }\n"] {
        let parsed = parse(FileId(0), &line.repeat(limits::FAULTS + 5_000));
        assert_eq!(parsed.faults.len(), limits::FAULTS + 1, "{line}");
        let last = parsed.faults.last().expect("there are many");
        assert_eq!(last.code, Code::OverLimit, "{line}");
    }
}

#[test]
fn every_one_of_ten_thousand_faults_is_told_in_source_order() {
    let text: String = (0..10_000).map(|n| format!("task t{n} tkes {n} min\n")).collect();
    let parsed = parse(FileId(0), &text);
    assert_eq!(parsed.faults.len(), 10_000);
    assert!(parsed.faults.windows(2).all(|pair| pair[0].primary.start < pair[1].primary.start));
    let mut map = SourceMap::default();
    map.add("plant.line", text);
    let json = to_json(&parsed.faults, &map);
    assert!(json.iter().enumerate().all(|(at, fault)| fault.line == at + 1));
}

#[test]
fn what_is_no_line_file_at_all_is_told_line_by_line() {
    let found = said(&[("plant.line", b"<?xml version=\"1.0\"?>\n<plant/>\n")]);
    assert_eq!(found, [("T102", "plant.line".to_string(), 1, 1)]);
    let found = said(&[("plant.line", b"id;name;minutes\n1;base;4\n2;walls;8\n")]);
    assert_eq!(found.len(), 1);
    let found = said(&[("plant.line", b"Dear all,\n\nplease find attached\nthe plan\n")]);
    assert_eq!(found.iter().map(|fault| fault.2).collect::<Vec<_>>(), [1, 4]);
}

#[test]
fn the_first_file_must_be_there_and_readable() {
    struct Refusing(SourceFault);
    impl Sources for Refusing {
        fn read(&self, _: &str) -> Result<Vec<u8>, SourceFault> {
            Err(self.0.clone())
        }
        fn today(&self) -> (i16, i8, i8) {
            (2026, 1, 1)
        }
    }
    let code = |fault| {
        let loaded = load("plant.line", &Refusing(fault));
        assert!(!loaded.is_whole());
        let text = render_text(&loaded.faults, &loaded.map, false);
        assert!(text.contains("plant.line"), "{text}");
        loaded.faults.iter().map(|fault| fault.code.text()).collect::<Vec<_>>()
    };
    assert_eq!(code(SourceFault::Missing), ["T107"]);
    assert_eq!(code(SourceFault::Unreadable("permission denied".to_string())), ["T107"]);
    assert_eq!(code(SourceFault::Outside), ["T108"]);
    assert_eq!(code(SourceFault::TooLarge { found: 1 << 40, allowed: 1 << 24 }), ["T107"]);
}

#[test]
fn included_files_are_read_in_place_and_checked_like_the_first() {
    let first = b"station A1\nuse \"a.line\"\nstation A9\n".as_slice();
    let at = |code, path: &str, line, column| (code, path.to_string(), line, column);
    let loaded = load(
        "plant.line",
        &MapSources {
            files: [
                ("plant.line".to_string(), first.to_vec()),
                ("a.line".to_string(), b"station A5".to_vec()),
            ]
            .into(),
        },
    );
    let names: Vec<_> =
        loaded.tree.statements.iter().filter_map(|statement| statement.name.as_ref()).collect();
    assert_eq!(names.iter().map(|name| name.text.as_str()).collect::<Vec<_>>(), ["A1", "A5", "A9"]);
    assert_eq!(said(&[("plant.line", first)]), [at("T108", "plant.line", 2, 5)]);
    assert_eq!(said(&[("plant.line", first), ("a.line", b"st\xffation")]), [at("T107", "a.line", 1, 3)]);
    assert_eq!(said(&[("plant.line", first), ("a.line", b"a\0")]), [at("T107", "a.line", 1, 2)]);
    assert_eq!(
        said(&[("plant.line", first), ("a.line", b"\nstation A5 bayz 2")]),
        [at("T101", "a.line", 2, 12)]
    );
    assert_eq!(said(&[("plant.line", first), ("a.line", b"")]), [], "a file of remarks may be included");
    let big = vec![b' '; limits::FILE_BYTES + 1];
    assert_eq!(said(&[("plant.line", first), ("a.line", &big)]), [at("T107", "plant.line", 2, 5)]);
}

#[test]
fn circles_repeats_and_ways_out_of_the_folder_are_shown_at_their_use() {
    let at = |code, path: &str, line, column| (code, path.to_string(), line, column);
    let plant = |text: &'static str| ("plant.line", text.as_bytes());
    assert_eq!(said(&[plant("use \"plant.line\"")]), [at("T108", "plant.line", 1, 5)]);
    assert_eq!(said(&[plant("use \"./plant.line\"")]), [at("T108", "plant.line", 1, 5)]);
    assert_eq!(
        said(&[plant("use \"a.line\""), ("a.line", b"use \"b.line\""), ("b.line", b"\nuse \"a.line\"")]),
        [at("T108", "b.line", 2, 5)]
    );
    assert_eq!(
        said(&[plant("use \"a.line\"\nuse \"a.line\""), ("a.line", b"station A1")]),
        [at("T108", "plant.line", 2, 5)]
    );
    for outside in ["../a.line", "a/../../b.line", "/a.line", "C:/a.line", "a\\b.line", ""] {
        let text = format!("use \"{outside}\"");
        assert_eq!(said(&[("plant.line", text.as_bytes())]), [at("T108", "plant.line", 1, 5)], "{outside}");
    }
    assert_eq!(said(&[plant("layout \"x\" {\n  use \"none.line\"\n}")]), [at("T108", "plant.line", 2, 7)]);
}

#[test]
fn more_files_than_the_limit_end_in_one_fault_each() {
    let first: String = (0..=limits::FILES).map(|n| format!("use \"f{n}.line\"\n")).collect();
    let mut files = vec![("plant.line".to_string(), first.into_bytes())];
    files.extend((0..=limits::FILES).map(|n| (format!("f{n}.line"), format!("station S{n}").into_bytes())));
    let loaded = load("plant.line", &MapSources { files: files.into_iter().collect() });
    assert_eq!(loaded.tree.statements.len(), limits::FILES);
    assert_eq!(loaded.faults.iter().map(|fault| fault.code).collect::<Vec<_>>(), [Code::OverLimit]);
}

#[test]
fn a_long_chain_of_includes_does_not_exhaust_the_stack() {
    let link = |n: usize| (format!("f{n}.line"), format!("use \"f{}.line\"", n + 1).into_bytes());
    let mut files: Vec<_> = (0..2 * limits::FILES).map(link).collect();
    files.push(("plant.line".to_string(), b"use \"f0.line\"".to_vec()));
    let loaded = load("plant.line", &MapSources { files: files.into_iter().collect() });
    assert_eq!(loaded.faults.len(), 1);
}

// ---- anything at all ----

/// Whatever stands in a text, reading ends in ordered faults with places inside it, which can be shown.
fn survives(text: &str) {
    let parsed = parse(FileId(0), text);
    let mut map = SourceMap::default();
    map.add("plant.line", text);
    for fault in &parsed.faults {
        assert!(fault.primary.start <= fault.primary.end && fault.primary.end as usize <= text.len());
        assert!(text.is_char_boundary(fault.primary.start as usize), "{fault:?}");
        assert!(text.is_char_boundary(fault.primary.end as usize), "{fault:?}");
        assert!(!fault.headline.is_empty() && !fault.headline.contains('\n'), "{fault:?} in {text:?}");
    }
    assert!(parsed.faults.windows(2).all(|pair| pair[0].primary.start <= pair[1].primary.start));
    let shown = render_text(&parsed.faults, &map, false);
    assert!(!shown.chars().any(|c| c.is_control() && c != '\n'), "{shown:?}");
    match tidy(text) {
        Ok(tidied) => assert_eq!(tidy(&tidied).as_deref(), Ok(tidied.as_str())),
        Err(faults) => assert_eq!(faults, parsed.faults),
    }
}

/// The words and signs of a file, for throwing together.
fn pieces() -> Vec<&'static str> {
    let whole = include_str!("../fixtures/ok/every-clause.line");
    let mut pieces: Vec<_> = whole.split_inclusive([' ', '\n']).collect();
    pieces.extend([
        "{", "}", "(", ")", "\"", ",", "-", "/", "#", "\n", "\r", "\u{feff}", "\0", "😀", "1,5", "x ",
    ]);
    pieces
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn words_thrown_together_are_read_without_a_panic(
        words in prop::collection::vec(prop::sample::select(pieces()), 0..40)
    ) {
        survives(&words.concat());
    }

    #[test]
    fn a_file_with_pieces_cut_out_and_put_in_is_read_without_a_panic(
        edits in prop::collection::vec(
            (any::<prop::sample::Index>(), 0usize..6, prop::sample::select(pieces())), 1..6)
    ) {
        let mut text = include_str!("../fixtures/ok/every-clause.line").to_string();
        for (place, length, piece) in edits {
            let border = |mut at: usize| { while !text.is_char_boundary(at) { at -= 1; } at };
            let start = border(place.index(text.len()));
            let end = border((start + length).min(text.len())).max(start);
            text.replace_range(start..end, piece);
        }
        survives(&text);
    }

    #[test]
    fn any_bytes_are_read_without_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        said(&[("plant.line", &bytes)]);
        survives(&String::from_utf8_lossy(&bytes));
    }
}
