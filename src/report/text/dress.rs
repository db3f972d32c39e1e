//! How a text page is dressed: plain, or with weight on headings and colour on verdicts.

use anstyle::{AnsiColor, Style};

use crate::report::rows::Verdict;

/// Styles of a page. The plain one writes no control characters at all.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Dress {
    pub heading: Style,
    pub kept: Style,
    pub broken: Style,
    pub undecided: Style,
}

impl Dress {
    pub const PLAIN: Dress =
        Dress { heading: Style::new(), kept: Style::new(), broken: Style::new(), undecided: Style::new() };

    pub const COLOURED: Dress = Dress {
        heading: Style::new().bold(),
        kept: AnsiColor::Green.on_default(),
        broken: AnsiColor::Red.on_default().bold(),
        undecided: AnsiColor::Yellow.on_default(),
    };

    pub fn heading(&self, text: &str) -> String {
        painted(self.heading, text)
    }

    pub fn verdict(&self, verdict: Verdict, text: &str) -> String {
        let style = match verdict {
            Verdict::Kept => self.kept,
            Verdict::Broken => self.broken,
            Verdict::Undecided => self.undecided,
        };
        painted(style, text)
    }
}

fn painted(style: Style, text: &str) -> String {
    format!("{}{text}{}", style.render(), style.render_reset())
}
