//! Effectivity: the lots or dates at which a change takes effect.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

words! {
    /// As proposed, as approved and as accomplished are three different records.
    pub enum Stage {
        /// As the engineer proposes.
        Proposed = "proposed",
        /// As the board approved.
        Approved = "approved",
        /// As it was built.
        Accomplished = "accomplished",
    }
}

/// One range of lots of one maker, or where no lot is named what was made from a day on.
#[derive(Clone, Debug, PartialEq)]
pub struct Effectivity {
    /// The change.
    pub change_no: String,
    /// Which of the three records.
    pub stage: Stage,
    /// The maker; all when `None`.
    pub maker: Option<String>,
    /// First lot, inclusive.
    pub from_lot: Option<String>,
    /// Last lot, inclusive; open when `None`.
    pub to_lot: Option<String>,
    /// Share of the lot built to the change, 0 to 1.
    pub share_new: f64,
    /// From when; where no lot is named, it tells the lots by their day of make.
    pub from_date: Option<NaiveDate>,
}

impl Effectivity {
    /// Refuses shares outside 0 to 1.
    pub fn check(&self) -> Result<(), Problem> {
        if (0.0..=1.0).contains(&self.share_new) {
            Ok(())
        } else {
            Err(Problem::new("share_new", "expected a share from 0 to 1"))
        }
    }

    /// Refuses a last lot that comes before the first.
    ///
    /// # Errors
    /// The last lot, and which is first.
    pub fn check_order(&self) -> Result<(), Problem> {
        match (&self.from_lot, &self.to_lot) {
            (Some(from), Some(to)) if counted(to) < counted(from) => {
                Err(Problem::new("to_lot", format!("comes before the first lot, {from}")))
            }
            _ => Ok(()),
        }
    }
}

impl Record for Effectivity {
    const TABLE: Table = Table::Effectivity;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_change("change_no", &self.change_no, problems);
        if self.stage == Stage::Accomplished {
            for (field, lot) in [("from_lot", &self.from_lot), ("to_lot", &self.to_lot)] {
                if let Some(lot_no) = lot {
                    known.need_lot_of(field, lot_no, self.maker.as_deref(), problems);
                }
            }
        }
    }

    fn key(&self, _key: &mut KeyHasher) {}

    fn learn(&self, known: &mut Known) {
        if self.stage == Stage::Accomplished {
            let lots = self.from_lot.iter().chain(&self.to_lot);
            lots.for_each(|lot_no| known.name_lot_of(lot_no, self.maker.as_deref()));
        }
    }
}

/// A lot number as a person counts: runs of digits by value, that is by their length without leading zeros and then by their
/// digits, between texts, which have the length 0.
pub(crate) fn counted(lot_no: &str) -> Vec<(usize, String)> {
    let mut pieces = Vec::new();
    let mut rest = lot_no;
    while !rest.is_empty() {
        let text_end = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
        let (text, digits) = rest.split_at(text_end);
        let digits_end = digits.find(|c: char| !c.is_ascii_digit()).unwrap_or(digits.len());
        let (number, after) = digits.split_at(digits_end);
        pieces.push((0, text.to_uppercase()));
        if !number.is_empty() {
            let value = number.trim_start_matches('0');
            pieces.push((1 + value.len(), value.to_owned()));
        }
        rest = after;
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lots_count_as_a_person_counts() {
        assert!(counted("L-9") < counted("L-10"));
        assert!(counted("A-14") < counted("A-14B") && counted("A-14B") < counted("A-15"));
        assert!(counted("A-14B") < counted("A-14B1") && counted("A-14B1") < counted("A-14C"));
        assert!(counted("L-007") == counted("L-7") && counted("L-0") < counted("L-1"));
        assert!(counted("99999999999999999999") < counted("100000000000000000000"), "beyond 64 bits");
        assert!(counted("t7") == counted("T7"));
    }
    #[test]
    fn a_range_has_its_first_lot_before_its_last() {
        let range = |from: &str, to: &str| Effectivity {
            change_no: "C-1".into(),
            stage: Stage::Proposed,
            maker: None,
            from_lot: Some(from.into()),
            to_lot: Some(to.into()),
            share_new: 1.0,
            from_date: None,
        };
        assert!(range("L-9", "L-10").check_order().is_ok() && range("L-9", "L-9").check_order().is_ok());
        let refused = range("L-10", "L-9").check_order().expect_err("reversed");
        assert_eq!((refused.field, &*refused.why), ("to_lot", "comes before the first lot, L-10"));
    }
}
