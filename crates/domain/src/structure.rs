//! The structure: which part revisions make up a parent revision, how many and where.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// One line of a parent's structure.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// Parent part.
    pub parent_part_no: String,
    /// Parent revision.
    pub parent_revision: String,
    /// Child part.
    pub child_part_no: String,
    /// Child revision.
    pub child_revision: String,
    /// How many of the child one parent has; may be a fraction (a length of tape), above 0.
    pub quantity: f64,
    /// Where it sits.
    pub position: Option<String>,
    /// Only in this size; all when `None`.
    pub size: Option<String>,
    /// Only in this configuration; all when `None`.
    pub configuration: Option<String>,
}

impl Component {
    /// Refuses a part inside itself and quantities that are not above zero.
    pub fn check(&self) -> Result<(), Problem> {
        if self.parent_part_no == self.child_part_no {
            return Err(Problem::new("child_part_no", "a part can't be a component of itself"));
        }
        if !(self.quantity.is_finite() && self.quantity > 0.0) {
            return Err(Problem::new("quantity", "expected a number above 0"));
        }
        Ok(())
    }
}

impl Record for Component {
    const TABLE: Table = Table::Structure;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        let parent = (self.parent_part_no.as_str(), self.parent_revision.as_str());
        let child = (self.child_part_no.as_str(), self.child_revision.as_str());
        known.need_revision(["parent_part_no", "parent_revision"], parent, problems);
        known.need_revision(["child_part_no", "child_revision"], child, problems);
        if known.component_would_loop(parent, child) {
            problems.push(Problem::new("child_part_no", "the parent is already a component of this part"));
        }
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field([&self.parent_part_no, &self.parent_revision, &self.child_part_no, &self.child_revision])
            .field([&self.position, &self.size, &self.configuration]);
    }

    fn learn(&self, known: &mut Known) {
        known.add_component(
            (&self.parent_part_no, &self.parent_revision),
            (&self.child_part_no, &self.child_revision),
        );
    }
}
