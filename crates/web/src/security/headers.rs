//! Response headers that tell the browser what a page of ours may do: little.

use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::Response;

use crate::state::AppState;

const POLICY: &str = "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self' blob:; \
    script-src 'self'; connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; \
    frame-ancestors 'none'";

/// The same for the report form, whose label reader is a WebAssembly module of ours.
const POLICY_WITH_READER: &str = "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self' blob:; \
    script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; \
    frame-ancestors 'none'";

const FIXED: [(HeaderName, &str); 5] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    // Not `no-referrer`: browsers then send `Origin: null` with a form, and the cross-site check turns it away.
    (header::REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(self), geolocation=(), microphone=()"),
];

/// Lets a page run the label reader.
pub fn lets_labels_be_read(mut page: Response) -> Response {
    page.headers_mut().insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY_WITH_READER));
    page
}

/// Middleware: adds what a response doesn't already say.
pub async fn add(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in FIXED {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
    // Pages show what one person may see; a shared computer must not keep them.
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    if state.base_url().starts_with("https://") {
        headers
            .entry(header::STRICT_TRANSPORT_SECURITY)
            .or_insert(HeaderValue::from_static("max-age=31536000"));
    }
    response
}
