//! A part in a released revision; an end item is a part at the top of a structure.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::Problem;

/// Years an item is taken to serve where nobody has said so.
pub const DEFAULT_LIFE_YEARS: f64 = 5.0;

/// The kind code of an end item.
pub const ITEM: &str = "ITEM";
/// The kind code of an assembly.
pub const ASSEMBLY: &str = "ASM";

/// One revision of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct PartRevision {
    /// The part's number.
    pub part_no: String,
    /// The released design state.
    pub revision: String,
    /// Name in plain words.
    pub name: String,
    /// A kind code of the catalogue, [`ITEM`] or [`ASSEMBLY`].
    pub kind: String,
    /// When it was released.
    pub released_on: Option<NaiveDate>,
    /// The revision of the same part that it replaces.
    pub replaces_revision: Option<String>,
    /// The change that brought it.
    pub change_no: Option<String>,
    /// Years an item serves; [`DEFAULT_LIFE_YEARS`] when unknown, and said so.
    pub life_years: Option<f64>,
}

impl PartRevision {
    /// Whether this is an end item.
    pub fn is_item(&self) -> bool {
        self.kind == ITEM
    }
}

impl Record for PartRevision {
    const TABLE: Table = Table::Parts;
    const NAMES_ITS_OWN: bool = true;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        if self.life_years.is_some_and(|years| !(years > 0.0 && years <= 100.0)) {
            return Err(Problem::new("life_years", "expected years above 0, at most 100"));
        }
        if self.replaces_revision.as_ref() == Some(&self.revision) {
            return Err(Problem::new("replaces_revision", "is the revision itself"));
        }
        Ok(())
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_kind("kind", &self.kind, problems);
        if let Some(replaced) = &self.replaces_revision {
            known.need_revision(["part_no", "replaces_revision"], (&self.part_no, replaced), problems);
        }
        if let Some(change_no) = &self.change_no {
            known.need_announced_change("change_no", change_no, problems);
        }
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.part_no).field(&self.revision);
    }

    fn learn(&self, known: &mut Known) {
        known.add_part(&self.part_no, &self.revision, &self.kind);
    }

    fn forget(&self, known: &mut Known) {
        known.remove_part(&self.part_no, &self.revision);
    }

    fn is_known(&self, known: &Known) -> Option<bool> {
        Some(known.has_revision(&self.part_no, &self.revision))
    }
}
