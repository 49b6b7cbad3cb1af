//! `/lots/{lot}/lineage`: what a lot was made from and where it went, as a picture and as tables.

use chrono::NaiveDate;
use domain::field::{ChangeId, Field, LotId};
use domain::lineage::{CutIn, Kin, Lineage, changes_of, revisions_of};
use domain::permission::{Act, Actor, may};
use serde::Serialize;

use super::picture::{self, Picture};
use super::words::{made_words, named, quantity};
use crate::address;
use crate::format;
use crate::templates::Page;
use crate::view::{Place, Shell, TitleBlock};

/// Rows of one table; the rest is counted.
const MOST_ROWS: usize = 100;

/// The page.
#[derive(Serialize)]
pub struct LineagePage {
    pub(super) shell: Shell,
    title: String,
    lead: String,
    lot: String,
    holders: String,
    picture: Option<Picture>,
    up: Table,
    down: Table,
    revisions: Vec<Revision>,
    title_block: TitleBlock,
}

#[derive(Serialize)]
struct Table {
    rows: Vec<Row>,
    more: Option<String>,
}

#[derive(Serialize)]
struct Row {
    address: String,
    lot_no: String,
    made: String,
    maker: String,
    made_on: String,
    steps: String,
    quantity: String,
    share: String,
    converted: bool,
    certainty: Option<String>,
    changes: Vec<Mark>,
}

/// A revision of the lot's part.
#[derive(Serialize)]
struct Revision {
    letter: String,
    is_own: bool,
    replaces: Option<String>,
    change: Option<Mark>,
    first_lot: Option<(String, String)>,
    lots: String,
}

/// A change that a lot was built to.
#[derive(Serialize)]
struct Mark {
    address: Option<String>,
    number: String,
    what: &'static str,
}

impl LineagePage {
    /// The page of one lot.
    pub(super) fn new(actor: &Actor, field: &Field, as_of: NaiveDate, id: LotId) -> Self {
        let lineage = Lineage::of(field, id);
        let lot_no = &field.lots[id].lot_no;
        let title = format!("Lineage of lot {lot_no}");
        let links = may(actor, &Act::ReadChanges).is_ok();
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Lots),
            lead: lead(field, &lineage),
            lot: address::lot(field, id),
            holders: address::of_lot(field, id, "holders"),
            picture: picture::draw(field, &lineage),
            up: table(field, &lineage, &lineage.up, links),
            down: table(field, &lineage, &lineage.down, links),
            revisions: revisions(field, id, links),
            title_block: super::sheet::title_block(field, id, &title, as_of),
            title,
        }
    }
}

/// `Made from 12 lots, over 2 steps. It went into 3 lots directly, and into 5 in all.`
fn lead(field: &Field, lineage: &Lineage) -> String {
    let side = |kin: &[Kin], verb: &str, none: &str| {
        let steps = kin.iter().map(|kin| kin.steps).max().unwrap_or(0) as u64;
        match kin.len() as u64 {
            0 => none.to_owned(),
            lots => format!(
                "{verb} {}, over {}",
                format::counted(lots, "other lot", "other lots"),
                format::counted(steps, "step", "steps")
            ),
        }
    };
    format!(
        "{} {}; {}.",
        format::titled(&named(field, lineage.of)),
        side(&lineage.up, "was made from", "has no lot on record that it was made from"),
        side(&lineage.down, "it went into", "no lot made from it is on record"),
    )
}

/// Of several lots, the nearest and of these the greatest come first.
fn table(field: &Field, lineage: &Lineage, kin: &[Kin], links: bool) -> Table {
    let mut sorted: Vec<&Kin> = kin.iter().collect();
    sorted.sort_by(|a, b| {
        let part = |kin: &Kin| field.part_of_lot(kin.lot);
        let amount = |kin: &Kin| kin.amount.unwrap_or(0.0);
        (a.steps, part(a)).cmp(&(b.steps, part(b))).then(amount(b).total_cmp(&amount(a)))
    });
    let more = sorted.len().saturating_sub(MOST_ROWS) as u64;
    Table {
        rows: sorted.iter().take(MOST_ROWS).map(|kin| row(field, lineage, kin, links)).collect(),
        more: (more > 0).then(|| {
            format!(
                "{} further away or of less are not shown.",
                format::counted(more, "more lot", "more lots")
            )
        }),
    }
}

fn row(field: &Field, lineage: &Lineage, kin: &Kin, links: bool) -> Row {
    let is_above = lineage.up.iter().any(|above| above.lot == kin.lot);
    let lower = if is_above { lineage.of } else { kin.lot };
    let ends = if is_above { (kin.lot, lineage.of) } else { (lineage.of, kin.lot) };
    let is_converted = lineage.steps.iter().any(|s| s.by_conversion && (s.from, s.into) == ends);
    let lot = &field.lots[kin.lot];
    let unknown = || "not known".to_owned();
    let made = field.lots[lower].quantity.map(f64::from);
    Row {
        address: address::of_lot(field, kin.lot, "lineage"),
        lot_no: lot.lot_no.to_string(),
        made: made_words(field, kin.lot),
        maker: lot.maker.map_or_else(unknown, |maker| field.makers[maker].to_owned()),
        made_on: lot.made_on.map_or_else(unknown, |day| format::date(day.date())),
        steps: format::counted(kin.steps as u64, "step", "steps"),
        quantity: kin.amount.map_or_else(unknown, quantity),
        share: format::percent(kin.content.share, usize::from(kin.content.share < 0.1)),
        converted: is_converted,
        certainty: made.and_then(|made| certainty(kin, made)),
        changes: changes_of(field, kin.lot).into_iter().map(|cut| cut_in(field, cut, links)).collect(),
    }
}

/// The revisions of the lot's part, each with what brought it.
fn revisions(field: &Field, id: LotId, links: bool) -> Vec<Revision> {
    let letter = |revision| field.revisions[revision].revision.to_string();
    let own = field.lots[id].revision;
    let steps = revisions_of(field, field.part_of_lot(id)).into_iter();
    steps
        .map(|step| Revision {
            letter: letter(step.revision),
            is_own: step.revision == own,
            replaces: step.replaces.map(letter),
            change: step.change.map(|change| mark(field, change, "", links)),
            first_lot: step
                .first_lot
                .map(|lot| (field.lots[lot].lot_no.to_string(), address::of_lot(field, lot, "lineage"))),
            lots: format::count(step.lots as u64),
        })
        .collect()
}

/// `60 to 100 of 100 items`, where it isn't all of them.
fn certainty(kin: &Kin, made: f64) -> Option<String> {
    let (low, high) = (kin.content.fewest_of(made), kin.content.most_of(made));
    let number = |n| format::decimals(n, 0);
    if high - low < 0.5 {
        return (low < made).then(|| format!("{} of {} items", number(low), number(made)));
    }
    Some(format!("{} to {} of {} items", number(low), number(high), number(made)))
}

fn cut_in(field: &Field, cut: CutIn, links: bool) -> Mark {
    let what = if cut.is_first { "cut in with this lot" } else { "built to it" };
    mark(field, cut.change, what, links)
}

fn mark(field: &Field, change: ChangeId, what: &'static str, links: bool) -> Mark {
    let number = field.changes[change].change_no.to_string();
    Mark { address: links.then(|| address::change(&number)), number, what }
}

impl Page for LineagePage {
    const TEMPLATE: &'static str = "pages/lots/lineage";

    fn samples() -> Vec<Self> {
        use super::sample;
        let (field, analysis) = sample::field();
        let page = |lot_no: &str| {
            let lot = sample::lot(&field, lot_no)?;
            Some(Self::new(&sample::engineer(), &field, analysis.as_of, lot))
        };
        let more = page(sample::TAPE).map(|mut page| {
            page.down.more = Some("1 more lot".into());
            page.up.more = Some("2 more lots".into());
            page.up.rows = std::mem::take(&mut page.down.rows);
            page
        });
        [page(sample::TAPE), page(sample::ITEM_LOT), page(sample::LONE), more].into_iter().flatten().collect()
    }
}
