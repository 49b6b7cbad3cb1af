//! The age at which a part failed, from what the books say of the items it can have been in.

use crate::field::{Day, LotId, PartId, ReportFacts};
use crate::ledger::{AGE_BANDS, Books, Ledger, Spell, age_band};

/// The ages of one part.
#[derive(Clone, Copy)]
pub(super) struct FailedAges<'a> {
    pub(super) ledger: &'a Ledger,
    pub(super) part: PartId,
}

impl FailedAges<'_> {
    /// The age band of the failed part: that of an item known by number; else the median age of the lot's items at the unit on
    /// the day it was found; where none was on record there, of those last there; then of the lot anywhere. `None` for a lot
    /// that was never in service.
    pub(super) fn band_of(&self, report: &ReportFacts, lot: LotId) -> Option<usize> {
        if let Some(age) = self.ledger.own_age_days(report, self.part) {
            return Some(age_band(age));
        }
        self.median_band(self.ledger.of_lot_at(lot, report.unit), report.found_on)
            .or_else(|| self.median_band(self.ledger.of_lot(lot), report.found_on))
    }

    /// The band of the median age, which is the median of the bands.
    fn median_band(&self, spells: &[Spell], day: Day) -> Option<usize> {
        let band = |spell: &Spell, on: Day| {
            age_band(self.ledger.part_age_days(spell, self.part) + (on.0 - spell.from.0))
        };
        let spells = || spells.iter().filter(|s| s.books.has(Books::BEST));
        // Those there when the day began, for what failed on it may have left or been mended by its end; else those of the day.
        let (mut before, mut on_day) = ([0u64; AGE_BANDS.len()], [0u64; AGE_BANDS.len()]);
        for spell in spells().filter(|spell| spell.from <= day && day <= spell.to) {
            let there = if spell.from < day { &mut before } else { &mut on_day };
            there[band(spell, day)] += u64::from(spell.quantity);
        }
        let some = |items: &[u64; AGE_BANDS.len()]| items.iter().any(|&n| n > 0);
        let Some(there) = [before, on_day].into_iter().find(some) else {
            // Reported after the last had left, or before the first came: the nearest in time.
            let gone = spells().filter(|s| s.to < day).max_by_key(|s| s.to);
            return gone
                .map(|s| band(s, s.to))
                .or_else(|| spells().min_by_key(|s| s.from).map(|s| band(s, s.from)));
        };
        let total: u64 = there.iter().sum();
        let mut passed = 0;
        there.iter().position(|&n| {
            passed += n;
            2 * passed >= total
        })
    }
}
