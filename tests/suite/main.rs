//! The contents page of the tests: every test of the project is reached from here.

mod checking;
mod docs;
mod draws;
mod reading;
