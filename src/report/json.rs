//! The report as JSON: two spaces of indent, fields in their fixed order, numbers rounded alike.

use std::io;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use serde_json::ser::{Formatter, PrettyFormatter, Serializer};

/// Numbers carry six decimals, and at least six significant digits below 1; so platforms, threads
/// and releases of the serialiser cannot differ in a last bit that nobody reads.
pub fn rounded(x: f64) -> f64 {
    let text = if x.abs() < 1.0 { format!("{x:.5e}") } else { format!("{x:.6}") };
    let rounded: f64 = text.parse().unwrap_or(x);
    // No negative zero in print.
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Indents as usual and rounds every float on its way out.
struct RoundedPretty<'a>(PrettyFormatter<'a>);

impl Formatter for RoundedPretty<'_> {
    fn write_f64<W: ?Sized + io::Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        self.0.write_f64(writer, rounded(value))
    }

    fn begin_array<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.0.begin_array(writer)
    }

    fn end_array<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.0.end_array(writer)
    }

    fn begin_array_value<W: ?Sized + io::Write>(&mut self, writer: &mut W, first: bool) -> io::Result<()> {
        self.0.begin_array_value(writer, first)
    }

    fn end_array_value<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.0.end_array_value(writer)
    }

    fn begin_object<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.0.begin_object(writer)
    }

    fn end_object<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.0.end_object(writer)
    }

    fn begin_object_key<W: ?Sized + io::Write>(&mut self, writer: &mut W, first: bool) -> io::Result<()> {
        self.0.begin_object_key(writer, first)
    }

    fn begin_object_value<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.0.begin_object_value(writer)
    }

    fn end_object_value<W: ?Sized + io::Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.0.end_object_value(writer)
    }
}

/// Any record of ours as JSON text, ending in a line break. Figures that are not finite have no place
/// in a report and come out as null.
pub fn page<T: Serialize>(record: &T) -> String {
    let mut bytes = Vec::new();
    let mut serializer =
        Serializer::with_formatter(&mut bytes, RoundedPretty(PrettyFormatter::with_indent(b"  ")));
    record.serialize(&mut serializer).expect("writing plain records to memory cannot fail");
    let mut text = String::from_utf8(bytes).expect("the serialiser writes UTF-8 only");
    text.push('\n');
    text
}

/// The JSON Schema of a record as it is written: what may be left out is not required.
pub fn schema_of<T: JsonSchema>() -> String {
    page(&SchemaSettings::default().for_serialize().into_generator().into_root_schema_for::<T>())
}

/// The JSON Schema of the report, as published in the documentation.
pub fn schema() -> String {
    schema_of::<super::Report>()
}

/// The JSON Schema of layouts side by side, likewise.
pub fn comparison_schema() -> String {
    schema_of::<super::CompareReport>()
}

/// The JSON Schema of the best of many layouts, likewise.
pub fn choice_schema() -> String {
    schema_of::<super::ChoiceReport>()
}

/// The JSON Schema of levers, likewise.
pub fn levers_schema() -> String {
    schema_of::<super::LeversReport>()
}

/// The JSON Schema of a station's cycles, likewise.
pub fn cycles_schema() -> String {
    schema_of::<super::CyclesReport>()
}

/// The JSON Schema of losses, likewise.
pub fn losses_schema() -> String {
    schema_of::<super::LossesReport>()
}

/// The JSON Schema of sweeps, likewise.
pub fn sweep_schema() -> String {
    schema_of::<super::SweepReport>()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_rounded_to_six_decimals_and_small_ones_to_six_digits() {
        assert_eq!(rounded(17.612_345_678), 17.612_346);
        assert_eq!(rounded(0.000_123_456_789), 0.000_123_457);
        assert_eq!(rounded(-0.1 - 0.2), -0.3);
        assert_eq!(rounded(123_456_789.25), 123_456_789.25);
        assert!(rounded(-0.0).is_sign_positive());
        assert!(rounded(-1e-320).is_finite());
    }

    #[test]
    fn every_float_of_a_page_is_rounded() {
        assert_eq!(page(&vec![1.0 / 3.0, 2.0]), "[\n  0.333333,\n  2.0\n]\n");
        assert_eq!(page(&f64::NAN), "null\n");
    }
}
