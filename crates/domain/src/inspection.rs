//! An inspection: a unit looks at n items on purpose and counts those that show a mode.

use chrono::NaiveDate;

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
