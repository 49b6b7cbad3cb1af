//! Which address goes where, and the layers around all of them.

use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, MatchedPath, Request};
use axum::http::StatusCode;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::get;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::classify::ServerErrorsFailureClass;
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{DefaultPredicate, NotForContentType, Predicate as _};
use tower_http::csrf::CsrfLayer;
use tower_http::timeout::TimeoutLayer;
use tower_http::trace::TraceLayer;

use crate::security::request_number::RequestNumber;
use crate::state::AppState;
use crate::{api, assets, error, pages, security, tongue};

/// Long enough for a large data pack on a slow line.
const LONGEST_REQUEST: Duration = Duration::from_mins(10);

/// The whole service.
///
/// # Errors
/// A public address that is no origin.
pub fn router(state: &AppState) -> Result<Router, tower_http::csrf::ConfigError> {
    let mut csrf = CsrfLayer::new();
    // A proxy may rewrite Host; the configured address is then still ours.
    if let Some(origin) = &state.config().server.public_url {
        csrf = csrf.add_trusted_origin(origin)?;
    }
    let router = Router::new()
        .merge(pages::routes(state))
        .route("/static/{set}/{*name}", get(assets::serve))
        // What is merged below it takes no cookie, so that no other site can act for a reader there.
        .layer(csrf)
        .merge(api::routes(state))
        .fallback(|| async { StatusCode::NOT_FOUND })
        // From the inside outwards: the last one sees a request first.
        .layer(from_fn(security::form_text::need))
        .layer(DefaultBodyLimit::max(state.config().limits.form_bytes))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, LONGEST_REQUEST))
        .layer(CatchPanicLayer::custom(|_: Box<dyn std::any::Any + Send>| {
            let mut response = axum::response::Response::new(axum::body::Body::empty());
            *response.status_mut() = StatusCode::INTERNAL_SERVER_ERROR;
            response
        }))
        .layer(from_fn_with_state(state.clone(), error::dress))
        .layer(from_fn(tongue::choose))
        .layer(from_fn_with_state(state.clone(), security::headers::add))
        // A zip is packed already.
        .layer(
            CompressionLayer::new()
                .compress_when(DefaultPredicate::new().and(NotForContentType::new("application/zip"))),
        )
        .layer(TraceLayer::new_for_http().make_span_with(span).on_failure(log_failure))
        .layer(from_fn_with_state(state.clone(), security::request_number::draw))
        .with_state(state.clone());
    Ok(router)
}

/// Names the route, never the address: addresses of unit links and receipts are secrets.
fn span(request: &Request) -> tracing::Span {
    let route = request.extensions().get::<MatchedPath>().map_or("-", MatchedPath::as_str);
    let number = request.extensions().get::<RequestNumber>().map_or("-", |number| &number.0);
    tracing::info_span!("request", number, method = %request.method(), route)
}

/// What failed is an error; what can't be answered just now has only to be waited for.
fn log_failure(failure: ServerErrorsFailureClass, latency: Duration, _: &tracing::Span) {
    let latency_ms = latency.as_millis();
    if matches!(failure, ServerErrorsFailureClass::StatusCode(StatusCode::SERVICE_UNAVAILABLE)) {
        tracing::warn!(latency_ms, "asked to come again");
    } else {
        tracing::error!(%failure, latency_ms, "answered with a failure");
    }
}
