//! The docket: the changes that a meeting of the board looks at, in order, each with the advice of members.

use chrono::NaiveDate;

use crate::words::Problem;

/// The longest title, in letters.
pub const LONGEST_TITLE: usize = 120;

/// The longest advice, in letters.
pub const LONGEST_ADVICE: usize = 2_000;

/// A meeting of the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meeting {
    /// The day.
    pub held_on: NaiveDate,
    /// What it is called.
    pub title: String,
}

impl Meeting {
    /// Refuses a title that is blank or too long.
    pub fn check(&self) -> Result<(), Problem> {
        match self.title.trim().chars().count() {
            0 => Err(Problem::new("title", "expected what the meeting is called")),
            letters if letters > LONGEST_TITLE => {
                Err(Problem::new("title", format!("expected at most {LONGEST_TITLE} letters")))
            }
            _ => Ok(()),
        }
    }
}

/// Refuses advice without a reason, or with one that nobody would read.
pub fn check_advice(words: &str) -> Result<(), Problem> {
    match words.trim().chars().count() {
        0 => Err(Problem::new("words", "expected the reason of the advice")),
        letters if letters > LONGEST_ADVICE => {
            Err(Problem::new("words", format!("expected at most {LONGEST_ADVICE} letters")))
        }
        _ => Ok(()),
    }
}

/// The order after one thing has moved a place up; as it was where it stands first or isn't there.
pub fn moved_up<T: PartialEq>(mut order: Vec<T>, one: &T) -> Vec<T> {
    if let Some(at) = order.iter().position(|other| other == one).filter(|at| *at > 0) {
        order.swap(at, at - 1);
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meeting_has_a_title_and_advice_a_reason() {
        let meeting = |title: &str| Meeting { held_on: NaiveDate::MIN, title: title.into() };
        assert!(meeting("March board").check().is_ok());
        assert_eq!(meeting("  ").check().unwrap_err().field, "title");
        assert!(meeting(&"x".repeat(121)).check().is_err());
        assert!(check_advice("the bench shows it").is_ok() && check_advice(" ").is_err());
    }

    #[test]
    fn what_moves_up_changes_places_with_the_one_above() {
        assert_eq!(moved_up(vec!["a", "b", "c"], &"c"), ["a", "c", "b"]);
        assert_eq!(moved_up(vec!["a", "b"], &"a"), ["a", "b"]);
        assert_eq!(moved_up(vec!["a", "b"], &"z"), ["a", "b"]);
    }
}
