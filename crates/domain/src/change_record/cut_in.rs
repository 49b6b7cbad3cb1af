//! The day of a cut-in: what it can't be before, so that a mistyped year is not taken.

use chrono::NaiveDate;

use crate::words::Problem;

/// What a day of cut-in is held against.
#[derive(Clone, Copy, Debug)]
pub struct CutInGround<'a> {
    /// The first lot built to the change.
    pub lot_no: &'a str,
    /// When it was made, where that is known.
    pub made_on: Option<NaiveDate>,
    /// When the change first went before the board; nothing for one that came with books, which keeps what it had.
    pub submitted_on: Option<NaiveDate>,
}

impl CutInGround<'_> {
    /// Refuses a day before the lot was made. Where nobody knows when that was, it refuses a day before the change first
    /// went before the board.
    ///
    /// A lot whose day of make is on record bears an earlier cut-in out: a record may be written down here long after
    /// production began, and a lot may have been built to a change too early.
    pub fn check(&self, day: NaiveDate) -> Result<(), Problem> {
        let (first, why) = match (self.made_on, self.submitted_on) {
            (Some(made_on), _) => (made_on, format!("lot {} was made on {}", self.lot_no, said(made_on))),
            (None, Some(submitted_on)) => {
                (submitted_on, format!("the change first went before the board on {}", said(submitted_on)))
            }
            (None, None) => return Ok(()),
        };
        if day >= first {
            return Ok(());
        }
        Err(Problem::new("cut_in_on", format!("{why}, so it was not cut in on {}", said(day))))
    }
}

/// `3 Mar 2026`.
fn said(day: NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nouns::date as day;

    fn why(ground: CutInGround<'_>, on: &str) -> Option<String> {
        ground.check(day(on)).err().map(|problem| problem.why)
    }

    #[test]
    fn a_day_before_the_lot_was_made_is_refused_with_both_dates() {
        let ground = CutInGround {
            lot_no: "NEW-01",
            made_on: Some(day("2024-11-20")),
            submitted_on: Some(day("2025-02-01")),
        };
        assert_eq!(why(ground, "2024-11-20"), None, "the lot bears it out, though the record came later");
        assert_eq!(
            why(ground, "2020-01-01").as_deref(),
            Some("lot NEW-01 was made on 20 Nov 2024, so it was not cut in on 1 Jan 2020")
        );
    }

    #[test]
    fn without_a_day_of_make_the_submission_is_the_first_day_it_can_be() {
        let ground = CutInGround { lot_no: "NEW-01", made_on: None, submitted_on: Some(day("2025-02-01")) };
        assert_eq!(why(ground, "2025-02-01"), None);
        assert_eq!(
            why(ground, "2025-01-31").as_deref(),
            Some("the change first went before the board on 1 Feb 2025, so it was not cut in on 31 Jan 2025")
        );
        assert_eq!(
            why(CutInGround { submitted_on: None, ..ground }, "2020-01-01"),
            None,
            "it came with books"
        );
    }
}
