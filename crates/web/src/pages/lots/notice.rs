//! `/lots/{lot}/notice`: a draft of a notice to the units concerned, one printed sheet a unit. Nothing is sent.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use domain::analysis::Analysis;
use domain::caution::Caution as C;
use domain::field::{Field, LotId, Stock, UnitId};
use domain::language::Language;
use domain::ledger::{part_of, size_of};
use domain::lineage::{Holder, Whereabouts};
use domain::permission::Actor;
use serde::Serialize;

use super::on_lot::on_lot;
use super::words::unit_words;
use crate::address;
use crate::format;
use crate::pages::recurrences::part_name;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Caution, Place, Shell};

/// More sheets than this are printed unit by unit.
const MOST_SHEETS: usize = 150;
/// Ways to fail that a unit is told to look for.
const MOST_FAILURES: usize = 4;

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
        (field, analysis): (&Field, &Analysis),
        found: &Whereabouts,
        only: Option<UnitId>,
        (on, tongue): (NaiveDate, Tongue),
    ) -> Self {
        let failures = failures(field, analysis, found.of);
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
                    "Up to {} returned and not issued again; the books don't say to which store. Tell every store \
                     that takes returns.",
                    format::counted(returned as u64, "item was", "items were")
                )
            }),
            more: (more > 0).then(|| {
                format!("{} not on this page: add &unit= and the unit's code to its address.", format::counted(more, "unit is", "units are"))
            }),
            others: Language::ALL
                .iter()
                .filter(|language| **language != tongue.language())
                .map(|language| [language.own_name().to_owned(), language.word().to_owned()])
                .collect(),
            tongue,
            here: {
                let one = only.map(|unit| format!("&unit={}", address::segment(&field.unit_names[unit])));
                let one = one.unwrap_or_default();
                format!("{}{one}&in=", address::of_lot_on(field, found.of, "notice", on))
            },
            written: tongue.date(on),
            sheets: units
                .iter()
                .take(MOST_SHEETS)
                .map(|(&unit, holders)| sheet(tongue, field, (found, &failures), (unit, holders)))
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

/// In which ways the lot fails: those that stand out on it, else all that are reported on it.
fn failures(field: &Field, analysis: &Analysis, lot: LotId) -> String {
    let lines = on_lot(field, analysis, lot);
    let stands_out = lines.iter().any(|line| line.stands_out);
    let told = lines.iter().filter(|line| if stands_out { line.stands_out } else { line.reports > 0 });
    let names = told.take(MOST_FAILURES).map(|line| {
        let (mode, part) = (&field.modes[line.recurrence.mode].name, part_name(field, line.recurrence.part));
        format!("{} ({})", mode.to_lowercase(), part.to_lowercase())
    });
    names.collect::<Vec<_>>().join(", ")
}

fn sheet(
    tongue: Tongue,
    field: &Field,
    (found, failures): (&Whereabouts, &str),
    (unit, holders): (UnitId, &[&Holder]),
) -> Sheet {
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
    // Of the lot in question and not of what is held: everything held is an item.
    let is_item = field.is_item(field.part_of_lot(found.of));
    let (part, lot) = (part_name(field, field.part_of_lot(found.of)), &*field.lots[found.of].lot_no);
    let what = tongue.with("notice-part-of-lot", &[("part", part.into()), ("lot", lot.into())]);
    let most = most as u64;
    let holds = [
        ("what", format::titled(&what).into()),
        ("count", most.into()),
        ("number", tongue.count(most).into()),
    ];
    let holds = tongue.with(if is_item { "notice-holds-item" } else { "notice-holds-part" }, &holds);
    let look =
        (!failures.is_empty()).then(|| tongue.with("notice-failure", &[("failures", failures.into())]));
    let counted = |key: &str, count: u64| {
        tongue.with(key, &[("count", count.into()), ("number", tongue.count(count).into())])
    };
    Sheet {
        to: tongue.with("notice-to", &[("unit", unit_words(field, unit).into())]),
        holds: [Some(holds), look].into_iter().flatten().collect::<Vec<_>>().join(" "),
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
            Some(Self::new(&sample::engineer(), (&field, &analysis), &found, only, written))
        };
        let more = page(sample::TAPE, None).map(|page| Self { more: Some("1 unit".into()), ..page });
        [more, page(sample::ITEM_LOT, Some("COVE-2")), page(sample::TAPE, None), page(sample::LONE, None)]
            .into_iter()
            .flatten()
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::lots::sample;

    fn holds(lot_no: &str, tongue: Tongue, alter: impl Fn(&mut Whereabouts)) -> String {
        let (field, analysis) = sample::field();
        let mut found = Whereabouts::new(&field, &analysis.ledger, sample::lot(&field, lot_no).unwrap());
        alter(&mut found);
        let written = (analysis.as_of, tongue);
        let page = NoticePage::new(&sample::engineer(), (&field, &analysis), &found, None, written);
        page.sheets.into_iter().map(|sheet| sheet.holds).collect()
    }

    /// A unit holds carriers that contain the tape, and no tape; of a lot of carriers it holds carriers.
    #[test]
    fn a_unit_holds_items_of_an_item_lot_and_items_that_contain_another() {
        let tape = holds(sample::TAPE, Tongue::ENGLISH, |_| {});
        assert!(tape.contains("items that contain it.") && !tape.contains("items of it"), "{tape}");
        let carriers = holds(sample::ITEM_LOT, Tongue::ENGLISH, |_| {});
        assert!(carriers.contains("items of it.") && !carriers.contains("contain"), "{carriers}");
    }

    #[test]
    fn one_item_is_one_item_in_each_language() {
        let one = |found: &mut Whereabouts| {
            found.holders.retain(|holder| holder.unit.is_some());
            found.holders.truncate(1);
            for holder in &mut found.holders {
                holder.containing.high = 1.0;
            }
        };
        let told = |language| holds(sample::TAPE, Tongue::of(language), one);
        let english = told(Language::English);
        assert!(english.contains("up to 1 item that contains it."), "{english}");
        assert!(told(Language::German).contains("bis zu 1 Gegenstand, der"), "one thing");
        assert!(told(Language::French).contains("1 article qui en contient"), "one thing");
    }

    #[test]
    fn the_failure_to_look_for_is_named_where_the_lot_has_one() {
        let (field, analysis) = sample::field();
        let mut named = 0;
        for (id, lot) in field.lots.iter() {
            let known = on_lot(&field, &analysis, id).iter().any(|line| line.reports > 0);
            let told = failures(&field, &analysis, id);
            assert_eq!(known, !told.is_empty(), "{}: {told}", lot.lot_no);
            named += usize::from(known);
        }
        assert!(named > 0, "a lot with reports");
    }
}
