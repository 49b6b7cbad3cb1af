//! What a lot reaches: reports, recurrences, units, and how much of it is in service.

use std::collections::{BTreeMap, HashMap};

use domain::analysis::{Analysis, FactorLevel};
use domain::field::{LotId, Stock, UnitId};

/// Recurrences in which each lot stands out, and reports on it in recurrences.
pub(super) struct Tallies(HashMap<LotId, (u32, u32)>);

impl Tallies {
    pub(super) fn new(analysis: &Analysis) -> Self {
        let mut tallies: HashMap<LotId, (u32, u32)> = HashMap::new();
        for line in analysis.recurrences.iter().flat_map(|r| &r.lots) {
            let tally = tallies.entry(line.lot).or_default();
            tally.0 += u32::from(line.flagged);
            tally.1 += line.reports;
        }
        for found in analysis.recurrences.iter().flat_map(|r| r.concentrations.iter().flatten()) {
            if let FactorLevel::UsedLot(lot) = found.level {
                let tally = tallies.entry(lot).or_default();
                tally.0 += u32::from(found.flagged);
                tally.1 += found.reports;
            }
        }
        Self(tallies)
    }

    /// Recurrences it stands out in, and reports.
    pub(super) fn of(&self, lot: LotId) -> (u32, u32) {
        self.0.get(&lot).copied().unwrap_or_default()
    }
}

/// Items of a lot at each unit on the date: in service, and waiting; most in service first.
pub(crate) fn where_held(analysis: &Analysis, lot: LotId) -> Vec<(Option<UnitId>, u64, u64)> {
    let mut held: BTreeMap<Option<UnitId>, (u64, u64)> = BTreeMap::new();
    for line in analysis.ledger.held.iter().filter(|held| held.stock == Stock::Lot(lot) && held.quantity > 0)
    {
        let at = held.entry(line.unit).or_default();
        if line.in_service {
            at.0 += u64::from(line.quantity);
        } else {
            at.1 += u64::from(line.quantity);
        }
    }
    let mut rows: Vec<_> = held.into_iter().map(|(unit, (worn, idle))| (unit, worn, idle)).collect();
    rows.sort_by_key(|&(unit, worn, idle)| (std::cmp::Reverse((worn, idle)), unit));
    rows
}
