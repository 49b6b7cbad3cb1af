//! `/digest`: the weekly digest as it would be mailed today, and where it is sent.

use axum::Router;
use axum::extract::{Form, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::permission::{Act, Actor, Refusal};
use serde::Serialize;

use crate::digest::Digest;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Place, Shell};

/// The page.
#[derive(Serialize)]
pub struct DigestPage {
    shell: Shell,
    subject: String,
    text: String,
    address: Ask,
    gets: bool,
    refused: bool,
    mails: Vec<[String; 3]>,
}

/// Mails of the past shown to who runs the installation.
const SHOWN: u64 = 10;

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/digest", get(show).post(set))
}

async fn page(
    state: &AppState,
    actor: &Actor,
    id: i64,
    typed: Option<(&str, String)>,
) -> Result<DigestPage, AppError> {
    let digest = Digest::of(state).await?;
    let readers = state.store().digest_readers().await?;
    let known = readers.into_iter().find(|(reader, _)| *reader == id).map(|(_, address)| address);
    let mail = digest.mail(state, String::new(), String::new())?;
    let (value, problem) = typed.map_or((known.clone().unwrap_or_default(), None), |(value, problem)| {
        (value.to_owned(), Some(problem))
    });
    let runs = domain::permission::may(actor, &Act::ManagePeople).is_ok();
    let mails = if runs { state.store().latest_mail(SHOWN).await? } else { Vec::new() };
    Ok(DigestPage {
        shell: Shell::inside("Weekly digest", actor, Place::Status),
        subject: digest.subject().to_owned(),
        text: mail.text,
        gets: known.is_some(),
        refused: problem.is_some(),
        address: Ask::of_kind("email", "address", "Send it to", value)
            .hint("Every Monday morning. Clear the field to get it no more")
            .problem(problem),
        mails: mails
            .into_iter()
            .map(|fate| {
                let how = match (fate.sent_at, fate.last_error) {
                    (Some(at), _) => format!("sent {}", format::moment(at)),
                    (None, Some(why)) if fate.is_given_up => format!("given up: {why}"),
                    (None, None) if fate.is_given_up => "given up before it was sent".to_owned(),
                    (None, Some(why)) => format!("not sent yet: {why}"),
                    (None, None) => "waits to be sent".to_owned(),
                };
                // Who runs the installation reads how mail fares, not who reported what.
                match (fate.is_personal, fate.is_order) {
                    (false, _) => [fate.subject, fate.to, how],
                    (true, true) => ["(an order to stop using)".into(), "(a unit)".into(), how],
                    (true, false) => [String::new(), "(a reporter)".into(), how],
                }
            })
            .collect(),
    })
}

fn reader(signed_in: &SignedIn) -> Result<i64, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    match &signed_in.0 {
        Actor::Person { id, .. } => Ok(*id),
        _ => Err(Refusal::SignInFirst.into()),
    }
}

async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    let id = reader(&signed_in)?;
    state.page(&page(&state, &signed_in.0, id, None).await?)
}

async fn set(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    let id = reader(&signed_in)?;
    let typed = sent.get("address");
    let address = Some(typed).filter(|address| !address.is_empty());
    let set = state.store().set_digest_address(&signed_in.0, state.now(), id, address).await;
    if kept(set)?.is_ok() {
        return Ok(Redirect::to("/digest").into_response());
    }
    let says = "Write an address such as name@rescue.example.".to_owned();
    state.refused(&page(&state, &signed_in.0, id, Some((typed, says))).await?)
}

impl Page for DigestPage {
    const TEMPLATE: &'static str = "pages/digest/digest";

    fn samples() -> Vec<Self> {
        let page = |full: bool| Self {
            shell: Shell::sample("Weekly digest", Place::Status),
            subject: "Where the changes stand, 3 Mar 2026".into(),
            text: "1 change waits for something.".into(),
            address: Ask::of_kind("email", "address", "Send it to", ""),
            gets: full,
            refused: !full,
            mails: if full {
                vec![["Where".into(), "oda@rescue.example".into(), "sent".into()]]
            } else {
                Vec::new()
            },
        };
        vec![page(true), page(false)]
    }
}
