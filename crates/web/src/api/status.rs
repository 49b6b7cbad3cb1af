//! `GET /status`: where every change stands, and since when.

use axum::Json;
use axum::extract::State;
use chrono::{DateTime, NaiveDate, Utc};
use domain::change::ChangeState;
use domain::permission::Act;
use serde::Serialize;
use store::ChangeRecord;
use utoipa::ToSchema;

use super::caller::Caller;
use super::problem::ApiError;
use crate::state::AppState;

/// Where changes stand.
#[derive(Serialize, ToSchema)]
pub(super) struct Status {
    /// How many stand where, in the order of a change's life.
    states: Vec<InState>,
    /// Each change, in the order of the books.
    changes: Vec<Standing>,
}

/// How many changes stand in one state.
#[derive(Serialize, ToSchema)]
struct InState {
    /// The state.
    #[schema(examples("submitted"))]
    state: &'static str,
    /// Changes in it.
    changes: usize,
}

/// Where one change stands.
#[derive(Serialize, ToSchema)]
struct Standing {
    /// Its number.
    #[schema(examples("2026-014"))]
    change_no: String,
    /// Its title.
    title: String,
    /// The part that changes.
    part_no: String,
    /// Where it stands; `null` where the books don't say.
    #[schema(examples("cut in"))]
    state: Option<&'static str>,
    /// Since when; `null` for a change that came with a pack and wasn't moved since.
    since: Option<DateTime<Utc>>,
    /// First lot built to it.
    cut_in_lot: Option<String>,
    /// When that was.
    cut_in_on: Option<NaiveDate>,
}

impl Status {
    pub(super) fn new(records: Vec<ChangeRecord>) -> Self {
        let count = |state| records.iter().filter(|record| record.change.state == Some(state)).count();
        let states =
            ChangeState::ALL.iter().map(|&state| InState { state: state.word(), changes: count(state) });
        Self {
            states: states.collect(),
            changes: records
                .into_iter()
                .map(|ChangeRecord { change, since, .. }| Standing {
                    state: change.state.map(ChangeState::word),
                    since,
                    change_no: change.change_no,
                    title: change.title,
                    part_no: change.part_no,
                    cut_in_lot: change.cut_in_lot,
                    cut_in_on: change.cut_in_on,
                })
                .collect(),
        }
    }
}

/// Where changes stand
#[utoipa::path(get, path = "/status", tag = "Results", operation_id = "status", responses(
    (status = 200, description = "States and changes.", body = Status, example = json!(super::samples::status())),
))]
pub(super) async fn show(State(state): State<AppState>, caller: Caller) -> Result<Json<Status>, ApiError> {
    caller.may(&Act::ReadChanges)?;
    Ok(Json(Status::new(state.store().list_change_records().await?)))
}
