//! What each role finds on its desk, and in which order.

use axum::http::StatusCode;
use domain::permission::{Actor, Role};

use super::DeskPage;
use crate::state::AppState;
use crate::templates::Page as _;
use crate::testing::books::signed_in;
use crate::testing::{get, post, service, small_books, state, text};

async fn desk(state: &AppState, name: &str, role: Role, unit: Option<&str>) -> String {
    let service = service(state);
    let sid = signed_in(state, &service, name, role, unit).await;
    text(get(&service, "/", &sid).await).await
}

#[test]
fn harm_comes_first_and_then_the_oldest_wait() {
    let page = DeskPage::samples().pop().unwrap();
    let waits: Vec<&str> = page.waiting.iter().map(|row| row.wait.as_str()).collect();
    assert_eq!(waits, ["1 day", "5 days", "9 days", "2 days"]);
}

#[tokio::test]
async fn each_role_finds_what_waits_for_it_with_a_link() {
    let state = state().await;
    small_books::bring_in(&state).await;
    small_books::send_again(&state, "R-2").await;
    state.store().ask(&Actor::Program, state.now(), "N-R-2", "Which side?").await.unwrap();
    let engineer = desk(&state, "fell", Role::Engineer, None).await;
    assert!(engineer.contains("new rows by the program") && engineer.contains("Sort 1 report"), "{engineer}");
    assert!(!engineer.contains("Take up"), "a change that is cut in has it in hand: {engineer}");
    let board = desk(&state, "skerry", Role::Board, None).await;
    assert!(board.contains("Nothing waits for your decision") && !board.contains("Take up"), "{board}");
    let unit = desk(&state, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    assert!(unit.contains("Reports of COVE-2") && unit.contains(r#"href="/reports/R-3""#), "{unit}");
    assert!(unit.contains(r#"href="/reports/N-R-2">Answer a question about report N-R-2"#), "{unit}");
    assert!(!unit.contains("recurrence"), "{unit}");
    let administrator = desk(&state, "holm", Role::Administrator, None).await;
    for words in ["4 people may sign in", "Books that came in last", r#"href="/journal""#] {
        assert!(administrator.contains(words), "{words}: {administrator}");
    }
}

#[tokio::test]
async fn an_order_to_a_unit_stands_first_on_its_desk_until_it_is_replied_to() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let keeper = signed_in(&state, &service, "holm", Role::UnitReporter, Some("STORE")).await;
    let desk = async |sid: &str| text(get(&service, "/", sid).await).await;
    assert!(desk(&tarn).await.contains("Nothing waits for you"));
    let order = "kind=stop+use&part_no=RC-100&lots=TB-0418&from=2026-03-01&words=Hand+it+in.&authority=Chief";
    assert_eq!(post(&service, "/instructions/new", &fell, order).await.status(), StatusCode::SEE_OTHER);
    let page = desk(&tarn).await;
    assert!(
        page.contains(r#"<p class="caution harm"><b>Stop using it</b> Rescue carrier, RC-100, lot TB-0418"#),
        "{page}"
    );
    let reply = "/unit/instructions/I-2026-001";
    assert!(page.contains(&format!(r#"href="{reply}""#)) && !page.contains("Nothing waits"), "{page}");
    // The books don't say what the store holds, so it is told everything.
    assert!(desk(&keeper).await.contains("Stop using it"));
    assert!(!desk(&fell).await.contains("Stop using it"), "an engineer holds none of it");
    let said = post(&service, reply, &tarn, "lot-0=TB-0418&held-0=300&checked-0=300").await;
    assert_eq!(said.status(), StatusCode::SEE_OTHER);
    assert!(desk(&tarn).await.contains("Nothing waits for you"));
    assert!(text(get(&service, "/unit", &tarn).await).await.contains("Stop using it"), "it still holds");
}

#[tokio::test]
async fn an_answer_that_came_is_said_to_whoever_sorts() {
    let state = state().await;
    small_books::bring_in(&state).await;
    for report_ref in ["R-1", "R-2", "R-3"] {
        small_books::send_again(&state, report_ref).await;
    }
    let store = state.store();
    for report_ref in ["N-R-1", "N-R-2"] {
        let id = store.ask(&Actor::Program, state.now(), report_ref, "Which side?").await.unwrap();
        store.answer_question(&Actor::Program, state.now(), id, "The left.").await.unwrap();
    }
    let engineer = desk(&state, "fell", Role::Engineer, None).await;
    assert!(engineer.contains("Sort report N-R-1 from COVE-2: an answer came"), "{engineer}");
    assert!(engineer.contains("An answer came to N-R-2. Nobody was"), "{engineer}");
    let unit = desk(&state, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    assert_eq!(unit.matches("(your answer came)").count(), 2, "{unit}");
}

#[tokio::test]
async fn the_queue_is_one_line_and_each_report_with_harm_its_own() {
    let state = state().await;
    small_books::bring_in(&state).await;
    for report_ref in ["R-1", "R-2", "R-3"] {
        small_books::send_again(&state, report_ref).await;
    }
    let desk = desk(&state, "fell", Role::Engineer, None).await;
    assert!(desk.contains("Sort report N-R-1 from COVE-2") && desk.contains("Sort 2 reports"), "{desk}");
    assert!(desk.find("Sort report N-R-1") < desk.find("Sort 2 reports"));
}
