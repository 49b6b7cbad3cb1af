//! How reports spread over days and units, and issues over weeks: counted once, for every page that shows it.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use super::holders::Holders;
use crate::field::{Day, Field, PartId, ReportFacts, Stock, UnitId};
use crate::ledger::part_of;
use crate::movement::MovementKind;

/// The reports of a recurrence by the day they were found, by the day they came and by unit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Spread {
    days: BTreeMap<Day, u32>,
    received: BTreeMap<Day, u32>,
    /// Those of harm, by the day they came.
    harmed: BTreeMap<Day, u32>,
    units: BTreeMap<UnitId, u32>,
}

impl Spread {
    pub(super) fn of<'r>(reports: impl Iterator<Item = &'r ReportFacts>) -> Self {
        let (mut days, mut received) = (FxHashMap::default(), FxHashMap::default());
        let (mut harmed, mut units) = (BTreeMap::default(), FxHashMap::default());
        for report in reports {
            *days.entry(report.found_on).or_default() += 1;
            *received.entry(report.received_on).or_default() += 1;
            *units.entry(report.unit).or_default() += 1;
            if report.is_harm() {
                *harmed.entry(report.received_on).or_default() += 1;
            }
        }
        Self {
            days: days.into_iter().collect(),
            received: received.into_iter().collect(),
            harmed,
            units: units.into_iter().collect(),
        }
    }

    pub(super) fn add(&mut self, report: &ReportFacts) {
        *self.days.entry(report.found_on).or_default() += 1;
        *self.received.entry(report.received_on).or_default() += 1;
        *self.units.entry(report.unit).or_default() += 1;
        if report.is_harm() {
            *self.harmed.entry(report.received_on).or_default() += 1;
        }
    }

    pub(super) fn take_off(&mut self, report: &ReportFacts) {
        take_one(&mut self.days, report.found_on);
        take_one(&mut self.received, report.received_on);
        take_one(&mut self.units, report.unit);
        if report.is_harm() {
            take_one(&mut self.harmed, report.received_on);
        }
    }

    /// The day the first was found; `None` without any.
    pub fn first(&self) -> Option<Day> {
        self.days.keys().next().copied()
    }

    /// The day on which its first report came (0), its second (1) and so on; `None` where there are fewer. The books may list
    /// them in another order.
    pub fn received(&self, at: u32) -> Option<Day> {
        let mut so_far = 0;
        let reached = |(_, n): &(&Day, &u32)| {
            so_far += **n;
            so_far > at
        };
        self.received.iter().find(reached).map(|(day, _)| *day)
    }

    /// The day on which the first of harm came; `None` without any.
    pub(super) fn harmed(&self) -> Option<Day> {
        self.harmed.keys().next().copied()
    }

    /// Units that sent one.
    pub fn units(&self) -> usize {
        self.units.len()
    }

    /// Reports found in a week, as [`Day::week`] numbers it.
    pub fn in_week(&self, week: i32) -> u64 {
        let days = self.days.range(Day::monday(week)..Day::monday(week + 1));
        days.map(|(_, &n)| u64::from(n)).sum()
    }
}

/// Counts one less; what is counted no more is forgotten.
pub(super) fn take_one<K: Ord>(counts: &mut BTreeMap<K, u32>, key: K) {
    if let std::collections::btree_map::Entry::Occupied(mut entry) = counts.entry(key) {
        if *entry.get() > 1 {
            *entry.get_mut() -= 1;
        } else {
            entry.remove();
        }
    }
}

/// Items that contain a part issued, by week.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Issued(BTreeMap<i32, u64>);

impl Issued {
    /// Those of a week, as [`Day::week`] numbers it.
    pub fn in_week(&self, week: i32) -> u64 {
        self.0.get(&week).copied().unwrap_or(0)
    }
}

/// Items of each stock issued, new or used, by week.
pub(super) struct Issues {
    rows: Vec<(Stock, i32, u64)>,
    /// Spare parts that were issued by themselves.
    pub(super) spares: u64,
}

impl Issues {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let issues = field.movements.iter().filter(|m| m.kind == MovementKind::Issue && m.day <= as_of);
        let mut rows: Vec<(Stock, i32, u64)> =
            issues.map(|m| (m.stock, m.day.week(), u64::from(m.quantity))).collect();
        rows.sort_unstable();
        rows.dedup_by(|next, first| {
            let is_same = (next.0, next.1) == (first.0, first.1);
            first.2 += if is_same { next.2 } else { 0 };
            is_same
        });
        let is_spare = |&mut (stock, ..): &mut (Stock, i32, u64)| field.is_spare(part_of(field, stock));
        let spares = rows.extract_if(.., is_spare).map(|(.., quantity)| quantity).sum();
        Self { rows, spares }
    }

    /// Issues of every item that contains a part.
    pub(super) fn of_part(&self, field: &Field, part: PartId) -> Issued {
        let holders = Holders::of_part(field, part);
        let mut issued = Issued::default();
        for rows in self.rows.chunk_by(|a, b| a.0 == b.0).filter(|rows| holders.has_stock(field, rows[0].0)) {
            for &(_, week, n) in rows {
                *issued.0.entry(week).or_default() += n;
            }
        }
        issued
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::Id as _;

    #[test]
    fn a_week_runs_from_monday_to_sunday_and_counts_go_both_ways() {
        let monday = Day::monday(105_000);
        let mut spread = Spread::default();
        for (day, unit) in
            [(monday, 0), (Day(monday.0 + 6), 1), (Day(monday.0 + 6), 0), (Day(monday.0 + 7), 0)]
        {
            *spread.days.entry(day).or_default() += 1;
            *spread.units.entry(UnitId::from_index(unit)).or_default() += 1;
        }
        assert_eq!([104_999, 105_000, 105_001].map(|week| spread.in_week(week)), [0, 3, 1]);
        assert_eq!((spread.first(), spread.units()), (Some(monday), 2));
        take_one(&mut spread.days, monday);
        take_one(&mut spread.units, UnitId::from_index(1));
        assert_eq!((spread.first(), spread.units()), (Some(Day(monday.0 + 6)), 1));
    }
}
