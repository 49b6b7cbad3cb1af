//! Lot numbers as MIL-STD-1168C builds them: maker, year, month, interfix, sequence, suffix.

use std::str::FromStr;

/// A lot number whose parts can be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LotNumber {
    /// The maker's symbol.
    pub maker: String,
    /// The last two digits of the year it was made in.
    pub year: u8,
    /// The month, 1 to 12.
    pub month: u8,
    /// Rises with every change of design, process, material or supplier.
    pub interfix: u16,
    /// Rises with every lot made under the same conditions.
    pub sequence: u16,
    /// Set when a lot is reworked: it then is a lot of its own.
    pub suffix: Option<String>,
}

/// A text that is not built so; lot numbers may be built otherwise, and this says only that no parts can be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("The lot number is not built as maker, year, month letter, interfix, hyphen and sequence.")]
pub struct NotALotNumber;

/// January to December; I is left out because it looks like 1.
const MONTHS: &str = "ABCDEFGHJKLM";

impl FromStr for LotNumber {
    type Err = NotALotNumber;

    /// Reads 13 to 16 characters without blanks, such as `XYZ07D006-004A`.
    fn from_str(text: &str) -> Result<Self, NotALotNumber> {
        parse(text).ok_or(NotALotNumber)
    }
}

fn parse(text: &str) -> Option<LotNumber> {
    if !text.is_ascii() || !(13..=16).contains(&text.len()) {
        return None;
    }
    let (front, back) = text.split_once('-')?;
    // The maker's symbol takes what stands before two digits, a letter and three digits.
    let (maker, coded) = front.split_at_checked(front.len().checked_sub(6)?)?;
    let (year, rest) = coded.split_at(2);
    let (month, interfix) = rest.split_at(1);
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    let letters = |part: &str| part.bytes().all(|b| b.is_ascii_uppercase());
    let (sequence, suffix) = back.split_at_checked(3)?;
    let symbol = !maker.is_empty() && maker.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit());
    let shaped = symbol
        && digits(year)
        && digits(interfix)
        && digits(sequence)
        && letters(suffix)
        && suffix.len() <= 2;
    let month = MONTHS.find(month)?;
    shaped.then_some(())?;
    Some(LotNumber {
        maker: maker.to_owned(),
        year: year.parse().ok()?,
        month: u8::try_from(month + 1).ok()?,
        interfix: interfix.parse().ok()?,
        sequence: sequence.parse().ok()?,
        suffix: (!suffix.is_empty()).then(|| suffix.to_owned()),
    })
}
