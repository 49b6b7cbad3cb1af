//! `/changes`: the change records, from the draft to the proof.

mod accomplish;
pub(crate) mod after;
mod after_sample;
mod annex;
mod campaign;
mod correct_cut_in;
mod cut_in;
mod decide;
mod docket;
mod documents;
mod edit;
mod evidence;
mod gate;
mod list;
mod load;
mod new;
pub(crate) mod outward;
#[cfg(feature = "pdf")]
mod papers;
mod problem;
mod proof;
mod revisions;
mod sample;
mod seam;
mod sections;
mod sheet;
mod side;
mod since;
mod steps;
mod take_back;
mod telling;
#[cfg(test)]
mod tests;
pub mod view;
mod weigh;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::response::Response;
use axum::routing::{get, post};
use domain::permission::Act;

use crate::error::AppError;
use crate::pages::status::Office;
use crate::preferences::Preferences;
use crate::security::{SignedIn, limits};
use crate::state::AppState;

pub use campaign::CampaignPage;
pub use cut_in::CutInPage;
pub use decide::DecidePage;
pub use docket::{DocketPage, DocketsPage};
pub use edit::EditPage;
pub use evidence::EvidencePage;
pub use list::ChangesPage;
pub use new::NewChangePage;
pub use revisions::RevisionsPage;
pub use sheet::ChangePage;
pub use view::{RecordView, WholeView};
pub use weigh::WeighPage;

use load::Loaded;
use sheet::Told;

/// In letters; lists and the title block show a title whole.
const LONGEST_TITLE: usize = 160;
const TITLE_TOO_LONG: &str = "Make the title shorter: 160 letters at most.";

/// This noun's addresses.
pub fn routes(state: &AppState) -> Router<AppState> {
    // The board's signature is a password, so its tries are paced as those of signing in.
    let signed = Router::new().route("/changes/{no}/decide", get(decide::show).post(decide::decide));
    let largest = DefaultBodyLimit::max(state.config().limits.photo_bytes);
    let enclosed = Router::new().route("/changes/{no}/enclosure", post(annex::enclose)).layer(largest);
    let router = Router::new()
        .merge(enclosed)
        .route("/changes/{no}/enclosure/{id}", get(annex::enclosure))
        .route("/changes/{no}/remark", post(annex::remark))
        .route("/changes/{no}/campaign", get(campaign::show))
        .merge(limits::paced(signed, limits::SIGN_IN, state))
        .merge(docket::routes())
        .route("/changes", get(list_all))
        .route("/changes/new", get(new::show).post(new::draft))
        .route("/changes/{no}", get(show))
        .route("/changes/{no}/json", get(as_json))
        .route("/changes/{no}/accomplished", get(accomplish::show).post(accomplish::keep))
        .route(
            "/changes/{no}/accomplished/take-back",
            get(take_back::show_accomplished).post(take_back::keep_accomplished),
        )
        .route("/changes/{no}/evidence", get(evidence::show))
        .route("/changes/{no}/evidence/{id}/json", get(evidence::download))
        .route("/changes/{no}/revisions", get(revisions::show))
        .route("/changes/{no}/cut-in", get(cut_in::show).post(cut_in::keep))
        .route("/changes/{no}/cut-in/correct", get(correct_cut_in::show).post(correct_cut_in::keep))
        .route("/changes/{no}/weigh", get(weigh::show).post(weigh::keep))
        .route("/changes/{no}/weigh/take-back", get(take_back::show_weighed).post(take_back::keep_weighed))
        .route("/changes/{no}/edit/{section}", get(edit::show).post(edit::keep))
        .route("/changes/{no}/start", post(steps::start))
        .route("/changes/{no}/submit", post(steps::submit))
        .route("/changes/{no}/withdraw", post(steps::withdraw))
        .route("/changes/{no}/conclude", post(steps::conclude));
    #[cfg(feature = "pdf")]
    let router = router.merge(papers::routes());
    router
}

async fn list_all(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let office = Office::find(&state).await?;
    state.page(&ChangesPage::new(&signed_in.0, &office.lines(), state.today()))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    preferences: Preferences,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find(&state, &no).await?;
    state.page(&ChangePage::new(&signed_in.0, &loaded, preferences.mass_unit, Told::default()))
}

/// All of one change as one view.
///
/// # Errors
/// That there is no such change; a failure of the store.
pub(crate) async fn view_of(state: &AppState, no: &str) -> Result<RecordView, AppError> {
    Ok(Loaded::find(state, no).await?.view())
}

async fn as_json(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<axum::Json<WholeView>, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    Ok(axum::Json(Loaded::find(&state, &no).await?.whole()))
}
