//! `/people/{id}/retire`: asks before somebody is retired, with what they have open; and takes whoever is retired back.

use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::handover::{HandoverItem, HandoverKind, by_kind};
use domain::permission::{Act, Actor};
use store::User;

use crate::error::AppError;
use crate::format;
use crate::pages::records::FormPage;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Faults, Place, Shell};

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new()
        .route("/people/{id}/retire", get(ask).post(retire))
        .route("/people/{id}/take-back", post(take_back))
}

/// Somebody other than the reader who is not retired.
pub(super) async fn active(state: &AppState, signed_in: &SignedIn, id: i64) -> Result<User, AppError> {
    if matches!(signed_in.0, Actor::Person { id: own, .. } if own == id) {
        let why = "Nobody retires themselves or changes what they are here for: ask another administrator.";
        return Err(AppError::Unusable(why.to_owned()));
    }
    let user = state.store().find_user(id).await?.filter(|user| user.retired_at.is_none());
    user.ok_or_else(|| AppError::NotFound("There is no such person who is not retired.".to_owned()))
}

/// How many of each kind of thing somebody has open; what they are mailed is not counted.
fn counted(open: &[HandoverItem]) -> String {
    let words = |(kind, own): (HandoverKind, Vec<&HandoverItem>)| {
        if kind.is_mail() {
            return kind.heading().to_owned();
        }
        format!("{}: {}", kind.heading(), format::count(own.len() as u64))
    };
    by_kind(open, |item| item.kind).into_iter().map(words).collect::<Vec<_>>().join(", ")
}

fn page(actor: &Actor, user: &User, open: &[HandoverItem], on_call: &[(i64, String)]) -> FormPage {
    let (id, name) = (user.id, &user.full_name);
    let shell = Shell::inside(format!("Retire {name}"), actor, Place::People);
    let action = (format!("/people/{id}/retire"), "Retire");
    let mut page = FormPage::new(shell, format!("Retire {name}?"), action, Faults::default()).says(format!(
        "{name} is signed out at once and can't sign in any more. What they did stays on record under their name."
    ));
    page = if open.is_empty() {
        page.about("Leave them as they are", "/people").says("Nothing of theirs is open.")
    } else {
        let counts = counted(open);
        page.about(format!("Hand over what {name} has open"), format!("/people/{id}/hand-over")).says(
            format!("Still open of theirs: {counts}. None of it passes on by itself: hand it over first."),
        )
    };
    if matches!(on_call, [(only, _)] if *only == id) {
        page = page.says(
            "They are the only one on call: from then on nobody is mailed when a report of danger comes in, until another \
             engineer goes on call.",
        );
    }
    page.says(
        "Whoever is retired by mistake is taken back on the page of people. Their password works again; a sign-in link made \
         before doesn't.",
    )
}

async fn ask(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let user = active(&state, &signed_in, id).await?;
    let open = state.store().open_of(id, state.today()).await?;
    let on_call = state.store().on_call().await?;
    state.page(&page(&signed_in.0, &user, &open, &on_call))
}

async fn retire(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    active(&state, &signed_in, id).await?;
    state.store().retire_user(&signed_in.0, state.now(), id).await?;
    Ok(Redirect::to("/people").into_response())
}

async fn take_back(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    state.store().take_back_user(&signed_in.0, state.now(), id).await?;
    Ok(Redirect::to("/people").into_response())
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::mail_address::MailAddress;
    use domain::permission::Role;
    use store::RecurrenceEdit;

    use super::*;
    use crate::testing::{cookie, get, person, post, service, small_books, state, text};

    async fn sign_in(service: &Router, name: &str) -> String {
        let form = format!("name={name}&password=seven+dry+karabiners");
        cookie(&post(service, "/sign-in", "", &form).await)
    }

    async fn go_on_call(state: &AppState, id: i64) {
        let address = MailAddress::parse("call@rescue.example").unwrap();
        state.store().set_on_call(&Actor::Program, state.now(), id, Some(&address)).await.unwrap();
    }

    #[tokio::test]
    async fn retiring_asks_first_with_what_is_open_and_whether_anybody_else_is_on_call() {
        let state = state().await;
        small_books::bring_in(&state).await;
        person(&state, "holm", Role::Administrator, "seven dry karabiners").await;
        let id = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
        let other = person(&state, "bight", Role::Engineer, "seven dry karabiners").await;
        let service = service(&state);
        let sid = sign_in(&service, "holm").await;
        let address = format!("/people/{id}/retire");
        let asked = async || text(get(&service, &address, &sid).await).await;
        let list = text(get(&service, "/people", &sid).await).await;
        assert!(list.contains(&format!(r#"<a href="{address}">Retire"#)), "{list}");
        assert!(!list.contains("formaction"), "no button of the list retires: {list}");
        let idle = asked().await;
        assert!(idle.contains("Retire FELL?") && idle.contains("Nothing of theirs is open."), "{idle}");
        assert!(!idle.contains("on call"), "{idle}");

        let fell = state.store().find_user(id).await.unwrap().unwrap().actor();
        let key = ("RC-131", "ZIP-1");
        state
            .store()
            .decide_recurrence(&fell, state.now(), (key, None), &RecurrenceEdit::TakeUp)
            .await
            .unwrap();
        go_on_call(&state, id).await;
        let alone = asked().await;
        assert!(alone.contains("Still open of theirs: Recurrences: 1, On call."), "{alone}");
        assert!(alone.contains(&format!(r#"href="/people/{id}/hand-over""#)), "{alone}");
        assert!(alone.contains("the only one on call"), "{alone}");
        go_on_call(&state, other).await;
        assert!(!asked().await.contains("the only one on call"));
        assert!(
            state.store().find_user(id).await.unwrap().unwrap().retired_at.is_none(),
            "asking retires nobody"
        );
    }

    #[tokio::test]
    async fn whoever_is_retired_by_mistake_is_taken_back_and_signs_in_again() {
        let state = state().await;
        person(&state, "holm", Role::Administrator, "seven dry karabiners").await;
        let id = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
        let service = service(&state);
        let sid = sign_in(&service, "holm").await;
        let (away, back) = (format!("/people/{id}/retire"), format!("/people/{id}/take-back"));
        let link = text(post(&service, &format!("/people/{id}/link"), &sid, "").await).await;
        let link = link.split("/sign-in/link/").nth(1).unwrap().split('<').next().unwrap().trim();

        assert_eq!(post(&service, &away, &sid, "").await.status(), StatusCode::SEE_OTHER);
        assert_eq!(get(&service, &away, &sid).await.status(), StatusCode::NOT_FOUND, "retired already");
        assert_eq!(post(&service, &away, &sid, "").await.status(), StatusCode::NOT_FOUND);
        assert_ne!(
            get(&service, "/on-call", &sign_in(&service, "fell").await).await.status(),
            StatusCode::OK
        );
        let list = text(get(&service, "/people", &sid).await).await;
        assert!(list.contains(&format!(r#"action="{back}""#)) && list.contains("Take back"), "{list}");

        assert_eq!(post(&service, &back, &sid, "").await.status(), StatusCode::SEE_OTHER);
        assert_eq!(
            get(&service, "/on-call", &sign_in(&service, "fell").await).await.status(),
            StatusCode::OK
        );
        let used = post(&service, &format!("/sign-in/link/{link}"), "", "").await;
        assert_eq!(used.status(), StatusCode::NOT_FOUND, "a link of before opens nothing");
        let list = text(get(&service, "/people", &sid).await).await;
        assert!(!list.contains("Take back") && list.contains(&away), "{list}");
        assert_eq!(post(&service, "/people/999/take-back", &sid, "").await.status(), StatusCode::NOT_FOUND);
    }
}
