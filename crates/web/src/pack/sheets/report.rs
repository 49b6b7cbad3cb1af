//! The columns of `reports.csv`.

use domain::report::Report;

use crate::pack::forms::{Count, Date, Key, Month, Number, Text, Word, YesNo};
use crate::pack::sheet::sheet;

sheet!(Report in Reports {
    report_ref: must(Key),
    found_on: must(Date),
    received_on: or(Date, found_on),
    unit: must(Key),
    item_part_no: must(Key),
    size: may(Key),
    serial: may(Key),
    lot_text: may(Text),
    lot_known: may(Word),
    maker: may(Key),
    contract_no: may(Key),
    made_month: may(Month),
    part_no: may(Key),
    mode: may(Key),
    narrative: may(Text),
    activity: may(Text),
    found_when: may(Word),
    worn_weeks: may(Number),
    altered: may(Word),
    prompted_by: may(Key),
    harm: may(Word),
    item_fate: may(Word),
    relevant: may(YesNo),
    chargeable: may(YesNo),
    quantity: or(Count, Some(1)),
});
