//! Whether results hang on the convention that movements take the oldest items first.

use rayon::prelude::*;

use super::Recurrence;
use super::compared::compared;
use super::ground::Ground;
use super::levels::Levels;
use super::lot_lines::lot_table;
use super::part_exposure::PartExposure;
use super::recurrences::Found;
use super::seen::Seen;
use super::tally::Tally;
use super::unit_ratios::UnitRatios;
use super::window::Window;
use crate::field::Field;

/// Works out the lots of some recurrences when movements take the newest items first, and keeps them in each; those that
/// have them are left.
pub(super) fn newest_first(
    field: &Field,
    ground: &Ground,
    (seen, unit_ratios, window): (&Seen, &UnitRatios, Window),
    found: &[&Found],
) {
    found.par_chunk_by(|a, b| a.recurrence.part == b.recurrence.part).for_each(|of_part| {
        let mut exposure: Option<PartExposure<'_>> = None;
        for Found { recurrence, newest_first, .. } in of_part {
            newest_first.get_or_init(|| {
                let exposure = exposure.get_or_insert_with(|| {
                    PartExposure::new(field, &ground.newest_first, recurrence.part, window)
                });
                let rows = seen.rows(field, &recurrence.report_ids);
                let compared = compared(exposure, &rows);
                let levels = Levels::new(field, exposure);
                let tally = Tally::new(field, exposure, &levels, unit_ratios, &compared);
                let lines = lot_table(field, exposure, (&levels, &tally), &compared).lines;
                lines.iter().map(|line| (line.lot, line.may_be_flagged(), line.evidence)).collect()
            });
        }
    });
}

/// Marks flagged lots with whether they hold when the newest items are taken first, as [`newest_first`] found. The
/// recurrences are those of `found`, in its order.
///
/// A flag holds when the lot still passes the rules with no less evidence than the weakest that was flagged: the
/// lots that were not flagged are not gone through again, so the false-discovery bound is that of the first pass.
pub(super) fn check_order(found: &[&Found], recurrences: &mut [Recurrence]) {
    let flagged = || recurrences.iter().flat_map(|r| &r.lots).filter(|line| line.flagged);
    let weakest = flagged().map(|line| line.evidence).fold(f64::INFINITY, f64::min);
    for (found, recurrence) in found.iter().zip(recurrences) {
        let again = || found.newest_first.get().into_iter().flatten();
        for line in recurrence.lots.iter_mut().filter(|line| line.flagged) {
            let again = again().find(|other| other.0 == line.lot);
            line.holds_newest_first =
                Some(again.is_some_and(|&(_, may_be, evidence)| may_be && evidence >= weakest));
        }
    }
}
