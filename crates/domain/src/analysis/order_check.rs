//! Whether results hang on the convention that movements take the oldest items first.

use std::collections::HashMap;

use super::benefit::changes;
use super::compared::compared;
use super::lot_lines::lot_table;
use super::part_exposure::PartExposure;
use super::proof::Proof;
use super::seen::Seen;
use super::{ChangeResult, Recurrence};
use crate::field::{Field, PartId};
use crate::ledger::Ledger;

/// Marks flagged lots and verdicts with whether they hold when the newest items are taken first.
///
/// A flag holds when the lot still passes the rules with a p-value no larger than the largest that was flagged: the
/// lots that were not flagged are not gone through again, so the false-discovery bound is that of the first pass.
pub(super) fn check_order(
    field: &Field,
    newest_first: &Ledger,
    seen: &Seen,
    recurrences: &mut [Recurrence],
    results: &mut [ChangeResult],
) {
    let flagged = || recurrences.iter().flat_map(|r| &r.lots).filter(|line| line.flagged);
    let largest = flagged().map(|line| line.p_value).fold(0.0, f64::max);
    let mut exposures: HashMap<PartId, PartExposure<'_>> = HashMap::new();
    for recurrence in recurrences.iter_mut().filter(|r| r.lots.iter().any(|line| line.flagged)) {
        let part = recurrence.part;
        let exposure = exposures.entry(part).or_insert_with(|| PartExposure::new(field, newest_first, part));
        let table = lot_table(field, exposure, &compared(field, exposure, seen, &recurrence.report_ids));
        for line in recurrence.lots.iter_mut().filter(|line| line.flagged) {
            let again = table.lines.iter().find(|other| other.lot == line.lot);
            line.holds_newest_first =
                Some(again.is_some_and(|again| again.may_be_flagged() && again.p_value <= largest));
        }
    }
    if results.iter().any(|result| result.proof.is_some()) {
        for (result, again) in results.iter_mut().zip(changes(field, newest_first, seen)) {
            let verdict = |proof: Option<Proof>| proof.map(|proof| proof.verdict);
            result.holds_newest_first = result.proof.map(|_| verdict(result.proof) == verdict(again.proof));
        }
    }
}
