//! The trade on whole fields: every check that needs more than one noun, in one program.

mod analysis;
mod argued;
#[path = "common/argued_worlds.rs"]
mod argued_worlds;
mod assessed;
mod big_field;
mod campaign;
mod common;
mod concentration;
mod concerned;
mod conversions;
mod cut_in_by_day;
mod doubles;
mod evidence;
mod evidence_whole;
mod label;
mod label_misread;
mod ledger;
mod ledger_disputed;
mod ledger_properties;
mod ledger_sources;
mod life;
mod lineage;
mod lineage_properties;
mod numbered_items;
mod pilots;
mod proof_looks;
mod reporting_fraction;
mod restarted_parts;
mod risk;
mod side_effects;
mod study;
mod telling;
mod use_and_looks;
mod watch;
