//! What the grams mean: over the fleet, for the lightest wearer, what a reader might be misled by, what carrying costs.

use domain::analysis::ChangeResult;
use domain::field::Field;
use domain::ledger::Ledger;
use domain::mass::{Flag, budget, energy, flags, fleet};
use serde::Serialize;

/// All of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WeighedView {
    /// Grams that the items in service gain together; nothing without a weighed size.
    pub fleet: Option<FleetView>,
    /// Shares of the lightest wearer's load budget, by size.
    pub budgets: Vec<BudgetView>,
    /// What a reader might be misled by.
    pub flags: Vec<FlagView>,
    /// What carrying the mean difference costs; nothing without a mean over the tariff.
    pub energy: Option<EnergyView>,
}

/// Grams over the fleet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the fleet mass of the domain, which says what each is")]
pub struct FleetView {
    pub grams: f64,
    pub items: u64,
    pub left_out: u64,
}

/// The lightest wearer of one size.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the budget of the domain, which says what each is")]
pub struct BudgetView {
    pub item: String,
    pub size: String,
    pub lightest_kg: f64,
    pub share: f64,
}

/// Something a reader might be misled by: its kind, lines concerned, grams that say how much.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlagView {
    /// Which.
    pub kind: &'static str,
    /// Lines concerned.
    pub lines: Option<usize>,
    /// Grams that belong to it.
    pub grams: Vec<f64>,
}

/// What carrying costs, in watts.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the energy of the domain, which says what each is")]
pub struct EnergyView {
    pub grams: f64,
    pub pandolf_w: f64,
    pub measured_w: f64,
}

impl WeighedView {
    pub(super) fn new(field: &Field, ledger: &Ledger, result: &ChangeResult) -> Self {
        let change = &field.changes[result.change];
        let sum = fleet(field, ledger, change, &result.mass);
        let mut seen = Vec::new();
        let budgets = result.mass.iter().filter_map(|line| {
            // Configurations of one size differ by the same part; the first stands for all.
            let key = (line.item, line.size?);
            if seen.contains(&key) {
                return None;
            }
            seen.push(key);
            let found = budget(field, line)?;
            Some(BudgetView {
                item: field.part_names[line.item].to_owned(),
                size: field.sizes[key.1].to_owned(),
                lightest_kg: found.lightest_kg,
                share: found.share,
            })
        });
        Self {
            fleet: (sum.items > 0).then_some(FleetView {
                grams: sum.grams,
                items: sum.items,
                left_out: sum.left_out,
            }),
            budgets: budgets.collect(),
            flags: flags(field, change, &result.mass).into_iter().map(FlagView::from).collect(),
            energy: result.mass_tariff_mean.and_then(|mean| energy(mean.difference_g)).map(|found| {
                EnergyView { grams: found.grams, pandolf_w: found.pandolf_w, measured_w: found.measured_w }
            }),
        }
    }
}

impl From<Flag> for FlagView {
    fn from(flag: Flag) -> Self {
        let (kind, lines, grams) = match flag {
            Flag::OppositeSigns(low, high) => ("opposite signs", None, vec![low, high]),
            Flag::NotWeighed(lines) => ("not weighed", Some(lines), Vec::new()),
            Flag::BelowResolution(lines, step) => ("below resolution", Some(lines), vec![step]),
            Flag::WithinScatter(lines, scatter) => ("within scatter", Some(lines), vec![scatter]),
            Flag::WetGain => ("wet gain", None, Vec::new()),
        };
        Self { kind, lines, grams }
    }
}
