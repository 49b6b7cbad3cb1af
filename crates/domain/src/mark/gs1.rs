//! GS1 element strings: application identifiers, their lengths, and the check digit of a trade item number.

use super::item_identifier::{Construct, ItemIdentifier};
use super::made::{self, Order};
use super::{Element, GS, Mark, NotAMark, Source, shortened, value};

const SOURCE: Source = Source::ApplicationIdentifier;

/// How long an element's value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Length {
    /// Exactly so many digits; no separator follows.
    Digits(usize),
    /// One to so many characters, up to the separator or the end.
    UpTo(usize),
}

/// The application identifiers that are read (GS1 General Specifications; those beyond the label's own from memory).
/// Longer identifiers stand before those they begin with.
const IDENTIFIERS: [(&str, Length); 34] = [
    ("00", Length::Digits(18)),
    ("01", Length::Digits(14)),
    ("02", Length::Digits(14)),
    ("10", Length::UpTo(20)),
    ("11", Length::Digits(6)),
    ("12", Length::Digits(6)),
    ("13", Length::Digits(6)),
    ("15", Length::Digits(6)),
    ("16", Length::Digits(6)),
    ("17", Length::Digits(6)),
    ("20", Length::Digits(2)),
    ("21", Length::UpTo(20)),
    ("22", Length::UpTo(20)),
    ("240", Length::UpTo(30)),
    ("241", Length::UpTo(30)),
    ("243", Length::UpTo(20)),
    ("250", Length::UpTo(30)),
    ("251", Length::UpTo(30)),
    ("30", Length::UpTo(8)),
    ("37", Length::UpTo(8)),
    ("400", Length::UpTo(30)),
    ("410", Length::Digits(13)),
    ("414", Length::Digits(13)),
    ("8002", Length::UpTo(20)),
    ("8003", Length::UpTo(30)),
    ("8004", Length::UpTo(30)),
    ("8200", Length::UpTo(70)),
    ("90", Length::UpTo(30)),
    ("91", Length::UpTo(90)),
    ("92", Length::UpTo(90)),
    ("93", Length::UpTo(90)),
    ("94", Length::UpTo(90)),
    ("95", Length::UpTo(90)),
    ("96", Length::UpTo(90)),
];

/// The GS1 check digit: from the right, weights 3, 1, 3, 1, ...; what is missing to the next ten. `None` for other than digits.
///
/// ```
/// assert_eq!(domain::mark::check_digit("629104150021"), Some(3)); // GS1's own worked example
/// ```
pub fn check_digit(digits: &str) -> Option<u8> {
    let mut sum = 0_u32;
    for (place, sign) in digits.chars().rev().enumerate() {
        sum = (sum + sign.to_digit(10)? * if place % 2 == 0 { 3 } else { 1 }) % 10;
    }
    u8::try_from((10 - sum) % 10).ok()
}

/// Takes a GS1 element string apart, without a reader's sign before it.
///
/// # Errors
/// [`NotAMark::CheckDigit`] for a misread trade item number, [`NotAMark::Element`] for an unknown or misshapen element.
pub fn read_element_string(text: &str, year: i32) -> Result<Mark, NotAMark> {
    let mut mark = Mark::default();
    elements(&mut mark, text, year)?;
    let told = std::mem::take(&mut mark.elements);
    conclude(&mut mark, &told, year)?;
    Ok(Mark { elements: told, ..mark })
}

/// Splits an element string.
pub(super) fn elements(mark: &mut Mark, text: &str, year: i32) -> Result<(), NotAMark> {
    let mut rest = text.strip_prefix(GS).unwrap_or(text);
    while !rest.is_empty() {
        let unknown = || NotAMark::Element { element: shortened(rest), source_name: SOURCE };
        let (identifier, length) =
            IDENTIFIERS.iter().find(|(identifier, _)| rest.starts_with(identifier)).ok_or_else(unknown)?;
        let body = &rest[identifier.len()..];
        let (value, after) = match length {
            Length::Digits(count) => {
                let value = body
                    .get(..*count)
                    .filter(|v| v.bytes().all(|b| b.is_ascii_digit()))
                    .ok_or_else(unknown)?;
                (value, &body[*count..])
            }
            Length::UpTo(most) => {
                let value = body.split(GS).next().unwrap_or(body);
                let fits =
                    !value.is_empty() && value.len() <= *most && value.bytes().all(|b| b.is_ascii_graphic());
                (if fits { value } else { return Err(unknown()) }, &body[value.len()..])
            }
        };
        warn_of_lost_separator(mark, identifier, value, after, year);
        mark.push(SOURCE, identifier, value);
        rest = after.strip_prefix(GS).unwrap_or(after);
    }
    Ok(())
}

/// A lot number that ends in what could be a serial's element is kept whole, and the reader is told.
fn warn_of_lost_separator(mark: &mut Mark, identifier: &str, value: &str, after: &str, year: i32) {
    let looks = |marker: &str| value.get(1..).is_some_and(|tail| tail.contains(marker));
    let date_inside = || {
        value.match_indices("11").any(|(at, _)| {
            at > 0
                && value
                    .get(at + 2..at + 8)
                    .is_some_and(|d| made::read(d, Order::ShortYearMonthDay, year).is_some())
        })
    };
    if identifier == "10" && after.is_empty() && (looks("21") || date_inside()) {
        mark.warn(format!(
            "The separator behind the lot number may have been lost: `{value}` was kept whole. Please compare with the label."
        ));
    }
}

/// Reads what the elements say together.
pub(super) fn conclude(mark: &mut Mark, told: &[Element], year: i32) -> Result<(), NotAMark> {
    let get = |identifier: &str| value(told, SOURCE, identifier).map(str::to_owned);
    let (item, lot, serial, made_on) = (get("01"), get("10"), get("21"), get("11"));
    let equivalent = ["8004", "8003", "8002"].iter().find_map(|identifier| get(identifier));
    if let Some(digits) = item {
        let (body, last) = digits.split_at(13);
        let expected = check_digit(body).unwrap_or_default();
        let found = last.parse().unwrap_or_default();
        if found != expected {
            return Err(NotAMark::CheckDigit { digits, found, expected });
        }
        mark.trade_item = Some(digits);
    } else if lot.is_some() && get("02").is_none() {
        mark.warn("The lot number stands without the trade item it belongs to.");
    }
    mark.lot = mark.lot.take().or(lot);
    mark.serial = mark.serial.take().or(serial);
    if let Some(text) = made_on {
        match made::read(&text, Order::ShortYearMonthDay, year) {
            Some(day) => mark.made = mark.made.or(Some(day)),
            None => mark.warn(format!("`{text}` is not a date.")),
        }
    }
    if mark.item_identifier.is_none() {
        mark.item_identifier =
            equivalent.map(|text| ItemIdentifier { text, construct: Construct::Equivalent });
    }
    Ok(())
}
