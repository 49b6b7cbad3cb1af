//! Whether the lot of those who sent a report is affected, as far as anybody can tell.

use domain::analysis::share_of_lot;
use domain::field::{Field, Found, LotId};

use super::became::Known;
use super::change;
use crate::pages::interim::{Interim, Order};

/// Sentences about their lot; the first says what is known of it.
pub(super) fn sentences(known: Known<'_>) -> Vec<String> {
    if !known.counts() {
        return Vec::new();
    }
    let (field, tongue) = (known.field, known.tongue);
    let mut said = Vec::new();
    if let Some(lot) = lot_of(known) {
        let of_lot = |key: &str| tongue.with(key, &[("lot", (*field.lots[lot].lot_no).into())]);
        let lines = known.recurrence().map(|r| r.lots.as_slice()).unwrap_or_default();
        let key = if lines.iter().any(|line| line.lot == lot && line.flagged) {
            "lot-suspected"
        } else {
            "lot-like-others"
        };
        said.push(of_lot(key));
        for record in known.changes.iter().filter(|record| record.change.is_built()) {
            said.extend(built_to(field, &record.change.change_no, lot).map(of_lot));
        }
    } else {
        said.push(tongue.say("lot-unknown"));
    }
    said.extend(known.changes.iter().filter_map(|record| change::for_issued_items(tongue, record)));
    said
}

/// What units are told to do with the lot of the item, or with the item where its lot isn't known.
pub(super) fn orders(known: Known<'_>, interim: &Interim) -> Vec<Order> {
    match lot_of(known) {
        Some(lot) => interim.for_lots(known.tongue, known.field, &[lot]),
        None => interim.for_item(known.tongue, known.field, &known.file.report.item_part_no),
    }
}

/// The lot as read from the label or chosen by an engineer; no guess is good enough for this page.
fn lot_of(known: Known<'_>) -> Option<LotId> {
    let report = &known.file.report;
    let maker = report.maker.as_deref().and_then(|maker| known.field.makers.find(maker));
    match known.field.lot_keys.find(report.lot_text.as_deref()?.trim(), maker) {
        Found::One(lot) => Some(lot),
        _ => None,
    }
}

fn built_to(field: &Field, change_no: &str, lot: LotId) -> Option<&'static str> {
    let change = &field.changes[field.find_change(change_no)?];
    Some(match share_of_lot(field, change, lot)? {
        share if share <= 0.0 => "lot-before",
        share if share >= 1.0 => "lot-built",
        _ => "lot-partly",
    })
}
