//! Unique item identifiers as MIL-STD-130N builds them: agency, enterprise, original part or lot, serial.

use super::Mark;

/// How an item identifier is put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Construct {
    /// Serial numbers run within the enterprise.
    One,
    /// Serial numbers run within an original part number or lot.
    Two,
    /// One element that stands for it: a whole identifier, a GS1 asset number, a vehicle number.
    Equivalent,
}

/// An identifier that names one item for its whole life; the part number in it never changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ItemIdentifier {
    /// The characters put together.
    pub text: String,
    /// How.
    pub construct: Construct,
}

/// At most 50 characters, capitals, digits, hyphen and oblique (limits from memory, so they warn and don't refuse).
pub(super) fn check(mark: &mut Mark, identifier: &ItemIdentifier) {
    let text = &identifier.text;
    if text.chars().count() > 50 {
        mark.warn("The item identifier is longer than the 50 characters the standard allows.");
    }
    if !text.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'-' || b == b'/') {
        mark.warn("The item identifier has signs other than capitals, digits, hyphen and oblique.");
    }
}
