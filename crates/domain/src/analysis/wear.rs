//! Wear: failures per hour worn, on the units and days whose use is on record.
//!
//! Two units of one rate per item-year may differ by how much they wear their items, and two of one rate per hour worn
//! may look different in item-years. Both rates stand side by side, so that a school is not blamed for its timetable.
//! Days without a record of use have no hours: neither they nor the failures found on them count here. Of the other days both
//! rates are of the same reports as the plain rate, those that a notice called for among them.

use std::collections::BTreeMap;

use super::Holders;
use super::rate::Rate;
use super::seen::in_service;
use crate::field::{DAYS_PER_YEAR, Day, Field, Id as _, PartId, ReportFacts, Stock, UnitId, UseFacts};
use crate::ledger::{Books, Ledger, Spell};

/// Failures by use: where and while it is on record.
#[derive(Clone, Debug, PartialEq)]
pub struct Wear {
    /// Chargeable occasions per 1,000 hours worn.
    pub rate: Rate,
    /// Hours worn.
    pub hours: f64,
    /// Share of all item-years that is on days with a record of use.
    pub recorded: f64,
    /// The units, most hours an item-year first.
    pub units: Vec<UnitWear>,
}

/// One unit's failures by calendar and by use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitWear {
    /// The unit.
    pub unit: UnitId,
    /// Item-years on days with a record of use.
    pub item_years: f64,
    /// Hours worn in them.
    pub hours: f64,
    /// Per 1,000 item-years.
    pub by_calendar: Rate,
    /// Per 1,000 hours worn.
    pub by_use: Rate,
}

/// The use of one item at each unit, in their order, day by day; empty where no use is on record at all.
#[derive(Debug, Default)]
struct Timetables(Vec<Vec<Step>>);

/// From a day on, until the next step.
#[derive(Clone, Copy, Debug)]
struct Step {
    from: Day,
    /// Hours worn and days recorded before it.
    before: (f64, i32),
    hours_per_day: f64,
    recorded: bool,
}

impl Timetables {
    fn new(field: &Field) -> Self {
        let mut patterns: BTreeMap<UnitId, Vec<&UseFacts>> = BTreeMap::new();
        for pattern in &field.use_patterns {
            patterns.entry(pattern.unit).or_default().push(pattern);
        }
        let mut units = vec![Vec::new(); if patterns.is_empty() { 0 } else { field.units.len() }];
        for (unit, patterns) in patterns {
            units[unit.index()] = steps(&patterns);
        }
        Self(units)
    }

    /// Hours worn by one item and days recorded from the first day to before the last.
    fn between(&self, unit: UnitId, from: Day, to: Day) -> (f64, i32) {
        let Some(steps) = self.0.get(unit.index()) else { return (0.0, 0) };
        let (first, last) = (until(steps, from), until(steps, to));
        (last.0 - first.0, last.1 - first.1)
    }

    fn is_recorded(&self, unit: UnitId, day: Day) -> bool {
        self.between(unit, day, Day(day.0 + 1)).1 > 0
    }
}

/// Patterns that overlap add up: they are activities of the same days.
fn steps(patterns: &[&UseFacts]) -> Vec<Step> {
    let mut edges: BTreeMap<Day, (f64, i32)> = BTreeMap::new();
    for pattern in patterns {
        let per_day = pattern.wear_hours_per_item_month * 12.0 / DAYS_PER_YEAR;
        let mut edge = |day, hours, patterns| {
            let sum = edges.entry(day).or_default();
            *sum = (sum.0 + hours, sum.1 + patterns);
        };
        edge(pattern.from, per_day, 1);
        if let Some(last) = pattern.to {
            edge(Day(last.0 + 1), -per_day, -1);
        }
    }
    let mut steps: Vec<Step> = Vec::with_capacity(edges.len());
    let (mut hours_per_day, mut open) = (0.0, 0);
    for (day, (hours, patterns)) in edges {
        let before = if steps.is_empty() { (0.0, 0) } else { until(&steps, day) };
        (hours_per_day, open) = (hours_per_day + hours, open + patterns);
        let recorded = open > 0;
        // What rounding leaves of hours that ended is no hour.
        let hours_per_day = if recorded { hours_per_day } else { 0.0 };
        steps.push(Step { from: day, before, hours_per_day, recorded });
    }
    steps
}

fn until(steps: &[Step], day: Day) -> (f64, i32) {
    let Some(step) = steps[..steps.partition_point(|s| s.from <= day)].last() else { return (0.0, 0) };
    let days = if step.recorded { day.0 - step.from.0 } else { 0 };
    (step.before.0 + step.hours_per_day * f64::from(days), step.before.1 + days)
}

/// What all items were worn on recorded days.
#[derive(Debug)]
pub(super) struct Worn {
    timetables: Timetables,
    /// By stock and unit, in the ledger's order.
    sums: Vec<WornAt>,
}

/// The items of one stock at one unit.
#[derive(Clone, Copy, Debug)]
struct WornAt {
    stock: Stock,
    unit: UnitId,
    item_years: f64,
    hours: f64,
}

impl Worn {
    pub(super) fn new(field: &Field, ledger: &Ledger) -> Self {
        let timetables = Timetables::new(field);
        let mut sums: Vec<WornAt> = Vec::new();
        let by_best = ledger.spells.iter().filter(|spell| spell.books.has(Books::BEST));
        for Spell { stock, unit, from, to, quantity, .. } in by_best.copied() {
            let (hours, days) = timetables.between(unit, from, to);
            if days == 0 {
                continue;
            }
            if sums.last().is_none_or(|last| (last.stock, last.unit) != (stock, unit)) {
                sums.push(WornAt { stock, unit, item_years: 0.0, hours: 0.0 });
            }
            let sum = sums.last_mut().expect("pushed above");
            sum.item_years += f64::from(quantity) * f64::from(days) / DAYS_PER_YEAR;
            sum.hours += f64::from(quantity) * hours;
        }
        Self { timetables, sums }
    }
}

/// Item-years and hours on recorded days by unit, of every item that contains a part.
#[derive(Debug)]
pub(super) struct PartWear<'a> {
    worn: &'a Worn,
    units: Vec<(UnitId, f64, f64)>,
}

impl<'a> PartWear<'a> {
    pub(super) fn new(field: &Field, worn: &'a Worn, part: PartId) -> Self {
        let holders = Holders::of_part(field, part);
        let mut units = vec![(0.0, 0.0); field.units.len()];
        let by_stock = worn.sums.chunk_by(|a, b| a.stock == b.stock);
        for of_both in by_stock.filter(|sums| holders.has_stock(field, sums[0].stock)).flatten() {
            let sum: &mut (f64, f64) = &mut units[of_both.unit.index()];
            *sum = (sum.0 + of_both.item_years, sum.1 + of_both.hours);
        }
        let units = units.into_iter().enumerate().filter(|(_, (years, _))| *years > 0.0);
        let units = units.map(|(at, (years, hours))| (UnitId::from_index(at), years, hours)).collect();
        Self { worn, units }
    }

    /// The reports of one mode held against it; `None` where no use is on record.
    pub(super) fn of_mode<'r>(
        &self,
        item_years: f64,
        reports: impl Iterator<Item = &'r ReportFacts>,
    ) -> Option<Wear> {
        if self.units.is_empty() {
            return None;
        }
        let timetables = &self.worn.timetables;
        let mut occasions = vec![0; timetables.0.len()];
        for report in reports.filter(|r| r.is_chargeable() && in_service(r)) {
            if timetables.is_recorded(report.unit, report.found_on) {
                occasions[report.unit.index()] += 1;
            }
        }
        let mut units: Vec<UnitWear> = self
            .units
            .iter()
            .filter_map(|&(unit, item_years, hours)| {
                let occasions = occasions[unit.index()];
                let (by_calendar, by_use) = (Rate::new(occasions, item_years)?, Rate::new(occasions, hours)?);
                Some(UnitWear { unit, item_years, hours, by_calendar, by_use })
            })
            .collect();
        let sum = |of: fn(&UnitWear) -> f64| units.iter().map(of).sum::<f64>();
        let (years, hours) = (sum(|u| u.item_years), sum(|u| u.hours));
        let occasions = units.iter().map(|u| u.by_use.occasions).sum();
        units.sort_by(|a, b| (b.hours / b.item_years).total_cmp(&(a.hours / a.item_years)));
        Some(Wear {
            rate: Rate::new(occasions, hours)?,
            hours,
            recorded: (years / item_years).min(1.0),
            units,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_of_overlapping_activities_add_up_and_gaps_have_none() {
        let unit = UnitId::from_index(0);
        let pattern = |from, to: Option<i32>, hours| UseFacts {
            unit,
            from: Day(from),
            to: to.map(Day),
            activity: None,
            wear_hours_per_item_month: hours * DAYS_PER_YEAR / 12.0,
        };
        // Two hours a day on days 0 to 9, one more on 5 to 14, none on 15 to 19, four a day from 20 on.
        let patterns = [pattern(0, Some(9), 2.0), pattern(5, Some(14), 1.0), pattern(20, None, 4.0)];
        let times = Timetables(vec![steps(&patterns.iter().collect::<Vec<_>>())]);
        let hours = |from, to| {
            let (hours, days) = times.between(unit, Day(from), Day(to));
            ((hours * 1e9).round() / 1e9, days)
        };
        assert_eq!(hours(0, 15), (30.0, 15));
        assert_eq!(hours(7, 12), (3.0 * 3.0 + 2.0, 5));
        assert_eq!(hours(15, 20), (0.0, 0));
        assert_eq!(hours(-5, 22), (38.0, 17));
        assert!(times.is_recorded(unit, Day(14)) && !times.is_recorded(unit, Day(15)));
    }
}
