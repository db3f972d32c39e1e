//! The workbook, opened and read by crates that are not ours: every cell is that of the comma-separated files.

use super::full_report;
use crate::commands::SHOP;
use crate::harness::taktwright;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use taktwright::report::{csv_files, workbook};

/// Attributes of an element.
fn attributes(element: &quick_xml::events::BytesStart<'_>) -> BTreeMap<String, String> {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let all = element.attributes().map(|attribute| attribute.expect("well-formed"));
    all.map(|attribute| (text(attribute.key.as_ref()), text(&attribute.value))).collect()
}

/// Text with what the format escapes.
fn text_of(reader: &mut Reader<&[u8]>, end: &[u8]) -> String {
    let mut found = String::new();
    loop {
        match reader.read_event().expect("well-formed") {
            Event::Text(text) => found.push_str(&String::from_utf8_lossy(&text)),
            Event::GeneralRef(name) => found.push(match &*name {
                b"amp" => '&',
                b"lt" => '<',
                b"gt" => '>',
                b"quot" => '"',
                other => panic!("&{};", String::from_utf8_lossy(other)),
            }),
            Event::End(tag) if tag.name().as_ref() == end => return found,
            Event::Eof => panic!("the file ends inside {}", String::from_utf8_lossy(end)),
            _ => {}
        }
    }
}

struct Opened(zip::ZipArchive<Cursor<Vec<u8>>>);

impl Opened {
    fn part(&mut self, name: &str) -> String {
        let mut text = String::new();
        let mut part = self.0.by_name(name).unwrap_or_else(|why| panic!("{name}: {why}"));
        part.read_to_string(&mut text).expect("text in UTF-8");
        text
    }

    /// Names of the sheets in their order.
    fn sheets(&mut self) -> Vec<String> {
        let book = self.part("xl/workbook.xml");
        let mut reader = Reader::from_str(&book);
        let mut names = Vec::new();
        loop {
            match reader.read_event().expect("well-formed") {
                Event::Empty(tag) if tag.name().as_ref() == b"sheet" => {
                    names.push(attributes(&tag)["name"].clone());
                }
                Event::Eof => return names,
                _ => {}
            }
        }
    }

    fn strings(&mut self) -> Vec<String> {
        let part = self.part("xl/sharedStrings.xml");
        let mut reader = Reader::from_str(&part);
        let mut all = Vec::new();
        loop {
            match reader.read_event().expect("well-formed") {
                Event::Start(tag) if tag.name().as_ref() == b"t" => all.push(text_of(&mut reader, b"t")),
                Event::Eof => return all,
                _ => {}
            }
        }
    }

    /// Cells of a sheet by their reference, and whether each is a number.
    fn cells(&mut self, sheet: usize, strings: &[String]) -> BTreeMap<String, (String, bool)> {
        let part = self.part(&format!("xl/worksheets/sheet{}.xml", sheet + 1));
        assert!(!part.contains("<f>"), "no cell is a formula");
        let mut reader = Reader::from_str(&part);
        let mut all = BTreeMap::new();
        let mut at = (String::new(), false);
        loop {
            match reader.read_event().expect("well-formed") {
                Event::Start(tag) if tag.name().as_ref() == b"c" => {
                    let attributes = attributes(&tag);
                    at = (attributes["r"].clone(), !attributes.contains_key("t"));
                }
                Event::Start(tag) if tag.name().as_ref() == b"v" => {
                    let value = text_of(&mut reader, b"v");
                    let value =
                        if at.1 { value } else { strings[value.parse::<usize>().expect("an index")].clone() };
                    all.insert(at.0.clone(), (value, at.1));
                }
                Event::Eof => return all,
                _ => {}
            }
        }
    }
}

/// `A`, `B` ... `AA`
fn letters(column: usize) -> String {
    let letter = |k: usize| char::from(b'A' + u8::try_from(k).expect("below 26"));
    match column.checked_sub(26) {
        None => letter(column).to_string(),
        Some(beyond) => format!("{}{}", letter(beyond / 26), letter(beyond % 26)),
    }
}

#[test]
fn every_cell_of_the_workbook_is_that_of_the_separated_files() {
    let report = full_report();
    let mut opened = Opened(
        zip::ZipArchive::new(Cursor::new(workbook(&report).expect("the tables fit")))
            .expect("an archive that opens"),
    );
    let files = csv_files(&report);
    let names: Vec<String> = files.iter().map(|(name, _)| name.replace(".csv", "")).collect();
    assert_eq!(opened.sheets(), names);
    let strings = opened.strings();
    let (mut numbers, mut words) = (0, 0);
    for (sheet, (name, text)) in files.iter().enumerate() {
        let mut cells = opened.cells(sheet, &strings);
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
        for (row, record) in reader.records().enumerate() {
            for (column, field) in record.expect("a record").iter().enumerate() {
                let at = format!("{}{}", letters(column), row + 1);
                let Some((value, is_number)) = cells.remove(&at) else {
                    assert_eq!(field, "", "{name} {at} is missing");
                    continue;
                };
                if is_number {
                    numbers += 1;
                    assert_eq!(value.parse::<f64>().ok(), field.parse::<f64>().ok(), "{name} {at}");
                } else {
                    words += 1;
                    assert_eq!(value, field.strip_prefix('\'').unwrap_or(field), "{name} {at}");
                }
            }
        }
        assert!(cells.is_empty(), "{name} has more cells: {cells:?}");
    }
    assert!(numbers > 300 && words > 200, "{numbers} numbers and {words} words");
}

#[test]
fn equal_reports_give_equal_bytes_and_the_date_never_changes() {
    assert_eq!(workbook(&full_report()), workbook(&full_report()));
    let archive = zip::ZipArchive::new(Cursor::new(workbook(&full_report()).expect("the tables fit")))
        .expect("an archive");
    let about = Opened(archive).part("docProps/core.xml");
    assert!(about.contains(">2000-01-01T00:00:00Z</dcterms:created>"), "{about}");
}

#[test]
fn a_workbook_is_written_beside_its_place_and_needs_one() {
    let run = "simulate shop.line --units 50 --replications 20 --gains 0 --format xlsx";
    taktwright(&format!("{run} --output shop.xlsx"))
        .file("shop.line", SHOP)
        .writes_holding("shop.xlsx", &["PK", "xl/workbook.xml", "xl/worksheets/sheet1.xml"])
        .simulating()
        .run();
    taktwright(run).file("shop.line", SHOP).stderr_holds(&["add `--output FILE`"]).status(2).run();
    // A cell holds 32,767 characters.
    let long = SHOP.replace("S1 \"Saw\"", &format!("S1 \"{}\"", "x".repeat(40_000)));
    assert_ne!(long, SHOP);
    taktwright(&format!("{run} --output shop.xlsx"))
        .file("shop.line", long)
        .stderr_holds(&["a workbook has no room", "write `--format csv`"])
        .status(2)
        .run();
}
