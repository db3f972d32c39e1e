//! The report as one HTML file: read without network, without scripts and on paper; sorted with scripts.
//!
//! Owns our own look: palette, marks and the picture of the line. Computes nothing.

mod balance;
mod cycles;
mod first;
mod grid;
mod made_from;
mod marks;
mod order;
mod picture;
mod replay;
mod sections;
mod sheets;
mod studies;
mod week;
mod writer;

pub use balance::balance as balance_page;
pub use cycles::cycles as cycles_page;
pub use studies::{
    choice as choice_page, comparison as comparison_page, levers as levers_page, losses as losses_page,
    sweep as sweep_page,
};

use super::inputs::Inputs;
use super::record::Report;
use super::wording::title;
use writer::Page;

/// No address may be asked for anything: the page is whole.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; base-uri 'none'; \
    form-action 'none'";

/// The whole page of a report.
pub fn page(report: &Report, inputs: &Inputs) -> String {
    let script = inputs.replay.as_ref().map(|_| replay::SCRIPT);
    whole_with(&title(report), script, |page| body(page, report, inputs))
}

/// A page of ours with this title.
fn whole(title: &str, main: impl FnOnce(&mut Page)) -> String {
    whole_with(title, None, main)
}

/// As `whole`, with a further script of ours.
fn whole_with(title: &str, script: Option<&'static str>, main: impl FnOnce(&mut Page)) -> String {
    let mut page = Page::default();
    page.constant("<!DOCTYPE html>\n");
    page.element("html", &[("lang", "en-GB")], |page| {
        page.element("head", &[], |page| head(page, title));
        page.element("body", &[], |page| {
            page.constant("<a class=\"skip\" href=\"#report\">To the report</a>\n");
            page.constant(marks::PATTERNS);
            page.element("main", &[("id", "report"), ("tabindex", "-1")], main);
            page.element("script", &[], |page| {
                page.constant(include_str!("page.js"));
                page.constant(script.unwrap_or(""));
            });
            page.constant("\n");
        });
    });
    page.constant("\n");
    page.into_text()
}

fn head(page: &mut Page, title: &str) {
    page.constant("<meta charset=\"utf-8\">\n");
    page.open("meta", &[("http-equiv", "Content-Security-Policy"), ("content", POLICY)]);
    page.constant("\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    page.leaf("title", &[], title);
    page.element("style", &[], |page| page.constant(include_str!("page.css")));
    page.constant("\n");
}

fn body(page: &mut Page, report: &Report, inputs: &Inputs) {
    first::first(page, report, inputs);
    page.element("nav", &[("aria-label", "Sections")], |page| {
        page.element("ul", &[], |page| {
            for section in sections::present(report) {
                let (anchor, heading) = section.names();
                page.element("li", &[], |page| page.leaf("a", &[("href", &format!("#{anchor}"))], heading));
            }
            if inputs.replay.is_some() {
                page.constant("<li><a href=\"#replay\">One shift, move by move</a></li>\n");
            }
            if !inputs.sheets.is_empty() {
                page.constant("<li><a href=\"#sheets\">Crew sheets</a></li>\n");
            }
            page.constant("<li><a href=\"#made-from\">What this was made from</a></li>\n");
        });
    });
    sections::sections(page, report, inputs);
    replay::section(page, report, inputs);
    sheets::sheets(page, report, inputs);
    made_from::made_from(page, report, inputs);
}
