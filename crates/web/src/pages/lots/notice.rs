//! `/lots/{lot}/notice`: a draft of a notice to the units concerned, one printed sheet a unit. Nothing is sent.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use domain::caution::Caution as C;
use domain::field::{Field, Stock, UnitId};
use domain::language::Language;
use domain::ledger::{part_of, size_of};
use domain::lineage::{Holder, Whereabouts};
use domain::permission::Actor;
use serde::Serialize;

use super::words::unit_words;
use crate::address;
use crate::format;
use crate::pages::recurrences::part_name;
use crate::templates::Page;
use crate::tongue::Tongue;
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
    /// The language of the sheets, and the others they can be had in.
    tongue: Tongue,
    others: Vec<[String; 2]>,
    /// The address of this page up to the code of a language.
    here: String,
    lot: String,
    written: String,
    sheets: Vec<Sheet>,
    cautions: Vec<Caution>,
}

/// What one unit gets.
#[derive(Serialize)]
struct Sheet {
    to: String,
    holds: String,
    rows: Vec<Row>,
    /// What to do with items whose lot nobody knows and that were given a part of the lot in question.
    refitted: Option<String>,
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
        (on, tongue): (NaiveDate, Tongue),
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
            others: Language::ALL
                .iter()
                .filter(|language| **language != tongue.language())
                .map(|language| [language.own_name().to_owned(), language.word().to_owned()])
                .collect(),
            tongue,
            here: format!("{}&in=", address::of_lot_on(field, found.of, "notice", on)),
            written: tongue.date(on),
            sheets: units
                .iter()
                .take(MOST_SHEETS)
                .map(|(&unit, holders)| sheet(tongue, field, found, (unit, holders)))
                .collect(),
            cautions: Caution::told(tongue, [C::OutOfUse, C::NoFieldRepair, C::TestRelease, C::ReportHarm, C::JudgementStays]),
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

fn sheet(tongue: Tongue, field: &Field, found: &Whereabouts, (unit, holders): (UnitId, &[&Holder])) -> Sheet {
    let mut lots: BTreeMap<Stock, [f64; 3]> = BTreeMap::new();
    for holder in holders {
        let sums = lots.entry(holder.stock).or_default();
        sums[usize::from(!holder.in_service)] += holder.items.best;
        sums[2] += holder.containing.high;
    }
    let of_no_lot = lots.iter().filter(|(stock, _)| matches!(stock, Stock::Unknown(..)));
    let refitted = of_no_lot.map(|(_, sums)| sums[2]).sum::<f64>() as u64;
    let most: f64 = lots.values().map(|sums| sums[2]).sum();
    let unknown: u64 = found.unknown.iter().filter(|row| row.unit == Some(unit)).map(|row| row.items).sum();
    let is_item = lots.keys().any(|&stock| field.is_item(part_of(field, stock)));
    let (part, lot) = (part_name(field, field.part_of_lot(found.of)), &*field.lots[found.of].lot_no);
    let what = tongue.with("notice-part-of-lot", &[("part", part.into()), ("lot", lot.into())]);
    let holds = [("what", format::titled(&what).into()), ("most", tongue.count(most as u64).into())];
    let counted = |key: &str, count: u64| {
        tongue.with(key, &[("count", count.into()), ("number", tongue.count(count).into())])
    };
    Sheet {
        to: tongue.with("notice-to", &[("unit", unit_words(field, unit).into())]),
        holds: tongue.with(if is_item { "notice-holds-item" } else { "notice-holds-part" }, &holds),
        rows: lots.into_iter().map(|(stock, sums)| row(tongue, field, stock, sums)).collect(),
        refitted: (refitted > 0).then(|| counted("notice-refitted", refitted)),
        unknown: (unknown > 0).then(|| counted("notice-unknown", unknown)),
    }
}

fn row(tongue: Tongue, field: &Field, stock: Stock, [in_service, stored, concerned]: [f64; 3]) -> Row {
    let number = |n: f64| tongue.count(n.round() as u64);
    let part = part_of(field, stock);
    Row {
        lot_no: match stock {
            Stock::Lot(lot) => field.lots[lot].lot_no.to_string(),
            Stock::Unknown(..) => {
                tongue.with("notice-lot-unknown", &[("part", field.part_names[part].to_owned().into())])
            }
        },
        item: part_name(field, part).to_owned(),
        size: size_of(field, stock).map(|size| field.sizes[size].to_owned()).unwrap_or_default(),
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
            let written = (analysis.as_of, Tongue::ENGLISH);
            Some(Self::new(&sample::engineer(), &field, &found, only, written))
        };
        let more = page(sample::TAPE, None).map(|page| Self { more: Some("1 unit".into()), ..page });
        [more, page(sample::ITEM_LOT, Some("COVE-2")), page(sample::TAPE, None), page(sample::LONE, None)]
            .into_iter()
            .flatten()
            .collect()
    }
}
