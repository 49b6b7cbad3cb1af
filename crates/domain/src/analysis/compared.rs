//! The reports of one recurrence that may be compared, each with its lot and the age of the failed part there.

use super::part_exposure::PartExposure;
use super::seen::{Seen, comparable};
use crate::field::{Field, LotId, ReportId};

/// A report that may be compared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Compared {
    pub(super) id: ReportId,
    /// Its lot, where known.
    pub(super) lot: Option<LotId>,
    /// Whether that is guessed from a misread label.
    pub(super) guessed: bool,
    /// The age band of the failed part, for a lot that was in service.
    pub(super) band: Option<usize>,
}

/// Of some reports those that may be compared, in their order.
pub(super) fn compared(
    field: &Field,
    exposure: &PartExposure<'_>,
    seen: &Seen,
    reports: &[ReportId],
) -> Vec<Compared> {
    let may = reports.iter().filter(|&&id| comparable(&field.reports[id]));
    may.map(|&id| {
        let resolved = seen.lot(id);
        Compared {
            id,
            lot: resolved.lot,
            guessed: resolved.how.is_guess(),
            band: resolved.lot.and_then(|lot| exposure.band_of(&field.reports[id], lot)),
        }
    })
    .collect()
}
