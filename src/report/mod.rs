//! One serialisable report, and one file per format that prints it.
//!
//! Owns the JSON contract and the words of the report. Computes no statistic and runs nothing.

mod actions;
mod advice;
mod balance;
mod bins;
mod build;
mod cautions;
mod check_page;
mod comparison;
mod doubts;
mod html;
mod inputs;
mod json;
mod levers;
mod looks;
mod losses;
mod record;
mod rows;
mod separated;
mod sheets;
mod sweep;
mod tables;
mod text;
mod wording;

pub use advice::advice_sentence;
pub use balance::{BalanceReport, Simulated, balance_report, balance_schema, reason_words, verdict_words};
pub use build::{Extras, LoadRow, build, promise_row};
pub use check_page::{
    CheckPage, ContentRow, CrewRow, DiagnosticRow, GroupRow, LinePage, LoadLine, PageExtras, TaktRow,
    TimeRow, line_page,
};
pub use comparison::{Advice, COMPARE_SCHEMA, CompareReport, Difference, DifferenceRow, LayoutRow};
pub use html::page as html_page;
pub use inputs::{Inputs, SourceRow};
pub use json::{comparison_schema, levers_schema, losses_schema, schema, sweep_schema};
pub use levers::{LEVERS_SCHEMA, LeftOut, LeverKind, LeverRow, LeversReport};
pub use losses::{LOSSES_SCHEMA, LossCause, LossLeftOut, LossRow, LossesReport, losses_sentence};
pub use record::{
    Caution, CountFrom, Estimate, FlowTime, HomeTime, Interval, LineMeasures, ModelRow, Report, SCHEMA,
    ShiftsAt, UnitsPerShift, Warning,
};
pub use rows::{
    BottleneckRow, ClosedFormRow, EquipmentRow, EquipmentShares, Evidence, FloaterRow, FloaterShares,
    HoldRow, LevelFigures, LevelRow, Method, MethodRow, ModelLoad, PeopleKind, PeopleRow, PeopleShares,
    PlaceKind, PromiseRow, PushRow, StateShares, StationRow, StoreRow, TestRow, Verdict, Wait, WindowRow,
};
pub use separated::files as csv_files;
pub use sheets::{Sheet, SheetStep, sheets};
pub use sweep::{
    AxisRow, ChanceAt, FewestRow, PointLeftOut, PointRow, SWEEP_SCHEMA, SweepReport, sweep_sentence,
};
pub use text::{Dress, FIRST_SCREEN, levers_sentence};
pub use wording::{promise_detail, sentence};

/// How a report is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    Text,
    Json,
}

/// The report in one format; plain text where that is asked for.
pub fn render(report: &Report, format: Format) -> String {
    match format {
        Format::Text => text::page(report, &Dress::PLAIN),
        Format::Json => json::page(report),
    }
}

/// The text page in a dress, for a terminal.
pub fn render_text(report: &Report, dress: &Dress) -> String {
    text::page(report, dress)
}

/// The answer of `balance` in one format; the dress is for text.
pub fn render_balance(report: &BalanceReport, format: Format, dress: &Dress) -> String {
    match format {
        Format::Text => balance::page(report, dress),
        Format::Json => json::page(report),
    }
}

/// The page of `check` in one format.
pub fn render_check(page: &CheckPage, format: Format) -> String {
    match format {
        Format::Text => text::check_page(page, &Dress::PLAIN),
        Format::Json => json::page(page),
    }
}

/// The page of `check` in a dress, for a terminal.
pub fn render_check_text(page: &CheckPage, dress: &Dress) -> String {
    text::check_page(page, dress)
}

/// Layouts side by side in one format; the dress is for text.
pub fn render_comparison(comparison: &CompareReport, format: Format, dress: &Dress) -> String {
    match format {
        Format::Text => text::comparison_page(comparison, dress),
        Format::Json => json::page(comparison),
    }
}

/// Levers, ranked, in one format; the dress is for text.
pub fn render_levers(levers: &LeversReport, format: Format, dress: &Dress) -> String {
    match format {
        Format::Text => text::levers_page(levers, dress),
        Format::Json => json::page(levers),
    }
}

/// Points of a sweep in one format; the dress is for text.
pub fn render_sweep(sweep: &SweepReport, format: Format, dress: &Dress) -> String {
    match format {
        Format::Text => text::sweep_page(sweep, dress),
        Format::Json => json::page(sweep),
    }
}

/// Where the units go, in one format; the dress is for text.
pub fn render_losses(losses: &LossesReport, format: Format, dress: &Dress) -> String {
    match format {
        Format::Text => text::losses_page(losses, dress),
        Format::Json => json::page(losses),
    }
}
