//! `/reports`: a program sends a report for a unit and asks what became of it.

pub(super) mod new_report;
pub(super) mod photos;
pub(super) mod standing;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use domain::caution::{Caution, for_report};
use domain::permission::{Act, Actor};
use domain::receipt::ReceiptCode;
use domain::report::Report;
use serde::Serialize;
use store::{IntakeFacts, ReportFile};
use utoipa::ToSchema;

use self::new_report::NewReport;
use self::standing::Standing;
use super::caller::Caller;
use super::problem::{ApiError, FieldProblem, Problem};
use super::sent::Sent;
use crate::address::segment;
use crate::alarm::failed_kind;
use crate::error::AppError;
use crate::pages::report::keep::keep_drawn;
use crate::secrets::{Token, digest_hex};
use crate::state::AppState;

/// The receipt of a report.
#[derive(Serialize, ToSchema)]
#[schema(as = Receipt)]
pub(super) struct ReportKept {
    /// The report's reference, by which it is asked for.
    #[schema(examples("K7M4-RT9X"))]
    pub(super) report_ref: String,
    /// The code for the tag and the radio.
    #[schema(examples("K7M4-RT9X"))]
    pub(super) receipt_code: String,
    /// Whether this was sent before under the same `client_key`; nothing was kept anew then.
    pub(super) sent_before: bool,
    /// What to do with the item now, to be shown to whoever sent the report.
    pub(super) cautions: Vec<&'static str>,
    /// Where the unit follows its report without signing in; a secret. `null` where it was first sent with another key.
    pub(super) follow_url: Option<String>,
}

/// Send a report
///
/// The same checks as the form's, but for what was sent before. Sent again with the same `client_key` for the same unit, it
/// gives the first receipt with status 200 and keeps nothing anew. Another report under a key that was used, by its narrative, item, serial number or
/// harm, is refused by the field `client_key`, with the first one's receipt code.
#[utoipa::path(post, path = "/reports", tag = "Reports", operation_id = "send_report",
    request_body(content = NewReport, example = json!(super::samples::new_report())),
    responses(
        (status = 201, description = "It is kept; `Location` says where to ask for it.", body = ReportKept,
            headers(("location" = String)), example = json!(super::samples::receipt())),
        (status = 200, description = "It was kept before.", body = ReportKept),
        (status = 415, description = "Not JSON.", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(super) async fn send(
    State(state): State<AppState>,
    caller: Caller,
    Sent(sent): Sent<NewReport>,
) -> Result<Response, ApiError> {
    let unit = unit_of(&caller, &sent)?;
    caller.may(&Act::SendReport { unit: &unit })?;
    // The reference is the receipt's code, which is drawn when the report is kept.
    let report = sent.report("", &unit, state.today()).map_err(ApiError::Fields)?;
    let client_key = sent.client_key();
    // Whoever may guess a client's key must not find the receipt, so that its secret follows from the bearer's too. A key is
    // one unit's: another unit's report under it is another one, with a receipt of its own.
    let bearer = caller.token.as_str();
    let opens = secret(&format!("{bearer} {unit} {client_key}"))?;
    let facts = IntakeFacts {
        receipt_code: String::new(),
        client_key: digest_hex(format!("api {unit} {client_key}").as_bytes()),
        secret_hash: opens.digest(),
        unit_link_id: None,
        altered_by: sent.altered_by(),
        contact: sent.contact(),
        alarm: None,
    };
    let draw = || ReceiptCode::draw(&mut || state.secrets().bits());
    let kept = match keep_drawn(&state, &caller.actor, report.clone(), facts, &[], draw).await {
        Ok(kept) => kept,
        // The store tells of the first name that it doesn't know; here all of them are told.
        Err(refused @ (AppError::NotFound(_) | AppError::Unusable(_))) => {
            let unknown = unknown(&state, &report).await?;
            return Err(if unknown.is_empty() { refused.into() } else { ApiError::Fields(unknown) });
        }
        Err(error) => return Err(error.into()),
    };
    if kept.is_other {
        let why =
            format!("another report came under this key, {}; send this one under its own", kept.receipt_code);
        return Err(ApiError::field("client_key", why));
    }
    let before = if kept.sent_before { state.store().find_report(&kept.report_ref).await? } else { None };
    // What was kept before secrets named their unit is opened by one without.
    let without_unit = secret(&format!("{bearer} {client_key}"))?;
    let opens = [opens, without_unit].into_iter().find(|opens| opens.digest() == kept.secret_hash);
    let receipt = ReportKept {
        cautions: cautions(&state, &before.unwrap_or(report)).await?,
        follow_url: opens.map(|opens| format!("{}/follow/{}", state.base_url(), opens.as_str())),
        receipt_code: kept.receipt_code,
        sent_before: kept.sent_before,
        report_ref: kept.report_ref,
    };
    let place = format!("{}/reports/{}", super::ROOT, segment(&receipt.report_ref));
    let status = if receipt.sent_before { StatusCode::OK } else { StatusCode::CREATED };
    Ok((status, [(header::LOCATION, place)], Json(receipt)).into_response())
}

/// The secret that opens the receipt of what these words name.
fn secret(of: &str) -> Result<Token, AppError> {
    let opens = Token::parse(&digest_hex(format!("receipt {of}").as_bytes()));
    opens.ok_or_else(|| AppError::inside("a digest has the shape of a token"))
}

/// The unit that is named, or the key's own.
fn unit_of(caller: &Caller, sent: &NewReport) -> Result<String, ApiError> {
    let own = if let Actor::Key { unit, .. } = &caller.actor { unit.clone() } else { None };
    let named = sent.unit.as_deref().map(str::trim).filter(|unit| !unit.is_empty()).map(str::to_owned);
    named.or(own).ok_or_else(|| ApiError::field("unit", "Write the code of the unit that reports."))
}

/// Names the books don't know. They are looked up in the store: a report never waits for the picture of the field.
async fn unknown(state: &AppState, report: &Report) -> Result<Vec<FieldProblem>, ApiError> {
    let mut problems = Vec::new();
    let parts = [("item_part_no", Some(&report.item_part_no)), ("part_no", report.part_no.as_ref())];
    for (field, part_no) in parts {
        if let Some(part_no) = part_no
            && state.store().revisions_of(part_no).await?.is_empty()
        {
            problems.push(FieldProblem::new(field, "There is no such part in the books."));
        } else if field == "item_part_no" && !state.store().is_item(&report.item_part_no).await? {
            let says = "This is a part, but not an end item. Name the item it belongs to.";
            problems.push(FieldProblem::new(field, says));
        }
    }
    if state.store().find_unit(&report.unit).await?.is_none() {
        problems.push(FieldProblem::new("unit", "There is no such unit in the books."));
    }
    Ok(problems)
}

async fn cautions(state: &AppState, report: &Report) -> Result<Vec<&'static str>, ApiError> {
    let kind = failed_kind(state, report).await?;
    Ok(for_report(report, kind.as_deref()).into_iter().map(Caution::words).collect())
}

/// A report and what became of it
#[utoipa::path(get, path = "/reports/{report_ref}", tag = "Reports", operation_id = "report",
    params(("report_ref" = String, Path, description = "The reference on the receipt.", example = "K7M4-RT9X")),
    responses(
        (status = 200, description = "Where it stands, with questions and answers.", body = Standing,
            example = json!(super::samples::standing())),
        (status = 404, description = "No such report.", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(super) async fn show(
    State(state): State<AppState>,
    caller: Caller,
    Path(report_ref): Path<String>,
) -> Result<Json<Standing>, ApiError> {
    Ok(Json(Standing::new(file(&state, &caller, &report_ref).await?)))
}

/// What is kept of a report that the caller may read.
async fn file(state: &AppState, caller: &Caller, report_ref: &str) -> Result<ReportFile, ApiError> {
    let file = state.store().find_report_file(report_ref).await?;
    let file = file.ok_or_else(|| AppError::NotFound("There is no such report.".to_owned()));
    // A unit's key learns nothing of references that aren't its own, not even that they exist.
    let unit = file.as_ref().map(|file| file.report.unit.clone()).unwrap_or_default();
    caller.may(&Act::ReadUnitReports { unit: &unit })?;
    Ok(file?)
}
