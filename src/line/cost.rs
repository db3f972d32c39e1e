//! What people, bays and floor cost, and how much floor there is.

/// The cost table of the file.
#[derive(Clone, PartialEq, Debug)]
pub struct Costs {
    /// The money word of the file.
    pub money: String,
    /// Per group: one person, per paid hour.
    pub people: Vec<f64>,
    /// Per place: one bay, per year.
    pub bays: Vec<f64>,
    /// A square metre of floor, per year.
    pub square_metre: f64,
}

/// Floor that a place takes, in square metres.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Space {
    /// Each bay (or place of a rack).
    pub bay: f64,
    /// Each slot.
    pub slot: f64,
}
