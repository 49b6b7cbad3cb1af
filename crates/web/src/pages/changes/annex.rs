//! `/changes/{no}/remark` and `/changes/{no}/enclosure`: what is added to a record wherever it stands.

use axum::extract::multipart::MultipartError;
use axum::extract::{Form, Multipart, Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::permission::{Act, Actor};
use serde::Deserialize;
use store::NewEnclosure;

use crate::address;
use crate::error::AppError;
use crate::pages::records::FormPage;
use crate::secrets::digest_hex;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Faults, Place, Shell};

/// Letters from which on a remark is too long; its field on the sheet takes one less.
const LONGER_REMARK: usize = 2_001;
const LONGEST_NAME: usize = 200;

/// What a file may be, by the end of its name. Nothing that a browser would run.
const KINDS: [(&str, &str); 10] = [
    ("pdf", "application/pdf"),
    ("png", "image/png"),
    ("jpg", "image/jpeg"),
    ("jpeg", "image/jpeg"),
    ("csv", "text/csv"),
    ("txt", "text/plain"),
    ("xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    ("ods", "application/vnd.oasis.opendocument.spreadsheet"),
    ("docx", "application/vnd.openxmlformats-officedocument.wordprocessingml.document"),
    ("odt", "application/vnd.oasis.opendocument.text"),
];

#[derive(Deserialize)]
pub(super) struct Remark {
    words: String,
}

fn back(no: &str) -> Response {
    Redirect::to(&format!("{}#remarks", address::change(no))).into_response()
}

/// Adds a remark.
pub(super) async fn remark(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(form): Form<Remark>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::RemarkOnChange)?;
    // A browser sends two letters for a line's end and counts one against what its field takes.
    let words = form.words.trim().replace("\r\n", "\n");
    let wrong = match words.chars().count() {
        0 => "The remark was empty, so nothing was kept.",
        LONGER_REMARK.. => "The remark is longer than 2,000 letters: shorten it, or enclose a file.",
        _ => {
            state.store().remark(&signed_in.0, state.now(), &no, &words).await?;
            return Ok(back(&no));
        }
    };
    remark_form(&signed_in.0, &no, &words, wrong).refuse(&state)
}

/// A remark that was not kept, as it was typed.
fn remark_form(actor: &Actor, no: &str, words: &str, wrong: &'static str) -> FormPage {
    let shell = Shell::inside(format!("A remark on {no}"), actor, Place::Changes);
    let action = format!("{}/remark", address::change(no));
    FormPage::new(shell, "A remark", (action, "Add the remark"), Faults::one("words", wrong))
        .about(format!("Change {no}"), address::change(no))
        .ask(Ask::lines("words", "A remark", words).required())
}

/// Encloses a file.
pub(super) async fn enclose(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    mut form: Multipart,
) -> Result<Response, AppError> {
    signed_in.may(&Act::RemarkOnChange)?;
    while let Some(field) = form.next_field().await.map_err(|error| unreadable(&error))? {
        if field.name() != Some("file") {
            continue;
        }
        let name = field.file_name().and_then(|name| name.rsplit(['/', '\\']).next()).unwrap_or_default();
        let name = name.trim().to_owned();
        let bytes = field.bytes().await.map_err(|error| unreadable(&error))?.to_vec();
        if bytes.is_empty() || name.is_empty() {
            break;
        }
        let file = NewEnclosure { media_type: kind_of(&name)?, sha256: digest_hex(&bytes), name, bytes };
        state.store().enclose(&signed_in.0, state.now(), &no, &file).await?;
        return Ok(back(&no));
    }
    Err(AppError::Unusable("No file was chosen, or it was empty, so nothing was kept.".into()))
}

fn kind_of(name: &str) -> Result<String, AppError> {
    let end = name.rsplit_once('.').map(|(_, end)| end.to_ascii_lowercase());
    let kind = KINDS.iter().find(|(known, _)| Some(*known) == end.as_deref());
    match kind {
        _ if name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control) => {
            Err(AppError::Unusable("The file's name can't be used; give it a shorter one.".into()))
        }
        Some((_, media_type)) => Ok((*media_type).to_owned()),
        None => Err(AppError::Unusable(
            "Only PDF, PNG, JPEG, CSV, text, XLSX, ODS, DOCX and ODT can be enclosed.".into(),
        )),
    }
}

/// Hands an enclosure out, to be saved and not shown.
pub(super) async fn enclosure(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((no, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let found = state.store().find_enclosure(id).await?.filter(|found| found.change_no == no);
    let file = found.ok_or_else(|| AppError::NotFound("There is no such enclosure.".into()))?.file;
    let name = format!("attachment; filename*=UTF-8''{}", address::segment(&file.name));
    Ok(([(header::CONTENT_TYPE, file.media_type), (header::CONTENT_DISPOSITION, name)], file.bytes)
        .into_response())
}

fn unreadable(error: &MultipartError) -> AppError {
    let too_large = error.status() == axum::http::StatusCode::PAYLOAD_TOO_LARGE;
    AppError::Unusable(
        if too_large {
            "This is larger than can be taken, so nothing was kept."
        } else {
            "The form arrived damaged, so nothing was kept. Please send it again."
        }
        .to_owned(),
    )
}
