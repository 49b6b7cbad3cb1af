//! Giving an instruction, tried through the whole service.

use axum::http::StatusCode;
use domain::permission::Role;

use crate::testing::books::{bring_in, leads_to, signed_in};
use crate::testing::{post, service, state, text};

const STOP: &str =
    "kind=stop+use&part_no=RC-100&lots=TB-0418&from=2026-03-03&words=Hand+it+in.&authority=Chief";

#[tokio::test]
async fn an_order_as_long_as_a_book_is_not_given() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let long = STOP.replace("Hand+it+in.", &"x".repeat(4001));
    let refused = post(&service, "/instructions/new", &fell, &long).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(refused).await;
    assert!(page.contains("This is too long: use up to 4,000 letters."), "{page}");
    assert!(state.store().list_instructions().await.unwrap().is_empty());
}

#[tokio::test]
async fn two_clicks_give_one_order_and_mail_each_unit_once() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    for _click in 0..2 {
        let given = post(&service, "/instructions/new", &fell, STOP).await;
        assert_eq!(leads_to(&given), "/instructions/I-2026-001");
    }
    assert_eq!(state.store().list_instructions().await.unwrap().len(), 1);
    let mails = state.store().take_mail(state.now(), 9).await.unwrap();
    let to: Vec<_> = mails.iter().map(|one| one.mail.to.as_str()).collect();
    assert_eq!(to, ["cove@rescue.example"]);
    // Other words are another order.
    let other = post(&service, "/instructions/new", &fell, &STOP.replace("Hand+it+in.", "Tag+it.")).await;
    assert_eq!(leads_to(&other), "/instructions/I-2026-002");
}
