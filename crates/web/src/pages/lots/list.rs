//! The list of lots, found by number, part or maker.

use domain::analysis::Analysis;
use domain::field::{Field, LotId};
use domain::lot_condition::LotCondition;
use domain::permission::Actor;
use serde::{Deserialize, Serialize};
use store::Kept;

use super::beside::condition_words;
use super::reach::Tallies;
use crate::address;
use crate::format;
use crate::pages::recurrences::part_name;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// More rows than this are never on one page.
const MOST_ROWS: usize = 200;

/// What a reader looks for.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Filter {
    /// Part of a lot number, part number, part name or maker.
    #[serde(default)]
    pub search: String,
}

/// The list.
#[derive(Serialize)]
pub struct LotsPage {
    pub(super) shell: Shell,
    search: String,
    shown: String,
    rows: Vec<Row>,
    empty: Empty,
}

#[derive(Serialize)]
struct Row {
    address: String,
    lot_no: String,
    maker: String,
    part: String,
    made: String,
    made_of: String,
    reports: String,
    flagged: Option<String>,
    condition: Option<(String, bool)>,
}

impl LotsPage {
    /// The lots that pass: those that stand out in a recurrence first, then by reports, then as they came.
    pub fn new(actor: &Actor, field: &Field, analysis: &Analysis, filter: &Filter) -> Self {
        let tallies = Tallies::new(analysis);
        let words: Vec<String> = filter.search.to_lowercase().split_whitespace().map(str::to_owned).collect();
        let mut found: Vec<LotId> =
            field.lots.iter().map(|(id, _)| id).filter(|&id| passes(field, id, &words)).collect();
        found.sort_by_key(|&id| std::cmp::Reverse(tallies.of(id)));
        let rows: Vec<Row> = found.iter().take(MOST_ROWS).map(|&id| row(field, id, tallies.of(id))).collect();
        Self {
            shell: Shell::inside("Lots", actor, Place::Lots),
            search: filter.search.clone(),
            shown: format!(
                "Lots that stand out in a recurrence first, then by reports. {} of {} shown, as of {}.",
                format::count(rows.len() as u64),
                format::counted(found.len() as u64, "lot", "lots"),
                format::date(analysis.as_of)
            ),
            rows,
            empty: if field.lots.is_empty() {
                Empty::first("No lots yet. They come with issue records.", "Load a data pack", "/packs")
            } else {
                Empty::first("No lot has these words.", "Show all lots", "/lots")
            },
        }
    }
}

impl LotsPage {
    /// Says of each lot shown in what condition it is, where somebody set one.
    pub(super) fn say_conditions(&mut self, kept: &[Kept<LotCondition>]) {
        for row in &mut self.rows {
            let of_lot = kept.iter().map(|kept| &kept.what).filter(|entry| {
                entry.lot_no == row.lot_no && entry.maker.as_deref().unwrap_or_default() == row.maker
            });
            row.condition = condition_words(&of_lot.cloned().collect::<Vec<_>>());
        }
    }
}

fn passes(field: &Field, id: LotId, words: &[String]) -> bool {
    if words.is_empty() {
        return true;
    }
    let (lot, part) = (&field.lots[id], field.part_of_lot(id));
    let maker = lot.maker.map_or("", |maker| &field.makers[maker]);
    let whole = format!("{} {} {} {maker}", lot.lot_no, &field.part_names[part], part_name(field, part));
    let whole = whole.to_lowercase();
    words.iter().all(|word| whole.contains(word))
}

fn row(field: &Field, id: LotId, (flagged, reports): (u32, u32)) -> Row {
    let (lot, part) = (&field.lots[id], field.part_of_lot(id));
    Row {
        address: address::lot(field, id),
        lot_no: lot.lot_no.to_string(),
        maker: lot.maker.map(|maker| field.makers[maker].to_owned()).unwrap_or_default(),
        part: format!("{} {}", part_name(field, part), field.revisions[lot.revision].revision),
        made: lot.made_on.map_or_else(|| "not known".into(), |day| format::date(day.date())),
        made_of: lot.quantity.map_or_else(|| "not known".into(), |n| format::count(u64::from(n))),
        reports: format::count(u64::from(reports)),
        flagged: (flagged > 0)
            .then(|| format!("in {}", format::counted(u64::from(flagged), "recurrence", "recurrences"))),
        condition: None,
    }
}

impl Page for LotsPage {
    const TEMPLATE: &'static str = "pages/lots/list";

    fn samples() -> Vec<Self> {
        use crate::pages::recurrences::sample;
        let ((field, analysis), (nothing, blank)) = (sample::field(), sample::nothing());
        let page = |search: &str| {
            Self::new(&sample::engineer(), &field, &analysis, &Filter { search: search.into() })
        };
        let mut held = page("");
        for (at, row) in held.rows.iter_mut().enumerate() {
            row.condition = Some(("on hold".into(), at == 0));
        }
        vec![held, page("<b>"), Self::new(&sample::engineer(), &nothing, &blank, &Filter::default())]
    }
}
