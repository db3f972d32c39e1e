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
mod choice;
mod comparison;
mod cycles;
mod doubts;
mod html;
mod inputs;
mod json;
mod levers;
mod looks;
mod losses;
mod record;
mod replay;
mod rows;
mod separated;
mod sheets;
mod sweep;
mod tables;
mod text;
mod wording;
mod workbook;
mod working_hours;

pub use advice::advice_sentence;
pub use balance::{
    BalanceReport, ClashReport, ClashStatement, Simulated, balance_report, balance_schema, reason_words,
    verdict_words,
};
pub use build::{Extras, LoadRow, build, promise_row};
pub use check_page::{
    CheckPage, ContentRow, CrewRow, DiagnosticRow, GroupRow, LinePage, LoadLine, PageExtras, ShiftPeople,
    TaktRow, TimeRow, line_page,
};
pub use choice::{CHOICE_SCHEMA, ChoiceReport, ChoiceRow, choice_sentence};
pub use comparison::{Advice, COMPARE_SCHEMA, CompareReport, Difference, DifferenceRow, LayoutRow};
pub use cycles::{
    CYCLES_SCHEMA, Cycle, CycleBar, CyclePiece, CyclesReport, HeldBy, MadeOf, ModelShare, PathPiece,
    StepShare, cycles_sentence,
};
pub use html::page as html_page;
pub use inputs::{Inputs, SourceRow};
pub use json::{
    choice_schema, comparison_schema, cycles_schema, levers_schema, losses_schema, schema, sweep_schema,
};
pub use levers::{LEVERS_SCHEMA, LeftOut, LeverKind, LeverRow, LeversReport};
pub use losses::{LOSSES_SCHEMA, LossCause, LossLeftOut, LossRow, LossesReport, losses_sentence};
pub use record::{
    Caution, CountFrom, Estimate, FlowTime, HomeTime, Interval, LineMeasures, ModelRow, Report, SCHEMA,
    ShiftsAt, UnitsPerShift, Warning,
};
pub use replay::{Replay, ReplayMove, Standing, Whereabouts};
pub use rows::{
    BottleneckRow, ClosedFormRow, EquipmentRow, EquipmentShares, Evidence, FloaterRow, FloaterShares,
    HelpRow, HelpShares, HoldRow, LevelFigures, LevelRow, Method, MethodRow, ModelLoad, PeopleKind,
    PeopleRow, PeopleShares, PlaceKind, PromiseRow, PushRow, StateShares, StationRow, StoreRow, TestRow,
    Verdict, Wait, Week, WeekHour, WeekRow, WindowRow,
};
pub use separated::files as csv_files;
pub use sheets::{Sheet, SheetStep, sheets};
pub use sweep::{
    AxisRow, ChanceAt, FewestRow, PointLeftOut, PointRow, SWEEP_SCHEMA, SweepReport, sweep_sentence,
};
pub use text::{Dress, FIRST_SCREEN, levers_sentence};
pub use wording::{promise_detail, sentence};
pub use workbook::file as workbook;

/// How a report is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Format {
    Text,
    Json,
}

/// How a study is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StudyFormat {
    Text,
    Json,
    Html,
}

/// How a balance is printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BalanceFormat {
    Text,
    Json,
    Html,
    /// The order of work in the DOT language.
    Dot,
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
pub fn render_balance(report: &BalanceReport, format: BalanceFormat, dress: &Dress) -> String {
    match format {
        BalanceFormat::Text => balance::page(report, dress),
        BalanceFormat::Json => json::page(report),
        BalanceFormat::Html => html::balance_page(report),
        BalanceFormat::Dot => balance::graph(report),
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
pub fn render_comparison(comparison: &CompareReport, format: StudyFormat, dress: &Dress) -> String {
    match format {
        StudyFormat::Text => text::comparison_page(comparison, dress),
        StudyFormat::Json => json::page(comparison),
        StudyFormat::Html => html::comparison_page(comparison),
    }
}

/// The best of many layouts in one format; the dress is for text.
pub fn render_choice(choice: &ChoiceReport, format: StudyFormat, dress: &Dress) -> String {
    match format {
        StudyFormat::Text => text::choice_page(choice, dress),
        StudyFormat::Json => json::page(choice),
        StudyFormat::Html => html::choice_page(choice),
    }
}

/// Levers, ranked, in one format; the dress is for text.
pub fn render_levers(levers: &LeversReport, format: StudyFormat, dress: &Dress) -> String {
    match format {
        StudyFormat::Text => text::levers_page(levers, dress),
        StudyFormat::Json => json::page(levers),
        StudyFormat::Html => html::levers_page(levers),
    }
}

/// Points of a sweep in one format; the dress is for text.
pub fn render_sweep(sweep: &SweepReport, format: StudyFormat, dress: &Dress) -> String {
    match format {
        StudyFormat::Text => text::sweep_page(sweep, dress),
        StudyFormat::Json => json::page(sweep),
        StudyFormat::Html => html::sweep_page(sweep),
    }
}

/// What the time of a station goes into, in one format; the dress is for text.
pub fn render_cycles(cycles: &CyclesReport, format: StudyFormat, dress: &Dress) -> String {
    match format {
        StudyFormat::Text => text::cycles_page(cycles, dress),
        StudyFormat::Json => json::page(cycles),
        StudyFormat::Html => html::cycles_page(cycles),
    }
}

/// Where the units go, in one format; the dress is for text.
pub fn render_losses(losses: &LossesReport, format: StudyFormat, dress: &Dress) -> String {
    match format {
        StudyFormat::Text => text::losses_page(losses, dress),
        StudyFormat::Json => json::page(losses),
        StudyFormat::Html => html::losses_page(losses),
    }
}
