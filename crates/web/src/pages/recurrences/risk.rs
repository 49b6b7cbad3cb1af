//! The risk of a recurrence: as a person judged it, else as the figures have it.

use domain::analysis::Recurrence;
use domain::field::Field;
use domain::risk::{Level, RiskLevel, Severity, risk_level};
use serde::Serialize;
use store::RecurrenceRecord;

/// Severity, probability and what they make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Risk {
    /// Severity.
    pub severity: Severity,
    /// Probability level; `None` without exposure and without a judgement.
    pub probability: Option<Level>,
    /// Whether a person judged the severity.
    pub judged: bool,
}

/// A person's judgement comes first; the catalogue's severity and the figures' probability stand in for it.
pub fn risk_of(field: &Field, r: &Recurrence, record: Option<&RecurrenceRecord>) -> Risk {
    let judgement = record.and_then(|record| record.judgement.as_ref());
    let usual = Severity::from_number(field.modes[r.mode].severity).unwrap_or(Severity::Marginal);
    Risk {
        severity: judgement.map_or(usual, |judgement| judgement.severity),
        probability: judgement
            .and_then(|judgement| judgement.probability)
            .or_else(|| r.risk.as_ref().map(|risk| risk.probability)),
        judged: judgement.is_some(),
    }
}

impl Risk {
    /// The level of the matrix.
    pub fn level(self) -> Option<RiskLevel> {
        self.probability.map(|probability| risk_level(self.severity, probability))
    }

    /// `Serious (2C)`, `Serious (2C), not yet judged`.
    pub fn words(self) -> String {
        let unjudged = if self.judged { "" } else { ", not yet judged" };
        match self.probability {
            Some(level) => {
                format!("{} ({}{level}){unjudged}", risk_level(self.severity, level), self.severity.number())
            }
            None => format!("severity {}{unjudged}; probability not known", self.severity.number()),
        }
    }
}

/// One row of the matrix.
#[derive(Serialize)]
pub(super) struct MatrixRow {
    level: String,
    cells: Vec<(&'static str, bool)>,
}

/// The matrix of MIL-STD-882E, Table III, with this risk's cell marked.
pub(super) fn matrix(risk: Risk) -> Vec<MatrixRow> {
    let row = |level: &Level| MatrixRow {
        level: level.word().to_owned(),
        cells: Severity::ALL
            .iter()
            .map(|&severity| {
                let here = risk.severity == severity && risk.probability == Some(*level);
                (risk_level(severity, *level).word(), here)
            })
            .collect(),
    };
    Level::ALL.iter().map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;

    #[test]
    fn a_persons_judgement_overrules_the_catalogue() {
        let (field, analysis) = sample::field();
        let recurrence = &analysis.recurrences[0];
        let figures = risk_of(&field, recurrence, None);
        assert!(!figures.judged && figures.words().ends_with("not yet judged"), "{}", figures.words());
        let judged = risk_of(&field, recurrence, Some(&sample::record()));
        assert_eq!((judged.severity, judged.probability), (Severity::Critical, Some(Level::C)));
        assert_eq!(judged.words(), "Serious (2C)");
        let marked = matrix(judged).iter().flat_map(|row| row.cells.clone()).filter(|cell| cell.1).count();
        assert_eq!(marked, 1);
    }
}
