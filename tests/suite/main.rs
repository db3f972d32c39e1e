//! The contents page of the tests: every test of the project is reached from here.

mod checking;
mod commands;
mod docs;
mod draws;
mod follow;
mod harness;
mod house;
mod random_lines;
mod reading;
mod reporting;
