//! `taktwright check`: every fault and doubt; then what follows from mean times.

use super::console::{Console, Trouble};
use super::options::{CheckArgs, Format};
use super::reading;
use super::status::Status;
use taktwright::Reading;
use taktwright::diagnostic::{settle, to_json};
use taktwright::report::{self, CheckPage, DiagnosticRow, LinePage, line_page};
use taktwright::study::Means;

pub fn run(args: &CheckArgs, console: Console) -> Result<Status, Trouble> {
    let mut status = Status::Fine;
    let mut diagnostics: Vec<DiagnosticRow> = Vec::new();
    let mut lines: Vec<LinePage> = Vec::new();
    for path in &args.files {
        let mut read = reading::read(path, &args.line.set)?;
        if reading::has_errors(&read.faults) {
            status = status.or_worse(Status::BadInput);
        } else {
            let line = reading::layout(&read, &args.line)?;
            let means = Means::of(line);
            lines.push(line_page(line, &means.page_extras()));
            let doubts = means.doubts();
            read.faults = settle(read.faults.into_iter().chain(doubts).collect());
        }
        match args.format {
            Format::Text => reading::show(&read.faults, &read.map, console),
            Format::Json => diagnostics.extend(rows(&read)),
        }
    }
    let page = CheckPage::new(diagnostics, lines);
    let text = match args.format {
        Format::Json => report::render_check(&page, report::Format::Json),
        Format::Text => report::render_check_text(&page, &console.dress(None)),
    };
    console.print(&text)?;
    Ok(status)
}

fn rows(read: &Reading) -> Vec<DiagnosticRow> {
    let whole = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    to_json(&read.faults, &read.map)
        .into_iter()
        .map(|fault| DiagnosticRow {
            code: fault.code,
            severity: fault.severity,
            message: fault.message,
            file: fault.file,
            line: whole(fault.line),
            column: whole(fault.column),
            end_line: whole(fault.end_line),
            end_column: whole(fault.end_column),
            help: (!fault.help.is_empty()).then(|| fault.help.join("\n")),
        })
        .collect()
}
