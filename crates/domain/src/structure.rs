//! The structure: which part revisions make up a parent revision, how many and where.

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
