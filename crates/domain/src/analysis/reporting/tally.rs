//! Inspections added up, and the reports held against them.

use stats::Interval;
use stats::reporting_fraction::{Posterior, ReportingFraction as Share, Weighted};

use super::{Look, ReportingFraction};
use crate::analysis::CONFIDENCE;
use crate::analysis::seen::Seen;
use crate::analysis::service::Service;
use crate::field::{Day, Field, ReportId, Stock, UnitId};
use crate::report::ItemFate;

/// Sums over inspections and the reports held against them; sums of sums are sums.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Tally {
    inspections: u32,
    pub(super) inspected: u64,
    pub(super) found: u64,
    /// Of `N`, of `N k / n`, of `N^2 / n`, of `N^2 k / n^2`.
    items: f64,
    showing: f64,
    items_squared: f64,
    showing_squared: f64,
    reports: u32,
    /// Items that these reports tell of, and those of them that stayed.
    told: u64,
    stayed: u64,
    /// Of each report's weight, the number of inspections that could have seen each of its items; and of its square.
    weight: f64,
    weight_squared: f64,
}

/// Every failure reported. Where reports are so many more than inspections find that no share of at most 1 has any
/// probability left, both limits have closed up on it.
const ALL_REPORTED: Posterior = Posterior { median: 1.0, interval: Interval { low: 1.0, high: 1.0 } };

impl Tally {
    /// The inspections of one unit for one mode, by day, and the reports of both that may be compared.
    pub(super) fn new(
        field: &Field,
        seen: &Seen,
        service: &Service,
        looks: &[Look],
        reports: &[(UnitId, ReportId)],
    ) -> Self {
        let mut tally = Self::default();
        for Look { facts: look, counts } in looks.iter().filter(|look| look.facts.inspected > 0) {
            let stock = look.lot.map(Stock::Lot);
            let (inspected, found) = (f64::from(look.inspected), f64::from(look.found));
            // Books that have fewer than were seen are wrong.
            let items = (service.items_on(look.unit, stock, look.day) as f64).max(inspected);
            tally.inspections += 1;
            tally.inspected += u64::from(look.inspected);
            tally.found += u64::from(look.found);
            tally.items += items;
            tally.showing += items / inspected * counts * found;
            tally.items_squared += items * items / inspected;
            tally.showing_squared += (items / inspected * counts).powi(2) * found;
        }
        let looks = || looks.iter().map(|look| &look.facts);
        let Some(last) = looks().map(|look| look.day).max() else { return tally };
        let ids = reports.iter().map(|report| report.1);
        let reports: Vec<ReportId> = ids.filter(|&id| field.reports[id].found_on <= last).collect();
        let items = |id: ReportId| f64::from(field.reports[id].quantity);
        // A look at one lot is held against reports of that lot, and these stand for the unread as well.
        let all: f64 = reports.iter().map(|&id| items(id)).sum();
        let read: f64 = reports.iter().filter(|&&id| seen.lot(id).lot.is_some()).map(|&id| items(id)).sum();
        let per_read = if read > 0.0 { all / read } else { 0.0 };
        for &id in &reports {
            let report = &field.reports[id];
            let leaves = matches!(
                report.item_fate,
                Some(ItemFate::Exchanged | ItemFate::Withdrawn | ItemFate::Lost | ItemFate::Exhibit)
            );
            let looked_at: f64 = looks()
                .filter(|look| look.inspected > 0 && report.found_on <= look.day)
                .map(|look| {
                    let of_lot = match look.lot {
                        None => 1.0,
                        Some(lot) if seen.lot(id).lot == Some(lot) => per_read,
                        Some(_) => 0.0,
                    };
                    of_lot * still_there(service, report.found_on, look.day)
                })
                .sum();
            // An inspection counts items, so a report counts for those it tells of. They failed together for all anyone
            // knows, which the square of the weight takes into account.
            let weight = looked_at * items(id);
            if weight > 0.0 {
                tally.reports += 1;
                tally.told += u64::from(report.quantity);
                if !leaves {
                    tally.stayed += u64::from(report.quantity);
                    tally.weight += weight;
                    tally.weight_squared += weight * weight;
                }
            }
        }
        tally
    }

    pub(super) fn add(&mut self, other: &Self) {
        self.inspections += other.inspections;
        self.inspected += other.inspected;
        self.found += other.found;
        self.items += other.items;
        self.showing += other.showing;
        self.items_squared += other.items_squared;
        self.showing_squared += other.showing_squared;
        self.reports += other.reports;
        self.told += other.told;
        self.stayed += other.stayed;
        self.weight += other.weight;
        self.weight_squared += other.weight_squared;
    }

    /// The share of failures reported: first of those whose items stayed, then with those that left for having been
    /// reported, which no inspection can see. All of them, without limits, where reports are far too many for what was
    /// found. `None` without an inspection.
    pub(super) fn fraction(&self) -> Option<ReportingFraction> {
        if self.inspections == 0 || self.items <= 0.0 {
            return None;
        }
        // Rounding may bring it above 1 where all that was looked at shows the mode.
        let found_share = (self.showing / self.items).min(1.0);
        let mut inspected = self.items * self.items / self.items_squared;
        if self.showing > 0.0 {
            inspected = inspected.min(self.showing * self.showing / self.showing_squared / found_share);
        }
        let (reports, per_report) = if self.weight > 0.0 {
            let reports = self.weight * self.weight / self.weight_squared;
            (reports, self.weight / reports)
        } else {
            (0.0, 1.0)
        };
        let survey =
            Weighted { items: self.items / per_report, reports, inspected, found: inspected * found_share };
        let share = Share::weighted(survey).ok()?;
        // The median takes as long to find as each limit: only where the plain share is none that may be.
        let plain = self.weight / self.showing;
        let limits = (plain > 0.0 && plain <= 1.0)
            .then(|| share.interval_at_most_one(CONFIDENCE).unwrap_or(ALL_REPORTED.interval))
            .filter(|limits| plain <= limits.high);
        let (of_stayed, limits) = limits.map_or_else(
            || {
                let share = share.posterior_at_most_one(CONFIDENCE).unwrap_or(ALL_REPORTED);
                (share.median, share.interval)
            },
            |limits| (plain, limits),
        );
        // Where no reported item stayed, as if half of one had: else all failures would seem reported.
        let stayed = (self.stayed as f64).max(0.5) / (self.told as f64).max(0.5);
        let of_all = |of_stayed: f64| 1.0 / (1.0 + stayed * (1.0 / of_stayed - 1.0));
        let (low, high) = (of_all(limits.low), of_all(limits.high));
        Some(ReportingFraction {
            estimate: of_all(of_stayed).clamp(low, high),
            low,
            high,
            reports: self.reports,
            inspections: self.inspections,
            inspected: self.inspected,
            found: self.found,
        })
    }
}

/// Chance that an item with a failure on one day is still there on a later day.
fn still_there(service: &Service, found: Day, looked: Day) -> f64 {
    (-service.leaving_per_year * looked.years_since(found)).exp()
}
