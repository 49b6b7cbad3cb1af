//! The reporting fraction: what inspections find held against what was reported unasked.
//!
//! An inspection of `n` of the `N` items at a unit that finds `k` says that about `N k / n` of them show the mode. Held
//! against it are the reports of that unit up to that day whose items can still be there: not exchanged, withdrawn,
//! lost or kept as an exhibit, and thinned by the rate at which items leave. Reports called for by a notice and failures
//! found on unpacking are no sign of willingness and are left out. Inspections are added up with weights `N / n`, so that
//! a large unit counts for what it holds. Without an inspection nothing can be known.
//!
//! The same holds from a day on: of what an inspection finds only the part that came since is held against the reports
//! since.

use std::collections::HashMap;

use rayon::prelude::*;
use stats::reporting_fraction::{ReportingFraction as Share, Weighted};

use super::CONFIDENCE;
use super::rate::Rate;
use super::seen::{Key, Seen, comparable};
use super::service::Service;
use crate::field::{Day, Field, InspectionFacts, ModeId, PartId, ReportId, Stock, UnitId};
use crate::report::ItemFate;

/// Share of failures that get reported, with the counts it rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReportingFraction {
    /// Estimate.
    pub estimate: f64,
    /// Lower limit (95 %).
    pub low: f64,
    /// Upper limit (95 %).
    pub high: f64,
    /// Reports held against the inspections.
    pub reports: u32,
    /// Inspections.
    pub inspections: u32,
    /// Items looked at; one looked at twice counts twice.
    pub inspected: u64,
    /// Of these, showing the mode.
    pub found: u64,
}

/// A rate corrected for what is not reported; to be shown beside the reported one, never instead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CorrectedRate {
    /// Estimate per 1,000 item-years.
    pub estimate: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

impl ReportingFraction {
    /// The rate of failures, reported or not. The two uncertainties are taken as independent on the logarithm, which is
    /// on the safe side: reports stand in both.
    pub fn corrected(&self, rate: Rate) -> Option<CorrectedRate> {
        if rate.occasions == 0 {
            return None;
        }
        let reach = |rate: f64, share: f64| rate.ln().hypot(share.ln()).exp();
        let estimate = rate.estimate / self.estimate;
        Some(CorrectedRate {
            estimate,
            low: estimate / reach(rate.estimate / rate.low, self.high / self.estimate),
            high: estimate * reach(rate.high / rate.estimate, self.estimate / self.low),
        })
    }
}

/// What inspections say of reporting.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reporting {
    /// Over all units and modes; `None` without an inspection.
    pub all: Option<ReportingFraction>,
    /// Each unit that inspected, over all modes.
    pub units: Vec<(UnitId, ReportingFraction)>,
    modes: HashMap<Key, ReportingFraction>,
}

impl Reporting {
    /// From what each mode's inspections gave, unit by unit.
    pub(super) fn new<'a>(of_modes: impl Iterator<Item = (Key, &'a [AtUnit])>) -> Self {
        let mut all = Tally::default();
        let mut units: HashMap<UnitId, Tally> = HashMap::new();
        let mut modes: HashMap<Key, Tally> = HashMap::new();
        for (key, tallies) in of_modes {
            for AtUnit { unit, tally } in tallies {
                all.add(tally);
                units.entry(*unit).or_default().add(tally);
                modes.entry(key).or_default().add(tally);
            }
        }
        let mut units: Vec<_> = units.into_par_iter().filter_map(|(u, t)| Some((u, t.fraction()?))).collect();
        units.sort_unstable_by_key(|(unit, _)| *unit);
        let modes = modes.into_par_iter().filter_map(|(key, tally)| Some((key, tally.fraction()?))).collect();
        Self { all: all.fraction(), units, modes }
    }

    /// The fraction of one mode of one part, over all units; `None` without an inspection for it.
    pub fn of_mode(&self, part: PartId, mode: ModeId) -> Option<ReportingFraction> {
        self.modes.get(&(part, mode)).copied()
    }
}

/// What the inspections of one unit for one mode give.
#[derive(Clone, Copy, Debug)]
pub(super) struct AtUnit {
    pub(super) unit: UnitId,
    tally: Tally,
}

impl AtUnit {
    /// Items looked at, and of these those showing the mode.
    pub(super) fn looked_at(&self) -> (u64, u64) {
        (self.tally.inspected, self.tally.found)
    }
}

/// An inspection of which a part counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    pub(super) facts: InspectionFacts,
    /// Share of what it found that counts: 1, or what came since a day.
    pub(super) counts: f64,
}

/// The share of failures reported over all that was looked at.
pub(super) fn of_all<'a>(tallies: impl IntoIterator<Item = &'a AtUnit>) -> Option<ReportingFraction> {
    let mut all = Tally::default();
    tallies.into_iter().for_each(|at| all.add(&at.tally));
    all.fraction()
}

/// The inspections of a part for a mode held against its reports, unit by unit.
pub(super) fn at_units(
    field: &Field,
    seen: &Seen,
    service: &Service,
    looks: &[InspectionFacts],
) -> Vec<AtUnit> {
    let looks: Vec<Look> = looks.iter().map(|&facts| Look { facts, counts: 1.0 }).collect();
    at_units_since(field, seen, service, &looks, Day(i32::MIN))
}

/// The same against the reports of failures found from a day on alone. All inspections are of one part and mode, by unit.
pub(super) fn at_units_since(
    field: &Field,
    seen: &Seen,
    service: &Service,
    looks: &[Look],
    since: Day,
) -> Vec<AtUnit> {
    let Some(Look { facts: first, .. }) = looks.first() else { return Vec::new() };
    // Sorted by unit once, so that each unit goes through its own reports alone.
    let of_mode = seen.of_mode(first.part, first.mode).iter();
    let mut reports: Vec<(UnitId, ReportId)> = of_mode
        .map(|&id| (field.reports[id].unit, id))
        .filter(|&(_, id)| comparable(&field.reports[id]) && field.reports[id].found_on >= since)
        .collect();
    reports.sort_unstable();
    let units = looks.chunk_by(|a, b| a.facts.unit == b.facts.unit);
    units
        .map(|looks| {
            let unit = looks[0].facts.unit;
            let from = reports.partition_point(|report| report.0 < unit);
            let here = reports[from..].partition_point(|report| report.0 == unit);
            AtUnit { unit, tally: Tally::new(field, seen, service, looks, &reports[from..from + here]) }
        })
        .collect()
}

/// Standard deviation of the logarithm of a share reported before anything is seen, about 1: a half is nothing unusual.
const SHARES_DIFFER: f64 = 0.8;

/// The share of a mode's failures that is reported, for what leans on it without showing it: drawn towards all of them as far
/// as few inspections leave it open.
pub(super) fn share_reported(of_mode: &[AtUnit]) -> f64 {
    let Some(share) = of_all(of_mode) else { return 1.0 };
    // Limits of 95 % on a logarithm lie 3.92 standard deviations apart.
    let own = (3.92 / (share.high / share.low.max(1e-6)).ln()).powi(2);
    let before = (SHARES_DIFFER * SHARES_DIFFER).recip();
    (own / (own + before) * share.estimate.ln()).exp()
}

/// Sums over inspections and the reports held against them; sums of sums are sums.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    inspections: u32,
    inspected: u64,
    found: u64,
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
    fn new(
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

    fn add(&mut self, other: &Self) {
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
    fn fraction(&self) -> Option<ReportingFraction> {
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
