//! The page of a study: in which form it comes, and where it goes.

use super::console::{Console, Trouble};
use clap::{Args, ValueEnum};
use std::path::PathBuf;
use taktwright::report::Dress;

/// Of every study.
#[derive(Args, Debug)]
pub struct PageArgs {
    /// The form of the page.
    #[arg(long, value_enum, default_value_t, value_name = "FORMAT")]
    pub format: StudyFormat,
    /// Write the page to this file instead of standard output.
    #[arg(long, short, value_name = "PATH")]
    pub output: Option<PathBuf>,
}

impl PageArgs {
    /// Prints the page that `render` makes in this form.
    pub fn print(
        &self,
        console: Console,
        render: impl FnOnce(taktwright::report::StudyFormat, &Dress) -> String,
    ) -> Result<(), Trouble> {
        let output = self.output.as_deref();
        console.deliver(&render(self.format.into(), &console.dress(output)), output)
    }
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum)]
pub enum StudyFormat {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
    /// One page for a browser or a printer, whole in itself.
    Html,
}

impl From<StudyFormat> for taktwright::report::StudyFormat {
    fn from(format: StudyFormat) -> taktwright::report::StudyFormat {
        match format {
            StudyFormat::Text => taktwright::report::StudyFormat::Text,
            StudyFormat::Json => taktwright::report::StudyFormat::Json,
            StudyFormat::Html => taktwright::report::StudyFormat::Html,
        }
    }
}
