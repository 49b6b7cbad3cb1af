//! Flags: which of everything looked at stands out, and which of that something else explains.

use std::collections::HashMap;
use std::sync::PoisonError;

use rayon::prelude::*;

use super::Recurrence;
use super::compared::compared;
use super::concentration::Concentration;
use super::explain::explain;
use super::factor::FactorLevel;
use super::levels::Levels;
use super::lot_lines::FALSE_FLAGS;
use super::part_exposure::PartExposure;
use super::recurrences::Found;
use super::scanned::{Prior, Scanned};
use super::seen::Seen;
use super::tally::Tally;
use super::unit_ratios::UnitRatios;
use super::window::Window;
use crate::field::{Field, LotId};
use crate::ledger::Ledger;

/// Levels of one factor kept in a recurrence beside the flagged ones.
const KEPT_BY_FACTOR: usize = 25;

/// Flags lots and levels by the three rules: enough reports, a ratio worth it, and a false-discovery rate held over
/// everything looked at, all recurrences, factors and levels together, with reports and without.
///
/// The recurrences are those of `found`, in its order.
pub(super) fn flag(found: &[&Found], recurrences: &mut [Recurrence]) {
    let mut scanned = Scanned::default();
    for found in found {
        scanned.add_all(&found.scanned);
    }
    let mut evidence: Vec<(Prior, f64)> = Vec::new();
    for recurrence in recurrences.iter() {
        let lines = recurrence.lots.iter().filter(|line| line.may_be_flagged());
        let levels = recurrence.concentrations.iter().flatten().filter(|c| may_be_flagged(c));
        let of_lines = lines.map(|line| (Prior::Other, line.evidence));
        evidence.extend(of_lines.chain(levels.map(|c| (Prior::of(c.level), c.evidence))));
    }
    let mut false_share = scanned.false_share(&evidence).into_iter();
    let mut is_flagged = |may_be: bool| may_be && false_share.next().unwrap_or(1.0) <= FALSE_FLAGS;
    for recurrence in recurrences.iter_mut() {
        for line in &mut recurrence.lots {
            line.flagged = is_flagged(line.may_be_flagged());
        }
        let lines: HashMap<LotId, bool> =
            recurrence.lots.iter().map(|line| (line.lot, line.flagged)).collect();
        for found in recurrence.concentrations.iter_mut().flatten() {
            found.flagged = match found.level {
                FactorLevel::ItemLot(lot) => lines[&lot],
                _ => is_flagged(may_be_flagged(found)),
            };
        }
        recurrence.lots.sort_by(|a, b| {
            let worse = |l: &super::LotLine| l.probability_worse.unwrap_or(-1.0);
            b.flagged
                .cmp(&a.flagged)
                .then(worse(b).total_cmp(&worse(a)))
                .then(b.reports.cmp(&a.reports))
                .then(a.lot.cmp(&b.lot))
        });
    }
}

/// Says what explains what is flagged, and puts the levels in their order. The recurrences are those of `found`, in its order.
pub(super) fn explain_flags(
    field: &Field,
    ledger: &Ledger,
    (seen, unit_ratios, window): (&Seen, &UnitRatios, Window),
    found: &[&Found],
    recurrences: &mut [Recurrence],
) {
    let mut pairs: Vec<(&Found, &mut Recurrence)> = found.iter().copied().zip(recurrences).collect();
    pairs
        .par_chunk_by_mut(|a, b| a.1.part == b.1.part)
        .for_each(|of_part| explain_part(field, ledger, (seen, unit_ratios, window), of_part));
}

/// Says what explains what is flagged in the recurrences of one part.
fn explain_part(
    field: &Field,
    ledger: &Ledger,
    (seen, unit_ratios, window): (&Seen, &UnitRatios, Window),
    of_part: &mut [(&Found, &mut Recurrence)],
) {
    let mut books: Option<(PartExposure<'_>, Levels)> = None;
    for (found, recurrence) in of_part {
        let Some(mut all) = recurrence.concentrations.take() else { continue };
        let flagged: Vec<FactorLevel> = all.iter().filter(|c| c.flagged).map(|c| c.level).collect();
        if !flagged.is_empty() {
            let mut known = found.explained.lock().unwrap_or_else(PoisonError::into_inner);
            if flagged.len() == 1 {
                // Alone it is explained by nothing.
                *known = Some((flagged, vec![None]));
            } else if known.as_ref().is_none_or(|(of, _)| *of != flagged) {
                let (exposure, levels) = books.get_or_insert_with(|| {
                    let exposure = PartExposure::new(field, ledger, recurrence.part, window);
                    let levels = Levels::new(field, &exposure);
                    (exposure, levels)
                });
                let rows = seen.rows(field, &recurrence.report_ids);
                let compared = compared(exposure, &rows);
                let tally = Tally::new(field, exposure, levels, unit_ratios, &compared);
                explain(field, exposure, levels, &tally, &mut all);
                let by = all.iter().filter(|c| c.flagged).map(|c| c.explained_by).collect();
                *known = Some((flagged, by));
            }
            let by = known.iter().flat_map(|(_, by)| by);
            all.iter_mut().filter(|c| c.flagged).zip(by).for_each(|(c, by)| c.explained_by = *by);
        }
        recurrence.concentrations = Some(worst_first(all));
    }
}

/// Whether a level may be flagged that is no item lot; a level too small for a flag has no evidence.
fn may_be_flagged(found: &Concentration) -> bool {
    !matches!(found.level, FactorLevel::ItemLot(_)) && found.evidence > 0.0
}

/// Flagged ones first, causes before what they explain; then by how probable it is that they are worse, so many a factor
/// beside the flagged ones.
fn worst_first(mut found: Vec<Concentration>) -> Vec<Concentration> {
    found.sort_by(|a, b| {
        b.flagged
            .cmp(&a.flagged)
            .then(a.explained_by.is_some().cmp(&b.explained_by.is_some()))
            .then(b.probability_worse.total_cmp(&a.probability_worse))
            .then(b.reports.cmp(&a.reports))
            .then(a.level.cmp(&b.level))
    });
    let mut kept: HashMap<&str, usize> = HashMap::new();
    found.retain(|c| {
        if c.flagged {
            return true;
        }
        let so_far = kept.entry(c.level.factor()).or_default();
        *so_far += 1;
        *so_far <= KEPT_BY_FACTOR
    });
    found.shrink_to_fit();
    found
}
