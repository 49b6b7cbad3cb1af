//! Pilot and trial lots of the part as it is after a change: on neither side of the proof, and the first to tell of it.

use super::holders::Holders;
use super::part_exposure::PartExposure;
use super::placed::Placed;
use super::proof::shared;
use super::side::Side;
use super::two_sides::TwoSides;
use super::window::Window;
use crate::field::{ChangeFacts, Field, LotId, Table};
use crate::ledger::Ledger;
use crate::lot::LotPurpose;

/// What pilot and trial lots came to against the old design.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pilots {
    /// Their failures of the modes concerned, with a read label, at ages that the old design has reached too.
    pub failures: u64,
    /// Item-years of all of them, with failures or without, at such ages.
    pub item_years: f64,
    /// Failures expected in these at the rates by age of items before the change.
    pub expected: f64,
}

impl Pilots {
    /// From the failures of the modes concerned; `None` where none was in service, or none at an age that the old design has
    /// reached.
    pub(super) fn new<'a>(
        field: &Field,
        ledger: &Ledger,
        (change, window): (&ChangeFacts, Window),
        before: impl FnOnce() -> PartExposure<'a>,
        failures: &[Placed],
    ) -> Option<Self> {
        let lots = lots(field, change);
        if !lots.rows().contains(&true) {
            return None;
        }
        // Where the part was replaced since, the new one is on a side of its own.
        let own = PartExposure::within(ledger, change.part, window, |spell| {
            spell.lot().is_some_and(|lot| lots[lot]) && ledger.clocks.of(spell.clocks, change.part).is_none()
        });
        let mut both = TwoSides::new(field.units.len(), [before(), own]);
        for one in failures {
            let Some(band) = one.band else { continue };
            if one.is_on(Side::Before) {
                both.add_failure(Side::Before, one.unit, band);
            } else if one.is_on(Side::Neither) && one.lot.is_some_and(|lot| lots[lot]) {
                both.add_failure(Side::After, one.unit, band);
            }
        }
        let rows = shared(&both.strata());
        let expected = rows.iter().map(|s| s.before_count as f64 / s.before_exposure * s.after_exposure);
        (!rows.is_empty()).then(|| Self {
            failures: rows.iter().map(|s| s.after_count).sum(),
            item_years: rows.iter().map(|s| s.after_exposure).sum(),
            expected: expected.sum(),
        })
    }
}

/// Which lots are pilot or trial lots whose revision has the part as it is after the change.
fn lots(field: &Field, change: &ChangeFacts) -> Table<LotId, bool> {
    let mut lots = Holders::of_revision(field, change.to).lots(field);
    for (lot, facts) in field.lots.iter() {
        lots[lot] &= matches!(facts.purpose, LotPurpose::Pilot | LotPurpose::Trial);
    }
    lots
}
