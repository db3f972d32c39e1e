//! The words of every diagnostic, one file per family of codes, one function per sentence.

pub mod reading;
pub mod run;
pub mod scenario;
