//! An exhibit: the failed thing itself, tagged and kept until somebody has looked at it, and no longer than that.

use chrono::{Days, NaiveDate};

use crate::civil_day::is_to_come;
use crate::recurrence::RecurrenceState;
use crate::words::{Problem, words};

/// How long an exhibit is held unless somebody says otherwise, in days from its receipt.
const HOLD_DAYS: u64 = 60;
/// The longest text that is kept of one.
const LONGEST: usize = 400;

words! {
    /// Where an exhibit stands.
    pub enum Standing {
        /// The hold has ended and nobody has decided.
        Overdue = "hold ended",
        /// Held.
        Held = "held",
        /// Released.
        Released = "released",
    }
}

/// A failed item that was taken in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exhibit {
    /// The report it belongs to.
    pub report_ref: String,
    /// What it is: "front slide fastener with 40 mm of tape".
    pub what: String,
    /// When it was received.
    pub received_on: NaiveDate,
    /// Until when it is held; may go on from there once somebody says so.
    pub hold_until: NaiveDate,
    /// Where it was and is, the latest last.
    pub places: Vec<Stay>,
    /// That it was released.
    pub released: Option<Release>,
}

/// Where it is, and since when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stay {
    /// The place: "base store, shelf 4".
    pub place: String,
    /// Since when.
    pub since: NaiveDate,
}

/// That it left our hands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Release {
    /// When.
    pub on: NaiveDate,
    /// To where or whom.
    pub to: String,
    /// Why it goes although its recurrence is open.
    pub why: Option<String>,
}

/// What of its report speaks for keeping it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Matter {
    /// Nobody has sorted the report: nobody knows what it belongs to.
    NotSorted,
    /// It belongs to a recurrence that stands so.
    Recurrence(RecurrenceState),
    /// A single failure, or one that doesn't count.
    Closed,
}

impl Matter {
    /// Why an exhibit is better kept; `None` where nothing speaks for it.
    pub const fn keeps(self) -> Option<&'static str> {
        match self {
            Self::NotSorted => Some("its report is not sorted yet"),
            Self::Recurrence(RecurrenceState::Settled) | Self::Closed => None,
            Self::Recurrence(_) => Some("its recurrence is open"),
        }
    }
}

/// The last day of a hold from a receipt.
pub fn hold_from(received_on: NaiveDate) -> NaiveDate {
    received_on.checked_add_days(Days::new(HOLD_DAYS)).unwrap_or(NaiveDate::MAX)
}

impl Exhibit {
    /// Refuses an exhibit nobody could find again, and days out of order.
    ///
    /// # Errors
    /// The field that is wrong.
    pub fn check(&self, today: NaiveDate) -> Result<(), Problem> {
        said("what", &self.what, "say what it is")?;
        if is_to_come(self.received_on, today) {
            return Err(Problem::new("received_on", "is in the future"));
        }
        if self.hold_until < self.received_on {
            return Err(Problem::new("hold_until", "is before the day it was received"));
        }
        let stay = self.places.first().ok_or_else(|| Problem::new("place", "say where it is"))?;
        said("place", &stay.place, "say where it is")
    }

    /// Where it is now.
    pub fn place(&self) -> Option<&Stay> {
        self.places.last()
    }

    /// Where it stands on a day.
    pub fn standing(&self, today: NaiveDate) -> Standing {
        match self.released {
            Some(_) => Standing::Released,
            None if self.hold_until < today => Standing::Overdue,
            None => Standing::Held,
        }
    }

    fn must_be_here(&self) -> Result<(), Problem> {
        match &self.released {
            Some(release) => {
                Err(Problem::new("released", format!("it was released to {} already", release.to)))
            }
            None => Ok(()),
        }
    }

    /// Refuses a place nobody could find, one before the last, and moving what was released.
    ///
    /// # Errors
    /// The field that is wrong.
    pub fn check_move(&self, stay: &Stay, today: NaiveDate) -> Result<(), Problem> {
        self.must_be_here()?;
        said("place", &stay.place, "say where it is")?;
        in_order(("since", stay.since), self.place().map(|last| last.since), today)
    }

    /// Refuses a hold that ends before today, and holding what was released.
    ///
    /// # Errors
    /// The field that is wrong.
    pub fn check_hold(&self, until: NaiveDate, today: NaiveDate) -> Result<(), Problem> {
        self.must_be_here()?;
        if until < today {
            return Err(Problem::new("hold_until", "is past; choose a day to come"));
        }
        Ok(())
    }

    /// Refuses to release it to nowhere or twice, and without a reason what is still needed.
    ///
    /// # Errors
    /// The field that is wrong.
    pub fn check_release(&self, release: &Release, matter: Matter, today: NaiveDate) -> Result<(), Problem> {
        self.must_be_here()?;
        said("to", &release.to, "say where it goes, or to whom")?;
        in_order(("on", release.on), self.place().map(|last| last.since), today)?;
        let reason = release.why.as_deref().is_some_and(|why| !why.trim().is_empty());
        match matter.keeps() {
            Some(open) if !reason => {
                Err(Problem::new("why", format!("{open}: say why the exhibit is released all the same")))
            }
            _ => Ok(()),
        }
    }
}

fn said(field: &'static str, text: &str, says: &str) -> Result<(), Problem> {
    match text.trim().chars().count() {
        0 => Err(Problem::new(field, says)),
        1..=LONGEST => Ok(()),
        _ => Err(Problem::new(field, "is too long; 400 letters are enough")),
    }
}

fn in_order(
    (field, day): (&'static str, NaiveDate),
    last: Option<NaiveDate>,
    today: NaiveDate,
) -> Result<(), Problem> {
    if is_to_come(day, today) {
        return Err(Problem::new(field, "is in the future"));
    }
    if last.is_some_and(|last| day < last) {
        return Err(Problem::new(field, "is before the day it came to where it is now"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, month, day).expect("a day")
    }

    fn exhibit() -> Exhibit {
        Exhibit {
            report_ref: "K7M4-RT9X".into(),
            what: "front slide fastener".into(),
            received_on: day(3, 2),
            hold_until: hold_from(day(3, 2)),
            places: vec![Stay { place: "base store, shelf 4".into(), since: day(3, 2) }],
            released: None,
        }
    }

    fn release(why: Option<&str>) -> Release {
        Release { on: day(4, 1), to: "the maker".into(), why: why.map(Into::into) }
    }

    #[test]
    fn a_hold_is_sixty_days_and_overdue_the_day_after() {
        assert_eq!(exhibit().hold_until, day(5, 1));
        assert_eq!(exhibit().standing(day(5, 1)), Standing::Held);
        assert_eq!(exhibit().standing(day(5, 2)), Standing::Overdue);
        let gone = Exhibit { released: Some(release(None)), ..exhibit() };
        assert_eq!(gone.standing(day(5, 2)), Standing::Released);
    }

    #[test]
    fn what_is_still_needed_is_released_only_for_a_reason() {
        let checked = |why, matter| exhibit().check_release(&release(why), matter, day(4, 2));
        for matter in [
            Matter::NotSorted,
            Matter::Recurrence(RecurrenceState::Standing),
            Matter::Recurrence(RecurrenceState::TakenUp),
            Matter::Recurrence(RecurrenceState::Back),
        ] {
            assert_eq!(checked(None, matter).expect_err("refused").field, "why");
            assert!(checked(Some("  "), matter).is_err());
            assert_eq!(checked(Some("cut up for the bench"), matter), Ok(()));
        }
        assert_eq!(checked(None, Matter::Recurrence(RecurrenceState::Settled)), Ok(()));
        assert_eq!(checked(None, Matter::Closed), Ok(()));
    }

    #[test]
    fn nothing_moves_or_goes_twice_or_backwards_or_to_nowhere() {
        let today = day(4, 2);
        let stay = |since| Stay { place: "bench".into(), since };
        assert_eq!(exhibit().check_move(&stay(day(3, 5)), today), Ok(()));
        assert_eq!(exhibit().check_move(&stay(day(3, 1)), today).expect_err("backwards").field, "since");
        assert_eq!(exhibit().check_move(&stay(day(4, 4)), today).expect_err("to come").field, "since");
        let nowhere = Stay { place: " ".into(), since: day(3, 5) };
        assert_eq!(exhibit().check_move(&nowhere, today).expect_err("nowhere").field, "place");
        assert!(exhibit().check_hold(day(4, 1), today).is_err());
        assert_eq!(exhibit().check_hold(day(9, 1), today), Ok(()));
        let gone = Exhibit { released: Some(release(None)), ..exhibit() };
        assert!(gone.check_move(&stay(day(4, 1)), today).is_err());
        assert!(gone.check_hold(day(9, 1), today).is_err());
        assert!(gone.check_release(&release(None), Matter::Closed, today).is_err());
    }

    #[test]
    fn an_exhibit_says_what_it_is_and_where() {
        assert_eq!(exhibit().check(day(3, 2)), Ok(()));
        assert_eq!(exhibit().check(day(2, 28)).expect_err("to come").field, "received_on");
        for (field, wrong) in [
            ("what", Exhibit { what: " ".into(), ..exhibit() }),
            ("place", Exhibit { places: Vec::new(), ..exhibit() }),
            ("what", Exhibit { what: "x".repeat(401), ..exhibit() }),
            ("hold_until", Exhibit { hold_until: day(3, 1), ..exhibit() }),
        ] {
            assert_eq!(wrong.check(day(4, 2)).expect_err("refused").field, field);
        }
    }
}
