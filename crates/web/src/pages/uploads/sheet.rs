//! One list that was sent: its receipts, and taking it back.

use axum::extract::{Form, Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::permission::{Act, Actor, may};
use domain::upload::stays;
use serde::Serialize;
use store::{UploadFile, UploadedReport};

use super::sender::{Sender, unit_of};
use super::told;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::records::Sent;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Place, Shell};

/// Letters of a story that are shown.
const STORY: usize = 110;

/// The page.
#[derive(Serialize)]
pub struct UploadSheet {
    shell: Shell,
    address: String,
    file_name: String,
    lead: String,
    taken_back: Option<String>,
    rows: Vec<Row>,
    /// What taking it back would do.
    back: Option<Back>,
}

#[derive(Serialize)]
struct Row {
    line: String,
    receipt: String,
    address: String,
    unit: String,
    item: String,
    story: String,
    stands: String,
}

#[derive(Serialize)]
struct Back {
    goes: String,
    stays: Vec<(String, &'static str)>,
    why: Ask,
}

async fn find(state: &AppState, signed_in: &SignedIn, id: &str) -> Result<UploadFile, AppError> {
    let sender = Sender::of(signed_in)?;
    let found = match id.parse() {
        Ok(id) => state.store().find_upload(id).await?,
        Err(_) => None,
    };
    let sees_all = may(&signed_in.0, &Act::Sort).is_ok();
    found
        .filter(|file| sees_all || file.upload.sender == sender.key)
        .ok_or_else(|| AppError::NotFound("There is no such list.".to_owned()))
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    let file = find(&state, &signed_in, &id).await?;
    state.page(&UploadSheet::new(&signed_in.0, &file, None))
}

pub(super) async fn withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    let file = find(&state, &signed_in, &id).await?;
    let id = file.upload.id;
    signed_in.may(&Act::TakeBackList { unit: unit_of(&file.upload.sender) })?;
    match told(state.store().withdraw_upload(&signed_in.0, state.now(), id, sent.get("why")).await)? {
        Ok(_) => Ok(Redirect::to(&format!("/reports/upload/{id}")).into_response()),
        Err(why) => state.refused(&UploadSheet::new(&signed_in.0, &file, Some(why))),
    }
}

/// The receipts as a file: cells that a spreadsheet would run are marked as text.
pub(super) async fn receipts(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    let file = find(&state, &signed_in, &id).await?;
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer
        .write_record(["row", "receipt", "unit", "item", "found", "what happened"])
        .map_err(AppError::inside)?;
    for one in file.reports.iter().filter(|one| !one.taken_back) {
        let report = &one.report;
        let story = report.narrative.as_deref().unwrap_or_default();
        let day = report.found_on.to_string();
        let line = one.line.to_string();
        let cells = [&line, &report.report_ref, &report.unit, &report.item_part_no, &day, story];
        writer.write_record(cells.map(format::harmless)).map_err(AppError::inside)?;
    }
    let bytes = writer.into_inner().map_err(|error| AppError::inside(error.into_error()))?;
    let name = format!("attachment; filename=\"receipts-{}.csv\"", file.upload.id);
    let heads =
        [(header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((heads, bytes).into_response())
}

impl UploadSheet {
    fn new(actor: &Actor, file: &UploadFile, problem: Option<String>) -> Self {
        let upload = &file.upload;
        let counted = |count: u32, one: &str, many: &str| format::counted(u64::from(count), one, many);
        let mut lead = vec![format!(
            "{} on {} by {}.",
            counted(upload.reports, "report was sent", "reports were sent"),
            format::moment(upload.at),
            upload.by
        )];
        if upload.sent_before > 0 {
            let rows = counted(upload.sent_before, "row had been sent before", "rows had been sent before");
            lead.push(format!("{rows}, and nothing was sent twice."));
        }
        if upload.refused > 0 {
            lead.push(format!("{} left out.", counted(upload.refused, "row was", "rows were")));
        }
        let may_take_back = may(actor, &Act::TakeBackList { unit: unit_of(&upload.sender) }).is_ok();
        Self {
            shell: Shell::inside(format!("List {}", upload.id), actor, Place::Elsewhere),
            address: format!("/reports/upload/{}", upload.id),
            file_name: if upload.file_name.is_empty() {
                format!("List {}", upload.id)
            } else {
                upload.file_name.clone()
            },
            lead: lead.join(" "),
            taken_back: upload.taken_back.as_ref().map(|back| {
                format!(
                    "Taken back on {} by {}: {} What an engineer had sorted by then stays.",
                    format::moment(back.at),
                    back.by,
                    format::sentence(&back.why)
                )
            }),
            rows: file.reports.iter().map(row).collect(),
            back: (may_take_back && upload.taken_back.is_none()).then(|| back(&file.reports, problem)),
        }
    }
}

fn row(one: &UploadedReport) -> Row {
    let report = &one.report;
    Row {
        line: one.line.to_string(),
        receipt: report.report_ref.clone(),
        address: address::report(&report.report_ref),
        unit: report.unit.clone(),
        item: report.item_part_no.clone(),
        story: domain::upload::clipped(report.narrative.as_deref().unwrap_or_default(), STORY),
        stands: if one.taken_back { "taken back".to_owned() } else { one.state.to_string() },
    }
}

fn back(reports: &[UploadedReport], problem: Option<String>) -> Back {
    let staying: Vec<(String, &'static str)> =
        reports.iter().filter_map(|one| Some((one.report.report_ref.clone(), stays(one.state)?))).collect();
    let goes = (reports.len() - staying.len()) as u64;
    let goes = match (goes, staying.is_empty()) {
        (0, _) => "Nothing of it can be taken back: each report stays, for the reason given.".to_owned(),
        (_, true) => {
            "Nobody has sorted any of it: the whole list can be taken back. Its reports then count nowhere, \
                      and their receipts say so."
                .to_owned()
        }
        (goes, false) => format!(
            "{} can be taken back; what stays is listed with the reason.",
            format::counted(goes, "report", "reports")
        ),
    };
    Back {
        goes,
        stays: staying,
        why: Ask::text("why", "Why it is taken back", "").required().problem(problem),
    }
}

impl Page for UploadSheet {
    const TEMPLATE: &'static str = "pages/uploads/sheet";

    fn samples() -> Vec<Self> {
        let page = |full: bool| Self {
            shell: Shell::sample("List 3", Place::Elsewhere),
            address: "/reports/upload/3".into(),
            file_name: "march <2>.csv".into(),
            lead: "12 reports were sent on 3 Mar 2026 by tarn.".into(),
            taken_back: (!full).then(|| "Taken back on 4 Mar 2026 by tarn: wrong file.".into()),
            rows: vec![Row {
                line: "2".into(),
                receipt: "K7M4-RT9X".into(),
                address: "/reports/K7M4-RT9X".into(),
                unit: "COVE-2".into(),
                item: "RC-100".into(),
                story: "zip split".into(),
                stands: "received".into(),
            }],
            back: full.then(|| Back {
                goes: "11 reports can be taken back.".into(),
                stays: vec![("K7M4-RT9X".into(), "an engineer has sorted it")],
                why: Ask::text("why", "Why it is taken back", "").required(),
            }),
        };
        vec![page(true), page(false)]
    }
}
