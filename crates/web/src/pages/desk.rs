//! `/`: the desk, a reader's start page, with what waits for them.

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use serde::Serialize;

use crate::error::AppError;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Place, Shell};

/// What waits for the reader.
#[derive(Serialize)]
pub struct DeskPage {
    shell: Shell,
    waiting: Vec<Waiting>,
}

/// One thing that waits.
#[derive(Serialize)]
struct Waiting {
    since: String,
    what: String,
    address: String,
}

impl Page for DeskPage {
    const TEMPLATE: &'static str = "pages/desk/desk";

    fn samples() -> Vec<Self> {
        let shell = Shell::sample("Desk", Place::Desk);
        let waiting = Waiting {
            since: "3 Mar 2026".into(),
            what: "Report 2026-0113 from COVE-2 waits to be sorted".into(),
            address: "/sorting/2026-0113".into(),
        };
        vec![Self { shell: shell.clone(), waiting: vec![] }, Self { shell, waiting: vec![waiting] }]
    }
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/", get(show))
}

async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    let shell = Shell::inside("Desk", &signed_in.0, Place::Desk);
    state.page(&DeskPage { shell, waiting: Vec::new() })
}
