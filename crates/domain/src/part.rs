//! A part in a released revision; an end item is a part at the top of a structure.

use chrono::NaiveDate;

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
