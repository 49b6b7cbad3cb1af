//! What a record and the picture of the field come to, as evidence.

use domain::change::ChangeState;
use domain::change_record::{CriterionLine, RequirementCheck, after_decision};
use domain::evidence::{Evidence, Figure, Inputs, Stated, TextLine, shown};
use domain::proof_plan::{ProofPlan, planned};
use store::{Basis, ChangeRecord, NewDecision, NewEvidence, Shown};

use crate::error::AppError;
use crate::pages::changes::view::assessment;
use crate::picture::Picture;

/// What people stated in a record.
fn stated(record: &ChangeRecord) -> Stated {
    let body = record.body.as_ref();
    let answers = record.answers.iter().map(|answer| RequirementCheck {
        requirement_no: answer.requirement_no.clone(),
        verdict: answer.verdict,
        figure: answer.note.clone().unwrap_or_default(),
    });
    let criteria = record.criteria.iter().map(|answer| CriterionLine {
        criterion: answer.criterion,
        touched: Some(answer.touched),
        by_program: false,
        reason: answer.reason.clone(),
    });
    Stated {
        prediction: body.and_then(|body| body.prediction.clone()),
        answers: answers.collect(),
        criteria: criteria.collect(),
        effectivity: record.effectivity.clone(),
        retrofit: body.and_then(|body| body.retrofit),
    }
}

/// The figures of a record as the books have them now; `None` where the figures don't know the change yet.
pub fn shown_now(record: &ChangeRecord, picture: &Picture, plan: Option<ProofPlan>) -> Option<Vec<Figure>> {
    let id = picture.field.find_change(&record.change.change_no)?;
    let result = picture.analysis.changes.iter().find(|result| result.change == id)?;
    let assessed = assessment(record, picture, Some(id));
    Some(shown(&picture.field, result, &assessed, plan, picture.analysis.as_of))
}

/// The evidence of a record as it stands now, with lines that belong to the occasion added to its text.
///
/// # Errors
/// Figures that are still being made, and figures that their inputs don't give: a defect, and nothing is frozen.
pub fn freeze(
    record: &ChangeRecord,
    picture: &Picture,
    occasion: &str,
    plan: Option<ProofPlan>,
    more: Vec<TextLine>,
) -> Result<NewEvidence, AppError> {
    let result = picture
        .field
        .find_change(&record.change.change_no)
        .and_then(|id| picture.analysis.changes.iter().find(|result| result.change == id));
    let (Some(result), Some(figures)) = (result, shown_now(record, picture, plan)) else {
        let says =
            "The figures for this change are still being made. Look again in a minute; nothing was changed.";
        return Err(AppError::Overtaken(says.into()));
    };
    let as_of = picture.analysis.as_of;
    let inputs = Inputs::gather(&picture.field, result, as_of, &record.change, stated(record), plan);
    let mut text = record.text();
    text.extend(more);
    let evidence = Evidence::freeze(occasion, text, inputs, figures).map_err(AppError::inside)?;
    let document = super::write(&evidence).map_err(AppError::inside)?;
    Ok(NewEvidence { occasion: occasion.to_owned(), document })
}

/// What a decision rests on, to be frozen with it; `shown` is the record that whoever decides had before them.
///
/// # Errors
/// As [`freeze`].
pub fn basis(
    record: &ChangeRecord,
    picture: &Picture,
    shown: Shown,
    (decision, plan): (&NewDecision, ProofPlan),
) -> Result<Basis, AppError> {
    let line = |field: &str, text: &str| TextLine {
        section: "Decision".into(),
        field: field.into(),
        text: text.to_owned(),
    };
    let word = decision.disposition.word();
    let mut more = vec![line("Disposition", word), line("Reason", &decision.reason)];
    more.extend(decision.conditions.as_ref().map(|conditions| line("Conditions", conditions)));
    let approves = after_decision(decision.disposition) == ChangeState::Approved;
    let evidence = freeze(record, picture, word, approves.then_some(plan), more)?;
    let id = picture.field.find_change(&record.change.change_no);
    let result = picture.analysis.changes.iter().find(|result| Some(result.change) == id);
    let planned = result.and_then(|result| planned(plan, &result.counts, picture.analysis.as_of));
    Ok(Basis { shown, evidence, plan, planned })
}
