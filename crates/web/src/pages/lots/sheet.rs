//! A lot's page: what it is, what it was made from and went into, where it is, and what was reported of it.

use chrono::NaiveDate;
use domain::analysis::Analysis;
use domain::field::{Field, LotId};
use domain::lineage::{Held, Whereabouts};
use domain::permission::{Act, Actor, may};
use serde::Serialize;

use super::beside::Beside;
use super::on_lot::{OnLot, on_lot};
use super::reach::where_held;
use super::words::{quantity as amount, unit_words};
use crate::address;
use crate::format;
use crate::pages::recurrences::part_name;
use crate::templates::Page;
use crate::view::{Place, Shell, TitleBlock};

/// Units beyond these are counted, not shown.
const MOST_UNITS: usize = 60;

/// The page.
#[derive(Serialize)]
pub struct LotPage {
    pub(super) shell: Shell,
    title: String,
    facts: Vec<(&'static str, String)>,
    made_from: Vec<Kin>,
    went_into: Vec<Kin>,
    lineage: String,
    holders: String,
    notice: String,
    labels: String,
    maker_notice: Option<String>,
    publish: Option<String>,
    exposure: String,
    held: Vec<HeldRow>,
    more_held: Option<String>,
    lines: Vec<Line>,
    beside: Beside,
    title_block: TitleBlock,
}

/// A lot one step up or down.
#[derive(Serialize)]
struct Kin {
    address: String,
    lot_no: String,
    part: String,
    quantity: Option<String>,
}

#[derive(Serialize)]
struct HeldRow {
    unit: String,
    in_service: String,
    waiting: String,
}

#[derive(Serialize)]
struct Line {
    address: String,
    what: String,
    reports: String,
    expected: String,
    ratio: String,
    said: String,
}

impl LotPage {
    /// The page of one lot.
    pub(super) fn new(actor: &Actor, field: &Field, analysis: &Analysis, id: LotId, beside: Beside) -> Self {
        let lot = &field.lots[id];
        let title = format!("Lot {}", lot.lot_no);
        let held = where_held(analysis, id);
        let more = held.len().saturating_sub(MOST_UNITS) as u64;
        let mut title_block = title_block(field, id, &title, analysis.as_of);
        title_block.state = beside.state().unwrap_or(title_block.state);
        let kin = |used: &[(LotId, Option<f64>)]| used.iter().map(|&(id, n)| kin(field, id, n)).collect();
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Lots),
            facts: facts(field, id),
            made_from: kin(&lot.used),
            went_into: kin(&lot.used_in),
            lineage: address::of_lot(field, id, "lineage"),
            holders: address::of_lot(field, id, "holders"),
            notice: address::of_lot(field, id, "notice"),
            labels: address::of_lot(field, id, "labels"),
            maker_notice: cfg!(feature = "pdf").then(|| address::of_lot(field, id, "maker-notice.pdf")),
            publish: (cfg!(feature = "pdf") && may(actor, &Act::Publish).is_ok())
                .then(|| address::of_lot(field, id, "publish")),
            exposure: in_service(field, analysis, id),
            held: held
                .iter()
                .take(MOST_UNITS)
                .map(|&(unit, worn, idle)| HeldRow {
                    unit: unit
                        .map_or_else(|| "returned, not issued again".into(), |unit| unit_words(field, unit)),
                    in_service: format::count(worn),
                    waiting: format::count(idle),
                })
                .collect(),
            more_held: (more > 0)
                .then(|| format!("{} with fewer are not shown.", format::counted(more, "unit", "units"))),
            lines: on_lot(field, analysis, id).iter().map(|on_lot| line_row(field, on_lot)).collect(),
            beside,
            title_block,
            title,
        }
    }
}

pub(super) fn facts(field: &Field, id: LotId) -> Vec<(&'static str, String)> {
    let (lot, part) = (&field.lots[id], field.part_of_lot(id));
    let unknown = || "not known".to_owned();
    vec![
        ("Part", format!("{} {}", &field.part_names[part], part_name(field, part))),
        ("Revision", field.revisions[lot.revision].revision.to_string()),
        ("Size", lot.size.map_or_else(unknown, |size| field.sizes[size].to_owned())),
        ("Maker", lot.maker.map_or_else(unknown, |maker| field.makers[maker].to_owned())),
        ("Contract", lot.contract.map_or_else(unknown, |text| field.texts[text].to_owned())),
        ("Made", lot.made_on.map_or_else(unknown, |day| format::date(day.date()))),
        ("Quantity", lot.quantity.map_or_else(unknown, |n| format::count(u64::from(n)))),
        ("Purpose", lot.purpose.word().to_owned()),
    ]
}

fn kin(field: &Field, id: LotId, quantity: Option<f64>) -> Kin {
    Kin {
        address: address::lot(field, id),
        lot_no: field.lots[id].lot_no.to_string(),
        part: part_name(field, field.part_of_lot(id)).to_owned(),
        quantity: quantity.map(amount),
    }
}

fn line_row(field: &Field, on_lot: &OnLot<'_>) -> Line {
    let r = on_lot.recurrence;
    Line {
        address: address::recurrence(field, r.part, r.mode),
        what: format!("{}: {}", part_name(field, r.part), field.modes[r.mode].name),
        reports: format::count(u64::from(on_lot.reports)),
        expected: on_lot.expected.map_or_else(|| "not known".into(), |n| format::significant(n, 2)),
        ratio: on_lot.words.clone(),
        said: on_lot.said.clone(),
    }
}

/// How much of it is in service: an item lot's item-years; of a component lot the items that contain it.
pub(super) fn in_service(field: &Field, analysis: &Analysis, id: LotId) -> String {
    let decimals = |n| format::decimals(n, 0);
    let years = analysis.ledger.lot_years(|spell| spell.lot() == Some(id));
    let worn = (years.high <= 0.0).then(|| Whereabouts::new(field, &analysis.ledger, id).in_service);
    // Spare parts went into items though nothing was made from them.
    let is_spare = |worn: &Held| worn.high > 0.0 && !field.is_item(field.part_of_lot(id));
    if let Some(worn) = worn.filter(|worn| is_spare(worn) || !field.lots[id].used_in.is_empty()) {
        return format!(
            "{} items in service contain it on {} ({} to {} by how the books are read).",
            decimals(worn.best),
            format::date(analysis.as_of),
            decimals(worn.low),
            decimals(worn.high)
        );
    }
    format!(
        "{} item-years in service by {} ({} to {} by how the books are read).",
        decimals(years.best),
        format::date(analysis.as_of),
        decimals(years.low),
        decimals(years.high)
    )
}

pub(super) fn title_block(field: &Field, id: LotId, title: &str, as_of: NaiveDate) -> TitleBlock {
    let lot = &field.lots[id];
    TitleBlock {
        number: lot.lot_no.to_string(),
        title: format!("{title}, {}", part_name(field, field.part_of_lot(id))),
        revision: field.revisions[lot.revision].revision.to_string(),
        state: "on record".into(),
        owner: lot.maker.map_or_else(|| "maker not known".into(), |maker| field.makers[maker].to_owned()),
        dates: vec![("Figures as of".into(), format::date(as_of))],
        sheet: "1 of 1".into(),
    }
}

impl Page for LotPage {
    const TEMPLATE: &'static str = "pages/lots/sheet";

    fn samples() -> Vec<Self> {
        use crate::pages::recurrences::sample;
        let (field, analysis) = sample::field();
        let Some((id, _)) = field.lots.iter().next() else { return Vec::new() };
        let page = Self::new(&sample::engineer(), &field, &analysis, id, Beside::sample());
        let kin = || vec![kin(&field, id, Some(4.0)), kin(&field, id, None)];
        let bare = Self::new(&sample::engineer(), &field, &analysis, id, Beside::new(&[], Vec::new()));
        vec![
            Self { made_from: kin(), went_into: kin(), more_held: Some("1 unit".into()), ..page },
            Self { lines: Vec::new(), held: Vec::new(), maker_notice: None, publish: None, ..bare },
        ]
    }
}
