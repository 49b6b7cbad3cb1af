//! A scanned label beside the typed answers: what the standards say of it fills what was left empty.

use chrono::{Datelike as _, NaiveDate};
use domain::mark::{Mark, Reading, read};
use domain::report::{LotKnown, Report};

/// Longest text of a label that is kept where it can't be taken apart, in characters.
const LONGEST: usize = 120;

/// What a label says.
enum Label {
    /// Taken apart.
    Apart(Box<Mark>),
    /// Text that is kept as it stands.
    Text(String),
}

/// Reads the scanned text, or what a hand scanner typed into the field of the lot; and the typed lot, where that was not a scan.
fn label(scanned: &str, lot_text: &str, today: NaiveDate) -> Option<Label> {
    let text = if scanned.trim().is_empty() { lot_text } else { scanned };
    let apart = read(text.trim_matches(' '), today.year(), Reading::Lenient);
    match apart {
        Ok(mark) => Some(Label::Apart(Box::new(mark))),
        Err(_) if scanned.trim().is_empty() => None,
        Err(_) => Some(Label::Text(plain(scanned))),
    }
}

/// A label's text without the signs that no page can show.
fn plain(text: &str) -> String {
    let shown: String =
        text.chars().map(|sign| if sign.is_control() { ' ' } else { sign }).take(LONGEST).collect();
    shown.trim().to_owned()
}

/// The lot as typed; nothing where a hand scanner typed a whole mark there.
pub(super) fn typed_lot(lot_text: &str, today: NaiveDate) -> &str {
    if read(lot_text.trim_matches(' '), today.year(), Reading::Lenient).is_ok() { "" } else { lot_text }
}

/// Fills what was not typed from the label. What was typed stands: the person has the thing in hand. A lot is taken from a scan
/// only where the label was read or nothing was said of it.
pub(super) fn fill(report: &mut Report, scanned: &str, lot_text: &str, today: NaiveDate) {
    let lot = match label(scanned, lot_text, today) {
        None => None,
        Some(Label::Text(text)) => Some(text).filter(|text| !text.is_empty()),
        Some(Label::Apart(mark)) => {
            let Mark { lot, serial, maker, made, .. } = *mark;
            report.serial = report.serial.take().or(serial);
            report.maker = report.maker.take().or(maker);
            report.made_month = made.and_then(|m| NaiveDate::from_ymd_opt(m.year, m.month, 1));
            lot
        }
    };
    // Whoever typed the label has read it: a tap beside the answer hides the field, and what it says would be lost unseen.
    let is_typed = report.lot_text.is_some() || (scanned.trim().is_empty() && lot.is_some());
    if is_typed && matches!(report.lot_known, Some(LotKnown::Absent | LotKnown::NotLooked)) {
        report.lot_known = Some(LotKnown::Read);
    }
    match report.lot_known {
        None | Some(LotKnown::Read) => {
            report.lot_text = report.lot_text.take().or(lot);
            // A label that names no lot was read all the same, and nobody can type a lot from it.
            if report.lot_text.is_none() && !scanned.trim().is_empty() {
                report.lot_known = None;
            }
        }
        Some(LotKnown::Unreadable | LotKnown::Absent | LotKnown::NotLooked) => {}
    }
    if report.lot_text.is_some() {
        report.lot_known = report.lot_known.or(Some(LotKnown::Read));
    }
}

#[cfg(test)]
mod tests {
    use super::super::answers::Answers;
    use super::*;
    use crate::tongue::Tongue;

    /// GS1: a trade item with its lot, and one that has a serial number alone.
    const LOT: &str = "]d201006141411234521124031510LOT7A";
    const SERIAL: &str = "]d2010061414112345221SN00042";

    fn sent(scanned: &str, lot_text: &str, serial: &str) -> Report {
        said("", scanned, lot_text, serial)
    }

    fn said(lot_known: &str, scanned: &str, lot_text: &str, serial: &str) -> Report {
        let answers = Answers {
            story: "The tape let go".into(),
            item: "LP-220".into(),
            harm: "none".into(),
            mark: scanned.into(),
            lot_known: lot_known.into(),
            lot_text: lot_text.into(),
            serial: serial.into(),
            ..Answers::default()
        };
        answers
            .report(Tongue::ENGLISH, "R", "COVE-2", NaiveDate::from_ymd_opt(2026, 11, 26).unwrap())
            .unwrap()
    }

    #[test]
    fn a_scan_fills_what_was_not_typed() {
        let report = sent(
            "[)>\u{1e}06\u{1d}17V0CVA5\u{1d}1TLOT24A7\u{1d}S00042\u{1d}16D20240315\u{1e}\u{4}",
            "",
            "77",
        );
        assert_eq!(report.lot_text.as_deref(), Some("LOT24A7"));
        assert_eq!(report.serial.as_deref(), Some("77"), "what was typed stands");
        assert_eq!(report.maker.as_deref(), Some("0CVA5"));
        assert_eq!(report.made_month, NaiveDate::from_ymd_opt(2024, 3, 1));
        assert_eq!(report.lot_known, Some(LotKnown::Read));
    }

    #[test]
    fn a_hand_scanner_types_into_the_field_of_the_lot() {
        let report = sent("", "]d201006141411234521124031510LOT7A\u{1d}21SN00042", "");
        assert_eq!((report.lot_text.as_deref(), report.serial.as_deref()), (Some("LOT7A"), Some("SN00042")));
    }

    #[test]
    fn a_strange_label_is_kept_as_text() {
        assert_eq!(sent("T-118\u{1d}x", "", "").lot_text.as_deref(), Some("T-118 x"));
        assert_eq!(sent("", "T-118", "").lot_text.as_deref(), Some("T-118"));
        assert_eq!(sent("\u{0}", "", "").lot_text, None);
    }
    #[test]
    fn a_label_without_a_lot_is_no_fault_of_who_scanned_it() {
        let report = said("read", SERIAL, "", "");
        assert_eq!((report.lot_known, report.lot_text), (None, None));
        assert_eq!(report.serial.as_deref(), Some("SN00042"));
        assert_eq!(said("read", SERIAL, "T-118", "").lot_known, Some(LotKnown::Read));
    }

    #[test]
    fn a_scanned_lot_is_kept_only_where_the_answer_leaves_room_for_it() {
        for known in ["absent", "not_looked"] {
            let report = said(known, LOT, "", "");
            assert_eq!((report.lot_known.map(LotKnown::word), report.lot_text), (Some(known), None));
        }
        let unreadable = |scanned: &str, typed: &str| said("unreadable", scanned, typed, "").lot_text;
        assert_eq!(unreadable(LOT, ""), None);
        assert_eq!(unreadable("T-118", ""), None);
        assert_eq!(unreadable("", "T-1?8").as_deref(), Some("T-1?8"), "half of it may be legible");
        assert_eq!(said("read", LOT, "", "").lot_text.as_deref(), Some("LOT7A"));
    }

    #[test]
    fn a_label_that_was_typed_was_read_whatever_was_answered_beside_it() {
        for known in ["absent", "not_looked"] {
            for (scanned, typed, lot) in [("", "T-118", "T-118"), (LOT, "T-118", "T-118"), ("", LOT, "LOT7A")]
            {
                let report = said(known, scanned, typed, "");
                let kept = (report.lot_known, report.lot_text.as_deref());
                assert_eq!(kept, (Some(LotKnown::Read), Some(lot)), "{known} {scanned} {typed}");
            }
            // A hand scanner typed a serial number there, which says nothing of a lot.
            let report = said(known, "", SERIAL, "");
            assert_eq!((report.lot_known.map(LotKnown::word), report.lot_text), (Some(known), None));
        }
    }
}
