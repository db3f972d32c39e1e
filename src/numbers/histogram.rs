//! (being built)
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Histogram {}
