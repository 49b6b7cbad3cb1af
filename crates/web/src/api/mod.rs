//! The JSON API under `/api/v1`: reports in, results out, for programs that hold a key.
//!
//! To add a route: a handler in the file of its noun with `#[utoipa::path(..)]`, whose first lines are `Caller` and
//! `caller.may(&Act::..)?`; its answer a struct with `ToSchema`, every field with its unit and range; one line in
//! [`table`]. The document is made from that table, so that it can't leave a route out.

mod analysis;
mod caller;
mod changes;
mod document;
mod lineage;
mod lots;
mod paging;
pub mod problem;
mod recurrences;
mod reports;
mod samples;
mod sent;
mod status;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::security::limits;
use crate::state::AppState;

/// Where all of it stands.
pub const ROOT: &str = "/api/v1";

/// All addresses of the API. They take no cookie, so the cross-site check has nothing to guard here.
pub fn routes(state: &AppState) -> Router<AppState> {
    let photos = DefaultBodyLimit::max(state.config().limits.photo_bytes);
    let (router, _) = OpenApiRouter::new().nest(ROOT, table(photos)).split_for_parts();
    limits::paced(router, limits::INTAKE, state)
}

/// Every route, one line each; photographs may be as large as the form's.
fn table(photos: DefaultBodyLimit) -> OpenApiRouter<AppState> {
    OpenApiRouter::new()
        .routes(routes!(reports::photos::add))
        .layer(photos)
        .routes(routes!(reports::send))
        .routes(routes!(reports::show))
        .routes(routes!(document::show))
        .routes(routes!(analysis::show))
        .routes(routes!(recurrences::list))
        .routes(routes!(recurrences::show))
        .routes(routes!(lots::show))
        .routes(routes!(lineage::lineage))
        .routes(routes!(lineage::holders))
        .routes(routes!(changes::list))
        .routes(routes!(changes::show))
        .routes(routes!(status::show))
}
