//! The reporting fraction: what inspections find held against what was reported unasked.
//!
//! An inspection of `n` of the `N` items at a unit that finds `k` says that about `N k / n` of them show the mode. Held
//! against it are the items that reports of that unit up to that day tell of and that can still be there: not exchanged,
//! withdrawn, lost or kept as an exhibit, and thinned by the rate at which items leave. A repaired item is held to show the
//! mode still: a repair is seen. Where repaired items are passed as whole, too few are found for the reports, and the share
//! comes out as all, without limits. Reports called for by a notice, failures found on unpacking and what an inspection on
//! record found itself are no sign of willingness and are left out. Inspections are added up with weights `N / n`, so that
//! a large unit counts for what it holds. Without an inspection nothing can be known.
//!
//! The same holds from a day on: of what an inspection finds only the part that came since is held against the reports
//! since.

mod tally;

use rayon::prelude::*;
use rustc_hash::FxHashMap;
use stats::Interval;
use stats::product::{Estimate, quotient};

use self::tally::Tally;
use super::rate::Rate;
use super::seen::{Seen, comparable};
use super::service::Service;
use crate::field::{Day, Field, InspectionFacts, ReportFacts, ReportId, UnitId};
use crate::report::FoundWhen;

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

/// A rate corrected for what is not reported, from the reports that came unasked; to be shown beside the reported one, never
/// instead.
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
    /// The rate of failures, reported or not, from that of those reported unasked. The two uncertainties are taken as
    /// independent on the logarithm, which is on the safe side: reports stand in both. `None` without such a report.
    pub fn corrected(&self, rate: Rate) -> Option<CorrectedRate> {
        if rate.occasions == 0 {
            return None;
        }
        let told = Estimate { value: rate.estimate, interval: Interval { low: rate.low, high: rate.high } };
        let Estimate { value, interval } = quotient(told, self.estimate()).ok()?;
        Some(CorrectedRate { estimate: value, low: interval.low, high: interval.high })
    }

    /// With its limits, for arithmetic.
    pub(super) const fn estimate(&self) -> Estimate {
        Estimate { value: self.estimate, interval: Interval { low: self.low, high: self.high } }
    }
}

/// What inspections say of reporting.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reporting {
    /// Over all units and modes; `None` without an inspection.
    pub all: Option<ReportingFraction>,
    /// Each unit that inspected, over all modes.
    pub units: Vec<(UnitId, ReportingFraction)>,
}

impl Reporting {
    /// From what each mode's inspections gave, unit by unit.
    pub(super) fn new<'a>(of_modes: impl Iterator<Item = &'a [AtUnit]>) -> Self {
        let mut all = Tally::default();
        let mut units: FxHashMap<UnitId, Tally> = FxHashMap::default();
        for AtUnit { unit, tally } in of_modes.flatten() {
            all.add(tally);
            units.entry(*unit).or_default().add(tally);
        }
        let mut units: Vec<_> = units.into_par_iter().filter_map(|(u, t)| Some((u, t.fraction()?))).collect();
        units.sort_unstable_by_key(|(unit, _)| *unit);
        Self { all: all.fraction(), units }
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

/// What an inspection found is written up within so many days of it. Common practice, no source.
const WRITTEN_UP_WITHIN: i32 = 14;

/// Whether a report tells of what an inspection on record found, which counts it already; the inspections are of its part and
/// mode.
fn is_written_up(looks: &[InspectionFacts], report: &ReportFacts) -> bool {
    let days = |look: &InspectionFacts| report.found_on.0 - look.day.0;
    let found = |look: &InspectionFacts| {
        look.unit == report.unit && look.found > 0 && (0..=WRITTEN_UP_WITHIN).contains(&days(look))
    };
    report.found_when == Some(FoundWhen::Inspection) && looks.iter().any(found)
}

/// Whether a report came of its unit's own accord: the rate of these, by the share of failures that do, is that of all failures.
pub(super) fn unasked(looks: &[InspectionFacts], report: &ReportFacts) -> bool {
    comparable(report) && !is_written_up(looks, report)
}

/// An inspection of which a part counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    pub(super) facts: InspectionFacts,
    /// Share of what it found that counts: 1, or what came since a day.
    pub(super) counts: f64,
}

/// The share of failures reported over all that was looked at; `None` where nothing was.
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
pub(super) fn share_reported(of_mode: Option<ReportingFraction>) -> f64 {
    let Some(share) = of_mode else { return 1.0 };
    // Limits of 95 % on a logarithm lie 3.92 standard deviations apart.
    let own = ((share.high / share.low.max(1e-6)).ln() / 3.92).powi(2);
    let before = SHARES_DIFFER * SHARES_DIFFER;
    // Weighed by precision; written in variances, since limits that have closed up leave none of their own.
    (before / (own + before) * share.estimate.ln()).exp()
}
