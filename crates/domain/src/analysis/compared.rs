//! The reports of one recurrence that may be compared, each with its lot and the age of the failed part there.

use std::collections::BTreeMap;

use super::part_exposure::PartExposure;
use super::seen::{Row, comparable};
use crate::field::{LotId, ReportFacts};
use crate::ledger::OwnPart;

/// A report that may be compared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Compared<'r> {
    pub(super) report: &'r ReportFacts,
    /// Its lot, where known.
    pub(super) lot: Option<LotId>,
    /// Whether that is guessed from a misread label.
    pub(super) guessed: bool,
    /// Which one of the part failed.
    pub(super) part: OwnPart,
    /// The age band of the failed part, for a lot that was in service.
    pub(super) band: Option<usize>,
}

/// Of some reports those that may be compared, in their order.
pub(super) fn compared<'r>(exposure: &PartExposure<'_>, rows: &'r [Row]) -> Vec<Compared<'r>> {
    let ages = exposure.failed_ages();
    let may = rows.iter().filter(|row| comparable(&row.report) && exposure.compares(row.report.found_on));
    let one = |Row { report, resolved }: &'r Row| Compared {
        report,
        lot: resolved.lot,
        guessed: resolved.how.is_guess(),
        part: OwnPart::AsMade,
        band: resolved.lot.and_then(|lot| ages.band_of(report, lot)),
    };
    let mut found: Vec<Compared<'r>> = may.map(one).collect();
    share_out(exposure, &mut found);
    found
}

/// Says which one of the part failed where a lot's items have several. What no number tells goes, day by day, to the one that is
/// furthest behind its share of the items that were there.
fn share_out(exposure: &PartExposure<'_>, found: &mut [Compared<'_>]) {
    let in_split = |one: &Compared<'_>| one.lot.filter(|&lot| exposure.is_split(lot));
    let mut split: Vec<(LotId, usize)> =
        found.iter().enumerate().filter_map(|(at, one)| Some((in_split(one)?, at))).collect();
    split.sort_by_key(|&(lot, at)| (lot, found[at].report.found_on, found[at].report.received_on));
    for of_lot in split.chunk_by(|a, b| a.0 == b.0) {
        let mut behind: BTreeMap<OwnPart, f64> = BTreeMap::new();
        for &(lot, at) in of_lot {
            let there = exposure.parts_there(found[at].report, lot);
            for &(part, share) in &there {
                *behind.entry(part).or_default() += share;
            }
            let furthest = there.iter().map(|there| there.0).max_by(|a, b| behind[a].total_cmp(&behind[b]));
            if let Some(part) = furthest {
                *behind.entry(part).or_default() -= 1.0;
                found[at].part = part;
            }
        }
    }
}
