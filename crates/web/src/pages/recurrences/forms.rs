//! What an engineer decides on a recurrence's page: the forms, what was typed, and what is wrong with it.

use domain::risk::{Level, Severity};
use serde::{Deserialize, Serialize};
use store::{RecurrenceAct, RecurrenceEdit, RecurrenceRecord};

use crate::view::{Ask, Choice, Choices};

/// The longest text that is kept.
const LONGEST: usize = 4_000;

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

/// What is wrong, by field.
#[derive(Clone, Debug, Default)]
pub(super) struct Faults {
    severity: Option<&'static str>,
    probability: Option<&'static str>,
    reason: Option<&'static str>,
    cause: Option<&'static str>,
    next_step: Option<&'static str>,
}

/// Both forms, ready to be shown.
#[derive(Serialize)]
pub(super) struct Forms {
    problems: Vec<(&'static str, &'static str)>,
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

    /// The severity form.
    pub(super) fn judgement(&self) -> Result<RecurrenceEdit, Faults> {
        let severity = self.severity.parse().ok().and_then(Severity::from_number);
        let probability = match self.probability.as_str() {
            "" => Ok(None),
            word => word.parse::<Level>().map(Some),
        };
        let faults = Faults {
            severity: severity.is_none().then_some("Choose a severity."),
            probability: probability.is_err().then_some("Choose a level, or that of the figures."),
            reason: text_fault(&self.reason, Some("Say why: the board reads this beside the figures.")),
            ..Faults::default()
        };
        match (severity, probability) {
            (Some(severity), Ok(probability)) if faults.reason.is_none() => {
                Ok(RecurrenceEdit::Judge { severity, probability, reason: self.reason.trim().to_owned() })
            }
            _ => Err(faults),
        }
    }

    /// The form of cause and next step.
    pub(super) fn note(&self) -> Result<RecurrenceEdit, Faults> {
        let faults = Faults {
            cause: text_fault(&self.cause, None),
            next_step: text_fault(&self.next_step, None),
            ..Faults::default()
        };
        if faults.cause.is_some() || faults.next_step.is_some() {
            return Err(faults);
        }
        let (cause, next_step) = (self.cause.trim().to_owned(), self.next_step.trim().to_owned());
        Ok(RecurrenceEdit::Note { cause, next_step })
    }
}

fn text_fault(text: &str, if_blank: Option<&'static str>) -> Option<&'static str> {
    if text.trim().is_empty() {
        return if_blank;
    }
    (text.chars().count() > LONGEST).then_some("This is too long: use up to 4,000 letters.")
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
        let listed = [
            ("severity", faults.severity),
            ("probability", faults.probability),
            ("reason", faults.reason),
            ("cause", faults.cause),
            ("next_step", faults.next_step),
        ];
        Self {
            problems: listed.into_iter().filter_map(|(field, says)| Some((field, says?))).collect(),
            severity: Choices::one("severity", "Severity", severity.collect())
                .hint("MIL-STD-882E, Table I: the worst that can credibly happen")
                .problem(faults.severity),
            probability: Choices::one(
                "probability",
                "Probability in the life of one item",
                std::iter::once(figures).chain(levels).collect(),
            )
            .hint("MIL-STD-882E, Table II")
            .problem(faults.probability),
            reason: Ask::lines("reason", "Reasons", &sent.reason).required().problem(faults.reason),
            cause: Ask::lines("cause", "Cause", &sent.cause)
                .hint("What induces it, or why no cause was found")
                .problem(faults.cause),
            next_step: Ask::text("next_step", "Next step", &sent.next_step).problem(faults.next_step),
        }
    }
}
