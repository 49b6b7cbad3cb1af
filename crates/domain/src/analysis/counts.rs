//! What was counted on both sides of a change: every figure of failures before and after follows from this alone.

use stats::stratified::Stratum;

use super::proof::{Proof, RATIO_WORTH_HAVING, proof};
use super::rate::Rate;
use super::reach::{Reach, WhileWaiting};

/// Chargeable occasions in some item-years.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Occasions {
    /// Occasions; a report of several items is one.
    pub occasions: u64,
    /// Item-years.
    pub item_years: f64,
}

/// A lot built partly to a change.
#[derive(Clone, Debug, PartialEq)]
pub struct MixedShare {
    /// Its number.
    pub lot_no: String,
    /// The share built to the change.
    pub share: f64,
    /// Its item-years.
    pub item_years: f64,
}

/// What was counted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChangeCounts {
    /// Of items before the change.
    pub before: Occasions,
    /// Of items built to it.
    pub after: Occasions,
    /// Both sides by age band ([`crate::ledger::AGE_BANDS`]), over the days whose reports have arrived.
    pub by_age: Vec<Stratum>,
    /// Variance of the logarithm of their ratio over that by chance alone, above 1; `None` where units scatter no more than by
    /// chance.
    pub scatter: Option<f64>,
    /// Lots on neither side.
    pub mixed: Vec<MixedShare>,
    /// Failures of these lots.
    pub mixed_failures: u64,
    /// Failures whose side neither a label nor another record tells.
    pub unread: u64,
    /// Items in service by what they have of the change.
    pub reach: Reach,
    /// New items with the part, old or new, issued in the last year.
    pub issued_last_year: u64,
}

impl ChangeCounts {
    /// Failure rate of items before the change.
    pub fn rate_before(&self) -> Option<Rate> {
        Rate::new(self.before.occasions, self.before.item_years)
    }

    /// Failure rate of items built to it.
    pub fn rate_after(&self) -> Option<Rate> {
        Rate::new(self.after.occasions, self.after.item_years)
    }

    /// The comparison at equal age; `None` where one side has no exposure.
    pub fn proof(&self) -> Option<Proof> {
        proof(&self.by_age, self.scatter.unwrap_or(1.0), RATIO_WORTH_HAVING)
    }

    /// What waiting costs; `None` where the rate before isn't known.
    pub fn while_waiting(&self) -> Option<WhileWaiting> {
        self.reach.while_waiting(self.rate_before())
    }

    /// Failures expected of the lots built partly to the change, from the rates of both sides and their shares; `None`
    /// where a side has no rate.
    pub fn mixed_expected(&self) -> Option<f64> {
        let (before, after) = (self.rate_before()?, self.rate_after()?);
        let of = |lot: &MixedShare| {
            let per_1000 = (1.0 - lot.share) * before.estimate + lot.share * after.estimate;
            lot.item_years / 1000.0 * per_1000
        };
        Some(self.mixed.iter().map(of).sum())
    }
}
