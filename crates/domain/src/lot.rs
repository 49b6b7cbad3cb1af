//! A lot: units of one part revision made under the same conditions.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table, not_future};
use crate::words::{Problem, words};

words! {
    /// Why a lot was made. Pilot and trial lots stay out of both sides of a proof.
    pub enum LotPurpose {
        /// For issue.
        Production = "production",
        /// First of a change, watched.
        Pilot = "pilot",
        /// For a trial.
        Trial = "trial",
        /// For training only.
        Training = "training",
    }
}

/// A lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// Its number as marked; unique together with the maker.
    pub lot_no: String,
    /// The part.
    pub part_no: String,
    /// The revision it was made to.
    pub revision: String,
    /// Its size, where the part has sizes.
    pub size: Option<String>,
    /// When it was made.
    pub made_on: Option<NaiveDate>,
    /// How many were made.
    pub quantity: Option<u32>,
    /// Who made it.
    pub maker: Option<String>,
    /// The contract it was made under.
    pub contract_no: Option<String>,
    /// The stock number it is kept under.
    pub stock_no: Option<String>,
    /// Why it was made.
    pub purpose: LotPurpose,
}

impl Record for Lot {
    const TABLE: Table = Table::Lots;

    fn check_row(&self, today: NaiveDate) -> Result<(), Problem> {
        not_future("made_on", self.made_on, today)
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_revision(["part_no", "revision"], (&self.part_no, &self.revision), problems);
        known.need_own_number("lot_no", &self.lot_no, self.maker.as_deref(), problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.lot_no).field(&self.maker);
    }

    fn learn(&self, known: &mut Known) {
        known.add_lot(&self.lot_no, self.maker.as_deref());
        known.add_lot_quantity(&self.lot_no, self.quantity);
        known.add_part_of_lot(&self.lot_no, &self.part_no);
    }

    fn is_known(&self, known: &Known) -> Option<bool> {
        Some(known.has_lot(&self.lot_no, self.maker.as_deref()))
    }
}
