//! Units as a list, each with how many of its links open.

use domain::permission::Actor;
use domain::unit::Unit;
use serde::Serialize;
use store::UnitLink;

use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// The list.
#[derive(Serialize)]
pub struct UnitsPage {
    shell: Shell,
    search: String,
    rows: Vec<Row>,
    more: bool,
    empty: Option<Empty>,
}

#[derive(Serialize)]
struct Row {
    address: String,
    unit: String,
    name: String,
    kind: String,
    open: usize,
    revoked: usize,
}

impl UnitsPage {
    /// Units found, with the links of all.
    pub fn new(actor: &Actor, search: &str, units: &[Unit], links: &[UnitLink]) -> Self {
        let of = |unit: &str, open: bool| {
            links.iter().filter(|link| link.unit == unit && link.revoked_at.is_none() == open).count()
        };
        let rows = units.iter().map(|unit| Row {
            address: super::of(&unit.unit),
            unit: unit.unit.clone(),
            name: unit.name.clone().unwrap_or_default(),
            kind: unit.kind.to_string(),
            open: of(&unit.unit, true),
            revoked: of(&unit.unit, false),
        });
        let empty = match (units.is_empty(), search.is_empty()) {
            (false, _) => None,
            (true, true) => Some(Empty::first(
                "There is no unit yet. Units come in with the books.",
                "Load a data pack",
                "/packs",
            )),
            (true, false) => {
                Some(Empty::first("No unit has this in its code or name.", "Show all", "/units"))
            }
        };
        Self {
            shell: Shell::inside("Units", actor, Place::Units),
            search: search.to_owned(),
            rows: rows.collect(),
            more: units.len() as u64 == super::SHOWN,
            empty,
        }
    }
}

impl Page for UnitsPage {
    const TEMPLATE: &'static str = "pages/units/list";

    fn samples() -> Vec<Self> {
        let row = |open, revoked| Row {
            address: "/units/COVE-2".into(),
            unit: "COVE-2".into(),
            name: "Cove crew 2".into(),
            kind: "wearing".into(),
            open,
            revoked,
        };
        let page = |rows: Vec<Row>, more| Self {
            shell: Shell::sample("Units", Place::Units),
            search: String::new(),
            empty: rows.is_empty().then(|| Empty::rest("There is no unit yet.")),
            rows,
            more,
        };
        vec![page(vec![row(0, 0), row(1, 2)], true), page(Vec::new(), false)]
    }
}
