//! A change approved on a condition: what is to be done is seen, done and refused on the pages.

use axum::http::StatusCode;
use domain::change_record::Disposition;
use domain::class::Class;
use domain::permission::Role;
use store::{NewChange, NewDecision};

use crate::state::AppState;
use crate::testing::{cookie, get, person, post, service, small_books, state, text};

const PASSWORD: &str = "seven dry karabiners";

/// A change of the fastener that the board approved on a condition.
async fn approved(state: &AppState) -> String {
    small_books::bring_in(state).await;
    let engineer = person(state, "fell", Role::Engineer, PASSWORD).await;
    let chair = person(state, "skerry", Role::Board, PASSWORD).await;
    let actor = async |id| state.store().find_user(id).await.unwrap().unwrap().actor();
    let new = NewChange {
        title: "Wider slide fastener".into(),
        part_no: "RC-131".into(),
        from_revision: "A".into(),
        to_revision: "C".into(),
        modes: vec!["ZIP-1".into()],
        recurrence: None,
        problem: "It splits.".into(),
    };
    let (engineer, chair, now) = (actor(engineer).await, actor(chair).await, state.now());
    let no = state.store().draft_change(&engineer, now, &new).await.unwrap();
    state.store().submit_change(&engineer, now, &no, 1, Class::One, None).await.unwrap();
    let decision = NewDecision {
        disposition: Disposition::ApproveWithConditions,
        reason: "Enough is shown.".into(),
        conditions: Some("Fit check in <XS>".into()),
        signature: "SKERRY".into(),
    };
    let basis = store::Basis {
        shown: store::Shown { version: 2, evidence: None },
        evidence: store::NewEvidence { occasion: "approve".into(), document: "{}".into() },
        plan: domain::proof_plan::ProofPlan::default(),
        planned: None,
    };
    state.store().decide_change(&chair, now, &no, &decision, &basis).await.unwrap();
    no
}

async fn signed_in(service: &axum::Router, name: &str) -> String {
    let form = format!("name={name}&password=seven+dry+karabiners");
    cookie(&post(service, "/sign-in", "", &form).await)
}

#[tokio::test]
async fn a_condition_bars_the_cut_in_waits_on_the_desk_and_is_met_with_its_evidence() {
    let state = state().await;
    let no = approved(&state).await;
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;
    let page = text(get(&service, &format!("/changes/{no}"), &sid).await).await;
    assert!(page.contains("Fit check in &lt;XS&gt;") && page.contains("condition of approval"), "{page}");
    let cut_in = text(get(&service, &format!("/changes/{no}/cut-in"), &sid).await).await;
    assert!(
        cut_in.contains("Not before these conditions are met") && !cut_in.contains("<form class=\"form\""),
        "{cut_in}"
    );
    let forced = post(&service, &format!("/changes/{no}/cut-in"), &sid, "lot=TB-0501&day=2026-03-01").await;
    assert_eq!(forced.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let desk = text(get(&service, "/", &sid).await).await;
    let id = state.store().list_actions(Some(&no)).await.unwrap()[0].id;
    assert!(desk.contains(&format!("/actions/{id}/done")), "{desk}");

    let bare = post(&service, &format!("/actions/{id}/done"), &sid, "done_on=2026-03-03&evidence=+").await;
    assert_eq!(bare.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(bare).await.contains("Expected what shows that it was done."));
    let done =
        post(&service, &format!("/actions/{id}/done"), &sid, "done_on=2026-03-03&evidence=protocol+12").await;
    assert_eq!(done.status(), StatusCode::SEE_OTHER);
    let page = text(get(&service, &format!("/changes/{no}"), &sid).await).await;
    assert!(page.contains("protocol 12"), "{page}");
    assert!(
        !text(get(&service, &format!("/changes/{no}/cut-in"), &sid).await).await.contains("Not before these")
    );
}

#[tokio::test]
async fn an_action_is_added_and_given_to_somebody_by_the_engineer_alone_and_lateness_is_said() {
    let state = state().await;
    let no = approved(&state).await;
    let service = service(&state);
    let (sid, board) = (signed_in(&service, "fell").await, signed_in(&service, "skerry").await);
    let chair = state.store().find_user_named("skerry").await.unwrap().unwrap().id;
    let form = format!("kind=drawing&what=Release+drawing+7&owner={chair}&due=2026-02-20");
    let at = format!("/changes/{no}/actions/new");
    assert_eq!(post(&service, &at, &board, &form).await.status(), StatusCode::FORBIDDEN);
    let wrong = post(&service, &at, &sid, "kind=condition+of+approval&what=&owner=99&due=soon").await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(wrong).await;
    for says in
        ["Choose one of these.", "Write the day, such as 2026-03-01.", "Conditions come with the decision"]
    {
        assert!(page.contains(says), "{says}: {page}");
    }
    assert_eq!(post(&service, &at, &sid, &form).await.status(), StatusCode::SEE_OTHER);
    let page = text(get(&service, &format!("/changes/{no}"), &sid).await).await;
    assert!(page.contains("Release drawing 7") && page.contains("overdue by 11 days"), "{page}");
    assert!(
        text(get(&service, "/", &board).await).await.contains("Overdue by 11 days: it was due 20 Feb 2026.")
    );
    let actions = state.store().list_actions(Some(&no)).await.unwrap();
    let (condition, drawing) = (actions[0].id, actions[1].id);
    let finish = "done_on=2026-03-03&evidence=DR-7";
    assert_eq!(
        post(&service, &format!("/actions/{condition}/done"), &board, finish).await.status(),
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        post(&service, &format!("/actions/{drawing}/done"), &board, finish).await.status(),
        StatusCode::SEE_OTHER
    );
    let late = post(&service, &format!("/actions/{drawing}/assign"), &sid, "owner=&due=").await;
    assert_eq!(late.status(), StatusCode::UNPROCESSABLE_ENTITY, "what is done is not given away");
}

#[tokio::test]
async fn what_was_accomplished_stands_beside_what_was_approved_and_names_lots_of_the_books() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, PASSWORD).await;
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;
    let wrong =
        post(&service, "/changes/CH-1/accomplished", &sid, "maker=Harbour+Loft&from_lot=TB-9&share=40").await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(wrong).await.contains("Harbour Loft has no lot TB-9 in the books."));
    let form = "maker=Harbour+Loft&from_lot=TB-0501&to_lot=TB-0501&share=40";
    assert_eq!(
        post(&service, "/changes/CH-1/accomplished", &sid, form).await.status(),
        StatusCode::SEE_OTHER
    );
    let page = text(get(&service, "/changes/CH-1", &sid).await).await;
    assert!(page.contains("As accomplished") && page.contains("40\u{a0}% new, 60\u{a0}% old"), "{page}");
}

#[tokio::test]
async fn who_gives_an_action_that_was_given_meanwhile_reads_by_whom_and_overwrites_nothing() {
    let state = state().await;
    let no = approved(&state).await;
    person(&state, "bight", Role::Engineer, PASSWORD).await;
    let service = service(&state);
    let (fell, bight) = (signed_in(&service, "fell").await, signed_in(&service, "bight").await);
    let id = state.store().list_actions(Some(&no)).await.unwrap()[0].id;
    let number = async |name: &str| state.store().find_user_named(name).await.unwrap().unwrap().id;
    let (to_bight, to_chair) = (number("bight").await, number("skerry").await);
    let sent_to = |page: &str| {
        let action = page.split(r#"action="/actions/"#).nth(1).and_then(|rest| rest.split('"').next());
        format!("/actions/{}", action.unwrap_or_default().replace("&#x3D;", "="))
    };
    let at = format!("/actions/{id}/assign");
    let first = sent_to(&text(get(&service, &at, &fell).await).await);
    let second = sent_to(&text(get(&service, &at, &bight).await).await);
    assert_eq!(first, second);
    let mine = format!("owner={to_bight}&due=2026-04-01");
    for what in ["given", "two clicks on one button"] {
        assert_eq!(post(&service, &second, &bight, &mine).await.status(), StatusCode::SEE_OTHER, "{what}");
    }
    let other = format!("owner={to_chair}&due=2026-05-01");
    let late = post(&service, &first, &fell, &other).await;
    assert_eq!(late.status(), StatusCode::CONFLICT);
    let page = text(late).await;
    assert!(
        page.contains("BIGHT gave this action to BIGHT, due 1 Apr 2026, on 3 Mar 2026, 12:00 UTC."),
        "{page}"
    );
    assert!(page.contains(r#"value="2026-05-01""#), "what was typed is kept: {page}");
    let kept = async || state.store().find_action(id).await.unwrap().unwrap().action;
    assert_eq!(kept().await.owner, Some(to_bight));
    assert_eq!(post(&service, &sent_to(&page), &fell, &other).await.status(), StatusCode::SEE_OTHER);
    assert_eq!(kept().await.owner, Some(to_chair));
}

#[tokio::test]
async fn an_action_that_is_sent_twice_is_one_and_so_is_a_line_that_was_accomplished() {
    let state = state().await;
    let no = approved(&state).await;
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;
    let form = "kind=drawing&what=Release+drawing+7&owner=&due=";
    for _ in 0..2 {
        let added = post(&service, &format!("/changes/{no}/actions/new"), &sid, form).await;
        assert_eq!(added.status(), StatusCode::SEE_OTHER);
    }
    assert_eq!(
        state.store().list_actions(Some(&no)).await.unwrap().len(),
        2,
        "the condition and the drawing"
    );
    let line = "maker=Harbour+Loft&from_lot=TB-0501&to_lot=TB-0501&share=40";
    let to = "/changes/CH-1/accomplished";
    assert_eq!(post(&service, to, &sid, line).await.status(), StatusCode::SEE_OTHER);
    let again = post(&service, to, &sid, line).await;
    assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(again).await.contains("This very line is on record already"));
}
