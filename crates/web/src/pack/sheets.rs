//! The columns of every table, one file a noun; the list in each file is the whole truth of its columns.

mod bench_test;
mod change;
mod demand;
mod effectivity;
mod event;
mod fit;
mod inspection;
mod lot;
mod lot_use;
mod mode;
mod movement;
mod part;
mod person;
mod report;
mod requirement;
mod serial;
mod size_share;
mod structure;
mod unit;
mod use_pattern;
mod weighing;
