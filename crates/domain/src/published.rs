//! Figures that have left the house in a document, and what is known of them now.
//!
//! A paper that is out can't be called back when reports come in late. The register keeps each of its figures as it
//! stood, with what it was counted from, so that the same can be counted again and set beside it.

use crate::change::ChangeState as S;
use crate::words::words;

words! {
    /// Which document.
    pub enum DocumentKind {
        /// The whole change record.
        ChangeRecord = "change record",
        /// One sheet for the board.
        BoardSummary = "board summary",
        /// What a unit has to know of a change.
        FieldingNotice = "fielding notice",
        /// What the maker of a suspect lot has to know.
        MakerNotice = "maker notice",
    }
}

impl DocumentKind {
    /// Whether it is of a lot, not of a change.
    pub const fn is_of_lot(self) -> bool {
        matches!(self, Self::MakerNotice)
    }
}

/// A document that may not leave yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("units are told of a change once it is approved; this one is {0}")]
pub struct NotYet(pub S);

/// Whether a document of a change may leave while the change stands where it does.
///
/// # Errors
/// [`NotYet`] for a notice that would tell units what nobody has approved.
pub const fn may_leave(kind: DocumentKind, state: S) -> Result<(), NotYet> {
    let approved = matches!(state, S::Approved | S::CutIn | S::Proved | S::NotProved);
    if matches!(kind, DocumentKind::FieldingNotice) && !approved { Err(NotYet(state)) } else { Ok(()) }
}

words! {
    /// What a published figure measures.
    pub enum Measure {
        /// Failures per 1,000 item-years before a change.
        RateBefore = "failures before, per 1,000 item-years",
        /// The same, predicted for after it.
        RatePredicted = "failures predicted after, per 1,000 item-years",
        /// The same, observed after it.
        RateAfter = "failures after, per 1,000 item-years",
        /// Failures after over those expected at equal age.
        Ratio = "failures after over expected at equal age",
        /// Grams a change adds to an item, over the tariff of sizes.
        MassChange = "change of mass, g",
        /// Item-years of a lot in service.
        LotYears = "item-years of the lot",
        /// Failures reported on a lot.
        LotReports = "failures reported on the lot",
        /// Failures reported over those that the exposure explains.
        LotRatio = "reported over expected",
    }
}

/// One figure with what it was counted from.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it measures.
    pub measure: Measure,
    /// Which change, lot, part and mode it is counted from.
    pub filter: String,
    /// The number; nothing where none could be given.
    pub value: Option<f64>,
    /// How it was written, with interval, count and exposure.
    pub text: String,
}

/// How a published figure stands now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It would be written the same.
    Same,
    /// It would be written otherwise.
    Moved,
    /// It can't be counted any more, or wasn't known then and is now.
    Unknown,
}

/// The filter of a figure of a change.
pub fn of_change(change_no: &str) -> String {
    format!("change {change_no}")
}

/// The filter of a figure of a lot, and of one way its parts fail.
pub fn of_lot(lot_no: &str, maker: Option<&str>, recurrence: Option<(&str, &str)>) -> String {
    let maker = maker.map(|maker| format!(" of {maker}")).unwrap_or_default();
    let fails =
        recurrence.map(|(part_no, mode)| format!(", part {part_no}, mode {mode}")).unwrap_or_default();
    format!("lot {lot_no}{maker}{fails}")
}

impl Figure {
    /// The one among today's figures that is counted alike.
    pub fn now<'a>(&self, figures: &'a [Self]) -> Option<&'a Self> {
        figures.iter().find(|other| other.measure == self.measure && other.filter == self.filter)
    }

    /// How it stands beside today's. What a reader can't tell apart is the same, however many digits lie behind.
    pub fn standing(&self, now: Option<&Self>) -> Standing {
        match now {
            Some(now) if now.text == self.text => Standing::Same,
            Some(now) if now.value.is_some() && self.value.is_some() => Standing::Moved,
            _ => Standing::Unknown,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(measure: Measure, filter: String, value: Option<f64>, text: &str) -> Figure {
        Figure { measure, filter, value, text: text.into() }
    }

    #[test]
    fn a_figure_is_found_again_by_what_it_is_counted_from() {
        let lot = |no: &str| of_lot(no, Some("Harbour Loft"), Some(("RC-131", "ZIP-1")));
        let out = figure(Measure::LotReports, lot("TB-0418"), Some(9.0), "9");
        let today = [
            figure(Measure::LotReports, lot("TB-0419"), Some(9.0), "9"),
            figure(Measure::LotRatio, lot("TB-0418"), Some(9.0), "9"),
            figure(Measure::LotReports, lot("TB-0418"), Some(11.0), "11"),
        ];
        assert_eq!(out.now(&today), Some(&today[2]));
        assert_eq!(out.standing(out.now(&today)), Standing::Moved);
    }

    #[test]
    fn what_reads_the_same_is_the_same_and_what_is_gone_is_said_so() {
        let written = |value, text: &str| figure(Measure::RateBefore, of_change("2026-014"), value, text);
        let out = written(Some(2.31), "2.3 per 1,000 item-years");
        assert_eq!(out.standing(Some(&written(Some(2.33), "2.3 per 1,000 item-years"))), Standing::Same);
        assert_eq!(out.standing(Some(&written(None, "not known"))), Standing::Unknown);
        assert_eq!(out.standing(None), Standing::Unknown);
    }

    #[test]
    fn units_are_told_of_a_change_only_once_it_is_approved() {
        let notice = |state| may_leave(DocumentKind::FieldingNotice, state);
        assert_eq!(notice(S::Submitted), Err(NotYet(S::Submitted)));
        assert_eq!(notice(S::Withdrawn), Err(NotYet(S::Withdrawn)));
        assert_eq!((notice(S::Approved), notice(S::CutIn)), (Ok(()), Ok(())));
        assert_eq!(may_leave(DocumentKind::BoardSummary, S::Submitted), Ok(()));
    }

    #[test]
    fn a_filter_says_which_lot_of_which_maker() {
        assert_eq!(of_lot("TB-0418", None, None), "lot TB-0418");
        assert_eq!(
            of_lot("TB-0418", Some("Harbour Loft"), Some(("RC-131", "ZIP-1"))),
            "lot TB-0418 of Harbour Loft, part RC-131, mode ZIP-1"
        );
    }
}
