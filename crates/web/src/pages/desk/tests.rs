//! What each role finds on its desk, and in which order.

use domain::permission::{Actor, Role};

use super::DeskPage;
use crate::state::AppState;
use crate::templates::Page as _;
use crate::testing::books::signed_in;
use crate::testing::{get, service, small_books, state, text};

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
