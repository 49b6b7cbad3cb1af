//! An inspection: a unit looks at n items on purpose and counts those that show a mode.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table, not_future};
use crate::words::Problem;

/// One count with its denominator.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspection {
    /// The day.
    pub inspected_on: NaiveDate,
    /// Who looked.
    pub unit: String,
    /// The lot looked at; all lots when `None`.
    pub lot_no: Option<String>,
    /// The part looked at.
    pub part_no: String,
    /// The mode looked for.
    pub mode: String,
    /// Items looked at.
    pub inspected: u32,
    /// Items that showed the mode.
    pub found: u32,
    /// The notice that asked for it.
    pub notice_no: Option<String>,
}

impl Inspection {
    /// Refuses more found than inspected and inspections of nothing.
    pub fn check(&self) -> Result<(), Problem> {
        if self.inspected == 0 {
            return Err(Problem::new("inspected", "expected at least 1"));
        }
        if self.found > self.inspected {
            return Err(Problem::new("found", "more found than inspected"));
        }
        Ok(())
    }
}

impl Record for Inspection {
    const TABLE: Table = Table::Inspections;

    fn check_row(&self, today: NaiveDate) -> Result<(), Problem> {
        not_future("inspected_on", Some(self.inspected_on), today)?;
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_unit("unit", &self.unit, problems);
        if let Some(lot_no) = &self.lot_no {
            known.need_lot("lot_no", lot_no, problems);
        }
        known.need_part("part_no", &self.part_no, problems);
        known.need_mode("mode", &self.mode, problems);
    }

    fn key(&self, _key: &mut KeyHasher) {}

    fn learn(&self, known: &mut Known) {
        self.lot_no.iter().for_each(|lot_no| known.name_lot(lot_no));
    }
}
