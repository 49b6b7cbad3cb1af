//! Receives a list and keeps it waiting; sends the rows that make reports.

use axum::extract::Multipart;
use axum::extract::multipart::MultipartError;
use axum::http::StatusCode;
use domain::receipt::ReceiptCode;
use store::NewUpload;

use super::matching::Looked;
use super::reading::to_send;
use super::sender::Sender;
use super::told;
use crate::error::AppError;
use crate::format;
use crate::secrets::{Token, digest_hex};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::upload::{LARGEST_FILE, WaitingList, read};

/// Longest file name that is kept, in letters.
const LONGEST_NAME: usize = 100;

/// Receives a file, reads it and keeps what it holds until the sender has said what its columns mean.
pub(super) async fn receive(
    state: &AppState,
    sender: &Sender,
    mut form: Multipart,
) -> Result<Result<Token, String>, AppError> {
    let too_large =
        || format!("This is larger than the {} MB that are taken, so nothing was kept.", LARGEST_FILE >> 20);
    let cut_off = "The file arrived damaged or broke off, so nothing was kept. Please send it again.";
    let broke_off = |error: MultipartError| {
        let too_much = error.status() == StatusCode::PAYLOAD_TOO_LARGE;
        if too_much { too_large() } else { cut_off.to_owned() }
    };
    let (name, bytes) = loop {
        let field = match form.next_field().await {
            Ok(Some(field)) => field,
            Ok(None) => return Ok(Err("Choose a file first: a CSV file or a workbook (.xlsx).".to_owned())),
            Err(error) => return Ok(Err(broke_off(error))),
        };
        let name = plain_name(field.file_name().unwrap_or_default());
        match field.bytes().await {
            // A browser sends a nameless file where none was chosen; other fields are not ours.
            Ok(bytes) if name.is_empty() && bytes.is_empty() => {}
            Ok(bytes) if bytes.len() > LARGEST_FILE => return Ok(Err(too_large())),
            Ok(bytes) => break (name, bytes),
            Err(error) => return Ok(Err(broke_off(error))),
        }
    };
    let sha256 = digest_hex(&bytes);
    // What makes a reader of workbooks give up altogether is the file's fault, and is said as such.
    let table = tokio::task::spawn_blocking(move || read(&bytes)).await;
    let table = match table.unwrap_or_else(|_| Err("can't be read".to_owned())) {
        Ok(table) => table,
        Err(why) => {
            return Ok(Err(format!(
                "{} {why}. Nothing was kept.",
                if name.is_empty() { "The file" } else { &name }
            )));
        }
    };
    let key = state.secrets().token();
    let list =
        WaitingList { sender: sender.key.clone(), file_name: name, sha256, sent_at: state.now(), table };
    state.lists().keep(&key, &list).map_err(AppError::inside)?;
    Ok(Ok(key))
}

/// A file's own name without folders and without signs that are no letters.
fn plain_name(sent: &str) -> String {
    let name = sent.rsplit(['/', '\\']).next().unwrap_or_default();
    name.chars().filter(|sign| !sign.is_control()).take(LONGEST_NAME).collect()
}

/// Sends the rows that make reports and remembers the layout.
pub(super) async fn send(
    state: &AppState,
    (signed_in, sender): (&SignedIn, &Sender),
    (key, list): (&Token, &WaitingList),
    looked: Looked<'_>,
) -> Result<Result<i64, String>, AppError> {
    if let Some(why) = looked.not_ready() {
        return Ok(Err(why));
    }
    let Looked { layout, rows, .. } = looked;
    let refused = rows.iter().filter(|row| row.read.is_err()).count();
    let rows = to_send(rows, key.as_str());
    for row in &rows {
        signed_in.may(&domain::permission::Act::SendReport { unit: &row.report.unit })?;
    }
    let upload = NewUpload {
        key: key.digest(),
        sender: sender.key.clone(),
        sha256: list.sha256.clone(),
        file_name: list.file_name.clone(),
        refused: u32::try_from(refused).unwrap_or(u32::MAX),
    };
    let mut draw = || ReceiptCode::draw(&mut || state.secrets().bits()).to_string();
    let sent = state.store().send_upload(&signed_in.0, state.now(), (&upload, rows), &mut draw).await;
    let id = match told(sent)? {
        Ok(id) => id,
        Err(why) => return Ok(Err(format::sentence(&why))),
    };
    layout.remember(state, &signed_in.0, sender, &list.table).await?;
    state.lists().forget(key).map_err(AppError::inside)?;
    Ok(Ok(id))
}
