//! `/on-call`: who is mailed at once when a report of danger arrives.

use axum::Router;
use axum::extract::{Form, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::mail_address::MailAddress;
use domain::permission::{Act, Actor, Refusal};
use domain::words::Problem;

use crate::error::AppError;
use crate::pages::records::{FormPage, Sent};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Faults, Place, Shell};

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/on-call", get(show).post(set))
}

fn engineer(signed_in: &SignedIn) -> Result<i64, AppError> {
    signed_in.may(&Act::Sort)?;
    match &signed_in.0 {
        Actor::Person { id, .. } => Ok(*id),
        _ => Err(Refusal::SignInFirst.into()),
    }
}

async fn form(state: &AppState, actor: &Actor, sent: &Sent, faults: Faults) -> Result<FormPage, AppError> {
    let mut names = Vec::new();
    for (id, _) in state.store().on_call().await? {
        names.extend(state.store().find_user(id).await?.map(|user| user.full_name));
    }
    let now = match names.as_slice() {
        [] => "Nobody is on call: a report of danger waits until somebody looks at the queue.".to_owned(),
        names => format!("On call now: {}.", names.join(", ")),
    };
    let shell = Shell::inside("On call", actor, Place::Sorting);
    Ok(FormPage::new(shell, "On call", ("/on-call".into(), "Keep"), faults)
        .about("The queue", "/sorting")
        .says(format!(
            "Who is on call is mailed at once when a report comes in with somebody hurt, a near miss or a failed release. \
             {now}"
        ))
        .ask(
            Ask::of_kind("email", "address", "I am on call, mail me at", sent.get("address"))
                .hint("Clear the field to be on call no more"),
        ))
}

async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    let id = engineer(&signed_in)?;
    let own = state.store().on_call().await?.into_iter().find(|(person, _)| *person == id);
    let sent = Sent::with([("address", own.map(|(_, address)| address).unwrap_or_default())]);
    state.page(&form(&state, &signed_in.0, &sent, Faults::default()).await?)
}

async fn set(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    let id = engineer(&signed_in)?;
    let address = match sent.get("address") {
        "" => None,
        typed => match MailAddress::parse(typed) {
            Ok(address) => Some(address),
            Err(why) => {
                let faults = Problem::new("address", why.to_string()).into();
                return form(&state, &signed_in.0, &sent, faults).await?.refuse(&state);
            }
        },
    };
    state.store().set_on_call(&signed_in.0, state.now(), id, address.as_ref()).await?;
    Ok(Redirect::to("/on-call").into_response())
}
