//! A change record held against the field: what the figures say, what people answered, and what is still missing.

use stats::Interval;
use stats::product::Estimate;

use super::known::known;
use super::required::of_rate;
use super::{
    AfterRate, Draft, Missing, Prediction, RequirementCheck, Retrofit, Verdict, check_requirement,
    missing_before_submission, predicted_after,
};
use crate::analysis::{ChangeResult, Rate};
use crate::class::{Class, Criterion, computed, decide};
use crate::field::{Field, RequirementFacts};

/// What people wrote into a record, as far as the assessment reads it.
#[derive(Clone, Copy, Debug)]
pub struct Written<'a> {
    /// Why the change is needed.
    pub problem: &'a str,
    /// What changes.
    pub description: &'a str,
    /// Codes of the modes that it is to cure; every mode of the part where there is none.
    pub modes: &'a [String],
    /// Failures after, against before.
    pub prediction: Option<&'a Prediction>,
    /// Requirements that a person answered; the figure is their statement.
    pub answers: &'a [RequirementCheck],
    /// Criteria that a person answered.
    pub criteria: &'a [CriterionLine],
    /// Whether a lot or a date is proposed.
    pub has_effectivity: bool,
    /// What happens to issued items.
    pub retrofit: Option<Retrofit>,
    /// Whether priority and justification are stated.
    pub has_handling: bool,
}

/// One requirement of an item that contains the changed part.
#[derive(Clone, Debug, PartialEq)]
pub struct RequirementLine<'a> {
    /// The requirement.
    pub facts: &'a RequirementFacts,
    /// How it fares; `None` where nobody answered and no figure says anything.
    pub check: Option<RequirementCheck>,
    /// Whether figures answer it, so that nobody is asked.
    pub by_figures: bool,
    /// Whether it still waits for a person's answer; what figures say, if anything, can't tell.
    pub is_open: bool,
}

impl RequirementLine<'_> {
    /// How it fares; `None` while it waits for a person.
    pub fn verdict(&self) -> Option<Verdict> {
        self.check.as_ref().filter(|_| !self.is_open).map(|check| check.verdict)
    }
}

/// One line of the class check list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CriterionLine {
    /// The criterion.
    pub criterion: Criterion,
    /// Whether the change touches it; `None` while nobody has answered.
    pub touched: Option<bool>,
    /// Whether the program knows it by itself, so that nobody is asked.
    pub by_program: bool,
    /// Why, in a person's words.
    pub reason: Option<String>,
}

/// The record as a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment<'a> {
    /// The rate to be expected after; `None` without a prediction or without a rate before.
    pub predicted: Option<AfterRate>,
    /// Every requirement of the items concerned.
    pub requirements: Vec<RequirementLine<'a>>,
    /// The whole check list.
    pub criteria: Vec<CriterionLine>,
    /// The class that the list comes to so far.
    pub class: Class,
    /// What is still missing before the board can look at it.
    pub missing: Vec<Missing>,
}

/// Holds a record against what the field says of the change.
///
/// Figures come before people: a requirement or criterion that figures answer is answered by them. The rate observed after
/// the change stands in for the predicted one, once there are failures or their absence says more than the prediction.
pub fn assess<'a>(field: &'a Field, result: Option<&ChangeResult>, written: Written<'_>) -> Assessment<'a> {
    let before = result.and_then(|result| result.rate_before);
    let predicted = written
        .prediction
        .zip(before)
        .and_then(|(prediction, before)| predicted_after(estimate(before), prediction).ok());
    let says_more = |rate: &Rate| rate.occasions > 0 || predicted.is_some_and(|after| rate.high < after.high);
    let observed = result.and_then(|result| result.rate_after).filter(says_more);
    let after = observed
        .map(|rate| AfterRate { estimate: rate.estimate, low: rate.low, high: rate.high })
        .or(predicted);
    let requirements = requirements(field, result, after, (written.modes, written.answers));
    let criteria = criteria(known(result, written.prediction, written.retrofit), written.criteria);
    let named: Vec<_> = requirements
        .iter()
        .map(|line| (line.facts.requirement.requirement_no.clone(), line.verdict()))
        .collect();
    let missing = missing_before_submission(&Draft {
        problem: written.problem,
        description: written.description,
        prediction: written.prediction,
        requirements: &named,
        criteria_unanswered: criteria.iter().filter(|line| line.touched.is_none()).count(),
        has_effectivity: written.has_effectivity,
        has_retrofit: written.retrofit.is_some(),
        has_handling: written.has_handling,
    });
    let class = decide(criteria.iter().map(|line| line.touched == Some(true)));
    Assessment { predicted, requirements, criteria, class, missing }
}

const fn estimate(rate: Rate) -> Estimate {
    Estimate { value: rate.estimate, interval: Interval { low: rate.low, high: rate.high } }
}

fn requirements<'a>(
    field: &'a Field,
    result: Option<&ChangeResult>,
    after: Option<AfterRate>,
    (modes, answers): (&[String], &[RequirementCheck]),
) -> Vec<RequirementLine<'a>> {
    let masses = result.map_or(&[][..], |result| &result.mass);
    let concerned = |facts: &&RequirementFacts| masses.iter().any(|mass| mass.item == facts.item);
    let change = result.map(|result| (field.changes[result.change].to, modes));
    field
        .requirements
        .iter()
        .filter(concerned)
        .map(|facts| {
            let by_figures = check_requirement(field, facts, masses, after, change);
            if by_figures.is_some() {
                return RequirementLine { facts, check: by_figures, by_figures: true, is_open: false };
            }
            let number = &facts.requirement.requirement_no;
            let answer = answers.iter().find(|answer| answer.requirement_no == *number).cloned();
            let figures = after.zip(change).and_then(|rate| of_rate(field, facts, masses, rate));
            let is_open = answer.is_none();
            RequirementLine { facts, check: beside(answer, figures), by_figures: false, is_open }
        })
        .collect()
}

/// A person's answer with the figures that can't tell alone; either by itself where there is no other.
fn beside(answer: Option<RequirementCheck>, figures: Option<RequirementCheck>) -> Option<RequirementCheck> {
    let (Some(answer), Some(figures)) = (&answer, &figures) else { return answer.or(figures) };
    let said = answer.figure.trim().trim_end_matches('.');
    let both = if said.is_empty() { figures.figure.clone() } else { format!("{said}. {}", figures.figure) };
    Some(RequirementCheck { figure: both, ..answer.clone() })
}

fn criteria(known: crate::class::Known, answered: &[CriterionLine]) -> Vec<CriterionLine> {
    let line = |&criterion: &Criterion| {
        let answer = answered.iter().find(|line| line.criterion == criterion);
        let by_program = computed(criterion, known);
        CriterionLine {
            criterion,
            touched: by_program.or_else(|| answer.and_then(|line| line.touched)),
            by_program: by_program.is_some(),
            reason: answer.and_then(|line| line.reason.clone()),
        }
    };
    Criterion::ALL.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change_record::PredictionBasis;
    use crate::nouns::builder;

    fn nothing() -> Written<'static> {
        Written {
            problem: "",
            description: "",
            modes: &[],
            prediction: None,
            answers: &[],
            criteria: &[],
            has_effectivity: false,
            retrofit: None,
            has_handling: false,
        }
    }

    #[test]
    fn an_empty_record_lacks_every_section() {
        let field = builder().build();
        let sections: Vec<_> = assess(&field, None, nothing()).missing.iter().map(|m| m.section).collect();
        let all = ["problem", "description", "failures", "class", "effectivity", "effectivity", "handling"];
        assert_eq!(sections, all);
    }

    #[test]
    fn what_the_program_knows_overrules_what_was_ticked() {
        let field = builder().build();
        let ticked = [CriterionLine {
            criterion: Criterion::Retrofit,
            touched: Some(true),
            by_program: false,
            reason: Some("they come back".into()),
        }];
        let written = Written { criteria: &ticked, retrofit: Some(Retrofit::RunOut), ..nothing() };
        let line = &assess(&field, None, written).criteria[8];
        assert_eq!((line.criterion, line.touched, line.by_program), (Criterion::Retrofit, Some(false), true));
    }

    #[test]
    fn a_prediction_clear_of_one_makes_a_change_class_one() {
        let field = builder().build();
        let prediction = Prediction {
            basis: PredictionBasis::Bench,
            ratio_low: 0.3,
            ratio_best: 0.5,
            ratio_high: 0.9,
            source: "ten specimens each".into(),
        };
        let assessed = assess(&field, None, Written { prediction: Some(&prediction), ..nothing() });
        assert_eq!((assessed.class, assessed.predicted), (Class::One, None), "no rate before, none after");
        assert_eq!(assess(&field, None, nothing()).class, Class::Two);
    }
}
