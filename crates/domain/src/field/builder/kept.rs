//! Rows as the books keep them: one that can't be placed is left out and told, so that the others can be read.

use std::fmt;

use super::FieldBuilder;
use crate::pack::{Record, Table};
use crate::report::Report;
use crate::words::Problem;

/// Rows of one table that could not be placed and are in no figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The table.
    pub table: Table,
    /// How many there are.
    pub rows: u64,
    /// The first of them: `row 17`, counted from 1 as an export writes them, or a report by its reference.
    pub first: String,
    /// What is wrong with the first.
    pub why: Problem,
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { table, rows, first, why } = self;
        let (file, noun) = (table.file(), if *rows == 1 { "row" } else { "rows" });
        write!(f, "Left out of all figures: {rows} {noun} of {file}. The first is {first}; {why}.")
    }
}

impl FieldBuilder {
    /// Adds rows of the books in their order. What names something that isn't there, or that could be several things, is
    /// left out and told in [`Field::left_out`](crate::field::Field): rows are checked before they are kept, and where one
    /// got in all the same it must not keep everybody from everything else.
    pub fn add_kept<R: Record>(&mut self, rows: &[R], add: impl Fn(&mut Self, &R) -> Result<(), Problem>) {
        for (at, row) in rows.iter().enumerate() {
            if let Err(why) = add(self, row) {
                self.leave_out(R::TABLE, why, || format!("row {}", at + 1));
            }
        }
    }

    /// Adds one report of the books as [`FieldBuilder::add_kept`] does, and says whether it was placed; `lot_is_chosen` as for
    /// [`FieldBuilder::handled_report`].
    pub fn add_kept_report(&mut self, report: &Report, lot_is_chosen: bool) -> bool {
        let added = self.handled_report(report, lot_is_chosen);
        let placed = added.is_ok();
        if let Err(why) = added {
            self.leave_out(Table::Reports, why, || format!("report {}", report.report_ref));
        }
        placed
    }

    fn leave_out(&mut self, table: Table, why: Problem, first: impl FnOnce() -> String) {
        let all = &mut self.field.left_out;
        match all.iter_mut().find(|one| one.table == table) {
            Some(one) => one.rows += 1,
            None => all.push(LeftOut { table, rows: 1, first: first(), why }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nouns::{builder, unit};
    use crate::unit::UnitKind;
    use crate::use_pattern::UsePattern;

    #[test]
    fn a_row_that_names_nothing_is_left_out_and_told_and_the_others_are_there() {
        let pattern = |unit: &str| UsePattern {
            unit: unit.into(),
            from: chrono::NaiveDate::default(),
            to: None,
            activity: None,
            wear_hours_per_item_month: 1.0,
            basis: None,
        };
        let mut b = builder();
        b.add_kept(&[unit("COVE-2", UnitKind::Wearing)], FieldBuilder::unit);
        let patterns = ["COVE-2", "COVE-9", "COVE-2", "COVE-7"].map(pattern);
        b.add_kept(&patterns, FieldBuilder::use_pattern);
        let field = b.build();
        assert_eq!((field.units.len(), field.use_patterns.len()), (1, 2));
        let told: Vec<String> = field.left_out.iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            [
                "Left out of all figures: 2 rows of use.csv. The first is row 2; unit: no unit is known as `COVE-9`."
            ]
        );
    }
}
