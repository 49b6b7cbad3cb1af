//! How far a retrofit has come at each unit: converted, to go, and units that nothing was heard of.

use std::collections::BTreeMap;

use super::reach::{Reach, reached};
use super::side::Sides;
use crate::field::{ChangeId, Day, Field, UnitId};
use crate::ledger::Ledger;

/// Items in service at one unit, by what they have of a change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Without the change.
    pub to_go: u64,
    /// Issued without it and converted since, or given the new part.
    pub converted: u64,
    /// Built to it.
    pub built: u64,
    /// Of lots that don't tell.
    pub not_told: u64,
    /// The last day on which the unit moved, reported, inspected or mended anything, since the campaign began.
    pub last_heard: Option<Day>,
}

impl Progress {
    /// Whether items are to go at a unit of which nothing was heard since the campaign began.
    pub const fn is_not_heard_of(&self) -> bool {
        self.to_go > 0 && self.last_heard.is_none()
    }

    /// Share of the items that the campaign is about which are converted; `None` where there are none.
    pub fn share(&self) -> Option<f64> {
        let all = self.to_go + self.converted;
        (all > 0).then(|| self.converted as f64 / all as f64)
    }

    fn add(&mut self, reach: Reach) {
        self.to_go += reach.without;
        self.converted += reach.retrofitted;
        self.built += reach.built;
        self.not_told += reach.not_told();
    }
}

/// The progress at each unit that holds items with the part, those with most to go first, and over all.
pub fn campaign(
    field: &Field,
    ledger: &Ledger,
    id: ChangeId,
    since: Day,
) -> (Vec<(UnitId, Progress)>, Progress) {
    let change = &field.changes[id];
    let mut units: BTreeMap<UnitId, Progress> = BTreeMap::new();
    let mut total = Progress::default();
    for (spell, reach) in reached(field, ledger, change, &Sides::new(field, change)) {
        units.entry(spell.unit).or_default().add(reach);
        total.add(reach);
    }
    let mut heard = |unit: UnitId, day: Day| {
        if (since..=ledger.as_of).contains(&day)
            && let Some(progress) = units.get_mut(&unit)
        {
            progress.last_heard = progress.last_heard.max(Some(day));
        }
    };
    for movement in &field.movements {
        heard(movement.unit, movement.day);
        if let Some(to) = movement.to_unit {
            heard(to, movement.day);
        }
    }
    field.inspections.iter().for_each(|inspection| heard(inspection.unit, inspection.day));
    field.events.iter().for_each(|event| heard(event.unit, event.day));
    field.reports.values().for_each(|report| heard(report.unit, report.received_on));
    let mut rows: Vec<(UnitId, Progress)> = units.into_iter().collect();
    rows.sort_by_key(|&(unit, progress)| (std::cmp::Reverse(progress.to_go), unit));
    total.last_heard = rows.iter().filter_map(|(_, progress)| progress.last_heard).max();
    (rows, total)
}
