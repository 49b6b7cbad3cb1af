//! The history of the schema: one dated change a file, up and down, on SQLite and PostgreSQL.

mod guard;
mod table;

mod m20261125_000001_app_user;
mod m20261125_000002_journal;
mod m20261125_000003_journal_guard;
mod m20261125_000004_sign_in;
mod m20261125_000005_sign_in_link;
mod m20261125_000006_api_key;
mod m20261125_000007_setting;
mod m20261125_000008_pack_import;
mod m20261125_000009_unit;
mod m20261125_000010_use_pattern;
mod m20261125_000011_part;
mod m20261125_000012_part_revision;
mod m20261125_000013_size_share;
mod m20261125_000014_component;
mod m20261125_000015_weighing;
mod m20261125_000016_lot;
mod m20261125_000017_lot_use;
mod m20261125_000018_serial;
mod m20261125_000019_movement;
mod m20261125_000020_inspection;
mod m20261125_000021_event;
mod m20261125_000022_demand;
mod m20261125_000023_report;
mod m20261125_000024_bench_test;
mod m20261125_000025_requirement;
mod m20261125_000026_fit_range;
mod m20261125_000027_person;
mod m20261125_000028_change;
mod m20261125_000029_effectivity;
mod m20261125_000030_unit_link;
mod m20261125_000031_intake;
mod m20261125_000032_report_handling;
mod m20261125_000033_question;
mod m20261125_000034_answer;
mod m20261125_000035_photo;
mod m20261125_000036_recurrence;
mod m20261125_000037_change_record;
mod m20261125_000038_change_criterion;
mod m20261125_000039_change_answer;
mod m20261125_000040_change_decision;
mod m20261125_000041_catalogue_mode;
mod m20261125_000042_report_waiting;
mod m20261126_000050_api_key_role;
mod m20261126_000060_recurrence_reading;
mod m20261126_000100_evidence;
mod m20261126_000101_change_revision;
mod m20261126_000102_proof_plan;
mod m20261126_000103_meeting;
mod m20261126_000104_docket_line;
mod m20261126_000105_advice;
mod m20261126_000106_settlement;
mod m20261126_000120_action;
mod m20261126_000121_instruction;
mod m20261126_000122_variance;
mod m20261126_000123_lot_condition;
mod m20261126_000124_maker_case;
mod m20261126_000125_change_holder;
mod m20261126_000126_handover;
mod m20261126_000127_handover_item;
mod m20261126_000128_outbox;
mod m20261126_000129_digest_reader;
mod m20261126_000140_published;
mod m20261126_000141_published_figure;
mod m20261126_000160_change_plan;
mod m20261126_000161_change_level;
mod m20261126_000162_change_document;
mod m20261126_000163_change_remark;
mod m20261126_000164_change_enclosure;
mod m20261126_000200_instruction_receipt;
mod m20261126_000201_instruction_reply;
mod m20261126_000300_contact;
mod m20261126_000301_contact_link;
mod m20261126_000302_contact_told;
mod m20261126_000303_hold;
mod m20261126_000304_outbox_person;
mod m20261126_000305_on_call;
mod m20261126_000320_upload;
mod m20261126_000321_upload_row;
mod m20261126_000322_exhibit;
mod m20261126_000323_exhibit_place;
mod m20261126_000324_mailed;
mod m20261126_000325_mailed_photo;
mod m20261126_000350_disclosure;
mod m20261127_000400_report_waits;
mod m20261127_000410_keeper;
mod m20261127_000411_handover_due;
mod m20261127_000412_recurrence_owner;
mod m20261127_000413_outbox_waiting;
mod m20261127_000414_outbox_sent_as;
mod m20261127_000415_sign_in_by_link;
mod m20261127_000416_injury_first;
mod m20261127_000417_heard;
mod m20261127_000418_outbox_given_up;
mod m20261127_000419_catalogue_mode_imported;
mod m20261129_000420_signal;

use sea_orm_migration::prelude::*;

/// Runs the migrations in order of date.
pub struct Migrator;

#[async_trait::async_trait]
impl MigratorTrait for Migrator {
    fn migrations() -> Vec<Box<dyn MigrationTrait>> {
        vec![
            Box::new(m20261125_000001_app_user::Migration),
            Box::new(m20261125_000002_journal::Migration),
            Box::new(m20261125_000003_journal_guard::Migration),
            Box::new(m20261125_000004_sign_in::Migration),
            Box::new(m20261125_000005_sign_in_link::Migration),
            Box::new(m20261125_000006_api_key::Migration),
            Box::new(m20261125_000007_setting::Migration),
            Box::new(m20261125_000008_pack_import::Migration),
            Box::new(m20261125_000009_unit::Migration),
            Box::new(m20261125_000010_use_pattern::Migration),
            Box::new(m20261125_000011_part::Migration),
            Box::new(m20261125_000012_part_revision::Migration),
            Box::new(m20261125_000013_size_share::Migration),
            Box::new(m20261125_000014_component::Migration),
            Box::new(m20261125_000015_weighing::Migration),
            Box::new(m20261125_000016_lot::Migration),
            Box::new(m20261125_000017_lot_use::Migration),
            Box::new(m20261125_000018_serial::Migration),
            Box::new(m20261125_000019_movement::Migration),
            Box::new(m20261125_000020_inspection::Migration),
            Box::new(m20261125_000021_event::Migration),
            Box::new(m20261125_000022_demand::Migration),
            Box::new(m20261125_000023_report::Migration),
            Box::new(m20261125_000024_bench_test::Migration),
            Box::new(m20261125_000025_requirement::Migration),
            Box::new(m20261125_000026_fit_range::Migration),
            Box::new(m20261125_000027_person::Migration),
            Box::new(m20261125_000028_change::Migration),
            Box::new(m20261125_000029_effectivity::Migration),
            Box::new(m20261125_000030_unit_link::Migration),
            Box::new(m20261125_000031_intake::Migration),
            Box::new(m20261125_000032_report_handling::Migration),
            Box::new(m20261125_000033_question::Migration),
            Box::new(m20261125_000034_answer::Migration),
            Box::new(m20261125_000035_photo::Migration),
            Box::new(m20261125_000036_recurrence::Migration),
            Box::new(m20261125_000037_change_record::Migration),
            Box::new(m20261125_000038_change_criterion::Migration),
            Box::new(m20261125_000039_change_answer::Migration),
            Box::new(m20261125_000040_change_decision::Migration),
            Box::new(m20261125_000041_catalogue_mode::Migration),
            Box::new(m20261125_000042_report_waiting::Migration),
            Box::new(m20261126_000050_api_key_role::Migration),
            Box::new(m20261126_000060_recurrence_reading::Migration),
            Box::new(m20261126_000100_evidence::Migration),
            Box::new(m20261126_000101_change_revision::Migration),
            Box::new(m20261126_000102_proof_plan::Migration),
            Box::new(m20261126_000103_meeting::Migration),
            Box::new(m20261126_000104_docket_line::Migration),
            Box::new(m20261126_000105_advice::Migration),
            Box::new(m20261126_000106_settlement::Migration),
            Box::new(m20261126_000120_action::Migration),
            Box::new(m20261126_000121_instruction::Migration),
            Box::new(m20261126_000122_variance::Migration),
            Box::new(m20261126_000123_lot_condition::Migration),
            Box::new(m20261126_000124_maker_case::Migration),
            Box::new(m20261126_000125_change_holder::Migration),
            Box::new(m20261126_000126_handover::Migration),
            Box::new(m20261126_000127_handover_item::Migration),
            Box::new(m20261126_000128_outbox::Migration),
            Box::new(m20261126_000129_digest_reader::Migration),
            Box::new(m20261126_000140_published::Migration),
            Box::new(m20261126_000141_published_figure::Migration),
            Box::new(m20261126_000160_change_plan::Migration),
            Box::new(m20261126_000161_change_level::Migration),
            Box::new(m20261126_000162_change_document::Migration),
            Box::new(m20261126_000163_change_remark::Migration),
            Box::new(m20261126_000164_change_enclosure::Migration),
            Box::new(m20261126_000200_instruction_receipt::Migration),
            Box::new(m20261126_000201_instruction_reply::Migration),
            Box::new(m20261126_000300_contact::Migration),
            Box::new(m20261126_000301_contact_link::Migration),
            Box::new(m20261126_000302_contact_told::Migration),
            Box::new(m20261126_000303_hold::Migration),
            Box::new(m20261126_000304_outbox_person::Migration),
            Box::new(m20261126_000305_on_call::Migration),
            Box::new(m20261126_000320_upload::Migration),
            Box::new(m20261126_000321_upload_row::Migration),
            Box::new(m20261126_000322_exhibit::Migration),
            Box::new(m20261126_000323_exhibit_place::Migration),
            Box::new(m20261126_000324_mailed::Migration),
            Box::new(m20261126_000325_mailed_photo::Migration),
            Box::new(m20261126_000350_disclosure::Migration),
            Box::new(m20261127_000400_report_waits::Migration),
            Box::new(m20261127_000410_keeper::Migration),
            Box::new(m20261127_000411_handover_due::Migration),
            Box::new(m20261127_000412_recurrence_owner::Migration),
            Box::new(m20261127_000413_outbox_waiting::Migration),
            Box::new(m20261127_000414_outbox_sent_as::Migration),
            Box::new(m20261127_000415_sign_in_by_link::Migration),
            Box::new(m20261127_000416_injury_first::Migration),
            Box::new(m20261127_000417_heard::Migration),
            Box::new(m20261127_000418_outbox_given_up::Migration),
            Box::new(m20261127_000419_catalogue_mode_imported::Migration),
            Box::new(m20261129_000420_signal::Migration),
        ]
    }
}

pub use sea_orm_migration::MigratorTrait as Migrations;
