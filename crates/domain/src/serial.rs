//! A serial: one item known by number, and where it was when.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// One serial number at one unit over a span of dates.
#[derive(Clone, Debug, PartialEq)]
pub struct Serial {
    /// The serial number.
    pub serial: String,
    /// The lot it belongs to.
    pub lot_no: String,
    /// The unit that holds it.
    pub unit: Option<String>,
    /// Since when.
    pub from: Option<NaiveDate>,
    /// Until when; open when `None`.
    pub to: Option<NaiveDate>,
}

impl Serial {
    /// Refuses spans that end before they begin.
    pub fn check(&self) -> Result<(), Problem> {
        match (self.from, self.to) {
            (Some(from), Some(to)) if to < from => Err(Problem::new("to", "is before `from`")),
            _ => Ok(()),
        }
    }
}

impl Record for Serial {
    const TABLE: Table = Table::Serials;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_lot("lot_no", &self.lot_no, problems);
        if let Some(unit) = &self.unit {
            known.need_unit("unit", unit, problems);
        }
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.serial).field(&self.lot_no).field(self.from);
    }

    fn learn(&self, known: &mut Known) {
        known.name_lot(&self.lot_no);
        known.add_serial(&self.serial);
    }
}
