//! What the tests of this crate share: a state under a standing clock, and requests to the whole service.

pub(crate) mod small_books;

pub(crate) mod books;

use axum::Router;
use axum::body::Body;
use axum::http::{Request, Response, header};
use chrono::{DateTime, Utc};
use domain::change::{Change, ChangeState};
use domain::permission::{Actor, Role};
use store::{ChangeRecord, NewUser};
use tower::ServiceExt as _;

use crate::clock::Clock;
use crate::config::Config;
use crate::router::router;
use crate::state::AppState;

/// Noon of 3 Mar 2026.
pub(crate) fn noon() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_539_200, 0).unwrap()
}

/// A state with an empty database of its own and otherwise the settings of an empty environment.
pub(crate) async fn state() -> AppState {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().to_str().unwrap().to_owned();
    let config = Config::read(&|name| (name == "BARTACK_DATA").then(|| data.clone())).unwrap();
    let state = AppState::with_clock(config, Clock::standing_at(noon())).await.unwrap();
    state.hold(folder);
    state
}

/// Adds somebody with a password and gives their number.
pub(crate) async fn person(state: &AppState, sign_in_name: &str, role: Role, password: &str) -> i64 {
    let password_hash = Some(state.passwords().hash(password.to_owned()).await.unwrap());
    let full_name = sign_in_name.to_uppercase();
    let user = NewUser { name: sign_in_name.into(), full_name, role, unit: None, password_hash };
    state.store().add_user(&Actor::Program, state.now(), &user).await.unwrap()
}

/// The whole service.
pub(crate) fn service(state: &AppState) -> Router {
    router(state).unwrap()
}

/// A page asked for, with a cookie.
pub(crate) async fn get(service: &Router, path: &str, cookie: &str) -> Response<Body> {
    let request = Request::get(path).header(header::COOKIE, cookie).body(Body::empty()).unwrap();
    service.clone().oneshot(request).await.unwrap()
}

/// A form sent, with a cookie.
pub(crate) async fn post(service: &Router, path: &str, cookie: &str, form: &str) -> Response<Body> {
    let request = Request::post(path)
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(form.to_owned()))
        .unwrap();
    service.clone().oneshot(request).await.unwrap()
}

/// The cookie a response sets, as the browser would send it back.
pub(crate) fn cookie(response: &Response<Body>) -> String {
    let set = response.headers().get(header::SET_COOKIE).map(|value| value.to_str().unwrap());
    set.unwrap_or_default().split(';').next().unwrap().to_owned()
}

/// A response's text.
pub(crate) async fn text(response: Response<Body>) -> String {
    let bytes = axum::body::to_bytes(response.into_body(), 1 << 22).await.unwrap();
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// A change record in a state, with nothing written in it yet.
pub(crate) fn change_record(state: ChangeState) -> ChangeRecord {
    let change = Change {
        change_no: "2026-014".into(),
        title: "Coated slider".into(),
        part_no: "RC-131".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: Vec::new(),
        state: Some(state),
        cut_in_lot: None,
        cut_in_on: None,
    };
    ChangeRecord {
        change,
        body: None,
        effectivity: Vec::new(),
        criteria: Vec::new(),
        answers: Vec::new(),
        decisions: Vec::new(),
        since: None,
        argued: store::Argued::default(),
        plan: None,
    }
}
