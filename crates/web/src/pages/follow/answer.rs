//! What a unit answers to a question about its report: kept once, and given back where it can't be kept.

use domain::permission::{Act, Actor, may};
use serde::Deserialize;
use store::{ReportFile, StoreError};

use crate::error::AppError;
use crate::state::AppState;
use crate::tongue::Tongue;

/// Longest answer that is kept, in characters.
const LONGEST: usize = 4000;

/// What a unit answers to a question.
#[derive(Deserialize)]
pub(crate) struct AnswerForm {
    #[serde(default)]
    answer: String,
}

/// An answer that was not kept.
pub(crate) struct Unkept {
    /// The question's number.
    pub(super) number: i64,
    pub(super) typed: String,
    /// Why.
    pub(super) says: String,
    /// Whether another answer came before it.
    pub(super) is_late: bool,
}

/// Keeps what a unit answers to a question about its report; gives it back where it is empty, a book, or comes after
/// another answer. The same answer once more is kept already: two taps on one button send it twice.
///
/// # Errors
/// It isn't their report or question; a failure of the store.
pub(crate) async fn take_answer(
    state: &AppState,
    tongue: Tongue,
    actor: &Actor,
    file: &ReportFile,
    number: i64,
    form: AnswerForm,
) -> Result<Option<Unkept>, AppError> {
    may(actor, &Act::AnswerQuestion { unit: &file.report.unit })?;
    if !file.questions.iter().any(|question| question.id == number) {
        return Err(AppError::NotFound(tongue.say("wrong-question")));
    }
    let text = form.answer.trim();
    if text.is_empty() || text.chars().count() > LONGEST {
        let says = tongue.say("wrong-answer");
        return Ok(Some(Unkept { number, typed: form.answer, says, is_late: false }));
    }
    match state.store().answer_question(actor, state.now(), number, text).await {
        Err(StoreError::Overtaken { .. }) => {}
        done => return Ok(done.map(|()| None)?),
    }
    let stands = state.store().find_question(number).await?.and_then(|question| question.answer);
    if stands.as_deref() == Some(text) {
        return Ok(None);
    }
    let says = tongue.say("wrong-answer-given");
    Ok(Some(Unkept { number, typed: form.answer, says, is_late: true }))
}
