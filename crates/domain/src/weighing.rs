//! A weighing: the mass of one specimen of a part revision.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// One specimen on the balance.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// The part.
    pub part_no: String,
    /// Its revision.
    pub revision: String,
    /// Its size; `None` for an unsized part.
    pub size: Option<String>,
    /// Which specimen.
    pub specimen: String,
    /// Mass in grams, above 0.
    pub mass_g: f64,
}

impl Weighing {
    /// Refuses masses that are not above zero.
    pub fn check(&self) -> Result<(), Problem> {
        if self.mass_g.is_finite() && self.mass_g > 0.0 {
            Ok(())
        } else {
            Err(Problem::new("mass_g", "expected grams above 0"))
        }
    }
}

impl Record for Weighing {
    const TABLE: Table = Table::Weighings;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_revision(["part_no", "revision"], (&self.part_no, &self.revision), problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field([&self.part_no, &self.revision, &self.specimen]).field(&self.size);
    }
}
