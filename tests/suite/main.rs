//! The contents page of the tests: every test of the project is reached from here.

#![expect(clippy::disallowed_methods, reason = "tests lay out folders, read the tree and measure time")]

mod amiss;
mod apart;
mod around;
mod balance;
mod balance_chance;
mod balance_clash;
mod balance_classic;
mod balance_halls;
mod breaks;
mod broken_files;
mod by_hand;
mod checking;
mod commands;
mod comparing;
mod costs;
mod docs;
mod draws;
mod drift;
mod feeders;
mod fetching;
mod fixtures;
mod floaters;
mod follow;
mod harness;
mod heat_pumps;
mod helping;
mod house;
mod intervals;
#[path = "../bench/large.rs"]
mod large;
mod learning;
mod levers;
mod losing;
mod material;
mod outside;
mod people;
mod plain_lines;
mod plants;
mod pod_hall;
mod published;
mod questions;
mod random_lines;
mod reading;
mod reporting;
mod sharing;
mod station_times;
mod stops;
mod sweeping;
mod tidy;
mod verifying;
mod visitors;
mod walking;
mod workboats;
mod wrong_verdicts;
