//! Addresses of records, with keys from people made safe for a path.

use std::fmt::Write as _;

use chrono::NaiveDate;
use domain::field::{Field, Found, LotId, ModeId, PartId};

/// A key as one segment of a path.
pub fn segment(key: &str) -> String {
    let mut out = String::with_capacity(key.len());
    for byte in key.bytes() {
        if byte.is_ascii_alphanumeric() || b"-_~".contains(&byte) || (byte == b'.' && key.len() > 2) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

/// A recurrence's page.
pub fn recurrence(field: &Field, part: PartId, mode: ModeId) -> String {
    format!("/recurrences/{}/{}", segment(&field.part_names[part]), segment(&field.modes[mode].code))
}

/// A lot's page, with its maker where the number alone leads to several.
pub fn lot(field: &Field, lot: LotId) -> String {
    with_maker(field, lot, format!("/lots/{}", segment(&field.lots[lot].lot_no)))
}

/// A page about a lot: `lineage`, `holders`.
pub fn of_lot(field: &Field, lot: LotId, page: &str) -> String {
    with_maker(field, lot, format!("/lots/{}/{page}", segment(&field.lots[lot].lot_no)))
}

/// A page about a lot on a date.
pub fn of_lot_on(field: &Field, lot: LotId, page: &str, on: NaiveDate) -> String {
    let address = of_lot(field, lot, page);
    let join = if address.contains('?') { '&' } else { '?' };
    format!("{address}{join}on={on}")
}

/// The maker of a lot, where its number alone leads to several.
pub fn maker_of(field: &Field, lot: LotId) -> Option<&str> {
    let facts = &field.lots[lot];
    let is_one_of_several = field.lot_keys.find(&facts.lot_no, None) == Found::Several;
    facts.maker.filter(|_| is_one_of_several).map(|maker| &field.makers[maker])
}

fn with_maker(field: &Field, lot: LotId, address: String) -> String {
    match maker_of(field, lot) {
        Some(maker) => format!("{address}?maker={}", segment(maker)),
        None => address,
    }
}

/// A report's page.
pub fn report(report_ref: &str) -> String {
    format!("/reports/{}", segment(report_ref))
}

/// A change's page.
pub fn change(change_no: &str) -> String {
    format!("/changes/{}", segment(change_no))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_stays_in_its_segment() {
        assert_eq!(segment("TB 04/18?#"), "TB%2004%2F18%3F%23");
        assert_eq!(segment(".."), "%2E%2E");
        assert_eq!(segment("2026-014.A"), "2026-014.A");
    }
}
