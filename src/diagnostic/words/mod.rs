//! The words of every diagnostic, one file per family of codes, one function per sentence.
