//! What a file may be at most. Each limit ends in a diagnostic of its own.

/// Bytes of one file.
pub const FILE_BYTES: usize = 16 * 1024 * 1024;
/// Bytes of one statement (without the statements in its braces).
pub const STATEMENT_BYTES: usize = 256 * 1024;
/// Brackets and braces inside one another.
pub const NESTING: usize = 64;
/// Operators in one piece of arithmetic.
pub const OPERATORS: usize = 64;
/// Digits of one number.
pub const DIGITS: usize = 40;
/// Faults reported for one file; what comes after is not read.
pub const FAULTS: usize = 20_000;
/// Files that one line reads, with `use`.
pub const FILES: usize = 1_000;
