//! `/follow/{secret}`: the receipt, what to do now, and what became of the report.

mod answer;
mod became;
mod change;
mod news;
mod stock;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::caution::for_report;
use domain::handling::ReportState;
use domain::permission::{Act, Actor, may};
use serde::Serialize;
use store::{Question, Receipt, ReportFile};

pub(crate) use self::answer::{AnswerForm, Unkept, take_answer};
use self::became::{Known, Step, concerns};
pub(crate) use self::news::News;
use crate::error::AppError;
use crate::format;
use crate::pages::interim::{Interim, Order};
use crate::photo::{Wanted, photo_of};
use crate::secrets::Token;
use crate::state::AppState;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Caution, Problem, Shell};

/// The receipt as a page.
#[derive(Serialize)]
pub struct FollowPage {
    shell: Shell,
    code: String,
    unit: String,
    sent: String,
    story: String,
    state: String,
    steps: Vec<Step>,
    /// What the unit is told to do with the item's lot.
    orders: Vec<Order>,
    stock: Vec<String>,
    back: Option<(String, String)>,
    cautions: Vec<Caution>,
    photos: Vec<String>,
    /// What is wrong with an answer that was sent.
    problem: Option<Problem>,
    /// Whether a question waits for an answer.
    asks: bool,
    questions: Vec<Asked>,
    answers: Vec<Told>,
}

#[derive(Serialize)]
struct Asked {
    #[serde(skip)]
    number: i64,
    question: String,
    date: String,
    answer: Option<String>,
    address: String,
    /// The id of the field that the answer is typed in.
    field: String,
    typed: String,
    problem: Option<Problem>,
}

#[derive(Serialize)]
struct Told {
    text: String,
    date: String,
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/follow/{secret}", get(show))
        .route("/follow/{secret}/photo/{id}", get(photo))
        .route("/follow/{secret}/question/{id}", post(answer))
}

/// Where a report stands, as its sender reads it; it may have been taken back with the list it came with.
fn stands(tongue: Tongue, file: &ReportFile) -> String {
    let back = file.upload.as_ref().and_then(|list| list.taken_back.as_ref());
    match back.filter(|_| file.handling.state == ReportState::SetAside) {
        Some(back) => {
            let (day, why) = (tongue.date(back.at.date_naive()), format::sentence(&back.why));
            tongue.with("state-taken-back", &[("day", day.into()), ("why", why.into())])
        }
        None if file.has_answer_to_read() => tongue.say("state-answer-came"),
        // Somebody decided on it or answered, and what was decided was taken back.
        None if file.handling.state == ReportState::Received && file.shown != 0 => {
            tongue.say("state-undecided")
        }
        None => tongue.word("state", file.handling.state),
    }
}

async fn find(state: &AppState, tongue: Tongue, secret: &str) -> Result<(Receipt, ReportFile), AppError> {
    let nothing = || AppError::NotFound(tongue.say("wrong-receipt"));
    let token = Token::parse(secret).ok_or_else(nothing)?;
    let receipt = state.store().find_receipt(&token.digest()).await?.ok_or_else(nothing)?;
    let file = state.store().find_report_file(&receipt.report_ref).await?.ok_or_else(nothing)?;
    may(&Actor::UnitLink { unit: receipt.unit.clone() }, &Act::ReadUnitReports { unit: &file.report.unit })?;
    Ok((receipt, file))
}

async fn show(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let (_, file) = find(&state, tongue, &secret).await?;
    state.page(&FollowPage::new(&state, tongue, &file, &format!("/follow/{secret}"), false).await?)
}

impl FollowPage {
    /// What became of a report, in its sender's tongue; `base` is where its photographs and questions are. Before there is a
    /// picture, it is what the store alone knows, with every order rather than none.
    ///
    /// # Errors
    /// A failure of the store.
    pub(crate) async fn new(
        state: &AppState,
        tongue: Tongue,
        file: &ReportFile,
        base: &str,
        is_signed_in: bool,
    ) -> Result<Self, AppError> {
        let picture = match state.picture().await {
            Ok(picture) => Some(picture),
            Err(AppError::NotYet(_)) => None,
            Err(error) => return Err(error),
        };
        // Anybody with a receipt asks for this: no more is read than its part's changes.
        let mut changes = match &file.report.part_no {
            Some(part_no) => state.store().change_records_of_part(part_no).await?,
            None => Vec::new(),
        };
        changes.retain(|record| concerns(file, record));
        let known = picture.as_deref().map(|picture| {
            let (field, catalogue) = (&picture.field, &*picture.catalogue);
            Known { tongue, field, analysis: &picture.analysis, catalogue, file, changes: &changes }
        });
        let interim = Interim::on(state, state.today()).await?;
        let (report, receipt) = (&file.report, file.receipt.as_ref());
        let kind = known.zip(report.part_no.as_deref()).and_then(|(known, part_no)| {
            known.field.part_names.find(part_no).map(|part| known.field.kind_of(part))
        });
        let sent = receipt.map_or(report.received_on, |receipt| receipt.sent_at.date_naive());
        Ok(Self {
            shell: Shell::to_unit(tongue.say("receipt-title"), tongue),
            code: receipt.map_or_else(|| report.report_ref.clone(), |receipt| receipt.receipt_code.clone()),
            unit: report.unit.clone(),
            sent: tongue.date(sent),
            story: report.narrative.clone().unwrap_or_default(),
            state: stands(tongue, file),
            steps: known.map_or_else(|| became::awaited(tongue, file), Known::steps),
            orders: known
                .map_or_else(|| interim.for_everybody(tongue, None), |known| stock::orders(known, &interim)),
            stock: known.map(stock::sentences).unwrap_or_default(),
            back: is_signed_in.then(|| (tongue.say("receipt-back"), "/".to_owned())),
            cautions: Caution::told(tongue, for_report(report, kind)),
            photos: file.photos.iter().map(|photo| format!("{base}/photo/{}", photo.id)).collect(),
            problem: None,
            asks: file.questions.iter().any(|question| question.answer.is_none()),
            questions: file.questions.iter().enumerate().map(|(at, q)| asked(tongue, q, base, at)).collect(),
            answers: file
                .answers
                .iter()
                .map(|a| Told { date: tongue.date(a.at.date_naive()), text: a.text.clone() })
                .collect(),
        })
    }
}

impl FollowPage {
    /// The same, led to from a list and back to it.
    pub(crate) fn back_to(mut self, words: String, address: String) -> Self {
        self.back = Some((words, address));
        self
    }

    /// The same with an answer that was not kept beside its question, sent back as such.
    ///
    /// # Errors
    /// The page can't be filled.
    pub(crate) fn refuse(mut self, state: &AppState, unkept: Unkept) -> Result<Response, AppError> {
        if let Some(asked) = self.questions.iter_mut().find(|asked| asked.number == unkept.number) {
            let problem = Problem::new(asked.field.clone(), unkept.says);
            asked.problem = Some(problem.clone());
            asked.typed = unkept.typed;
            self.problem = Some(problem);
        }
        let status = if unkept.is_late { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
        Ok((status, state.page(&self)?).into_response())
    }
}

fn asked(tongue: Tongue, question: &Question, base: &str, at: usize) -> Asked {
    Asked {
        number: question.id,
        address: format!("{base}/question/{}", question.id),
        date: tongue.date(question.asked_at.date_naive()),
        question: question.question.clone(),
        answer: question.answer.clone(),
        field: format!("answer-{at}"),
        typed: String::new(),
        problem: None,
    }
}

async fn photo(
    State(state): State<AppState>,
    Path((secret, id)): Path<(String, i64)>,
    Query(wanted): Query<Wanted>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let (receipt, _) = find(&state, tongue, &secret).await?;
    photo_of(&state, tongue, &receipt.report_ref, id, &wanted).await
}

async fn answer(
    State(state): State<AppState>,
    Path((secret, id)): Path<(String, i64)>,
    tongue: Tongue,
    Form(form): Form<AnswerForm>,
) -> Result<Response, AppError> {
    let (receipt, file) = find(&state, tongue, &secret).await?;
    let actor = Actor::UnitLink { unit: receipt.unit };
    let own = format!("/follow/{secret}");
    let Some(unkept) = take_answer(&state, tongue, &actor, &file, id, form).await? else {
        return Ok(Redirect::to(&own).into_response());
    };
    let (_, file) = find(&state, tongue, &secret).await?;
    FollowPage::new(&state, tongue, &file, &own, false).await?.refuse(&state, unkept)
}

impl Page for FollowPage {
    const TEMPLATE: &'static str = "pages/follow/follow";

    fn samples() -> Vec<Self> {
        let wrong = |at: usize, says: &str| Some(Problem::new(format!("answer-{at}"), says));
        let page = |state, full: bool| Self {
            shell: Shell::to_unit("Receipt", Tongue::ENGLISH),
            code: "K7M4-RT9X".into(),
            unit: "COVE-2".into(),
            sent: "3 Mar 2026".into(),
            story: "zip bust open climbing out of the boat".into(),
            state: Tongue::ENGLISH.word("state", state),
            steps: if full {
                vec![
                    Step { date: Some("4 Mar 2026".into()), says: "It was looked at.".into(), news: None },
                    Step { date: None, says: "One of 9.".into(), news: None },
                ]
            } else {
                Vec::new()
            },
            orders: if full { Order::samples() } else { Vec::new() },
            stock: if full { vec!["Your lot doesn't stand out.".into()] } else { Vec::new() },
            back: full.then(|| ("Back to my desk".to_owned(), "/".to_owned())),
            cautions: Caution::list([domain::caution::Caution::OutOfUse]),
            photos: if full { vec!["/follow/x/photo/1".into()] } else { Vec::new() },
            problem: if full { wrong(1, "Write an answer of one to 4,000 letters.") } else { None },
            asks: full,
            questions: if full {
                let asked = |at: usize, answer: Option<&str>, says: Option<&str>| Asked {
                    number: 1,
                    question: "Can you read the lot label?".into(),
                    date: "4 Mar 2026".into(),
                    answer: answer.map(Into::into),
                    address: "/follow/x/question/1".into(),
                    field: format!("answer-{at}"),
                    typed: says.map(|_| "It says 0153.".to_owned()).unwrap_or_default(),
                    problem: says.and_then(|says| wrong(at, says)),
                };
                vec![
                    asked(0, None, None),
                    asked(1, None, Some("Write an answer of one to 4,000 letters.")),
                    asked(2, Some("It says 0135."), None),
                    asked(3, Some("It says 0135."), Some("This question was answered already.")),
                ]
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
