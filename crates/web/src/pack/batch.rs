//! Rows of one table, whichever it is: what a reader of packs hands on.

use domain::bench_test::BenchTest;
use domain::catalogue::Mode;
use domain::change::Change;
use domain::demand::Demand;
use domain::effectivity::Effectivity;
use domain::event::Event;
use domain::fit::FitRange;
use domain::inspection::Inspection;
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::Movement;
use domain::pack::Table;
use domain::part::PartRevision;
use domain::person::Person;
use domain::report::Report;
use domain::requirement::Requirement;
use domain::serial::Serial;
use domain::size_share::SizeShare;
use domain::structure::Component;
use domain::unit::Unit;
use domain::use_pattern::UsePattern;
use domain::weighing::Weighing;

/// Rows of one table, in the order of the file.
#[derive(Clone, Debug, PartialEq)]
pub enum Batch {
    /// Rows of `modes.csv`.
    Modes(Vec<Mode>),
    /// Rows of `units.csv`.
    Units(Vec<Unit>),
    /// Rows of `use.csv`.
    Use(Vec<UsePattern>),
    /// Rows of `parts.csv`.
    Parts(Vec<PartRevision>),
    /// Rows of `sizes.csv`.
    Sizes(Vec<SizeShare>),
    /// Rows of `structure.csv`.
    Structure(Vec<Component>),
    /// Rows of `weighings.csv`.
    Weighings(Vec<Weighing>),
    /// Rows of `lots.csv`.
    Lots(Vec<Lot>),
    /// Rows of `lot_uses.csv`.
    LotUses(Vec<LotUse>),
    /// Rows of `serials.csv`.
    Serials(Vec<Serial>),
    /// Rows of `movements.csv`.
    Movements(Vec<Movement>),
    /// Rows of `inspections.csv`.
    Inspections(Vec<Inspection>),
    /// Rows of `events.csv`.
    Events(Vec<Event>),
    /// Rows of `demand.csv`.
    Demand(Vec<Demand>),
    /// Rows of `reports.csv`.
    Reports(Vec<Report>),
    /// Rows of `bench_tests.csv`.
    BenchTests(Vec<BenchTest>),
    /// Rows of `requirements.csv`.
    Requirements(Vec<Requirement>),
    /// Rows of `fit_ranges.csv`.
    FitRanges(Vec<FitRange>),
    /// Rows of `people.csv`.
    People(Vec<Person>),
    /// Rows of `changes.csv`.
    Changes(Vec<Change>),
    /// Rows of `effectivity.csv`.
    Effectivity(Vec<Effectivity>),
}

/// Calls one generic function for the noun of a table.
macro_rules! for_table {
    ($table:expr, $call:ident :: < _ > $arguments:tt) => {{
        use domain::pack::Table;
        match $table {
            Table::Modes => $call::<domain::catalogue::Mode> $arguments,
            Table::Units => $call::<domain::unit::Unit> $arguments,
            Table::Use => $call::<domain::use_pattern::UsePattern> $arguments,
            Table::Parts => $call::<domain::part::PartRevision> $arguments,
            Table::Sizes => $call::<domain::size_share::SizeShare> $arguments,
            Table::Structure => $call::<domain::structure::Component> $arguments,
            Table::Weighings => $call::<domain::weighing::Weighing> $arguments,
            Table::Lots => $call::<domain::lot::Lot> $arguments,
            Table::LotUses => $call::<domain::lot_use::LotUse> $arguments,
            Table::Serials => $call::<domain::serial::Serial> $arguments,
            Table::Movements => $call::<domain::movement::Movement> $arguments,
            Table::Inspections => $call::<domain::inspection::Inspection> $arguments,
            Table::Events => $call::<domain::event::Event> $arguments,
            Table::Demand => $call::<domain::demand::Demand> $arguments,
            Table::Reports => $call::<domain::report::Report> $arguments,
            Table::BenchTests => $call::<domain::bench_test::BenchTest> $arguments,
            Table::Requirements => $call::<domain::requirement::Requirement> $arguments,
            Table::FitRanges => $call::<domain::fit::FitRange> $arguments,
            Table::People => $call::<domain::person::Person> $arguments,
            Table::Changes => $call::<domain::change::Change> $arguments,
            Table::Effectivity => $call::<domain::effectivity::Effectivity> $arguments,
        }
    }};
}
pub(crate) use for_table;

impl Batch {
    /// How many rows.
    pub fn len(&self) -> usize {
        match self {
            Self::Modes(rows) => rows.len(),
            Self::Units(rows) => rows.len(),
            Self::Use(rows) => rows.len(),
            Self::Parts(rows) => rows.len(),
            Self::Sizes(rows) => rows.len(),
            Self::Structure(rows) => rows.len(),
            Self::Weighings(rows) => rows.len(),
            Self::Lots(rows) => rows.len(),
            Self::LotUses(rows) => rows.len(),
            Self::Serials(rows) => rows.len(),
            Self::Movements(rows) => rows.len(),
            Self::Inspections(rows) => rows.len(),
            Self::Events(rows) => rows.len(),
            Self::Demand(rows) => rows.len(),
            Self::Reports(rows) => rows.len(),
            Self::BenchTests(rows) => rows.len(),
            Self::Requirements(rows) => rows.len(),
            Self::FitRanges(rows) => rows.len(),
            Self::People(rows) => rows.len(),
            Self::Changes(rows) => rows.len(),
            Self::Effectivity(rows) => rows.len(),
        }
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The table they belong to.
    pub const fn table(&self) -> Table {
        match self {
            Self::Modes(_) => Table::Modes,
            Self::Units(_) => Table::Units,
            Self::Use(_) => Table::Use,
            Self::Parts(_) => Table::Parts,
            Self::Sizes(_) => Table::Sizes,
            Self::Structure(_) => Table::Structure,
            Self::Weighings(_) => Table::Weighings,
            Self::Lots(_) => Table::Lots,
            Self::LotUses(_) => Table::LotUses,
            Self::Serials(_) => Table::Serials,
            Self::Movements(_) => Table::Movements,
            Self::Inspections(_) => Table::Inspections,
            Self::Events(_) => Table::Events,
            Self::Demand(_) => Table::Demand,
            Self::Reports(_) => Table::Reports,
            Self::BenchTests(_) => Table::BenchTests,
            Self::Requirements(_) => Table::Requirements,
            Self::FitRanges(_) => Table::FitRanges,
            Self::People(_) => Table::People,
            Self::Changes(_) => Table::Changes,
            Self::Effectivity(_) => Table::Effectivity,
        }
    }
}
