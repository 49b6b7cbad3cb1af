//! What people wrote into a record and decided on it.

use chrono::{DateTime, NaiveDate, Utc};
use domain::change_record::{Assessment, CriterionLine, Missing, Prediction, RequirementCheck, Verdict};
use domain::effectivity::Effectivity;
use domain::field::Field;
use domain::target_time::Edition;
use serde::Serialize;
use store::{CriterionAnswer, Decision, RecordBody, RequirementAnswer};

/// What the engineer wrote.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the record's body in the store, which says what each is")]
pub struct WrittenView {
    pub recurrence: Option<(String, String)>,
    pub problem: String,
    pub description: String,
    pub retrofit: Option<&'static str>,
    pub retrofit_note: Option<String>,
    pub priority: Option<&'static str>,
    pub priority_words: Option<&'static str>,
    /// Calendar days from submission to decision that the priority aims at.
    pub target_days: Option<u32>,
    /// The edition that sets it.
    pub priority_edition: &'static str,
    pub justification: Option<&'static str>,
    pub justification_words: Option<&'static str>,
    pub cost_note: Option<String>,
    pub drafted_by: Option<String>,
    pub drafted_at: DateTime<Utc>,
    pub submitted_at: Option<DateTime<Utc>>,
    pub revision: u32,
    pub version: i64,
}

/// How many failures are left after, as a share of before.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the prediction of the domain, which says what each is")]
pub struct PredictionView {
    pub basis: &'static str,
    pub ratio_low: f64,
    pub ratio_best: f64,
    pub ratio_high: f64,
    pub source: String,
}

/// One requirement under the change.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RequirementView {
    /// The item it is set on.
    pub item: String,
    /// Its number.
    pub requirement_no: String,
    /// Its words.
    pub text: String,
    /// `met`, `not met`, `can't tell`, `not affected`; nothing where nobody answered and no figure does.
    pub verdict: Option<&'static str>,
    /// The figure it rests on, or the person's statement; beside either, a figure that can't tell alone, with the reason.
    pub figure: Option<String>,
    /// Whether figures answer it.
    pub by_figures: bool,
}

/// One line of the class check list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CriterionView {
    /// The criterion's word.
    pub criterion: &'static str,
    /// Its question.
    pub question: &'static str,
    /// The answer; nothing while there is none.
    pub touched: Option<bool>,
    /// Whether the program knows it by itself.
    pub by_program: bool,
    /// Why, in a person's words.
    pub reason: Option<String>,
}

/// One line of effectivity.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the effectivity of the domain, which says what each is")]
pub struct EffectivityView {
    pub stage: &'static str,
    pub maker: Option<String>,
    pub from_lot: Option<String>,
    pub to_lot: Option<String>,
    pub share_new: f64,
    pub from_date: Option<NaiveDate>,
}

/// What the board decided.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the decision of the store, which says what each is")]
pub struct DecisionView {
    pub disposition: &'static str,
    pub reason: String,
    pub conditions: Option<String>,
    pub signature: String,
    pub by: Option<String>,
    pub at: DateTime<Utc>,
}

/// One thing that is still missing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MissingView {
    /// The section of the gate.
    pub section: &'static str,
    /// What is wanted there.
    pub what: String,
}

impl WrittenView {
    /// What the engineer wrote, with the target time of an edition.
    pub(super) fn new(body: &RecordBody, edition: &'static Edition) -> Self {
        Self {
            recurrence: body.recurrence.clone(),
            problem: body.problem.clone(),
            description: body.description.clone(),
            retrofit: body.retrofit.map(domain::change_record::Retrofit::word),
            retrofit_note: body.retrofit_note.clone(),
            priority: body.priority.map(domain::class::Priority::word),
            priority_words: body.priority.map(domain::class::Priority::words),
            target_days: body.priority.map(|priority| edition.days(priority)),
            priority_edition: &edition.name,
            justification: body.justification.map(domain::class::Justification::word),
            justification_words: body.justification.map(domain::class::Justification::words),
            cost_note: body.cost_note.clone(),
            drafted_by: body.drafted_by_name.clone(),
            drafted_at: body.drafted_at,
            submitted_at: body.submitted_at,
            revision: body.revision,
            version: body.version,
        }
    }
}

impl From<&Prediction> for PredictionView {
    fn from(prediction: &Prediction) -> Self {
        Self {
            basis: prediction.basis.word(),
            ratio_low: prediction.ratio_low,
            ratio_best: prediction.ratio_best,
            ratio_high: prediction.ratio_high,
            source: prediction.source.clone(),
        }
    }
}

pub(super) fn requirements(field: &Field, assessed: &Assessment<'_>) -> Vec<RequirementView> {
    let lines = assessed.requirements.iter().map(|line| RequirementView {
        item: field.part_names[line.facts.item].to_owned(),
        requirement_no: line.facts.requirement.requirement_no.clone(),
        text: line.facts.requirement.text.clone(),
        verdict: line.verdict().map(Verdict::word),
        figure: line.check.as_ref().map(|check| check.figure.clone()).filter(|said| !said.is_empty()),
        by_figures: line.by_figures,
    });
    lines.collect()
}

pub(super) fn answered(answer: &RequirementAnswer) -> RequirementCheck {
    RequirementCheck {
        requirement_no: answer.requirement_no.clone(),
        verdict: answer.verdict,
        figure: answer.note.clone().unwrap_or_default(),
    }
}

pub(super) fn ticked(answer: &CriterionAnswer) -> CriterionLine {
    CriterionLine {
        criterion: answer.criterion,
        touched: Some(answer.touched),
        by_program: false,
        reason: answer.reason.clone(),
    }
}

impl From<&CriterionLine> for CriterionView {
    fn from(line: &CriterionLine) -> Self {
        Self {
            criterion: line.criterion.word(),
            question: line.criterion.question(),
            touched: line.touched,
            by_program: line.by_program,
            reason: line.reason.clone(),
        }
    }
}

impl From<&Effectivity> for EffectivityView {
    fn from(line: &Effectivity) -> Self {
        Self {
            stage: line.stage.word(),
            maker: line.maker.clone(),
            from_lot: line.from_lot.clone(),
            to_lot: line.to_lot.clone(),
            share_new: line.share_new,
            from_date: line.from_date,
        }
    }
}

impl From<&Decision> for DecisionView {
    fn from(decision: &Decision) -> Self {
        let decided = &decision.decided;
        Self {
            disposition: decided.disposition.word(),
            reason: decided.reason.clone(),
            conditions: decided.conditions.clone(),
            signature: decided.signature.clone(),
            by: decision.by.clone(),
            at: decision.at,
        }
    }
}

impl From<Missing> for MissingView {
    fn from(missing: Missing) -> Self {
        Self { section: missing.section, what: missing.what }
    }
}
