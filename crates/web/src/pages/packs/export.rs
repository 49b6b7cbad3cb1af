//! Sends the books out as one zip, as they stand at this moment.

use axum::body::Body;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use axum_extra::body::AsyncReadBody;
use domain::permission::Act;

use super::list::takes_reports;
use crate::error::AppError;
use crate::pack::{ExportOptions, export};
use crate::security::SignedIn;
use crate::state::AppState;

/// `GET /packs/export.zip`; without the failure reports for whoever may not read what units wrote.
///
/// The zip is written whole before its first byte is sent, so that a failure is a page that says so and never half
/// a zip. Its file loses its name before that, so that it goes when the last byte is out or the reader hangs up.
pub(super) async fn send(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::Export)?;
    let folder = state.waiting().scratch().map_err(AppError::inside)?;
    let path = folder.path().join("books.zip");
    let options = ExportOptions { without_reports: !takes_reports(&signed_in.0), ..ExportOptions::default() };
    export(state.store(), &path, options).await.map_err(AppError::inside)?;
    let file = tokio::fs::File::open(&path).await.map_err(AppError::inside)?;
    let length = file.metadata().await.map_err(AppError::inside)?.len();
    folder.close().map_err(AppError::inside)?;
    let headers = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, length.to_string()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"bartack-{}.zip\"", state.today())),
    ];
    Ok((headers, Body::new(AsyncReadBody::new(file))).into_response())
}
