//! A maker's case: the dispute about a suspect lot, from the notice to the settlement.

use chrono::NaiveDate;

use crate::civil_day::is_to_come;
use crate::words::{Problem, words};

words! {
    /// What the samples and the reply came to.
    pub enum CaseResult {
        /// The lot does not conform.
        Nonconforming = "nonconforming",
        /// The lot conforms.
        Conforming = "conforming",
        /// The samples don't tell.
        Undecided = "undecided",
    }
}

/// How many specimens each side got.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SampleSplit {
    /// The maker.
    pub maker: u32,
    /// We.
    pub ours: u32,
    /// A referee, sealed until he is asked.
    pub referee: u32,
}

/// A maker's case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MakerCase {
    /// The lot's number.
    pub lot_no: String,
    /// Its maker.
    pub maker: String,
    /// What the case is about.
    pub about: String,
    /// When the maker was told.
    pub notice_on: NaiveDate,
    /// When the reply is due.
    pub reply_due: NaiveDate,
    /// When the maker replied, and what.
    pub reply: Option<(NaiveDate, String)>,
    /// Who got how many specimens.
    pub samples: SampleSplit,
    /// What it came to.
    pub result: Option<CaseResult>,
    /// When and how it was settled.
    pub settlement: Option<(NaiveDate, String)>,
    /// Whose it is, by the store's number.
    pub owner: Option<i64>,
}

/// How a case stands on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CaseStanding {
    /// The maker has not replied; there is time.
    AwaitingReply,
    /// The maker has not replied, and it was due so many days ago.
    ReplyOverdue {
        /// Days since it was due.
        days: i64,
    },
    /// The maker replied; it is not settled.
    Replied,
    /// Settled.
    Settled,
}

impl MakerCase {
    /// Refuses days in the wrong order, days still to come, words left blank and a settlement without a result.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self, today: NaiveDate) -> Result<(), Problem> {
        let blank = |text: &str| text.trim().is_empty();
        if blank(&self.about) {
            return Err(Problem::new("about", "expected what the case is about"));
        }
        if is_to_come(self.notice_on, today) {
            return Err(Problem::new("notice_on", "expected a day that is not still to come"));
        }
        if self.reply_due < self.notice_on {
            return Err(Problem::new("reply_due", "expected a day not before the notice"));
        }
        if let Some((on, words)) = &self.reply {
            Self::check_step(["replied_on", "reply"], *on, words, (self.notice_on, today))?;
        }
        if let Some((on, words)) = &self.settlement {
            Self::check_step(["settled_on", "settlement"], *on, words, (self.notice_on, today))?;
            if self.result.is_none() {
                return Err(Problem::new("result", "expected what it came to, before it is settled"));
            }
        }
        Ok(())
    }

    fn check_step(
        [day, text]: [&'static str; 2],
        on: NaiveDate,
        words: &str,
        (from, to): (NaiveDate, NaiveDate),
    ) -> Result<(), Problem> {
        if on < from || is_to_come(on, to) {
            return Err(Problem::new(day, "expected a day from the notice to today"));
        }
        if words.trim().is_empty() {
            return Err(Problem::new(text, "expected what was said"));
        }
        Ok(())
    }

    /// How it stands on a day.
    pub fn standing(&self, today: NaiveDate) -> CaseStanding {
        match (&self.settlement, &self.reply) {
            (Some(_), _) => CaseStanding::Settled,
            (None, Some(_)) => CaseStanding::Replied,
            (None, None) if self.reply_due < today => {
                CaseStanding::ReplyOverdue { days: (today - self.reply_due).num_days() }
            }
            (None, None) => CaseStanding::AwaitingReply,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("a day")
    }

    fn case() -> MakerCase {
        MakerCase {
            lot_no: "TB-0418".into(),
            maker: "Harbour Loft".into(),
            about: "Tube seams below strength".into(),
            notice_on: day(2),
            reply_due: day(12),
            reply: None,
            samples: SampleSplit { maker: 5, ours: 5, referee: 5 },
            result: None,
            settlement: None,
            owner: Some(2),
        }
    }

    #[test]
    fn a_reply_is_overdue_after_its_day_and_until_it_comes() {
        assert_eq!(case().standing(day(12)), CaseStanding::AwaitingReply);
        assert_eq!(case().standing(day(15)), CaseStanding::ReplyOverdue { days: 3 });
        let replied = MakerCase { reply: Some((day(14), "We test ours.".into())), ..case() };
        assert_eq!(replied.standing(day(15)), CaseStanding::Replied);
    }

    #[test]
    fn nothing_is_settled_before_it_came_to_something() {
        let settled = MakerCase { settlement: Some((day(14), "Replaced.".into())), ..case() };
        assert_eq!(settled.check(day(15)).expect_err("no result").field, "result");
        let whole = MakerCase { result: Some(CaseResult::Nonconforming), ..settled };
        assert_eq!(whole.check(day(15)), Ok(()));
        assert_eq!(whole.standing(day(15)), CaseStanding::Settled);
    }

    #[test]
    fn days_come_in_their_order() {
        let due = MakerCase { reply_due: day(1), ..case() };
        assert_eq!(due.check(day(15)).expect_err("before the notice").field, "reply_due");
        let early = MakerCase { reply: Some((day(1), "Told before.".into())), ..case() };
        assert_eq!(early.check(day(15)).expect_err("before the notice").field, "replied_on");
    }
}
