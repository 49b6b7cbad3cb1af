//! Takes a waiting pack in, in the background, and says how far that is.

use axum::Json;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::permission::{Act, Actor};
use serde::Deserialize;
use serde_json::json;
use store::{OpenImport, StoreError};

use super::{MOST_REFUSALS, own, sheet};
use crate::error::AppError;
use crate::format;
use crate::pack::{ImportError, ImportOptions, Imported, Progress, Record, Running, Stage, import};
use crate::security::SignedIn;
use crate::state::AppState;

#[derive(Deserialize)]
pub(super) struct Wanted {
    #[serde(default)]
    rows: String,
}

/// `POST /packs/{id}/take`.
pub(super) async fn take(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
    Form(wanted): Form<Wanted>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    let mut record = own(&state, &signed_in, &id)?;
    let good_alone = wanted.rows == "good";
    let allowed = if good_alone { record.can_take_good() } else { record.can_take_all() };
    if !allowed {
        let note = "Rows or files of this pack are refused, so nothing was taken in.".to_owned();
        let page = sheet::show(&state, &signed_in, &id, record, (0, Some(note))).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    if let Some(other) = state.store().find_import_under_way().await?
        && state.waiting().progress(&id).is_none()
    {
        let page = sheet::show(&state, &signed_in, &id, record, (0, Some(busy(&other)))).await?;
        return Ok((StatusCode::CONFLICT, page).into_response());
    }
    if !matches!(record.stage, Stage::Taken { .. })
        && let Some(running) = state.waiting().start(&id)
    {
        let now = state.now();
        record.stage = Stage::importing(now);
        state.waiting().note(&id, &record).map_err(AppError::inside)?;
        let refused_to = good_alone.then(|| state.waiting().left_out_file(&id));
        let options =
            ImportOptions { by: signed_in.0.clone(), now, refused_to, strict: false, keep: MOST_REFUSALS };
        tokio::spawn(bring_in(state.clone(), running, id.clone(), record, options));
    }
    Ok(Redirect::to(&format!("/packs/{id}")).into_response())
}

async fn bring_in(state: AppState, running: Running, id: String, mut record: Record, options: ImportOptions) {
    let running = std::sync::Arc::new(running);
    record.stage = match taken(&state, &running, &id, options).await {
        Ok(imported) => Stage::taken(&imported),
        Err(error) => Stage::Failed(told(&state, &error).await),
    };
    if let Err(error) = state.waiting().note(&id, &record) {
        tracing::error!(%error, "what became of a pack can't be noted");
    }
}

async fn taken(
    state: &AppState,
    running: &std::sync::Arc<Running>,
    id: &str,
    options: ImportOptions,
) -> Result<Imported, ImportError> {
    let source = state.waiting().open(id).map_err(ImportError::Unopened)?;
    let teller = std::sync::Arc::clone(running);
    import(state.store(), source, options, move |progress| teller.tell(progress)).await
}

/// Who is importing, since when, and what to do.
pub(super) fn busy(other: &OpenImport) -> String {
    format!(
        "Nothing was taken in: {} has been taking a pack in since {}, and there is one import at a time. Try again \
         when it has ended.",
        other.by,
        format::moment(other.begun_at)
    )
}

/// Why nothing is in the books, for the reader; the log gets the detail of what is our fault.
pub(super) async fn told(state: &AppState, error: &ImportError) -> String {
    match error {
        ImportError::Refused(_) => {
            "The books moved on since this pack was checked, and rows of it don't fit them any more. Nothing was \
             taken in. Check it again."
                .to_owned()
        }
        ImportError::Store(StoreError::ImportRunning) => {
            match state.store().find_import_under_way().await {
                Ok(Some(other)) => busy(&other),
                _ => "Nothing was taken in: another import was under way. Try again.".to_owned(),
            }
        }
        ImportError::Unreadable(_) | ImportError::Changed | ImportError::Unopened(_) => {
            format!("Nothing was taken in: {error}.")
        }
        ImportError::Store(_) | ImportError::RefusedFile(..) | ImportError::Thread(_) => {
            tracing::error!(error = %error, detail = ?error, "an import failed");
            "Something went wrong on our side; nothing was taken in. Try again.".to_owned()
        }
    }
}

/// How far it is, in words, and how much of it is done.
pub(super) fn said(progress: Progress) -> (String, u64, u64) {
    match progress {
        Progress::Compared(table, rows) => {
            let says =
                format!("Comparing {} with the books: {} rows so far.", table.file(), format::count(rows));
            (says, 0, 1)
        }
        Progress::Checked(table, rows) => {
            (format!("Checking {}: {} rows so far.", table.file(), format::count(rows)), 0, 1)
        }
        Progress::Staged(0, 0) => ("Beginning.".to_owned(), 0, 1),
        Progress::Staged(rows, total) => {
            (format!("{} of {} rows taken.", format::count(rows), format::count(total)), rows, total)
        }
    }
}

/// `GET /packs/{id}/progress`, asked by script.
pub(super) async fn progress(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Import)?;
    own(&state, &signed_in, &id)?;
    Ok(match state.waiting().progress(&id) {
        None => Json(json!({ "running": false })),
        Some(progress) => {
            let (says, done, of) = said(progress);
            Json(json!({ "running": true, "says": says, "done": done, "of": of }))
        }
    }
    .into_response())
}

/// Whether an import that was cut short had become visible all the same: the program may end between the two.
pub(super) async fn was_published(
    state: &AppState,
    actor: &Actor,
    since: i64,
) -> Result<Option<Stage>, AppError> {
    let Actor::Person { name, .. } = actor else { return Ok(None) };
    let past = state.store().list_imports().await?;
    let own = past.into_iter().find(|one| one.by == *name && one.begun_at.timestamp_micros() == since);
    Ok(own.map(Stage::of_past))
}
