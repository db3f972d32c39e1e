//! What is wrong with a file, as data: a code, a place, the words, the cure.
//!
//! Owns places in files (`FileId`, `Span`), the codes, the record and its rendering as text and
//! JSON, and the trait through which the library reads anything from outside. The words of every
//! diagnostic stand in `words`, one function per code; whoever notices a fault calls that function
//! and never writes a sentence of its own. Knows nothing of lines.

mod code;
mod json;
mod places;
mod record;
mod source;
mod span;
mod text;
pub mod words;

pub use code::{Code, Severity};
pub use json::{JsonDiagnostic, to_json};
pub use places::{Place, Places};
pub use record::{Diagnostic, Label, settle};
pub use source::{FileText, MapSources, Patched, SourceFault, SourceMap, Sources};
pub use span::{FileId, Span};
pub use text::render_text;
