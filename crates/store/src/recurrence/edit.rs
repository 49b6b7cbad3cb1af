//! The decisions on a recurrence, and which later ones make each of them one about something else.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::recurrence::{RecurrenceState, Settlement};
use domain::risk::{Level, Severity};

use super::{Model, PASS_ON};
use crate::journal::{moment, named};
use crate::read_back::filled;

const TAKE_UP: &str = "take up";
const JUDGE: &str = "judge";
const NOTE: &str = "note";
const SETTLE: &str = "settle";

/// One decision.
#[derive(Clone, Debug, PartialEq)]
pub enum RecurrenceEdit {
    /// Whoever decides takes it up.
    TakeUp,
    /// How severe it is.
    Judge {
        /// The severity.
        severity: Severity,
        /// The probability level; that of the figures where it is `None`.
        probability: Option<Level>,
        /// Why.
        reason: String,
    },
    /// What is known and what comes next.
    Note {
        /// What causes it, or why no cause was found.
        cause: String,
        /// What comes next.
        next_step: String,
    },
    /// It is settled on a proved change, and what remains is accepted.
    Settle(Settlement),
}

/// What kind of decision.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RecurrenceAct {
    /// Taking it up.
    TakeUp,
    /// Judging its risk.
    Judge,
    /// Writing cause and next step.
    Note,
    /// Settling it.
    Settle,
}

impl RecurrenceAct {
    /// How the journal names it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::TakeUp => TAKE_UP,
            Self::Judge => JUDGE,
            Self::Note => NOTE,
            Self::Settle => SETTLE,
        }
    }

    /// The acts in the journal that overtake it: those whose outcome it would overwrite. A judgement and a note leave
    /// each other as they are.
    pub const fn overtaken_by(self) -> &'static [&'static str] {
        match self {
            Self::TakeUp => &[TAKE_UP, PASS_ON, SETTLE],
            Self::Judge => &[JUDGE],
            Self::Note => &[NOTE],
            // It is settled on the cause that was shown, by whom it was shown to be with.
            Self::Settle => &[TAKE_UP, PASS_ON, NOTE, SETTLE],
        }
    }
}

impl RecurrenceEdit {
    /// What kind of decision it is.
    pub const fn act(&self) -> RecurrenceAct {
        match self {
            Self::TakeUp => RecurrenceAct::TakeUp,
            Self::Judge { .. } => RecurrenceAct::Judge,
            Self::Note { .. } => RecurrenceAct::Note,
            Self::Settle(_) => RecurrenceAct::Settle,
        }
    }

    pub(super) fn apply(&self, row: &mut Model, by: &Actor, now: DateTime<Utc>) {
        match self {
            Self::TakeUp => {
                let (name, number) = named(by);
                row.owner = Some(name);
                row.owner_id = number;
                RecurrenceState::TakenUp.word().clone_into(&mut row.state);
            }
            Self::Judge { severity, probability, reason } => {
                row.severity = Some(i64::from(severity.number()));
                row.probability = probability.map(|level| level.word().to_owned());
                row.severity_reason = Some(reason.clone());
                row.severity_by = Some(named(by).0);
                row.severity_at = Some(moment(now));
            }
            Self::Note { cause, next_step } => {
                row.cause = filled(Some(cause.trim()));
                row.next_step = filled(Some(next_step.trim()));
            }
            Self::Settle(_) => RecurrenceState::Settled.word().clone_into(&mut row.state),
        }
    }
}
