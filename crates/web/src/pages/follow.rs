//! `/follow/{secret}`: the receipt, what to do now, and what became of the report.

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::caution::for_report;
use domain::handling::ReportState;
use domain::permission::{Act, Actor, may};
use serde::{Deserialize, Serialize};
use store::{Receipt, ReportFile};

use crate::error::AppError;
use crate::format;
use crate::secrets::Token;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Caution, Shell};

/// The receipt as a page.
#[derive(Serialize)]
pub struct FollowPage {
    shell: Shell,
    code: String,
    unit: String,
    sent: String,
    story: String,
    state: &'static str,
    cautions: Vec<Caution>,
    photos: Vec<String>,
    questions: Vec<Asked>,
    answers: Vec<Told>,
}

#[derive(Serialize)]
struct Asked {
    question: String,
    date: String,
    answer: Option<String>,
    address: String,
}

#[derive(Serialize)]
struct Told {
    text: String,
    date: String,
}

const NOTHING: &str = "This address opens no receipt. Look at it again, or ask your equipment engineer.";
const LONGEST_ANSWER: usize = 4000;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/follow/{secret}", get(show))
        .route("/follow/{secret}/photo/{id}", get(photo))
        .route("/follow/{secret}/question/{id}", post(answer))
}

/// Where a report stands, as its sender reads it.
const fn plain_state(state: ReportState) -> &'static str {
    match state {
        ReportState::Received => "It has arrived. Nobody has looked at it yet.",
        ReportState::Asked => "We have a question for you, below.",
        ReportState::Sorted => "An engineer has looked at it and counted it with others like it.",
        ReportState::SetAside => "An engineer has looked at it and set it aside.",
        ReportState::Answered => "It is answered, below.",
    }
}

async fn find(state: &AppState, secret: &str) -> Result<(Receipt, ReportFile), AppError> {
    let nothing = || AppError::NotFound(NOTHING.to_owned());
    let token = Token::parse(secret).ok_or_else(nothing)?;
    let receipt = state.store().find_receipt(&token.digest()).await?.ok_or_else(nothing)?;
    let file = state.store().find_report_file(&receipt.report_ref).await?.ok_or_else(nothing)?;
    may(&Actor::UnitLink { unit: receipt.unit.clone() }, &Act::ReadUnitReports { unit: &file.report.unit })?;
    Ok((receipt, file))
}

async fn show(State(state): State<AppState>, Path(secret): Path<String>) -> Result<Response, AppError> {
    let (receipt, file) = find(&state, &secret).await?;
    let picture = state.picture().await?;
    let part = file.report.part_no.as_deref().and_then(|part_no| picture.field.part_names.find(part_no));
    let kind = part.map(|part| picture.field.kind_of(part));
    state.page(&FollowPage {
        shell: Shell::outside("Receipt"),
        code: receipt.receipt_code,
        unit: receipt.unit,
        sent: format::date(receipt.sent_at.date_naive()),
        story: file.report.narrative.clone().unwrap_or_default(),
        state: plain_state(file.handling.state),
        cautions: Caution::list(for_report(&file.report, kind)),
        photos: file.photos.iter().map(|photo| format!("/follow/{secret}/photo/{}", photo.id)).collect(),
        questions: file
            .questions
            .into_iter()
            .map(|q| Asked {
                address: format!("/follow/{secret}/question/{}", q.id),
                date: format::date(q.asked_at.date_naive()),
                question: q.question,
                answer: q.answer,
            })
            .collect(),
        answers: file
            .answers
            .into_iter()
            .map(|a| Told { date: format::date(a.at.date_naive()), text: a.text })
            .collect(),
    })
}

async fn photo(
    State(state): State<AppState>,
    Path((secret, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    let (receipt, _) = find(&state, &secret).await?;
    let photo = state.store().find_photo(id).await?.filter(|photo| photo.report_ref == receipt.report_ref);
    let photo = photo.ok_or_else(|| AppError::NotFound("There is no such photograph.".to_owned()))?;
    Ok(([(axum::http::header::CONTENT_TYPE, "image/jpeg")], photo.bytes).into_response())
}

#[derive(Deserialize)]
struct AnswerForm {
    #[serde(default)]
    answer: String,
}

async fn answer(
    State(state): State<AppState>,
    Path((secret, id)): Path<(String, i64)>,
    Form(form): Form<AnswerForm>,
) -> Result<Response, AppError> {
    let (receipt, file) = find(&state, &secret).await?;
    let actor = Actor::UnitLink { unit: receipt.unit };
    may(&actor, &Act::AnswerQuestion { unit: &file.report.unit })?;
    if !file.questions.iter().any(|question| question.id == id) {
        return Err(AppError::NotFound("There is no such question.".to_owned()));
    }
    let text = form.answer.trim();
    if text.is_empty() || text.chars().count() > LONGEST_ANSWER {
        return Err(AppError::Unusable(
            "Write an answer of one to 4,000 letters. Nothing was kept.".to_owned(),
        ));
    }
    state.store().answer_question(&actor, state.now(), id, text).await?;
    Ok(Redirect::to(&format!("/follow/{secret}")).into_response())
}

impl Page for FollowPage {
    const TEMPLATE: &'static str = "pages/follow/follow";

    fn samples() -> Vec<Self> {
        let page = |state, full: bool| Self {
            shell: Shell::outside("Receipt"),
            code: "K7M4-RT9X".into(),
            unit: "COVE-2".into(),
            sent: "3 Mar 2026".into(),
            story: "zip bust open climbing out of the boat".into(),
            state: plain_state(state),
            cautions: Caution::list([domain::caution::Caution::OutOfUse]),
            photos: if full { vec!["/follow/x/photo/1".into()] } else { Vec::new() },
            questions: if full {
                let asked = |answer: Option<&str>| Asked {
                    question: "Can you read the lot label?".into(),
                    date: "4 Mar 2026".into(),
                    answer: answer.map(Into::into),
                    address: "/follow/x/question/1".into(),
                };
                vec![asked(None), asked(Some("It says 0135."))]
            } else {
                Vec::new()
            },
            answers: if full {
                vec![Told {
                    text: "A weak slider; your stock is of another lot.".into(),
                    date: "9 Mar 2026".into(),
                }]
            } else {
                Vec::new()
            },
        };
        let mut pages: Vec<Self> = ReportState::ALL.iter().map(|state| page(*state, false)).collect();
        pages.push(page(ReportState::Answered, true));
        pages
    }
}
