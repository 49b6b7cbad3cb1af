//! The data pack: its tables in order of dependency, and what a row must name that exists already.
//!
//! Reading and writing files is not done here. A reader turns a row into a noun, asks [`Record::check_row`] and
//! [`Record::check_references`], and lets good rows [`Record::learn`] their keys, so that later tables can name them.

mod known;
mod record;
mod used_up;

pub use known::Known;
pub(crate) use record::not_future;
pub use record::{KeyHasher, Record};

use crate::words::words;

words! {
    /// The tables of a pack, each after those whose rows it names.
    pub enum Table {
        /// Modes of failure that the shipped catalogue lacks.
        Modes = "modes",
        /// Who holds, wears, stores and repairs items.
        Units = "units",
        /// How much units wear their items.
        Use = "use",
        /// Parts in their released revisions.
        Parts = "parts",
        /// The tariff.
        Sizes = "sizes",
        /// What parts are made up of.
        Structure = "structure",
        /// Masses of specimens.
        Weighings = "weighings",
        /// Lots.
        Lots = "lots",
        /// What lots were made from.
        LotUses = "lot_uses",
        /// Items known by number.
        Serials = "serials",
        /// The ledger.
        Movements = "movements",
        /// Counts with a denominator.
        Inspections = "inspections",
        /// Washes, repairs, replacements, alterations, tests of function.
        Events = "events",
        /// Spare parts drawn.
        Demand = "demand",
        /// Failure reports.
        Reports = "reports",
        /// Specimens measured in a laboratory.
        BenchTests = "bench_tests",
        /// What an item must hold.
        Requirements = "requirements",
        /// Body dimensions a size is made for.
        FitRanges = "fit_ranges",
        /// The measured population.
        People = "people",
        /// Engineering changes.
        Changes = "changes",
        /// Where changes take effect.
        Effectivity = "effectivity",
    }
}

impl Table {
    /// The name of the table's file in a pack.
    pub fn file(self) -> String {
        format!("{}.csv", self.word())
    }

    /// Whether what its rows say goes on under the same key: reports and changes in the program, the descriptions of modes,
    /// units and parts wherever they are kept. A pack that says otherwise is then older or newer than the books, and no slip.
    /// Every other row is a fact written once: under its key there can't be a second one.
    pub const fn goes_on(self) -> bool {
        matches!(self, Self::Modes | Self::Units | Self::Parts | Self::Reports | Self::Changes)
    }
}
