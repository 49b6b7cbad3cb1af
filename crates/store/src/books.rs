//! The books as they stood at one moment: everything a pack takes out, in the order it came.

use domain::bench_test::BenchTest;
use domain::catalogue::Catalogue;
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
use sea_orm::DatabaseTransaction;

use crate::connect::Store;
use crate::error::Result;
use crate::stored::list;

/// The books as they stood when they were opened, whatever is written meanwhile.
pub struct Books {
    pub(crate) snapshot: DatabaseTransaction,
}

impl Store {
    /// Opens the books for reading. Closing them is dropping them.
    pub async fn books(&self) -> Result<Books> {
        Ok(Books { snapshot: self.snapshot().await? })
    }
}

/// One list a noun.
macro_rules! lists {
    ($($method:ident: $noun:ty => $module:ident, $what:literal;)+) => {
        impl Books {
            $(
                #[doc = concat!("All ", $what, ", in the order they came.")]
                pub async fn $method(&self) -> Result<Vec<$noun>> {
                    list::<crate::$module::Entity>(&self.snapshot).await
                }
            )+
        }
    };
}

lists! {
    units: Unit => unit, "units";
    use_patterns: UsePattern => use_pattern, "use patterns";
    parts: PartRevision => part, "revisions of parts";
    size_shares: SizeShare => size_share, "sizes of the tariff";
    components: Component => structure, "lines of structure";
    weighings: Weighing => weighing, "weighings";
    lots: Lot => lot, "lots";
    lot_uses: LotUse => lot_use, "lineage of lots";
    serials: Serial => serial, "serials";
    movements: Movement => movement, "movements";
    inspections: Inspection => inspection, "inspections";
    events: Event => event, "events";
    demand: Demand => demand, "demand";
    bench_tests: BenchTest => bench_test, "bench tests";
    requirements: Requirement => requirement, "requirements";
    fit_ranges: FitRange => fit, "fit ranges";
    people: Person => person, "measured people";
    changes: Change => change, "changes";
    effectivity: Effectivity => effectivity, "effectivity";
}

impl Books {
    /// The catalogue: what ships, and what was added here.
    pub async fn catalogue(&self) -> Result<Catalogue> {
        crate::catalogue_mode::catalogue(&self.snapshot).await
    }

    /// Hands over every report in the order they came, with or without its narrative, until `each` fails.
    ///
    /// # Errors
    /// What `each` fails with, or a failure of the store.
    pub async fn for_each_report<E: From<crate::StoreError>>(
        &self,
        with_narrative: bool,
        mut each: impl FnMut(Report) -> std::result::Result<(), E> + Send,
    ) -> std::result::Result<(), E> {
        crate::report::for_each(&self.snapshot, with_narrative, &mut |_, report| each(report)).await
    }
}
