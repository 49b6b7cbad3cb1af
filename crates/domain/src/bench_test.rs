//! A bench test: one specimen measured in a laboratory.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table, not_future};
use crate::words::{Problem, words};

words! {
    /// Why it was tested.
    pub enum TestPurpose {
        /// First article of a contract.
        FirstArticle = "first_article",
        /// Acceptance of a lot.
        LotAcceptance = "lot_acceptance",
        /// One design against another.
        Comparison = "comparison",
        /// Taken apart to learn why it failed.
        Teardown = "teardown",
    }
}

words! {
    /// Where the specimen came from.
    pub enum SpecimenSource {
        /// New stock.
        NewStock = "new_stock",
        /// Kept back from the lot.
        Retained = "retained",
        /// Returned from the field.
        Returned = "returned",
    }
}

words! {
    /// How the test ended.
    pub enum TestOutcome {
        /// The specimen failed at the value.
        Failed = "failed",
        /// The test was stopped at the value before failure.
        Stopped = "stopped",
        /// The value was simply measured.
        Measured = "measured",
    }
}

/// One measured specimen.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchTest {
    /// The part.
    pub part_no: String,
    /// Its revision.
    pub revision: String,
    /// Its lot.
    pub lot_no: Option<String>,
    /// Why it was tested.
    pub purpose: Option<TestPurpose>,
    /// The method, by its standard.
    pub method: String,
    /// What was measured (breaking strength, cycles to failure).
    pub measure: String,
    /// Which specimen.
    pub specimen: String,
    /// Where it came from.
    pub specimen_source: Option<SpecimenSource>,
    /// The value, in `measure_unit`.
    pub value: f64,
    /// The unit of the value.
    pub measure_unit: String,
    /// How the test ended.
    pub outcome: TestOutcome,
    /// How the specimen was conditioned.
    pub conditioning: Option<String>,
    /// The limit it is judged by.
    pub limit: Option<f64>,
    /// Where the limit comes from.
    pub limit_source: Option<String>,
    /// Who tested.
    pub laboratory: Option<String>,
    /// When.
    pub tested_on: Option<NaiveDate>,
}

impl Record for BenchTest {
    const TABLE: Table = Table::BenchTests;

    fn check_row(&self, today: NaiveDate) -> Result<(), Problem> {
        not_future("tested_on", self.tested_on, today)
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_revision(["part_no", "revision"], (&self.part_no, &self.revision), problems);
        if let Some(lot_no) = &self.lot_no {
            known.need_lot("lot_no", lot_no, problems);
        }
    }

    fn key(&self, _key: &mut KeyHasher) {}

    fn learn(&self, known: &mut Known) {
        self.lot_no.iter().for_each(|lot_no| known.name_lot(lot_no));
    }
}
