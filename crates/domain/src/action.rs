//! An action: one thing to be done between the approval of a change and its cut-in, with who does it and how it was done.

use chrono::NaiveDate;

use crate::civil_day::is_to_come;
use crate::words::{Problem, words};

words! {
    /// What kind of thing is to be done.
    pub enum ActionKind {
        /// A drawing or specification is released.
        Drawing = "drawing",
        /// A contract is let or altered.
        Contract = "contract",
        /// The first article passes its inspection.
        FirstArticle = "first article",
        /// A lot passes its acceptance.
        LotAcceptance = "lot acceptance",
        /// A technical manual is altered.
        Manual = "manual change",
        /// Spare parts are laid in.
        Spares = "spares",
        /// Retrofit kits are made up.
        Kits = "kits",
        /// People are trained.
        Training = "training",
        /// What the board made the approval depend on.
        Condition = "condition of approval",
        /// Anything else.
        Other = "other",
    }
}

/// What is to be done for a change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Action {
    /// The change.
    pub change_no: String,
    /// Its kind.
    pub kind: ActionKind,
    /// What is to be done, in words.
    pub what: String,
    /// Who does it, by the store's number; nobody yet when `None`.
    pub owner: Option<i64>,
    /// When it is due.
    pub due: Option<NaiveDate>,
    /// When and how it was done; open when `None`.
    pub done: Option<Done>,
}

/// When and how an action was done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// The day.
    pub on: NaiveDate,
    /// What shows it: a drawing's number, a protocol, a link.
    pub evidence: String,
}

/// How an action stands on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ActionStanding {
    /// Done.
    Done,
    /// Open; its day, if it has one, is not past.
    Open,
    /// Open, and due so many days ago.
    Overdue {
        /// Days since it was due.
        days: i64,
    },
}

impl Action {
    /// Refuses an action without words, and one that was done tomorrow or without anything to show for it.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self, today: NaiveDate) -> Result<(), Problem> {
        if self.what.trim().is_empty() {
            return Err(Problem::new("what", "expected what is to be done"));
        }
        self.done.as_ref().map_or(Ok(()), |done| done.check(today))
    }

    /// How it stands on a day.
    pub fn standing(&self, today: NaiveDate) -> ActionStanding {
        match (&self.done, self.due) {
            (Some(_), _) => ActionStanding::Done,
            (None, Some(due)) if due < today => ActionStanding::Overdue { days: (today - due).num_days() },
            (None, _) => ActionStanding::Open,
        }
    }

    /// Whether it keeps its change from being cut in: an open condition of the approval does.
    pub fn bars_cut_in(&self) -> bool {
        self.kind == ActionKind::Condition && self.done.is_none()
    }
}

impl Done {
    /// Refuses a day still to come and evidence left blank.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self, today: NaiveDate) -> Result<(), Problem> {
        if is_to_come(self.on, today) {
            return Err(Problem::new("done_on", "expected a day that is not still to come"));
        }
        if self.evidence.trim().is_empty() {
            return Err(Problem::new("evidence", "expected what shows that it was done"));
        }
        Ok(())
    }
}

/// The conditions of an approval, one a line, as what is to be done before the cut-in.
pub fn conditions(text: &str) -> impl Iterator<Item = &str> {
    text.lines()
        .map(|line| line.trim().trim_start_matches(['-', '*', '\u{2022}']).trim())
        .filter(|line| !line.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("a day")
    }

    fn action(kind: ActionKind) -> Action {
        Action {
            change_no: "2026-014".into(),
            kind,
            what: "Fit check in the smallest size".into(),
            owner: Some(3),
            due: Some(day(10)),
            done: None,
        }
    }

    #[test]
    fn an_action_is_overdue_from_the_day_after_it_was_due_until_it_is_done() {
        let open = action(ActionKind::Drawing);
        assert_eq!(open.standing(day(10)), ActionStanding::Open);
        assert_eq!(open.standing(day(13)), ActionStanding::Overdue { days: 3 });
        let done = Action { done: Some(Done { on: day(12), evidence: "DR-7".into() }), ..open };
        assert_eq!(done.standing(day(13)), ActionStanding::Done);
    }

    #[test]
    fn only_an_open_condition_of_the_approval_bars_the_cut_in() {
        assert!(action(ActionKind::Condition).bars_cut_in());
        assert!(!action(ActionKind::Drawing).bars_cut_in());
        let done = Done { on: day(9), evidence: "protocol 12".into() };
        assert!(!Action { done: Some(done), ..action(ActionKind::Condition) }.bars_cut_in());
    }

    #[test]
    fn nothing_is_done_tomorrow_or_without_anything_to_show_for_it() {
        let early = Done { on: day(14), evidence: "DR-7".into() };
        assert_eq!(early.check(day(12)).expect_err("early").field, "done_on");
        let bare = Done { on: day(13), evidence: " ".into() };
        assert_eq!(bare.check(day(13)).expect_err("bare").field, "evidence");
    }

    #[test]
    fn conditions_are_read_one_a_line() {
        let lines: Vec<&str> = conditions("- fit check in XS\n\n * spares first \n").collect();
        assert_eq!(lines, ["fit check in XS", "spares first"]);
    }
}
