//! Inspections added up, and the reports held against them.

use stats::Interval;
use stats::reporting_fraction::{Posterior, ReportingFraction as Share, Weighted};

use super::{Look, ReportingFraction, is_written_up};
use crate::analysis::CONFIDENCE;
use crate::analysis::seen::Seen;
use crate::analysis::service::Service;
use crate::field::{Day, Field, InspectionFacts, ReportId, Stock, UnitId};
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
    /// Of each report's weight, the number of inspections that could have seen each of its items had it stayed; and of its
    /// square.
    weight: f64,
    weight_squared: f64,
    /// The same of items that left once they were known to have failed, reported unasked or found by an inspection.
    left: f64,
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
        let looks: Vec<InspectionFacts> = looks.iter().map(|look| look.facts).collect();
        let Some(last) = looks.iter().map(|look| look.day).max() else { return tally };
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
            let is_written_up = is_written_up(&looks, report);
            // The look that found it has counted it.
            let could_see = |day: Day| report.found_on < day || (report.found_on == day && !is_written_up);
            let looked_at: f64 = looks
                .iter()
                .filter(|look| look.inspected > 0 && could_see(look.day))
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
            tally.left += if leaves { weight } else { 0.0 };
            if weight > 0.0 && !is_written_up {
                tally.reports += 1;
                tally.weight += weight;
                tally.weight_squared += weight * weight;
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
        self.weight += other.weight;
        self.weight_squared += other.weight_squared;
        self.left += other.left;
    }

    /// The share of failures reported, those among them that left for having been reported, which no inspection can see. All
    /// of them, without limits, where reports are far too many for what was found. `None` without an inspection.
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
        let items = self.items + self.left;
        let (inspected, found_share) = self.with_left(inspected, found_share);
        let survey =
            Weighted { items: items / per_report, reports, inspected, found: inspected * found_share };
        let share = Share::weighted(survey).ok()?;
        // The median takes as long to find as each limit: only where the plain share is none that may be.
        let plain = self.weight / (self.showing + self.left);
        let limits = (plain > 0.0 && plain <= 1.0)
            .then(|| share.interval_at_most_one(CONFIDENCE).unwrap_or(ALL_REPORTED.interval))
            .filter(|limits| plain <= limits.high);
        let (estimate, Interval { low, high }) = limits.map_or_else(
            || {
                let share = share.posterior_at_most_one(CONFIDENCE).unwrap_or(ALL_REPORTED);
                (share.median, share.interval)
            },
            |limits| (plain, limits),
        );
        Some(ReportingFraction {
            estimate: estimate.clamp(low, high),
            low,
            high,
            reports: self.reports,
            inspections: self.inspections,
            inspected: self.inspected,
            found: self.found,
        })
    }

    /// A look at what is there with the items that left beside it, each of which is known to have failed: the share of both that
    /// has, and of how many looked at it is known as well. What is open is the number of those there alone; where none of them
    /// was found its variance is that of half a one in one more (the mean under Jeffreys' prior).
    fn with_left(&self, inspected: f64, found_share: f64) -> (f64, f64) {
        if self.left <= 0.0 {
            return (inspected, found_share);
        }
        let items = self.items + self.left;
        let open = (inspected * found_share + 0.5) / (inspected + 1.0);
        let open_of_both = (self.items * open + self.left) / items;
        let odds = |share: f64| share * (1.0 - share);
        let known_as =
            inspected * items * items * odds(open_of_both) / (self.items * self.items * odds(open));
        (known_as, (self.items * found_share + self.left) / items)
    }
}

/// Chance that an item with a failure on one day is still there on a later day.
fn still_there(service: &Service, found: Day, looked: Day) -> f64 {
    (-service.leaving_per_year * looked.years_since(found)).exp()
}
