//! What the grams mean, as lines of the sheet.

use serde::Serialize;

use crate::format::{self, MassUnit};
use crate::pages::changes::view::{FlagView, WeighedView};

/// The section.
#[derive(Serialize)]
pub(in crate::pages::changes) struct WeighedRows {
    pub(in crate::pages::changes) fleet: Option<String>,
    pub(in crate::pages::changes) budgets: Vec<BudgetRow>,
    pub(in crate::pages::changes) flags: Vec<String>,
    pub(in crate::pages::changes) energy: Option<String>,
}

/// What the grams are to the lightest wearer of one size.
#[derive(Serialize)]
pub(in crate::pages::changes) struct BudgetRow {
    pub(in crate::pages::changes) size: String,
    pub(in crate::pages::changes) lightest: String,
    pub(in crate::pages::changes) share: String,
}

impl WeighedRows {
    pub(in crate::pages::changes) fn new(view: &WeighedView, unit: MassUnit) -> Self {
        let budgets = view.budgets.iter().map(|row| BudgetRow {
            size: format!("{} {}", row.item, row.size),
            lightest: format!("{} kg", format::decimals(row.lightest_kg, 1)),
            share: signed_percent(row.share),
        });
        Self {
            fleet: view.fleet.map(|fleet| {
                let items = format::counted(fleet.items, "item", "items");
                let out = format::counted(fleet.left_out, "item", "items");
                let rest = if fleet.left_out > 0 {
                    format!("; {out} of unknown or unweighed size left out")
                } else {
                    String::new()
                };
                format!("{} over the {items} in service{rest}.", unit.difference(fleet.grams))
            }),
            budgets: budgets.collect(),
            flags: view.flags.iter().map(|flag| said(flag, unit)).collect(),
            energy: view.energy.map(|energy| {
                format!(
                    "Carrying {} takes {} W by Pandolf's equation of 1977 and {} W by a slope measured on walkers (Huang \
                     and Kuo 2014). Limits: one walker of 80 kg with 20 kg at 1.34 m/s on level hard ground; the equation \
                     was made from loads on the back and is likely low; neither says anything of running, climbing or heat.",
                    unit.difference(energy.grams),
                    format::significant(energy.pandolf_w, 2),
                    format::significant(energy.measured_w, 2),
                )
            }),
        }
    }
}

fn signed_percent(share: f64) -> String {
    let words = format::percent(share, 2);
    if share > 0.0 { format!("+{words}") } else { words }
}

fn said(flag: &FlagView, unit: MassUnit) -> String {
    let lines = format::counted(flag.lines.unwrap_or(0) as u64, "size", "sizes");
    let grams = |at: usize| flag.grams.get(at).copied().unwrap_or(0.0);
    match flag.kind {
        "opposite signs" => format!(
            "Some sizes lose and others gain ({} to {}): the mean hides that.",
            unit.difference(grams(0)),
            unit.difference(grams(1))
        ),
        "not weighed" => {
            format!("{lines} without a difference, for want of weighings; nothing is filled in.")
        }
        "below resolution" => format!(
            "No detectable change in {lines}: below twice the step of {} g that specimens were written down to.",
            grams(0)
        ),
        "within scatter" => format!(
            "Within the scatter from specimen to specimen ({}) in {lines}: one item can't be told from another by it.",
            unit.mass(grams(0))
        ),
        _ => "The part takes up water, and only dry mass is on record: weigh it wet too.".to_owned(),
    }
}
