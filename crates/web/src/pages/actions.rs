//! What is to be done for a change before its cut-in: added, given to somebody, and said to be done.
//!
//! Who gives an action to somebody gives what the form showed: its address carries which assignment that was, so that what
//! somebody else said in between is not overwritten unseen.

mod meanwhile;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::action::{Action, ActionKind, Done};
use domain::permission::{Act, Actor, Role};
use serde::Deserialize;
use store::{KeptAction, StoreError, User};

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Choice, Faults, Place, Select, Shell};

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/changes/{no}/actions/new", get(new).post(add))
        .route("/actions/{id}/done", get(to_finish).post(finish))
        .route("/actions/{id}/assign", get(to_assign).post(assign))
}

/// Who can have something to do: engineers and the board, as long as they are there.
pub(crate) async fn owners(state: &AppState) -> Result<Vec<User>, AppError> {
    let mut users = state.store().list_users().await?;
    users.retain(|user| user.retired_at.is_none() && matches!(user.role, Role::Engineer | Role::Board));
    Ok(users)
}

/// The list to choose an owner from.
pub(crate) fn owner_select(owners: &[User], chosen: &str) -> Select {
    let options = owners.iter().map(|user| {
        let id = user.id.to_string();
        Choice::new(&id, &user.full_name, id == chosen)
    });
    Select::new("owner", "Who does it", "nobody yet", vec![(String::new(), options.collect())])
}

/// The chosen owner, if he is one of those.
pub(crate) fn owner_of(reading: &mut Reading<'_>, owners: &[User]) -> Option<i64> {
    let typed = reading.optional("owner")?;
    let owner = typed.parse().ok().filter(|id| owners.iter().any(|user| user.id == *id));
    if owner.is_none() {
        reading.wrong("owner", "choose one of these");
    }
    owner
}

/// Which assignment of an action its form shows, as the store numbers them.
#[derive(Deserialize)]
struct Seen {
    /// None was seen where it is left out.
    #[serde(default)]
    shown: i64,
}

fn new_form(actor: &Actor, no: &str, owners: &[User], sent: &Sent, faults: Faults) -> FormPage {
    let kinds = ActionKind::ALL.iter().filter(|kind| **kind != ActionKind::Condition);
    let kinds =
        kinds.map(|kind| Choice::new(kind.word(), kind.word(), sent.get("kind") == kind.word())).collect();
    let shell = Shell::inside(format!("An action for {no}"), actor, Place::Changes);
    let action = format!("{}/actions/new", address::change(no));
    FormPage::new(shell, "What is to be done", (action, "Add it"), faults)
        .about(format!("Change {no}"), address::change(no))
        .select(Select::new("kind", "Kind", "choose", vec![(String::new(), kinds)]))
        .ask(Ask::text("what", "What is to be done", sent.get("what")).required())
        .select(owner_select(owners, sent.get("owner")))
        .ask(Ask::of_kind("date", "due", "Due", sent.get("due")).hint("May be left open"))
}

async fn new(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::PlanActions)?;
    state.page(&new_form(&signed_in.0, &no, &owners(&state).await?, &Sent::default(), Faults::default()))
}

fn read(no: &str, owners: &[User], sent: &Sent) -> Result<Action, Faults> {
    let mut reading = Reading::of(sent);
    let (kind, what) = (reading.word::<ActionKind>("kind"), reading.text("what"));
    let (owner, due) = (owner_of(&mut reading, owners), reading.day("due"));
    if kind == Some(ActionKind::Condition) {
        reading.wrong("kind", "conditions come with the decision of the board");
    }
    let change_no = no.to_owned();
    reading.end(kind.map(|kind| Action { change_no, kind, what, owner, due, done: None }))
}

async fn add(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::PlanActions)?;
    let owners = owners(&state).await?;
    let added = match read(&no, &owners, &sent) {
        Ok(action) => kept(state.store().add_action(&signed_in.0, state.now(), &action).await)?,
        Err(faults) => Err(faults),
    };
    match added {
        Ok(_) => Ok(back(&no)),
        Err(faults) => new_form(&signed_in.0, &no, &owners, &sent, faults).refuse(&state),
    }
}

fn back(no: &str) -> Response {
    Redirect::to(&format!("{}#actions", address::change(no))).into_response()
}

async fn find(state: &AppState, id: i64) -> Result<KeptAction, AppError> {
    state.store().find_action(id).await?.ok_or_else(none)
}

fn none() -> AppError {
    AppError::NotFound("There is no action of this number.".into())
}

/// The form of one action, led to and back by its change.
fn form(
    actor: &Actor,
    one: &KeptAction,
    heading: &str,
    (step, button): (&str, &'static str),
    faults: Faults,
) -> FormPage {
    let no = &one.action.change_no;
    let shell = Shell::inside(format!("{heading}: {no}"), actor, Place::Changes);
    FormPage::new(shell, heading, (format!("/actions/{}/{step}", one.id), button), faults)
        .about(format!("Change {no}"), address::change(no))
        .says(format!("{}: {}", format::titled(one.action.kind.word()), one.action.what))
}

fn finish_form(actor: &Actor, one: &KeptAction, sent: &Sent, faults: Faults) -> FormPage {
    form(actor, one, "Say that it is done", ("done", "It is done"), faults)
        .ask(Ask::of_kind("date", "done_on", "Done on", sent.get("done_on")).required())
        .ask(
            Ask::lines("evidence", "What shows it", sent.get("evidence"))
                .required()
                .hint("The number of a drawing, a protocol, an address"),
        )
}

async fn to_finish(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let one = find(&state, id).await?;
    signed_in.may(&Act::FinishAction { owner: one.action.owner })?;
    let today = Sent::with([("done_on", state.today().to_string())]);
    state.page(&finish_form(&signed_in.0, &one, &today, Faults::default()))
}

async fn finish(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let one = find(&state, id).await?;
    signed_in.may(&Act::FinishAction { owner: one.action.owner })?;
    let mut reading = Reading::of(&sent);
    let done = Done { on: reading.needed_day("done_on"), evidence: reading.text("evidence") };
    let finished = match reading.end(Some(done)) {
        Ok(done) => kept(state.store().finish_action(&signed_in.0, state.now(), id, &done).await)?,
        Err(faults) => Err(faults),
    };
    match finished {
        Ok(()) => Ok(back(&one.action.change_no)),
        Err(faults) => finish_form(&signed_in.0, &one, &sent, faults).refuse(&state),
    }
}

fn assign_form(
    actor: &Actor,
    (one, shown): &(KeptAction, i64),
    owners: &[User],
    sent: &Sent,
    faults: Faults,
) -> FormPage {
    form(actor, one, "Give it to somebody", (&format!("assign?shown={shown}"), "Keep it"), faults)
        .select(owner_select(owners, sent.get("owner")))
        .ask(Ask::of_kind("date", "due", "Due", sent.get("due")).hint("May be left open"))
}

async fn find_to_assign(state: &AppState, id: i64) -> Result<(KeptAction, i64), AppError> {
    state.store().find_action_to_assign(id).await?.ok_or_else(none)
}

async fn to_assign(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::PlanActions)?;
    let one = find_to_assign(&state, id).await?;
    let Action { owner, due, .. } = &one.0.action;
    let now = Sent::with([
        ("owner", owner.map(|id| id.to_string()).unwrap_or_default()),
        ("due", due.map(|day| day.to_string()).unwrap_or_default()),
    ]);
    state.page(&assign_form(&signed_in.0, &one, &owners(&state).await?, &now, Faults::default()))
}

async fn assign(
    State(state): State<AppState>,
    signed_in: SignedIn,
    (Path(id), Query(seen)): (Path<i64>, Query<Seen>),
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::PlanActions)?;
    let ((one, _), owners) = (find_to_assign(&state, id).await?, owners(&state).await?);
    let mut reading = Reading::of(&sent);
    let given = (owner_of(&mut reading, &owners), reading.day("due"));
    let assigned = match reading.end(Some(given)) {
        Ok(given) => {
            let of = (id, Some(seen.shown));
            match state.store().assign_action(&signed_in.0, state.now(), of, given).await {
                Err(StoreError::Overtaken { .. }) => {
                    // What is told is all that the next try counts as seen.
                    let one = find_to_assign(&state, id).await?;
                    let since = state.store().action_assigned_since(id, seen.shown).await?;
                    let faults = meanwhile::told(&since, &owners);
                    let page = state.page(&assign_form(&signed_in.0, &one, &owners, &sent, faults))?;
                    return Ok((StatusCode::CONFLICT, page).into_response());
                }
                other => kept(other)?,
            }
        }
        Err(faults) => Err(faults),
    };
    match assigned {
        Ok(()) => Ok(back(&one.action.change_no)),
        // What was shown stays what it was: nobody was told of what came since.
        Err(faults) => assign_form(&signed_in.0, &(one, seen.shown), &owners, &sent, faults).refuse(&state),
    }
}
