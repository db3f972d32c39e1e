//! Contents page: every test of the project that is not beside its code is reached from here.

mod commands;
mod draws;
mod harness;
mod house;
mod reading;
