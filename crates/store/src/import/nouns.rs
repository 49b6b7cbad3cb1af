//! One way in for each noun of a pack.

use domain::bench_test::BenchTest;
use domain::catalogue::{Catalogue, Mode};
use domain::change::Change;
use domain::demand::Demand;
use domain::effectivity::Effectivity;
use domain::event::Event;
use domain::fit::FitRange;
use domain::inspection::Inspection;
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::Movement;
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

use super::Import;
use crate::error::Result;

/// Methods that stage nouns of one kind.
macro_rules! ways_in {
    ($($method:ident: $noun:ty => $module:ident, $what:literal;)+) => {
        impl Import {
            $(
                #[doc = concat!("Stages ", $what, ", in as many slices as one likes, each noun after what it names.")]
                /// Says how many were new; those whose key is known are left as they are.
                pub async fn $method(&mut self, nouns: &[$noun]) -> Result<u64> {
                    self.add::<crate::$module::Entity>(nouns).await
                }
            )+
        }
    };
}

ways_in! {
    add_units: Unit => unit, "units";
    add_use_patterns: UsePattern => use_pattern, "use patterns";
    add_size_shares: SizeShare => size_share, "sizes of the tariff";
    add_components: Component => structure, "lines of structure";
    add_weighings: Weighing => weighing, "weighings";
    add_lots: Lot => lot, "lots";
    add_lot_uses: LotUse => lot_use, "lineage of lots";
    add_serials: Serial => serial, "serials";
    add_movements: Movement => movement, "movements";
    add_inspections: Inspection => inspection, "inspections";
    add_events: Event => event, "events";
    add_demand: Demand => demand, "demand";
    add_reports: Report => report, "reports";
    add_bench_tests: BenchTest => bench_test, "bench tests";
    add_requirements: Requirement => requirement, "requirements";
    add_fit_ranges: FitRange => fit, "fit ranges";
    add_people: Person => person, "measured people";
    add_changes: Change => change, "changes";
    add_effectivity: Effectivity => effectivity, "effectivity";
}

impl Import {
    /// Stages modes of failure that the shipped catalogue lacks. Says how many were new.
    pub async fn add_modes(&mut self, modes: &[Mode]) -> Result<u64> {
        let is_added = |mode: &&Mode| Catalogue::shipped().mode(&mode.code).is_none();
        let added: Vec<Mode> = modes.iter().filter(is_added).cloned().collect();
        self.add::<crate::catalogue_mode::Entity>(&added).await
    }

    /// Stages revisions of parts, and the numbers of parts that are new. Says how many revisions were new.
    pub async fn add_parts(&mut self, parts: &[PartRevision]) -> Result<u64> {
        let mut numbers: Vec<String> = parts.iter().map(|part| part.part_no.clone()).collect();
        numbers.dedup();
        self.add::<crate::part::number::Entity>(&numbers).await?;
        self.add::<crate::part::Entity>(parts).await
    }
}
