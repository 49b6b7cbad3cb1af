//! What lets the form be installed on a phone and opened without signal: its manifest and its worker.

use axum::Json;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use serde_json::json;

use super::door::Door;
use crate::assets;
use crate::error::AppError;
use crate::state::AppState;
use crate::tongue::Tongue;

/// The worker's address. It stands in the folder of the forms, which is as far as it may reach.
pub(super) const WORKER: &str = "/report/worker.js";

/// The files that the form needs, kept on the phone.
const FILES: [&str; 5] = ["field.css", "mark.svg", "js/outbox.js", "js/photographs.js", "js/report.js"];

/// The folder of the label reader, whose files find each other there.
pub(super) fn reader() -> String {
    let script = assets::url("vendor/zxing/reader.js").unwrap_or_default();
    script.trim_end_matches("reader.js").to_owned()
}

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new().route(WORKER, get(worker)).route("/report/{secret}/manifest.webmanifest", get(manifest))
}

/// The address of the manifest of a form.
pub(super) fn manifest_of(form: &str) -> String {
    format!("{form}/manifest.webmanifest")
}

async fn manifest(
    State(state): State<AppState>,
    Path(secret): Path<String>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let door = Door::by_link(&state, &secret, tongue).await?;
    let unit = door.unit.as_deref().unwrap_or_default();
    let body = Json(json!({
        "id": door.form,
        "name": tongue.with("report-of-unit", &[("unit", unit.into())]),
        "short_name": tongue.say("report-short"),
        "lang": tongue,
        "start_url": door.form,
        "scope": "/report/",
        "display": "standalone",
        "background_color": "#ffffff",
        "icons": [{ "src": assets::url("mark.svg"), "sizes": "any", "type": "image/svg+xml" }],
    }));
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static("application/manifest+json"))];
    Ok((kind, body).into_response())
}

/// The worker with the addresses of this version's files before it, so that a new version is a new worker.
async fn worker() -> Response {
    let files: Vec<String> = FILES.iter().filter_map(|name| assets::url(name)).collect();
    let script = assets::text("js/report_worker.js").unwrap_or_default();
    let body = format!("const FILES = {};\n{script}", json!(files));
    let kind = [
        (header::CONTENT_TYPE, HeaderValue::from_static("text/javascript; charset=utf-8")),
        (header::CACHE_CONTROL, HeaderValue::from_static("no-cache")),
    ];
    (kind, body).into_response()
}
