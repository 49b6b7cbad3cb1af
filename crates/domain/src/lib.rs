//! The trade: parts, lots, ledger, reports, recurrences, mass, changes. Pure: values in, values out.

pub mod bench_test;
pub mod catalogue;
pub mod change;
pub mod demand;
pub mod effectivity;
pub mod event;
pub mod fit;
pub mod inspection;
pub mod lot;
pub mod lot_use;
pub mod movement;
pub mod part;
pub mod permission;
pub mod person;
pub mod receipt;
pub mod report;
pub mod requirement;
pub mod serial;
pub mod size_share;
pub mod structure;
pub mod unit;
pub mod use_pattern;
pub mod weighing;
pub mod words;
