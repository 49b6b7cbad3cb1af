//! `/status/{no}`: how far one change has reached, by unit and by size.

use domain::analysis::{Reach, reach_by};
use domain::field::Field;
use domain::permission::Actor;
use serde::Serialize;
use store::ChangeRecord;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::picture::Picture;
use crate::templates::Page;
use crate::view::{Place, Shell};

/// The page.
#[derive(Serialize)]
pub struct ReachPage {
    pub(super) shell: Shell,
    about: String,
    address: String,
    tables: Vec<Table>,
}

#[derive(Serialize)]
struct Table {
    caption: &'static str,
    head: &'static str,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    name: String,
    in_service: String,
    with_it: String,
    without: String,
    not_told: String,
    share: String,
}

impl ReachPage {
    /// The page of one change.
    ///
    /// # Errors
    /// The figures don't know the change yet.
    pub(super) fn new(actor: &Actor, record: &ChangeRecord, picture: &Picture) -> Result<Self, AppError> {
        let (field, change) = (&picture.field, &record.change);
        let id = field.find_change(&change.change_no);
        let id =
            id.ok_or_else(|| AppError::NotYet("The figures for this change are still being made.".into()))?;
        let by = reach_by(field, &picture.analysis.ledger, &field.changes[id]);
        let mut units = by.units;
        // Where most is still without it comes first: that is where something is left to be done.
        units.sort_by_key(|(_, reach)| std::cmp::Reverse(reach.without));
        let units = units.into_iter().map(|(unit, reach)| row(unit_name(field, unit), reach)).collect();
        let sizes = by.sizes.into_iter().map(|(size, reach)| {
            row(size.map_or_else(|| "size not known".to_owned(), |size| field.sizes[size].to_owned()), reach)
        });
        Ok(Self {
            shell: Shell::inside(format!("Reach of {}", change.change_no), actor, Place::Status),
            about: format!("{} {}", change.change_no, change.title),
            address: address::change(&change.change_no),
            tables: vec![
                Table { caption: "By size", head: "Size", rows: sizes.collect() },
                Table {
                    caption: "By unit, those with most left without it first",
                    head: "Unit",
                    rows: units,
                },
            ],
        })
    }
}

fn unit_name(field: &Field, unit: domain::field::UnitId) -> String {
    let code = field.unit_names[unit].to_owned();
    field.units[unit].name.as_ref().map_or(code.clone(), |name| format!("{code}, {name}"))
}

fn row(name: String, reach: Reach) -> Row {
    Row {
        name,
        in_service: format::count(reach.in_service),
        with_it: format::count(reach.built + reach.retrofitted),
        without: format::count(reach.without),
        not_told: format::count(reach.not_told()),
        share: reach.share().map_or_else(|| "none in service".into(), |share| format::percent(share, 0)),
    }
}

impl Page for ReachPage {
    const TEMPLATE: &'static str = "pages/status/reach";

    fn samples() -> Vec<Self> {
        let reach = Reach { in_service: 400, without: 300, built: 90, retrofitted: 10 };
        let table = |rows| Table { caption: "By size", head: "Size", rows };
        vec![Self {
            shell: Shell::sample("Reach of 2026-014", Place::Status),
            about: "2026-014 Coated slider".into(),
            address: "/changes/2026-014".into(),
            tables: vec![
                table(vec![row("M".into(), reach), row("L".into(), Reach::default())]),
                table(Vec::new()),
            ],
        }]
    }
}
