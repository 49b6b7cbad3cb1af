//! An interim instruction: what units do with items already issued until a change reaches them.

use chrono::NaiveDate;

use crate::civil_day::{is_over, is_to_come};
use crate::concerned::Concerned;
use crate::words::{Problem, words};

words! {
    /// What units are to do.
    pub enum InstructionKind {
        /// Look at each item before it is used.
        Inspect = "inspect",
        /// Take each item out of use.
        StopUse = "stop use",
        /// Alter each item in the field, as the words say.
        FieldModification = "field modification",
    }
}

/// An interim instruction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instruction {
    /// What units are to do.
    pub kind: InstructionKind,
    /// With what.
    pub concerned: Concerned,
    /// From which day.
    pub from: NaiveDate,
    /// Until which day, inclusive; until it is withdrawn when `None`.
    pub to: Option<NaiveDate>,
    /// What to do, in words for a unit.
    pub words: String,
    /// Who orders it.
    pub authority: String,
    /// The change it bridges the time to.
    pub change_no: Option<String>,
    /// The part and mode of the recurrence it answers.
    pub recurrence: Option<(String, String)>,
    /// Since when it no longer holds, and why.
    pub withdrawn: Option<(NaiveDate, String)>,
}

/// How an instruction or a variance stands on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Its first day is still to come.
    NotYet,
    /// It holds.
    Now,
    /// Its last day is past.
    Ended,
    /// It was withdrawn.
    Withdrawn,
}

impl Holds {
    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::NotYet => "not yet in force",
            Self::Now => "in force",
            Self::Ended => "ended",
            Self::Withdrawn => "withdrawn",
        }
    }
}

impl Instruction {
    /// Refuses an instruction without words or authority, and one that ends before it begins.
    ///
    /// # Errors
    /// The field and what it wants.
    pub fn check(&self) -> Result<(), Problem> {
        if self.words.trim().is_empty() {
            return Err(Problem::new("words", "expected what units are to do"));
        }
        if self.authority.trim().is_empty() {
            return Err(Problem::new("authority", "expected who orders it"));
        }
        if self.to.is_some_and(|to| to < self.from) {
            return Err(Problem::new("to", "expected a day not before the first"));
        }
        Ok(())
    }

    /// How it stands on a day of UTC. Its own days are those of the units it is given to, wherever they are.
    pub fn holds(&self, today: NaiveDate) -> Holds {
        match &self.withdrawn {
            Some((day, _)) if *day <= today => Holds::Withdrawn,
            _ if is_to_come(self.from, today) => Holds::NotYet,
            _ if self.to.is_some_and(|to| is_over(to, today)) => Holds::Ended,
            _ => Holds::Now,
        }
    }
}

impl InstructionKind {
    /// What a unit reads first.
    pub const fn order(self) -> &'static str {
        match self {
            Self::Inspect => "Inspect before use",
            Self::StopUse => "Stop using it",
            Self::FieldModification => "Alter it as told before use",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("a day")
    }

    fn stop() -> Instruction {
        Instruction {
            kind: InstructionKind::StopUse,
            concerned: Concerned { part_no: "RC-100".into(), maker: None, lots: vec!["TB-0418".into()] },
            from: day(3),
            to: Some(day(20)),
            words: "Hand the item in and take another.".into(),
            authority: "Equipment engineer".into(),
            change_no: None,
            recurrence: None,
            withdrawn: None,
        }
    }

    #[test]
    fn it_holds_from_its_first_day_to_its_last_unless_it_is_withdrawn() {
        let holds = |today: u32| stop().holds(day(today));
        assert_eq!(
            [holds(1), holds(2), holds(3), holds(20), holds(21), holds(22)],
            [Holds::NotYet, Holds::Now, Holds::Now, Holds::Now, Holds::Now, Holds::Ended],
            "from when its first day begins in the east to when its last ends in the west"
        );
        let withdrawn = Instruction { withdrawn: Some((day(10), "The lot was replaced.".into())), ..stop() };
        assert_eq!(withdrawn.holds(day(9)), Holds::Now);
        assert_eq!(withdrawn.holds(day(10)), Holds::Withdrawn);
    }

    #[test]
    fn it_says_what_to_do_and_ends_after_it_begins() {
        assert_eq!(stop().check(), Ok(()));
        let back = Instruction { to: Some(day(2)), ..stop() };
        assert_eq!(back.check().expect_err("backwards").field, "to");
        let mute = Instruction { words: " ".into(), ..stop() };
        assert_eq!(mute.check().expect_err("mute").field, "words");
    }
}
