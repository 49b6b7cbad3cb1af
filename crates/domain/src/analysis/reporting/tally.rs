//! Inspections added up, and the reports held against them.

use stats::reporting_fraction::{ReportingFraction as Share, Weighted};

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
    /// Reports whose item stayed.
    stayed: u32,
    /// Of each report's weight, the number of inspections that could have seen its item; and of its square.
    weight: f64,
    weight_squared: f64,
}

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
        // A look at one lot is held against reports of that lot, and these stand for the unread as well.
        let read = reports.iter().filter(|&&id| seen.lot(id).lot.is_some()).count();
        let per_read = if read > 0 { reports.len() as f64 / read as f64 } else { 0.0 };
        for &id in &reports {
            let report = &field.reports[id];
            let leaves = matches!(
                report.item_fate,
                Some(ItemFate::Exchanged | ItemFate::Withdrawn | ItemFate::Lost | ItemFate::Exhibit)
            );
            let weight: f64 = looks()
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
            if weight > 0.0 {
                tally.reports += 1;
                tally.stayed += u32::from(!leaves);
                if !leaves {
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
        self.stayed += other.stayed;
        self.weight += other.weight;
        self.weight_squared += other.weight_squared;
    }

    /// The share of failures reported: first of those whose items stayed, then with those that left for having been
    /// reported, which no inspection can see.
    pub(super) fn fraction(&self) -> Option<ReportingFraction> {
        if self.inspections == 0 || self.items <= 0.0 {
            return None;
        }
        let found_share = self.showing / self.items;
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
        let share = Share::weighted(survey).ok()?.posterior_at_most_one(CONFIDENCE).ok()?;
        // Where no reported item stayed, as if half of one had: else all failures would seem reported.
        let stayed = f64::from(self.stayed).max(0.5) / f64::from(self.reports).max(0.5);
        let of_all = |of_stayed: f64| 1.0 / (stayed / of_stayed + 1.0 - stayed);
        let (low, high) = (of_all(share.interval.low), of_all(share.interval.high));
        let estimate = if self.weight > 0.0 && self.showing > 0.0 {
            of_all(self.weight / self.showing).clamp(low, high)
        } else {
            of_all(share.median)
        };
        Some(ReportingFraction {
            estimate,
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
