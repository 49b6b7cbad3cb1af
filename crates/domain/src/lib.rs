//! The trade: parts, lots, ledger, reports, recurrences, mass, changes. Pure: values in, values out.

pub mod accommodation;
pub mod action;
pub mod analysis;
pub mod bench_test;
pub mod catalogue;
pub mod caution;
pub mod change;
pub mod change_record;
pub mod change_target;
pub mod civil_day;
pub mod class;
pub mod concerned;
pub mod contact;
pub mod danger;
pub mod demand;
pub mod disclosure;
pub mod distribution;
pub mod docket;
pub mod doubles;
pub mod effectivity;
pub mod event;
pub mod evidence;
pub mod exhibit;
pub mod field;
pub mod fit;
pub mod handling;
pub mod handover;
pub mod inspection;
pub mod instruction;
pub mod label;
pub mod language;
pub mod ledger;
pub mod lineage;
pub mod lot;
pub mod lot_condition;
pub mod lot_use;
pub mod mail_address;
pub mod maker_case;
pub mod mark;
pub mod mass;
pub mod movement;
pub mod pack;
pub mod part;
pub mod permission;
pub mod person;
pub mod proof_plan;
pub mod published;
pub mod receipt;
pub mod recurrence;
pub mod reidentification;
pub mod reply;
pub mod report;
pub mod requirement;
pub mod retrofit;
pub mod risk;
pub mod serial;
pub mod signal;
pub mod size_share;
pub mod sketch;
pub mod structure;
pub mod suggestion;
pub mod target_time;
pub mod text_difference;
pub mod unit;
pub mod upload;
pub mod use_pattern;
pub mod variance;
pub mod waiting;
pub mod weighing;
pub mod words;

// The tests in the library write nouns as those beside it do, which name this crate from outside.
#[cfg(test)]
extern crate self as domain;
#[cfg(test)]
#[path = "../tests/common/nouns.rs"]
mod nouns;
