//! Effectivity: the lots or dates at which a change takes effect.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

words! {
    /// As proposed, as approved and as accomplished are three different records.
    pub enum Stage {
        /// As the engineer proposes.
        Proposed = "proposed",
        /// As the board approved.
        Approved = "approved",
        /// As it was built.
        Accomplished = "accomplished",
    }
}

/// One range of lots of one maker, or where no lot is named what was made from a day on.
#[derive(Clone, Debug, PartialEq)]
pub struct Effectivity {
    /// The change.
    pub change_no: String,
    /// Which of the three records.
    pub stage: Stage,
    /// The maker; all when `None`.
    pub maker: Option<String>,
    /// First lot, inclusive.
    pub from_lot: Option<String>,
    /// Last lot, inclusive; open when `None`.
    pub to_lot: Option<String>,
    /// Share of the lot built to the change, 0 to 1.
    pub share_new: f64,
    /// From when; where no lot is named, it tells the lots by their day of make.
    pub from_date: Option<NaiveDate>,
}

impl Effectivity {
    /// Refuses shares outside 0 to 1.
    pub fn check(&self) -> Result<(), Problem> {
        if (0.0..=1.0).contains(&self.share_new) {
            Ok(())
        } else {
            Err(Problem::new("share_new", "expected a share from 0 to 1"))
        }
    }
}

impl Record for Effectivity {
    const TABLE: Table = Table::Effectivity;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_change("change_no", &self.change_no, problems);
        if self.stage == Stage::Accomplished {
            for (field, lot) in [("from_lot", &self.from_lot), ("to_lot", &self.to_lot)] {
                if let Some(lot_no) = lot {
                    known.need_lot_of(field, lot_no, self.maker.as_deref(), problems);
                }
            }
        }
    }

    fn key(&self, _key: &mut KeyHasher) {}

    fn learn(&self, known: &mut Known) {
        if self.stage == Stage::Accomplished {
            let lots = self.from_lot.iter().chain(&self.to_lot);
            lots.for_each(|lot_no| known.name_lot_of(lot_no, self.maker.as_deref()));
        }
    }
}
