//! A lot's page: what it is, what it was made from and went into, where it is, and what was reported of it.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use domain::analysis::Analysis;
use domain::field::{Field, LotId};
use domain::lineage::{Held, Holder, Step, Whereabouts, made_from, went_into};
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
    converted: Option<String>,
    lines: Vec<Line>,
    beside: Beside,
    title_block: TitleBlock,
}

/// A lot one step up or down.
#[derive(Serialize)]
struct Kin {
    /// How it went from one to the other, where the heading doesn't say so.
    way: Option<&'static str>,
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
        let above = |step: &Step| {
            let way = step.by_conversion.then_some("converted from");
            kin(field, step.from, step.quantity, way)
        };
        let below = |step: Step| {
            let way = if step.by_conversion { "converted into" } else { "sewn into" };
            kin(field, step.into, step.quantity, Some(way))
        };
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Lots),
            facts: facts(field, id),
            made_from: made_from(field, id).iter().map(above).collect(),
            went_into: went_into(field, id).map(below).collect(),
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
            converted: converted(field, analysis, id, !held.is_empty()),
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

fn kin(field: &Field, id: LotId, quantity: Option<f64>, way: Option<&'static str>) -> Kin {
    Kin {
        way,
        address: address::lot(field, id),
        lot_no: field.lots[id].lot_no.to_string(),
        part: part_name(field, field.part_of_lot(id)).to_owned(),
        quantity: quantity.map(amount),
    }
}

/// `And up to 43 more at 6 units in items converted from it.` They have another lot's number since, so that no row of this
/// one's own names them, and who calls the lot back wants them all the same.
fn converted(field: &Field, analysis: &Analysis, id: LotId, has_own: bool) -> Option<String> {
    let ways: Vec<Step> = went_into(field, id).collect();
    if !ways.iter().any(|step| step.by_conversion) {
        return None;
    }
    let found = Whereabouts::new(field, &analysis.ledger, id);
    let (own, others): (Vec<&Holder>, Vec<&Holder>) =
        found.holders.iter().partition(|holder| holder.lot() == Some(id));
    // The most is known better of all of them together than of each.
    let most = found.total.high - own.iter().map(|holder| holder.containing.high).sum::<f64>();
    if most < 0.5 {
        return None;
    }
    let units = others.iter().filter_map(|holder| holder.unit).collect::<BTreeSet<_>>().len() as u64;
    let place =
        if units > 0 { format!(" at {}", format::counted(units, "unit", "units")) } else { String::new() };
    let number = format::decimals(most, 0);
    let number = if has_own { format!("And up to {number} more") } else { format!("Up to {number}") };
    let made = if ways.iter().all(|step| step.by_conversion) { "converted" } else { "made or converted" };
    Some(format!("{number}{place} in items {made} from it."))
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
        let kin = |way| vec![kin(&field, id, Some(4.0), Some(way)), kin(&field, id, None, None)];
        let made_from = kin("converted from");
        let went_into = kin("sewn into");
        let converted = Some("And up to 4 more at 1 unit in items converted from it.".into());
        let bare = Self::new(&sample::engineer(), &field, &analysis, id, Beside::new(&[], Vec::new()));
        vec![
            Self { made_from, went_into, converted, more_held: Some("1 unit".into()), ..page },
            Self { lines: Vec::new(), held: Vec::new(), maker_notice: None, publish: None, ..bare },
        ]
    }
}

#[cfg(test)]
mod tests {
    use domain::distribution::Marking;

    use super::super::sample as lots;
    use super::*;
    use crate::templates::Templates;

    fn shown(lot_no: &str) -> String {
        let (field, analysis) = lots::converted();
        let lot = lots::lot(&field, lot_no).unwrap();
        let beside = Beside::new(&[], Vec::new());
        let page = LotPage::new(&lots::engineer(), &field, &analysis, lot, beside);
        Templates::load(&Marking::default()).unwrap().render(&page).unwrap()
    }

    #[test]
    fn what_was_converted_is_told_with_the_lots_it_became_and_how_many_items_it_is_in() {
        let page = shown(lots::BEFORE);
        assert!(page.contains(">converted into <a class=\"code\" href=\"/lots/TB-2\">TB-2</a>"), "{page}");
        assert!(!page.contains("No lot made from it is on record"), "{page}");
        assert!(page.contains("And up to 25 more at 1 unit in items converted from it."), "{page}");
        assert!(page.contains("href=\"/lots/TB-1/holders\">Who holds them</a>"), "{page}");
    }

    #[test]
    fn what_came_by_conversion_is_told_from_what_was_sewn_in() {
        let page = shown(lots::AFTER);
        assert!(page.contains(">converted from <a class=\"code\" href=\"/lots/TB-1\">TB-1</a>"), "{page}");
        assert!(page.contains("<li><a class=\"code\" href=\"/lots/TC-2\">TC-2</a>"), "{page}");
        assert!(!page.contains("items converted from it."), "nothing became of it: {page}");
    }

    /// 60 of them at one unit and 40 at another: the books know of none that is of the lot still.
    #[test]
    fn a_lot_that_is_converted_as_a_whole_is_not_said_to_have_never_moved() {
        let page = shown(lots::WHOLLY);
        assert!(page.contains("Up to 100 at 2 units in items converted from it."), "{page}");
        assert!(!page.contains("No movement of this lot is on record"), "{page}");
    }
}
