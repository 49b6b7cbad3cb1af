//! `/lots/{lot}/holders`: who holds what was made from a lot on a date: the basis of a quarantine list.

use chrono::NaiveDate;
use domain::field::{Field, LotId, UnitId};
use domain::ledger::{part_of, size_of};
use domain::lineage::{Holder, UnknownLot, Whereabouts};
use domain::permission::Actor;
use serde::Serialize;

use super::words::{items, made_words, named, span, unit_words};
use crate::address;
use crate::format;
use crate::pages::recurrences::part_name;
use crate::templates::Page;
use crate::view::{Ask, Caution, Place, Shell, TitleBlock};

/// Rows beyond these are in the file alone.
const MOST_ROWS: usize = 400;

/// The page.
#[derive(Serialize)]
pub struct HoldersPage {
    pub(super) shell: Shell,
    title: String,
    lead: String,
    /// Address of the page itself, without its date.
    here: String,
    maker: Option<String>,
    on: Ask,
    file: String,
    notice: String,
    lineage: String,
    groups: Vec<Group>,
    more: Option<String>,
    unknown: Vec<Row>,
    cautions: Vec<Caution>,
    title_block: TitleBlock,
}

/// What one unit holds.
#[derive(Serialize)]
struct Group {
    unit: String,
    containing: String,
    rows: Vec<Row>,
}

/// Items of one lot there; the unit is named where rows aren't grouped by it.
#[derive(Serialize)]
struct Row {
    unit: String,
    address: Option<String>,
    lot_no: Option<String>,
    item: String,
    size: String,
    place: &'static str,
    items: String,
    containing: String,
}

/// The date a reader asks for.
pub(super) struct Asked {
    /// The date that is shown.
    pub(super) on: NaiveDate,
    /// As typed, where it is no date.
    pub(super) mistyped: Option<String>,
}

impl HoldersPage {
    /// The page of one lot on a date.
    pub(super) fn new(actor: &Actor, field: &Field, found: &Whereabouts, asked: &Asked) -> Self {
        let id = found.of;
        let title = format!("Who holds lot {}", field.lots[id].lot_no);
        let more = found.holders.len().saturating_sub(MOST_ROWS) as u64;
        let dated = |page: &str| address::of_lot_on(field, id, page, asked.on);
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Lots),
            lead: lead(field, found),
            here: format!("/lots/{}/holders", address::segment(&field.lots[id].lot_no)),
            maker: address::maker_of(field, id).map(str::to_owned),
            on: ask(asked),
            file: dated("holders.csv"),
            notice: dated("notice"),
            lineage: address::of_lot(field, id, "lineage"),
            groups: groups(field, found),
            more: (more > 0).then(|| {
                format!("{} in the file alone.", format::counted(more, "more row is", "more rows are"))
            }),
            unknown: found.unknown.iter().map(|row| unknown_row(field, row)).collect(),
            cautions: Caution::list([domain::caution::Caution::JudgementStays]),
            title_block: super::sheet::title_block(field, id, &title, asked.on),
            title,
        }
    }
}

fn ask(asked: &Asked) -> Ask {
    let typed = asked.mistyped.clone().unwrap_or_else(|| asked.on.to_string());
    let problem = asked.mistyped.is_some().then_some("Expected a date such as 2026-03-09, not after today.");
    Ask::of_kind("date", "on", "On the date", typed).problem(problem)
}

/// `On 3 Mar 2026, 14 units hold 812 items (780 to 830) that contain it: 640 in service, 172 stored or returned.`
fn lead(field: &Field, found: &Whereabouts) -> String {
    let date = format::date(found.on.date());
    let name = named(field, found.of);
    if found.holders.is_empty() {
        return format!("On {date} nobody held an item on record that contains {name}.");
    }
    let units = found.by_unit().iter().filter(|(unit, _)| unit.is_some()).count() as u64;
    let stored = (found.total.best - found.in_service.best).max(0.0);
    format!(
        "On {date}, {} {} items that contain {name}: {} in service, {} stored or returned.",
        format::counted(units, "unit held", "units held"),
        span(found.total),
        items(found.in_service.best),
        items(stored)
    )
}

/// Where items are, in words.
pub(super) const fn place_word(has_unit: bool, in_service: bool) -> &'static str {
    match (has_unit, in_service) {
        (true, true) => "in service",
        (true, false) => "stored",
        (false, _) => "returned, not issued again",
    }
}

fn unit_or_none(field: &Field, unit: Option<UnitId>) -> String {
    unit.map_or_else(|| "No unit".into(), |unit| unit_words(field, unit))
}

/// The rows of each unit under its sum, up to the most of a page.
fn groups(field: &Field, found: &Whereabouts) -> Vec<Group> {
    let mut sums = found.by_unit().into_iter();
    let shown = &found.holders[..found.holders.len().min(MOST_ROWS)];
    let of_units = shown.chunk_by(|a, b| a.unit == b.unit).filter_map(|rows| Some((rows, sums.next()?.1)));
    of_units
        .map(|(rows, sum)| Group {
            unit: unit_or_none(field, rows[0].unit),
            containing: span(sum),
            rows: rows.iter().map(|holder| row(field, holder)).collect(),
        })
        .collect()
}

fn row(field: &Field, holder: &Holder) -> Row {
    let part = part_of(field, holder.stock);
    Row {
        unit: unit_or_none(field, holder.unit),
        address: holder.lot().map(|lot| address::lot(field, lot)),
        lot_no: Some(holder.lot().map_or_else(
            || format!("Lot unknown, by part number {}", &field.part_names[part]),
            |lot| field.lots[lot].lot_no.to_string(),
        )),
        item: holder.lot().map_or_else(|| part_name(field, part).to_owned(), |lot| made_words(field, lot)),
        size: size_of(field, holder.stock).map(|size| field.sizes[size].to_owned()).unwrap_or_default(),
        place: place_word(holder.unit.is_some(), holder.in_service),
        items: span(holder.items),
        containing: span(holder.containing),
    }
}

fn unknown_row(field: &Field, row: &UnknownLot) -> Row {
    Row {
        unit: unit_or_none(field, row.unit),
        address: None,
        lot_no: None,
        item: part_name(field, row.item).to_owned(),
        size: row.size.map(|size| field.sizes[size].to_owned()).unwrap_or_default(),
        place: place_word(row.unit.is_some(), row.in_service),
        items: format::count(row.items),
        containing: format!("0 to {}", format::count(row.items)),
    }
}

/// Where a lot's file is called: letters and digits of its number alone, for it becomes the name of a file.
pub(super) fn file_name(field: &Field, lot: LotId, on: NaiveDate) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' };
    let lot_no: String = field.lots[lot].lot_no.chars().map(plain).collect();
    format!("holders-{lot_no}-{on}.csv")
}

impl Page for HoldersPage {
    const TEMPLATE: &'static str = "pages/lots/holders";

    fn samples() -> Vec<Self> {
        use super::sample;
        let (field, analysis) = sample::field();
        let page = |lot_no: &str, mistyped: Option<&str>| {
            let found = Whereabouts::new(&field, &analysis.ledger, sample::lot(&field, lot_no)?);
            let asked = Asked { on: analysis.as_of, mistyped: mistyped.map(str::to_owned) };
            Some(Self::new(&sample::engineer(), &field, &found, &asked))
        };
        let more = page(sample::TAPE, None).map(|page| Self {
            more: Some("1 more row is in the file alone.".into()),
            maker: Some("Tarnside Closures".into()),
            ..page
        });
        [page(sample::TAPE, None), page(sample::LONE, Some("soon")), more].into_iter().flatten().collect()
    }
}
