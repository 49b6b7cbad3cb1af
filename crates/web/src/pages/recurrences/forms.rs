//! What an engineer decides on a recurrence's page: the forms, what was typed, and what is wrong with it.

use domain::risk::{Level, Severity};
use serde::{Deserialize, Serialize};
use store::{RecurrenceAct, RecurrenceEdit, RecurrenceRecord};

use crate::format;
use crate::pages::records::too_long;
use crate::view::{Ask, Choice, Choices, Faults};

/// What the forms send; each sends its own fields.
#[derive(Clone, Debug, Default, Deserialize)]
pub(super) struct Sent {
    #[serde(default)]
    severity: String,
    #[serde(default)]
    probability: String,
    #[serde(default)]
    reason: String,
    #[serde(default)]
    cause: String,
    #[serde(default)]
    next_step: String,
    /// The latest line of the journal that the page showed.
    #[serde(default)]
    pub(super) shown: i64,
}

/// Both forms, ready to be shown.
#[derive(Serialize)]
pub(super) struct Forms {
    problems: Faults,
    severity: Choices,
    probability: Choices,
    reason: Ask,
    cause: Ask,
    next_step: Ask,
}

impl Sent {
    /// What is kept now, as if it had been typed.
    pub(super) fn of(record: Option<&RecurrenceRecord>) -> Self {
        let judgement = record.and_then(|record| record.judgement.as_ref());
        let text = |of: fn(&RecurrenceRecord) -> &Option<String>| {
            record.and_then(|record| of(record).clone()).unwrap_or_default()
        };
        Self {
            severity: judgement.map(|j| j.severity.number().to_string()).unwrap_or_default(),
            probability: judgement
                .and_then(|j| j.probability)
                .map(|level| level.word().to_owned())
                .unwrap_or_default(),
            reason: judgement.map(|j| j.reason.clone()).unwrap_or_default(),
            cause: text(|record| &record.cause),
            next_step: text(|record| &record.next_step),
            shown: 0,
        }
    }

    /// What was typed into the form of an act, the others as they are kept.
    pub(super) fn over(self, record: Option<&RecurrenceRecord>, act: RecurrenceAct) -> Self {
        let kept = Self::of(record);
        match act {
            RecurrenceAct::Judge => Self { cause: kept.cause, next_step: kept.next_step, ..self },
            RecurrenceAct::Note => Self { cause: self.cause, next_step: self.next_step, ..kept },
            RecurrenceAct::TakeUp | RecurrenceAct::Settle => kept,
        }
    }

    /// The severity form; what is wrong is noted in its order, in which the page lists it.
    pub(super) fn judgement(&self) -> Result<RecurrenceEdit, Faults> {
        let severity = self.severity.parse().ok().and_then(Severity::from_number);
        let probability = match self.probability.as_str() {
            "" => Ok(None),
            word => word.parse::<Level>().map(Some),
        };
        let mut faults = Faults::default();
        if severity.is_none() {
            faults.add("severity", "Choose a severity.");
        }
        if probability.is_err() {
            faults.add("probability", "Choose a level, or that of the figures.");
        }
        if self.reason.trim().is_empty() {
            faults.add("reason", "Say why: the board reads this beside the figures.");
        }
        check_length(&mut faults, "reason", &self.reason);
        match (severity, probability) {
            (Some(severity), Ok(probability)) if faults.is_empty() => {
                Ok(RecurrenceEdit::Judge { severity, probability, reason: self.reason.trim().to_owned() })
            }
            _ => Err(faults),
        }
    }

    /// The form of cause and next step.
    pub(super) fn note(&self) -> Result<RecurrenceEdit, Faults> {
        let mut faults = Faults::default();
        check_length(&mut faults, "cause", &self.cause);
        check_length(&mut faults, "next_step", &self.next_step);
        if !faults.is_empty() {
            return Err(faults);
        }
        let (cause, next_step) = (self.cause.trim().to_owned(), self.next_step.trim().to_owned());
        Ok(RecurrenceEdit::Note { cause, next_step })
    }
}

fn check_length(faults: &mut Faults, field: &str, text: &str) {
    if let Some(why) = too_long(text.trim()) {
        faults.add(field, format::sentence(why));
    }
}

impl Forms {
    /// The forms with what was typed and what is wrong.
    pub(super) fn new(sent: &Sent, faults: &Faults) -> Self {
        let severity = Severity::ALL.iter().map(|severity| {
            let number = severity.number().to_string();
            let chosen = number == sent.severity;
            Choice::new(&number, format!("{number} {severity}"), chosen).hint(severity.harm())
        });
        let figures = Choice::new("", "As the figures have it", sent.probability.is_empty());
        let levels = Level::ALL.iter().map(|level| {
            let chosen = level.word() == sent.probability;
            Choice::new(level.word(), format!("{level} {}", level.name()), chosen)
        });
        Self {
            problems: faults.clone(),
            severity: Choices::one("severity", "Severity", severity.collect())
                .hint("MIL-STD-882E, Table I: the worst that can credibly happen")
                .problem(faults.of("severity")),
            probability: Choices::one(
                "probability",
                "Probability in the life of one item",
                std::iter::once(figures).chain(levels).collect(),
            )
            .hint("MIL-STD-882E, Table II")
            .problem(faults.of("probability")),
            reason: Ask::lines("reason", "Reasons", &sent.reason).required().problem(faults.of("reason")),
            cause: Ask::lines("cause", "Cause", &sent.cause)
                .hint("What induces it, or why no cause was found")
                .problem(faults.of("cause")),
            next_step: Ask::text("next_step", "Next step", &sent.next_step).problem(faults.of("next_step")),
        }
    }
}
