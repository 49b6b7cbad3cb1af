//! `/lots/{lot}/notice`: a draft of a notice to the units concerned, one printed sheet a unit. Nothing is sent.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use domain::caution::Caution as C;
use domain::field::{Field, LotId, UnitId};
use domain::lineage::{Holder, Whereabouts};
use domain::permission::Actor;
use serde::Serialize;

use super::words::{named, unit_words};
use crate::address;
use crate::format;
use crate::pages::recurrences::part_name;
use crate::templates::Page;
use crate::view::{Caution, Place, Shell};

/// More sheets than this are printed unit by unit.
const MOST_SHEETS: usize = 150;

/// The notice.
#[derive(Serialize)]
pub struct NoticePage {
    pub(super) shell: Shell,
    title: String,
    back: String,
    lead: String,
    returned: Option<String>,
    more: Option<String>,
    lot: String,
    name: String,
    written: String,
    sheets: Vec<Sheet>,
    cautions: Vec<Caution>,
}

/// What one unit gets.
#[derive(Serialize)]
struct Sheet {
    unit: String,
    most: String,
    is_item: bool,
    rows: Vec<Row>,
    unknown: Option<String>,
}

#[derive(Serialize)]
struct Row {
    lot_no: String,
    item: String,
    size: String,
    in_service: String,
    stored: String,
    concerned: String,
}

impl NoticePage {
    /// The notice to all units concerned, or to one of them.
    pub(super) fn new(
        actor: &Actor,
        field: &Field,
        found: &Whereabouts,
        only: Option<UnitId>,
        on: NaiveDate,
    ) -> Self {
        let units: BTreeMap<UnitId, Vec<&Holder>> = by_unit(found, only);
        let more = units.len().saturating_sub(MOST_SHEETS) as u64;
        let lot_no = field.lots[found.of].lot_no.to_string();
        let title = format!("Notice on lot {lot_no}");
        let returned: f64 =
            found.holders.iter().filter(|h| h.unit.is_none()).map(|h| h.containing.high).sum();
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Lots),
            back: address::of_lot_on(field, found.of, "holders", on),
            lead: if units.is_empty() {
                "No unit holds an item on record that can contain this lot.".to_owned()
            } else {
                format!(
                    "{}, one sheet each. This is a draft to print or copy: Bartack sends nothing. The responsible \
                     engineer releases it through the service's own channels.",
                    format::counted(units.len() as u64, "unit is concerned", "units are concerned")
                )
            },
            returned: (returned > 0.0).then(|| {
                format!(
                    "Up to {} were returned and not issued again; the books don't say in which store they lie. Tell \
                     every store that takes returns.",
                    format::counted(returned as u64, "item", "items")
                )
            }),
            more: (more > 0).then(|| {
                format!("{} not on this page: add ?unit= and the unit's code to its address.", format::counted(more, "unit is", "units are"))
            }),
            name: format::titled(&named(field, found.of)),
            written: format::date(on),
            sheets: units
                .iter()
                .take(MOST_SHEETS)
                .map(|(&unit, holders)| sheet(field, found, unit, holders))
                .collect(),
            cautions: Caution::list([C::OutOfUse, C::NoFieldRepair, C::TestRelease, C::ReportHarm, C::JudgementStays]),
            lot: lot_no,
            title,
        }
    }
}

fn by_unit(found: &Whereabouts, only: Option<UnitId>) -> BTreeMap<UnitId, Vec<&Holder>> {
    let mut units: BTreeMap<UnitId, Vec<&Holder>> = BTreeMap::new();
    for holder in &found.holders {
        if let Some(unit) = holder.unit.filter(|unit| only.is_none_or(|only| only == *unit)) {
            units.entry(unit).or_default().push(holder);
        }
    }
    units
}

fn sheet(field: &Field, found: &Whereabouts, unit: UnitId, holders: &[&Holder]) -> Sheet {
    let mut lots: BTreeMap<LotId, [f64; 3]> = BTreeMap::new();
    for holder in holders {
        let sums = lots.entry(holder.lot).or_default();
        sums[usize::from(!holder.in_service)] += holder.items.best;
        sums[2] += holder.containing.high;
    }
    let most: f64 = lots.values().map(|sums| sums[2]).sum();
    let unknown: u64 = found.unknown.iter().filter(|row| row.unit == Some(unit)).map(|row| row.items).sum();
    Sheet {
        unit: unit_words(field, unit),
        most: format::counted(most as u64, "item", "items"),
        is_item: lots.keys().any(|&lot| field.is_item(field.part_of_lot(lot))),
        rows: lots.into_iter().map(|(lot, sums)| row(field, lot, sums)).collect(),
        unknown: (unknown > 0).then(|| {
            format!(
                "By our books you also hold {} whose lot we don't know. Look at {} too.",
                format::counted(unknown, "item of this kind", "items of this kind"),
                if unknown == 1 { "it" } else { "them" }
            )
        }),
    }
}

fn row(field: &Field, lot: LotId, [in_service, stored, concerned]: [f64; 3]) -> Row {
    let number = |n| format::decimals(n, 0);
    Row {
        lot_no: field.lots[lot].lot_no.to_string(),
        item: part_name(field, field.part_of_lot(lot)).to_owned(),
        size: field.lots[lot].size.map(|size| field.sizes[size].to_owned()).unwrap_or_default(),
        in_service: number(in_service),
        stored: number(stored),
        concerned: number(concerned),
    }
}

impl Page for NoticePage {
    const TEMPLATE: &'static str = "pages/lots/notice";

    fn samples() -> Vec<Self> {
        use super::sample;
        let (field, analysis) = sample::field();
        let page = |lot_no: &str, only: Option<&str>| {
            let found = Whereabouts::new(&field, &analysis.ledger, sample::lot(&field, lot_no)?);
            let only = only.and_then(|unit| field.unit_names.find(unit));
            Some(Self::new(&sample::engineer(), &field, &found, only, analysis.as_of))
        };
        let more = page(sample::TAPE, None).map(|page| Self { more: Some("1 unit".into()), ..page });
        [more, page(sample::ITEM_LOT, Some("COVE-2")), page(sample::TAPE, None), page(sample::LONE, None)]
            .into_iter()
            .flatten()
            .collect()
    }
}
