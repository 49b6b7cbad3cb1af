//! Writes a lot's mark, for an organisation that labels what it has: an envelope of ISO/IEC 15434, format 06, with the data
//! identifiers of ANSI MH10.8.2 for the part number it has now (30P) and its lot (1T).

use super::{EOT, GS, RS};
use crate::words::Problem;

/// Longest number that is written, in characters: our own limit, so that a symbol stays large enough for a phone.
const LONGEST: usize = 40;

/// The text of a lot's mark, to be drawn as a QR or Data Matrix symbol.
///
/// # Errors
/// A number that is empty, longer than 40 characters, or has signs that no label prints.
pub fn lot_mark(part_no: &str, lot_no: &str) -> Result<String, Problem> {
    for (field, number) in [("part_no", part_no), ("lot_no", lot_no)] {
        if number.is_empty() || number.chars().count() > LONGEST || !number.bytes().all(is_printed) {
            let why = format!("expected 1 to {LONGEST} letters, digits and signs of ASCII without blanks");
            return Err(Problem::new(field, why));
        }
    }
    Ok(format!("[)>{RS}06{GS}30P{part_no}{GS}1T{lot_no}{RS}{EOT}"))
}

const fn is_printed(byte: u8) -> bool {
    byte.is_ascii_graphic()
}

#[cfg(test)]
mod tests {
    use super::super::{Reading, read};
    use super::*;

    #[test]
    fn what_is_written_is_read_again_by_the_standards_and_without_a_warning() {
        for (part_no, lot_no) in
            [("RC-100", "0135"), ("LP-220/A", "TB-0418"), ("17V", "1T"), ("S00042", "SLOT")]
        {
            let mark =
                read(&lot_mark(part_no, lot_no).expect("written"), 2026, Reading::Strict).expect("read");
            assert_eq!((mark.part_no.as_deref(), mark.lot.as_deref()), (Some(part_no), Some(lot_no)));
            assert_eq!((mark.serial, mark.warnings), (None, Vec::new()));
        }
    }

    #[test]
    fn what_no_label_prints_is_refused() {
        for wrong in ["", "a b", "T\u{1d}x", "\u{e9}", &"9".repeat(41)] {
            assert!(lot_mark("RC-100", wrong).is_err() && lot_mark(wrong, "0135").is_err(), "{wrong:?}");
        }
    }
}
