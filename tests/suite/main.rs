//! Every test of the project that is not beside its code: the contents page.

mod draws;
mod reporting;
