//! The reports of one recurrence that may be compared, each with its lot and the age of the failed part there.

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
    may.map(|Row { report, resolved }| Compared {
        report,
        lot: resolved.lot,
        guessed: resolved.how.is_guess(),
        part: resolved.lot.map_or(OwnPart::AsMade, |lot| exposure.part_in(report, lot)),
        band: resolved.lot.and_then(|lot| ages.band_of(report, lot)),
    })
    .collect()
}
