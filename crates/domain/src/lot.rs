//! A lot: units of one part revision made under the same conditions.

use chrono::NaiveDate;

use crate::words::words;

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
