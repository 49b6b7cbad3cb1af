//! Lineage of lots: what a lot was made from.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// One lot used in making another.
#[derive(Clone, Debug, PartialEq)]
pub struct LotUse {
    /// The lot that was made.
    pub lot_no: String,
    /// The lot it was made from.
    pub used_lot_no: String,
    /// How many of the used lot went in; unknown when `None`.
    pub quantity: Option<f64>,
}

impl LotUse {
    /// Refuses a lot made from itself and quantities that are not above zero.
    pub fn check(&self) -> Result<(), Problem> {
        if self.lot_no == self.used_lot_no {
            return Err(Problem::new("used_lot_no", "a lot can't be made from itself"));
        }
        if self.quantity.is_some_and(|q| !(q.is_finite() && q > 0.0)) {
            return Err(Problem::new("quantity", "expected a number above 0"));
        }
        Ok(())
    }
}

impl Record for LotUse {
    const TABLE: Table = Table::LotUses;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_lot("lot_no", &self.lot_no, problems);
        known.need_lot("used_lot_no", &self.used_lot_no, problems);
        if self.lot_no != self.used_lot_no && known.lot_use_would_loop(&self.lot_no, &self.used_lot_no) {
            let why = format!(
                "this lot was itself made from {}, directly or through other lots; expected a lot made before it",
                self.lot_no
            );
            problems.push(Problem::new("used_lot_no", why));
        }
        known.need_left_over(&self.lot_no, &self.used_lot_no, self.quantity, problems);
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.lot_no).field(&self.used_lot_no);
    }

    fn learn(&self, known: &mut Known) {
        known.name_lot(&self.lot_no);
        known.name_lot(&self.used_lot_no);
        known.add_lot_use(&self.lot_no, &self.used_lot_no, self.quantity);
    }
}
