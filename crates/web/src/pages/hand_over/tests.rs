//! A hand-over on the pages: who may, to whom, and the list that is left to sign.

use axum::http::StatusCode;
use domain::permission::Role;
use store::RecurrenceEdit;

use crate::testing::{cookie, get, person, post, service, small_books, state, text};

#[tokio::test]
async fn an_engineer_passes_on_what_is_open_and_a_list_to_sign_is_left() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let from = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let to = person(&state, "bight", Role::Engineer, "seven dry karabiners").await;
    let chair = person(&state, "skerry", Role::Board, "seven dry karabiners").await;
    let service = service(&state);
    let mut sids = Vec::new();
    for name in ["fell", "bight", "skerry"] {
        let form = format!("name={name}&password=seven+dry+karabiners");
        sids.push(cookie(&post(&service, "/sign-in", "", &form).await));
    }
    let page = format!("/people/{from}/hand-over");
    for sid in &sids[1..] {
        assert_eq!(get(&service, &page, sid).await.status(), StatusCode::FORBIDDEN);
    }
    let nothing = post(&service, &page, &sids[0], &format!("to={to}")).await;
    assert_eq!(nothing.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let actor = state.store().find_user(from).await.unwrap().unwrap().actor();
    let key = ("RC-131", "ZIP-1");
    state.store().decide_recurrence(&actor, state.now(), key, &RecurrenceEdit::TakeUp).await.unwrap();
    assert!(text(get(&service, &page, &sids[0]).await).await.contains("/recurrences/RC-131/ZIP-1"));
    for wrong in [format!("to={chair}"), format!("to={from}"), "to=".to_owned()] {
        assert_eq!(post(&service, &page, &sids[0], &wrong).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    }
    let passed = post(&service, &page, &sids[0], &format!("to={to}&note=On+leave")).await;
    assert_eq!(passed.status(), StatusCode::SEE_OTHER);
    let list = passed.headers()["location"].to_str().unwrap().to_owned();
    for sid in &sids[..2] {
        let page = text(get(&service, &list, sid).await).await;
        assert!(page.contains("FELL") && page.contains("BIGHT") && page.contains("On leave"), "{page}");
    }
    assert_eq!(get(&service, &list, &sids[2]).await.status(), StatusCode::FORBIDDEN);
    let kept = state.store().find_recurrence(key.0, key.1).await.unwrap().unwrap();
    assert_eq!(kept.owner.as_deref(), Some("BIGHT"));
}
