//! What each role finds on its desk, and in which order.

use axum::http::StatusCode;
use chrono::TimeDelta;
use domain::handling::Sorting;
use domain::lot::Lot;
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
fn the_worst_harm_comes_first_and_then_the_oldest_wait() {
    let page = DeskPage::samples().pop().unwrap();
    let said = |row: &super::Row| format!("{} {}", row.harm.unwrap_or("none"), row.wait);
    let waits: Vec<String> = page.waiting.iter().map(said).collect();
    assert_eq!(
        waits,
        [
            "injury 4 days",
            "injury 1 day",
            "injury 5 days",
            "near miss 3 days",
            "near miss 6 weeks",
            "failed release 8 days",
            "none 9 days",
            "none 2 days"
        ]
    );
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
async fn a_question_about_a_sorted_report_reaches_its_unit_and_the_answer_whoever_sorts() {
    let state = state().await;
    small_books::bring_in(&state).await;
    small_books::send_again(&state, "R-1").await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let desk = async |sid: &str| text(get(&service, "/", sid).await).await;
    let (store, by) = (state.store(), &Actor::Program);
    let after = |minutes| state.now() + TimeDelta::minutes(minutes);
    let sorting = Sorting {
        part_no: "RC-131".into(),
        mode: "ZIP-1".into(),
        lot_no: None,
        relevant: true,
        relevant_reason: None,
        chargeable: true,
        chargeable_reason: None,
        cause: None,
    };
    store.sort_report(by, after(1), ("N-R-1", None), &sorting).await.unwrap();
    let id = store.ask(by, after(2), "N-R-1", "Which <side>?").await.unwrap();
    let page = desk(&tarn).await;
    assert!(page.contains(r#"href="/reports/N-R-1">Answer a question about report N-R-1"#), "{page}");
    assert!(page.contains("Which &lt;side&gt;?") && page.contains("(looked at)"), "{page}");
    assert!(!desk(&fell).await.contains("N-R-1"), "the unit has it");

    store.answer_question(by, after(3), id, "The left.").await.unwrap();
    let page = desk(&tarn).await;
    assert!(!page.contains("Answer a question") && page.contains("(your answer came)"), "{page}");
    let page = desk(&fell).await;
    assert!(page.contains(r#"<a href="/sorting/N-R-1">Read what COVE-2 answered about report"#), "{page}");
    assert!(page.contains(r#"N-R-1</a> <span class="harm-word">near miss</span>"#), "{page}");
    assert!(page.contains("It was sorted before the answer came"), "{page}");

    store.sort_report(by, after(4), ("N-R-1", None), &sorting).await.unwrap();
    assert!(!desk(&fell).await.contains("N-R-1"), "it was acted on");
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

#[tokio::test]
async fn books_with_a_row_that_cant_be_placed_stay_readable_and_the_row_is_told() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let told = "Left out of all figures: 1 row of movements.csv. The first is row 1; lot_no:";
    assert!(!text(get(&service, "/", &fell).await).await.contains(told));
    // A second maker's lot of a number that a movement names alone, as one from before packs were held against that.
    let lots = state.store().lots_numbered("TB-0418").await.unwrap();
    let lot = Lot { maker: Some("Brant".into()), ..lots[0].clone() };
    let mut import = state.store().begin_import(&Actor::Program, state.now(), &[]).await.unwrap();
    import.add_lots(&[lot]).await.unwrap();
    import.publish(state.now(), &[]).await.unwrap();
    for address in ["/", "/recurrences"] {
        let page = get(&service, address, &fell).await;
        assert_eq!(page.status(), StatusCode::OK, "{address}");
        let page = text(page).await;
        assert!(page.contains(told), "{address}: {page}");
    }
    for address in ["/status", "/lots", "/changes/CH-1", "/recurrences/RC-131/ZIP-1"] {
        assert_eq!(get(&service, address, &fell).await.status(), StatusCode::OK, "{address}");
    }
}
