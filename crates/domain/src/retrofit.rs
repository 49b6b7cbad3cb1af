//! Ways to bring a change to items already issued, side by side: failures avoided, items touched, grams, cost, time.

mod compare;
mod costs;
mod fleet;

use std::fmt;

pub use compare::compare;
pub use costs::Costs;
pub use fleet::FULL;

use stats::forecast::Use;

use crate::change_record::Retrofit;

/// Months a recall of all is taken to last where nobody has said so.
pub const DEFAULT_RECALL_MONTHS: f64 = 12.0;

/// How far ahead the options are compared, in months.
pub const MONTHS: u32 = 36;

/// What the options are compared on: the fleet without the change, and what is known of its failures.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Use of the old design so far, by the part's age in years.
    pub past: Vec<Use>,
    /// Failures seen in it.
    pub failures: u32,
    /// The power of age that failures follow; 1 is a steady rate.
    pub shape: f64,
    /// Variance of its logarithm.
    pub variance_of_log_shape: f64,
    /// Items in service without the change, by the age of their part in years.
    pub ages: Vec<(f64, f64)>,
    /// Old items in store.
    pub in_store: f64,
    /// Share of items in service that leave for good in a year.
    pub leaving_per_year: f64,
    /// Share of items in service that come back in a year for whatever reason.
    pub returning_per_year: f64,
    /// Months from now to the first lot built to the change.
    pub months_to_cut_in: u32,
    /// Months looked at.
    pub months: u32,
    /// Grams an item gains, over the tariff.
    pub delta_g: Option<f64>,
}

impl Ground {
    /// Items in service without the change.
    pub fn fleet(&self) -> f64 {
        self.ages.iter().map(|(_, items)| items).sum()
    }
}

/// A number of failures with 90 % bounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// By the best estimates.
    pub best: f64,
    /// 5 % bound.
    pub low: f64,
    /// 95 % bound.
    pub high: f64,
}

/// What one option comes to within the months looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The option.
    pub option: Retrofit,
    /// Failures avoided against doing nothing.
    pub avoided: Bounds,
    /// Failures that are left.
    pub left: Bounds,
    /// Issued items converted.
    pub converted: f64,
    /// Unissued old items set aside.
    pub set_aside: f64,
    /// New items issued to the change.
    pub issued: f64,
    /// Grams the fleet gains by the end; `None` where sizes were not weighed.
    pub grams: Option<f64>,
    /// What it costs; `None` where a unit cost that it needs was not said.
    pub cost: Option<f64>,
    /// Share of the fleet with the change at the end of each month.
    pub reach: Vec<f64>,
    /// Months until [`FULL`] of the fleet has it; `None` where that takes longer than is followed.
    pub full_after_months: Option<u32>,
}

/// Why nothing is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoComparison {
    /// No item in service is known to be without the change.
    NobodyWithout,
    /// No use of the old design is on record.
    NoUse,
}

impl fmt::Display for NoComparison {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NobodyWithout => "no item in service is on record without the change",
            Self::NoUse => "no use of the design before is on record to set its failures against",
        })
    }
}
