//! The gate before the board: what a draft still lacks.

use super::{Prediction, Verdict};

/// One thing that is still missing, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    /// The section of the record.
    pub section: &'static str,
    /// What is wanted there.
    pub what: String,
}

/// The parts of a draft that the gate looks at.
#[derive(Clone, Debug)]
pub struct Draft<'a> {
    /// Why the change is needed.
    pub problem: &'a str,
    /// What changes.
    pub description: &'a str,
    /// Failures after, against before.
    pub prediction: Option<&'a Prediction>,
    /// Every requirement of the item with its verdict; `None` where nobody has answered and nothing computes it.
    pub requirements: &'a [(String, Option<Verdict>)],
    /// Class criteria nobody has answered.
    pub criteria_unanswered: usize,
    /// From which lot or date it is to take effect.
    pub has_effectivity: bool,
    /// What happens to issued stock.
    pub has_retrofit: bool,
    /// How soon it must be decided, and why it is made.
    pub has_handling: bool,
}

/// What is still missing before the board can look at it; empty when it may be submitted.
pub fn missing_before_submission(draft: &Draft<'_>) -> Vec<Missing> {
    let mut missing = Vec::new();
    let mut want = |section, what: String| missing.push(Missing { section, what });
    if draft.problem.trim().is_empty() {
        want("problem", "why the change is needed".into());
    }
    if draft.description.trim().is_empty() {
        want("description", "what changes, and how".into());
    }
    if draft.prediction.is_none() {
        want("failures", "the failure rate to be expected after the change, with its evidence".into());
    }
    for (requirement_no, verdict) in draft.requirements {
        if verdict.is_none() {
            want("requirements", format!("an answer to requirement {requirement_no}"));
        }
    }
    match draft.criteria_unanswered {
        0 => {}
        1 => want("class", "one answer in the class check list".into()),
        several => want("class", format!("{several} answers in the class check list")),
    }
    if !draft.has_effectivity {
        want("effectivity", "the lot or date from which it is to take effect".into());
    }
    if !draft.has_retrofit {
        want("effectivity", "what happens to the stock already issued".into());
    }
    if !draft.has_handling {
        want("handling", "how soon it must be decided, and why it is made".into());
    }
    missing
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unanswered_requirement_bars_submission() {
        let requirements = [("3.2".to_owned(), None)];
        let prediction = Prediction {
            basis: super::super::PredictionBasis::Judged,
            ratio_low: 0.2,
            ratio_best: 0.4,
            ratio_high: 0.8,
            source: "judged by the responsible engineer".into(),
        };
        let draft = Draft {
            problem: "p",
            description: "d",
            prediction: Some(&prediction),
            requirements: &requirements,
            criteria_unanswered: 0,
            has_effectivity: true,
            has_retrofit: true,
            has_handling: true,
        };
        let missing = missing_before_submission(&draft);
        assert_eq!(missing.len(), 1);
        assert_eq!(missing[0].what, "an answer to requirement 3.2");
    }
}
