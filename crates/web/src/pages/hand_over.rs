//! `/people/{id}/hand-over`: passes what somebody has open to a successor, with a list to sign.

mod list;
mod mail;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use chrono::{DateTime, Utc};
use domain::handover::{HandoverItem, HandoverKind};
use domain::mail_address::MailAddress;
use domain::permission::{Act, Actor, Role};
use domain::words::Problem;
use serde::Serialize;
use store::{Handover, NewHandover, StoreError, User};

use crate::error::AppError;
use crate::format;
use crate::pages::records::{Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Choice, Faults, Place, Select, Shell};

pub use list::HandedPage;
use list::{Group, groups};

/// What somebody has open, and the form to pass it on.
#[derive(Serialize)]
pub struct HandOverPage {
    shell: Shell,
    whose: String,
    action: String,
    groups: Vec<Group>,
    refused: Vec<String>,
    to: Select,
    address: Ask,
    note: Ask,
    past: Vec<(String, String)>,
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/people/{id}/hand-over", get(show).post(pass))
        .route("/hand-overs/{id}", get(list::show))
}

/// Who answers for a thing: whoever it was passed on to last, else whoever made it.
pub(crate) async fn answers_for(
    state: &AppState,
    (kind, key): (HandoverKind, &str),
    made_by: String,
) -> Result<String, AppError> {
    Ok(state.store().keepers(kind).await?.remove(key).unwrap_or(made_by))
}

/// Who made a thing, and who has answered for it since it was passed on.
pub(crate) fn passed_on(made_by: &str, keeper: &str) -> String {
    format!("{made_by} (passed on to {keeper})")
}

/// Passes everything on and mails who is to know, and gives the number of the hand-over.
///
/// # Errors
/// As [`store::Store::hand_over`].
pub(crate) async fn carry_out(
    state: &AppState,
    by: &Actor,
    now: DateTime<Utc>,
    new: &NewHandover,
) -> Result<i64, StoreError> {
    let (from, to) = (name_of(state, new.from).await?, name_of(state, new.to).await?);
    let words = |handover: &Handover| mail::words(state, handover, (from, to));
    state.store().hand_over(by, now, new, words).await
}

/// Somebody's name; the store refuses whoever isn't there.
async fn name_of(state: &AppState, id: i64) -> Result<String, StoreError> {
    Ok(state.store().find_user(id).await?.map(|user| user.full_name).unwrap_or_default())
}

async fn user(state: &AppState, id: i64) -> Result<User, AppError> {
    let found = state.store().find_user(id).await?;
    found.ok_or_else(|| AppError::NotFound("There is nobody of this number.".into()))
}

fn address_of_successor(items: &[HandoverItem], typed: &str) -> Ask {
    let hint = if items.iter().any(|item| item.kind.is_mail()) {
        "Mail passes on too: needed unless the successor is on call or gets the digest already"
    } else {
        "The list is mailed there; may be left empty"
    };
    Ask::of_kind("email", "address", "Where the successor is mailed", typed).hint(hint)
}

async fn page(
    state: &AppState,
    actor: &Actor,
    id: i64,
    (sent, mut faults): (&Sent, Faults),
) -> Result<HandOverPage, AppError> {
    let whose = user(state, id).await?;
    let open = state.store().open_of(id, state.today()).await?;
    let past = state.store().handovers_of(id).await?;
    let mut others = state.store().list_users().await?;
    others.retain(|other| other.id != id && other.retired_at.is_none() && other.role == Role::Engineer);
    let options = others.iter().map(|other| {
        let number = other.id.to_string();
        Choice::new(&number, &other.full_name, sent.get("to") == number)
    });
    let to = Select::new("to", "Successor", "choose an engineer", vec![(String::new(), options.collect())]);
    let (problem, unreachable) = (faults.take("to"), faults.take("address"));
    Ok(HandOverPage {
        shell: Shell::inside(format!("Hand over from {}", whose.full_name), actor, Place::Elsewhere),
        whose: whose.full_name,
        action: format!("/people/{id}/hand-over"),
        groups: groups(&open),
        to: to.problem(problem),
        address: address_of_successor(&open, sent.get("address")).problem(unreachable),
        refused: faults.rest(),
        note: Ask::lines("note", "What the successor should know", sent.get("note")),
        past: past
            .into_iter()
            .map(|(number, at)| (format!("/hand-overs/{number}"), format::moment(at)))
            .collect(),
    })
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::HandOver { of: id })?;
    state.page(&page(&state, &signed_in.0, id, (&Sent::default(), Faults::default())).await?)
}

fn read(from: i64, sent: &Sent) -> Result<NewHandover, Faults> {
    let to = sent.get("to").parse::<i64>().map_err(|_| Problem::new("to", "choose who goes on with it"))?;
    let address = match sent.get("address").trim() {
        "" => None,
        typed => Some(MailAddress::parse(typed).map_err(|why| Problem::new("address", why.to_string()))?),
    };
    Ok(NewHandover { from, to, note: sent.get("note").to_owned(), address })
}

async fn pass(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::HandOver { of: id })?;
    let passed = match read(id, &sent) {
        Ok(new) => kept(carry_out(&state, &signed_in.0, state.now(), &new).await)?,
        Err(faults) => Err(faults),
    };
    match passed {
        Ok(number) => Ok(Redirect::to(&format!("/hand-overs/{number}")).into_response()),
        Err(faults) => state.refused(&page(&state, &signed_in.0, id, (&sent, faults)).await?),
    }
}

impl Page for HandOverPage {
    const TEMPLATE: &'static str = "pages/people/hand_over";

    fn samples() -> Vec<Self> {
        let page = |full: bool| Self {
            shell: Shell::sample("Hand over from Oda Fell", Place::Elsewhere),
            whose: "Oda Fell".into(),
            action: "/people/1/hand-over".into(),
            groups: if full { groups(&list::sample_items()) } else { Vec::new() },
            refused: if full { vec!["Nothing is open.".into()] } else { Vec::new() },
            to: Select::new("to", "Successor", "choose", vec![(String::new(), Vec::new())]),
            address: address_of_successor(&list::sample_items(), ""),
            note: Ask::lines("note", "What to know", ""),
            past: if full {
                vec![("/hand-overs/1".into(), "3 Mar 2026, 12:00 UTC".into())]
            } else {
                Vec::new()
            },
        };
        vec![page(true), page(false)]
    }
}
