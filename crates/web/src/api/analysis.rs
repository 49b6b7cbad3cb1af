//! `GET /analysis`: what `bartack analyse --json` prints, of the present books.

use axum::Json;
use axum::extract::State;
use domain::permission::Act;

use super::caller::Caller;
use super::problem::ApiError;
use crate::analyse::AnalysisView;
use crate::state::AppState;

/// The whole analysis as of today
///
/// The object that `bartack analyse PACK --as-of TODAY --json` prints for a pack exported today, with the allowance of false
/// signals that is set here. Possible doubles may differ: of what was in the books at the start the words are not
/// weighed. Numbers are at full precision; a key whose method does not apply is `null`. Rates come from reports and issue records; few reports
/// isn't proof of safety.
#[utoipa::path(get, path = "/analysis", tag = "Results", operation_id = "analysis", responses(
    (status = 200, description = "The analysis.", body = AnalysisView, example = json!(super::samples::analysis())),
))]
pub(super) async fn show(
    State(state): State<AppState>,
    caller: Caller,
) -> Result<Json<AnalysisView>, ApiError> {
    caller.may(&Act::ReadField)?;
    caller.may(&Act::ReadChanges)?;
    let picture = state.picture().await?;
    Ok(Json(AnalysisView::new(&picture.field, &picture.analysis)))
}
