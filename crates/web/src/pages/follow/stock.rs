//! Whether the lot of those who sent a report is affected, as far as anybody can tell.

use domain::analysis::share_of_lot;
use domain::field::{Field, Found, LotId};

use super::became::Known;
use super::change;
use crate::pages::interim::{Interim, Order};
use crate::pages::recurrences::{part_name, sureness};
use crate::tongue::Tongue;
use crate::view::Sureness;

/// What the label says, as read there or chosen by an engineer; no guess is good enough for this page.
enum Label<'a> {
    /// The lot of the item.
    Lot(LotId),
    /// A lot of something else.
    Other(LotId),
    /// A number that no lot in the books has.
    Strange(&'a str),
    /// Nothing, or a number that lots of several makers have.
    Unknown,
}

impl<'a> Label<'a> {
    fn of(known: Known<'a>) -> Self {
        let (field, report) = (known.field, &known.file.report);
        let Some(text) = report.lot_text.as_deref().map(str::trim).filter(|text| !text.is_empty()) else {
            return Self::Unknown;
        };
        let maker = report.maker.as_deref().and_then(|maker| field.makers.find(maker));
        match field.lot_keys.find(text, maker) {
            Found::One(lot) if field.part_names[field.part_of_lot(lot)] == *report.item_part_no => {
                Self::Lot(lot)
            }
            Found::One(lot) => Self::Other(lot),
            Found::Several => Self::Unknown,
            // The number is known, of another maker than the report says.
            Found::Nothing if field.lot_keys.all(text).next().is_some() => Self::Unknown,
            Found::Nothing => Self::Strange(text),
        }
    }

    /// What is wrong with it, for whoever can look at it again.
    fn wrong(&self, tongue: Tongue, field: &Field) -> Option<String> {
        match *self {
            Self::Lot(_) | Self::Unknown => None,
            Self::Strange(text) => Some(tongue.with("lot-strange", &[("lot", text.into())])),
            Self::Other(lot) => {
                let part = part_name(field, field.part_of_lot(lot));
                let filled = [("lot", (*field.lots[lot].lot_no).into()), ("part", part.into())];
                Some(tongue.with("lot-of-other", &filled))
            }
        }
    }
}

/// Sentences about their lot; the first says what is known of it. A label that can't be right is told before anybody sorted
/// the report.
pub(super) fn sentences(known: Known<'_>) -> Vec<String> {
    let (field, tongue, label) = (known.field, known.tongue, Label::of(known));
    let mut said: Vec<String> = label.wrong(tongue, field).into_iter().collect();
    if !known.counts() {
        return said;
    }
    match label {
        Label::Lot(lot) => {
            let of_lot = |key: &str| tongue.with(key, &[("lot", (*field.lots[lot].lot_no).into())]);
            said.push(of_lot(stands_out(known, lot)));
            for record in known.changes.iter().filter(|record| record.change.is_built()) {
                said.extend(built_to(field, &record.change.change_no, lot).map(of_lot));
            }
        }
        Label::Unknown => said.push(tongue.say("lot-unknown")),
        Label::Other(_) | Label::Strange(_) => {}
    }
    said.extend(known.changes.iter().filter_map(|record| change::for_issued_items(tongue, record)));
    said
}

/// Whether it stands out, as sure as the engineer's page is of it; a lot without a row there has no report that counts.
fn stands_out(known: Known<'_>, lot: LotId) -> &'static str {
    let lines = known.recurrence().map(|r| r.lots.as_slice()).unwrap_or_default();
    match lines.iter().find(|line| line.lot == lot).map(sureness) {
        Some(Sureness::Shown) => "lot-suspected",
        Some(Sureness::NotShown) => "lot-like-others",
        Some(Sureness::TooEarly) | None => "lot-too-early",
    }
}

/// What units are told to do with the lot of the item, or with items of which labels where its lot isn't known.
pub(super) fn orders(known: Known<'_>, interim: &Interim) -> Vec<Order> {
    let (tongue, field) = (known.tongue, known.field);
    let for_item = |read| interim.for_item(tongue, field, &known.file.report.item_part_no, read);
    match Label::of(known) {
        Label::Lot(lot) => {
            let unit = field.unit_names.find(&known.file.report.unit);
            interim.for_lot(tongue, field, &known.analysis.ledger, (lot, unit))
        }
        Label::Other(lot) => for_item(Some(lot)),
        Label::Strange(_) | Label::Unknown => for_item(None),
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
