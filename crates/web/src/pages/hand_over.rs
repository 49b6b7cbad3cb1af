//! `/people/{id}/hand-over`: passes what somebody has open to a successor, with a list to sign.

#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::handover::{HandoverItem, HandoverKind};
use domain::permission::{Act, Actor, Role};
use serde::Serialize;
use store::{Handover, User};

use crate::address::{self, segment};
use crate::error::AppError;
use crate::format;
use crate::pages::records::{Faults, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Choice, Place, Select, Shell};

/// What somebody has open, and the form to pass it on.
#[derive(Serialize)]
pub struct HandOverPage {
    shell: Shell,
    whose: String,
    action: String,
    items: Vec<Row>,
    refused: Vec<String>,
    to: Select,
    note: Ask,
    past: Vec<(String, String)>,
}

/// A hand-over that took place, as a list to sign.
#[derive(Serialize)]
pub struct HandedPage {
    shell: Shell,
    from: String,
    to: String,
    when: String,
    by: String,
    note: Option<String>,
    items: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    kind: &'static str,
    title: String,
    address: String,
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/people/{id}/hand-over", get(show).post(pass)).route("/hand-overs/{id}", get(handed))
}

fn row(item: &HandoverItem) -> Row {
    let key = segment(&item.key);
    Row {
        kind: item.kind.word(),
        title: item.title.clone(),
        address: match item.kind {
            HandoverKind::Recurrence => item.key.rsplit_once(' ').map_or_else(
                || "/recurrences".to_owned(),
                |(part, mode)| format!("/recurrences/{}/{}", segment(part), segment(mode)),
            ),
            HandoverKind::Change => address::change(&item.key),
            HandoverKind::Action => format!("/actions/{key}/done"),
            HandoverKind::Case => format!("/cases/{key}"),
        },
    }
}

async fn user(state: &AppState, id: i64) -> Result<User, AppError> {
    let found = state.store().find_user(id).await?;
    found.ok_or_else(|| AppError::NotFound("There is nobody of this number.".into()))
}

async fn page(
    state: &AppState,
    actor: &Actor,
    id: i64,
    (sent, mut faults): (&Sent, Faults),
) -> Result<HandOverPage, AppError> {
    let whose = user(state, id).await?;
    let open = state.store().open_of(id).await?;
    let past = state.store().handovers_of(id).await?;
    let mut others = state.store().list_users().await?;
    others.retain(|other| other.id != id && other.retired_at.is_none() && other.role == Role::Engineer);
    let options = others.iter().map(|other| {
        let number = other.id.to_string();
        Choice::new(&number, &other.full_name, sent.get("to") == number)
    });
    let to = Select::new("to", "Successor", "choose an engineer", vec![(String::new(), options.collect())]);
    let problem = faults.take("to");
    Ok(HandOverPage {
        shell: Shell::inside(format!("Hand over from {}", whose.full_name), actor, Place::Elsewhere),
        whose: whose.full_name,
        action: format!("/people/{id}/hand-over"),
        items: open.iter().map(row).collect(),
        to: to.problem(problem),
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

async fn pass(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::HandOver { of: id })?;
    let passed = match sent.get("to").parse::<i64>() {
        Ok(to) => kept(state.store().hand_over(&signed_in.0, state.now(), (id, to), sent.get("note")).await)?,
        Err(_) => Err(domain::words::Problem::new("to", "choose who goes on with it").into()),
    };
    match passed {
        Ok(number) => Ok(Redirect::to(&format!("/hand-overs/{number}")).into_response()),
        Err(faults) => {
            let page = page(&state, &signed_in.0, id, (&sent, faults)).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, state.page(&page)?).into_response())
        }
    }
}

async fn handed(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let found = state.store().find_handover(id).await?;
    let found = found.ok_or_else(|| AppError::NotFound("There is no hand-over of this number.".into()))?;
    // The successor reads it too: to sign what is now theirs.
    if signed_in.may(&Act::HandOver { of: found.from }).is_err() {
        signed_in.may(&Act::HandOver { of: found.to })?;
    }
    let (from, to) = (user(&state, found.from).await?, user(&state, found.to).await?);
    state.page(&HandedPage::new(&signed_in.0, &found, from.full_name, to.full_name))
}

impl HandedPage {
    fn new(actor: &Actor, found: &Handover, from: String, to: String) -> Self {
        Self {
            shell: Shell::inside(format!("Hand-over from {from} to {to}"), actor, Place::Elsewhere),
            from,
            to,
            when: format::moment(found.at),
            by: found.by.clone(),
            note: found.note.clone(),
            items: found.items.iter().map(row).collect(),
        }
    }
}

fn sample_items() -> Vec<HandoverItem> {
    HandoverKind::ALL
        .iter()
        .map(|&kind| HandoverItem { kind, key: "RC-131 ZIP-1".into(), title: "Coated slider".into() })
        .collect()
}

impl Page for HandOverPage {
    const TEMPLATE: &'static str = "pages/people/hand_over";

    fn samples() -> Vec<Self> {
        let page = |full: bool| Self {
            shell: Shell::sample("Hand over from Oda Fell", Place::Elsewhere),
            whose: "Oda Fell".into(),
            action: "/people/1/hand-over".into(),
            items: if full { sample_items().iter().map(row).collect() } else { Vec::new() },
            refused: if full { vec!["Nothing is open.".into()] } else { Vec::new() },
            to: Select::new("to", "Successor", "choose", vec![(String::new(), Vec::new())]),
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

impl Page for HandedPage {
    const TEMPLATE: &'static str = "pages/people/handed";

    fn samples() -> Vec<Self> {
        let of = |note: Option<&str>| {
            let found = Handover {
                id: 1,
                from: 1,
                to: 2,
                note: note.map(Into::into),
                by: "Oda Fell".into(),
                at: chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap_or_default(),
                items: sample_items(),
            };
            let actor = crate::pages::recurrences::sample::engineer();
            Self::new(&actor, &found, "Oda Fell".into(), "Tove Bight".into())
        };
        vec![of(None), of(Some("On leave."))]
    }
}
