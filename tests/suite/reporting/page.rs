//! The page for a browser and the tables for a spreadsheet: figures, structure, escaping, size.

use super::full_report;
use crate::commands::SHOP;
use crate::harness::taktwright;
use crate::house::text_of;
use std::collections::BTreeSet;
use taktwright::diagnostic::MapSources;
use taktwright::report::{Extras, Format, Inputs, csv_files, html_page, render};
use taktwright::simulate::{Horizon, Unattended};
use taktwright::study::{Precision, RunChoices, WarmUpChoice, times};

const QUICK: &str = "--units 50 --replications 20 --gains 3 --reproducible";
/// A page is small enough to send, whatever the line.
const LARGEST: usize = 2_000_000;

fn page() -> String {
    html_page(&full_report(), &Inputs::default())
}

/// Start and end tags of a page, in order, as `name attributes` and `/name`.
fn tags(page: &str) -> Vec<&str> {
    let pieces = page.split('<').skip(1).map(|piece| piece.split('>').next().unwrap_or_default());
    pieces.filter(|tag| tag.starts_with(|c: char| c.is_ascii_lowercase() || c == '/')).collect()
}

/// The page without its style and its script, whose text is our own.
fn without_code(page: &str) -> String {
    let cut = |text: &str, from: &str, to: &str| {
        let (start, end) = (text.find(from).expect("it is there"), text.find(to).expect("it ends"));
        format!("{}{}", &text[..start], &text[end + to.len()..])
    };
    cut(&cut(page, "<style>", "</style>"), "<script>", "</script>")
}

fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let opening = format!(" {attribute}=\"");
    page.split(opening.as_str()).skip(1).map(|rest| rest.split('"').next().unwrap_or_default()).collect()
}

#[test]
fn every_figure_of_the_page_is_that_of_the_json_report() {
    let json = serde_json::from_str(&render(&full_report(), Format::Json)).expect("valid JSON");
    let figures = assert_figures_are_those_of(&page(), &json);
    assert!(figures > 100, "{figures} figures");
}

/// Every figure of a page is the one of its JSON form; how many there are.
pub fn assert_figures_are_those_of(page: &str, json: &serde_json::Value) -> usize {
    let figures: Vec<(&str, &str)> = page
        .split("<data value=\"")
        .skip(1)
        .map(|rest| rest.split_once("\" data-at=\"").expect("a value and where it is from"))
        .map(|(value, rest)| (value, rest.split('"').next().unwrap_or_default()))
        .collect();
    for (value, pointer) in &figures {
        let found = json.pointer(pointer).unwrap_or_else(|| panic!("{pointer} is not in the JSON report"));
        let found = found.get("mean").unwrap_or(found).as_f64();
        assert_eq!(Some(value.parse::<f64>().expect("a number")), found, "{pointer}");
    }
    figures.len()
}

#[test]
fn the_page_has_its_parts_in_order() {
    let page = without_code(&page());
    let mut outline = String::new();
    for name in ["h1", "h2", "h3", "caption"] {
        assert!(page.contains(&format!("<{name}")), "no {name}");
    }
    for piece in page.split('<').skip(1) {
        let Some((tag, text)) = piece.split_once('>') else { continue };
        let name = tag.split(' ').next().unwrap_or_default();
        let indent = match name {
            "h1" => "",
            "h2" => "  ",
            "h3" | "caption" => "    ",
            _ => continue,
        };
        outline.push_str(&format!("{indent}{name} {text}\n"));
    }
    insta::assert_snapshot!(outline);
}

#[test]
fn every_element_is_closed_every_name_is_given_once_and_every_link_leads_somewhere() {
    assert_is_whole(&page());
}

/// Elements are closed, names stand once, links lead somewhere, and nothing is asked of the network.
pub fn assert_is_whole(page: &str) {
    let page = without_code(page);
    let mut open: Vec<&str> = Vec::new();
    for tag in tags(&page) {
        let name = tag.split(' ').next().unwrap_or_default();
        match name.strip_prefix('/') {
            Some(closed) => assert_eq!(open.pop(), Some(closed), "closes what is open"),
            None if name == "meta" => {}
            None => open.push(name),
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    let ids = values(&page, "id");
    let once: BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(once.len(), ids.len(), "an id stands twice: {ids:?}");
    for link in values(&page, "href") {
        let target = link.strip_prefix('#').unwrap_or_else(|| panic!("{link} leads out of the page"));
        assert!(once.contains(target), "{link} leads nowhere");
    }
    for outside in ["http:", "https:", " src=", "@import", "url(\"", "url(h", "//cdn"] {
        assert!(!page.contains(outside), "the page holds `{outside}`");
    }
}

#[test]
fn nothing_a_file_says_becomes_markup() {
    let hostile = "<script>alert(1)</script><img src=x onerror=alert(2)>&'";
    let shop = SHOP.replace("Saw", hostile).replace("Shop", "</title><script>alert(3)</script>");
    let page = taktwright(&format!("simulate shop.line {QUICK} --format html"))
        .file("shop.line", format!("# --><script>alert(4)</script>\n{shop}"))
        .stdout_holds(&["&lt;script&gt;alert(1)&lt;/script&gt;&lt;img src=x onerror=alert(2)&gt;&amp;&#39;"])
        .simulating()
        .run();
    let scripts = tags(&page).iter().filter(|tag| tag.starts_with("script")).count();
    assert_eq!(scripts, 1, "our own alone");
    assert!(!tags(&page).iter().any(|tag| tag.starts_with("img") || tag.contains("onerror")));
}

#[test]
fn the_page_shows_the_file_and_each_name_leads_to_its_row() {
    let page = taktwright(&format!("simulate shop.line {QUICK} --format html --set filers=1"))
        .file("shop.line", SHOP)
        .stdout_holds(&["<a href=\"#f0r4\">S1</a>", "<dd>filers = 1</dd>", "<span id=\"f0r4\">"])
        .simulating()
        .run();
    let row = page.split("<span id=\"f0r4\">").nth(1).and_then(|rest| rest.split("</span>").next());
    assert_eq!(row, Some("<i>   4  </i>station S1 &quot;Saw&quot; crew 1"));
    let ids: BTreeSet<&str> = values(&page, "id").into_iter().collect();
    for link in values(&without_code(&page), "href") {
        assert!(ids.contains(&link[1..]), "{link} leads nowhere");
    }
}

#[test]
fn shipped_lines_give_pages_that_are_whole_in_themselves_and_small() {
    for name in ["first", "pod-hall", "workboats", "heat-pumps"] {
        let text = text_of(&format!("scenarios/{name}.line"));
        let read = taktwright::read(name, &MapSources::one(name, &text), &[]);
        let line = read.layouts.first().expect("shipped lines are sound");
        let choices = RunChoices {
            precision: Precision::Replications(2),
            horizon: Some(Horizon::Shifts(1)),
            warm_up: Some(WarmUpChoice::None),
            gains: 0,
            ..RunChoices::default()
        };
        let report = taktwright::report_of(line, &choices, Extras::default(), &Unattended)
            .unwrap_or_else(|why| panic!("{name}: {why}"));
        let page = html_page(&report, &Inputs::of(line, &read.map, &[], &times(line)));
        assert!(page.len() < LARGEST, "{name}: {} bytes", page.len());
        for outside in ["http:", "https:", " src=", "@import", "url(\"", "url(h", "//cdn"] {
            assert!(!page.contains(outside), "{name}: the page holds `{outside}`");
        }
        assert!(page.contains("class=\"place flagged\"") || report.bottleneck.station.is_none());
    }
}

#[test]
fn every_station_has_a_sheet_for_its_crew_with_holds_that_are_never_shorter() {
    let page = taktwright("simulate scenarios/first.line --shifts 1 --replications 2 --gains 0 --format html")
        .with_scenarios()
        .status(1)
        .stdout_holds(&[
            "<strong>K1</strong> Frame</summary>",
            "Crew: 2 people.",
            "<strong>K3</strong> Rain test</summary>",
            "Hold: at least 20 min on the clock, never shorter, fixed by safety.",
            "Must pass before the unit goes on: Rain test: hoses, spray and look. A repaired unit repeats the whole test.",
        ])
        .simulating()
        .run();
    assert_eq!(page.matches("<details class=\"sheet\">").count(), 3, "K1, K2, K3");
}

#[test]
fn tables_are_files_of_their_own_with_units_in_their_headings() {
    let shop = SHOP.replace("\"Saw\"", "\"=SUM(A1)\"");
    let run = format!("simulate shop.line {QUICK} --format csv --output tables");
    taktwright(&run)
        .file("shop.line", shop)
        .writes_holding("tables/line.csv", &["measure,unit,figure,\"figure, low\",\"figure, high\"\n"])
        .writes_holding("tables/times.csv", &["mean (min)", "between good units, net time"])
        .writes_holding(
            "tables/models.csv",
            &["model id,model label,ordered (share),finished (share)\nA,Box,1,1\n"],
        )
        .writes_holding("tables/stations.csv", &["in use (share)", "\nS1,'=SUM(A1),station,S1,1,"])
        .writes_holding("tables/states.csv", &["place id,place label,", "working (share)"])
        .writes_holding("tables/methods.csv", &["method,names,"])
        .writes_holding("tables/slots.csv", &["where id,where label,places,mean (units)", "\nS2,File,1,"])
        .writes_holding("tables/people.csv", &["who id,who label,kind,people,working (share)"])
        .writes_holding(
            "tables/promises.csv",
            &["promise,verdict,found,", "\nmean units per hour at least 5,kept,"],
        )
        .writes_holding("tables/cautions.csv", &["about,caution\nplanning inputs,"])
        .simulating()
        .run();
    taktwright("simulate shop.line --format csv")
        .file("shop.line", SHOP)
        .stderr("error: `--format csv` writes a file for each table: add `--output FOLDER`\n")
        .status(2)
        .run();
}

#[test]
fn a_table_for_a_spreadsheet_holds_the_figures_of_the_report() {
    let report = full_report();
    let files = csv_files(&report);
    let of = |name: &str| &files.iter().find(|(file, _)| file == name).expect("the table is there").1;
    let mut reader = csv::Reader::from_reader(of("stations.csv").as_bytes());
    let at =
        |headings: &csv::StringRecord, name: &str| headings.iter().position(|h| h == name).expect("a column");
    let column = at(reader.headers().expect("headings"), "in use (share)");
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("rows of one length")).collect();
    assert_eq!(rows.len(), report.stations.len());
    for (row, station) in rows.iter().zip(&report.stations) {
        let e = station.in_use.expect("a figure");
        super::close(row[column].parse().expect("a number"), e.mean);
        super::close(row[column + 1].parse().expect("a number"), e.low.expect("a band"));
        super::close(row[column + 2].parse().expect("a number"), e.high.expect("a band"));
    }
}
