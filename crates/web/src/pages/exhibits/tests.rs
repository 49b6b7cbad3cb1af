//! An exhibit from its report to its release, through the whole service.

use axum::http::{StatusCode, header};
use domain::permission::Role;

use crate::testing::{cookie, get, person, post, service, small_books, state, text};

const PASSWORD: &str = "seven dry karabiners";

#[tokio::test]
async fn an_item_is_taken_in_found_on_the_desk_when_its_hold_ends_and_released_for_a_reason() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    person(&state, "fell", Role::Engineer, PASSWORD).await;
    person(&state, "skerry", Role::Board, PASSWORD).await;
    person(&state, "holm", Role::Administrator, PASSWORD).await;
    let sign_in = |name: &str| format!("name={name}&password=seven+dry+karabiners");
    let fell = cookie(&post(&service, "/sign-in", "", &sign_in("fell")).await);
    let skerry = cookie(&post(&service, "/sign-in", "", &sign_in("skerry")).await);

    let record = text(get(&service, "/reports/R-1", &fell).await).await;
    assert!(record.contains("/exhibits/new?report"), "{record}");
    assert!(!text(get(&service, "/reports/R-1", &skerry).await).await.contains("/exhibits/new"));
    let form = text(get(&service, "/exhibits/new?report=R-1", &fell).await).await;
    assert!(form.contains(r#"value="R-1""#) && form.contains("60 days"), "{form}");
    let bad =
        post(&service, "/exhibits/new", &fell, "report_ref=R-77&what=zip&place=shelf&received_on=2025-12-01")
            .await;
    assert_eq!(bad.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(bad).await.contains("There is no such report."));
    let early = "report_ref=R-1&what=zip&place=shelf&received_on=2025-02-28";
    let early = text(post(&service, "/exhibits/new", &fell, early).await).await;
    assert!(early.contains("before the failure was found, on 2025-03-01"), "{early}");
    let sent = "report_ref=R-1&what=front+zip&place=shelf+4&received_on=2025-12-01&hold_until=";
    assert_eq!(post(&service, "/exhibits/new", &skerry, sent).await.status(), StatusCode::FORBIDDEN);
    let taken = post(&service, "/exhibits/new", &fell, sent).await;
    assert_eq!(taken.headers()[header::LOCATION], "/exhibits/E-2026-001");

    let sheet = text(get(&service, "/exhibits/E-2026-001", &fell).await).await;
    for words in ["Its hold ended on 30 Jan 2026", "Since 1 Dec 2025: shelf 4", r#"href="/reports/R-1""#] {
        assert!(sheet.contains(words), "{words} is missing in {sheet}");
    }
    // Who may not read what units wrote has no link to it.
    let holm = cookie(&post(&service, "/sign-in", "", &sign_in("holm")).await);
    assert_eq!(get(&service, "/reports/R-1", &holm).await.status(), StatusCode::FORBIDDEN);
    let sheet = text(get(&service, "/exhibits/E-2026-001", &holm).await).await;
    assert!(sheet.contains("R-1") && !sheet.contains(r#"href="/reports/R-1""#), "{sheet}");
    let desk = text(get(&service, "/", &fell).await).await;
    assert!(desk.contains("Decide on exhibit E-2026-001"), "{desk}");
    assert!(!text(get(&service, "/", &skerry).await).await.contains("E-2026-001"));
    assert!(text(get(&service, "/exhibits", &skerry).await).await.contains("hold ended"));
    assert!(text(get(&service, "/reports/R-1", &fell).await).await.contains("E-2026-001"));
    let tag = text(get(&service, "/exhibits/E-2026-001/tag", &fell).await).await;
    assert!(tag.contains("do not throw away") && tag.contains("RC-100") && tag.contains("<svg"), "{tag}");

    let moved = post(&service, "/exhibits/E-2026-001/move", &fell, "place=bench&since=2026-02-01").await;
    assert_eq!(moved.status(), StatusCode::SEE_OTHER);
    let held = post(&service, "/exhibits/E-2026-001/hold", &fell, "hold_until=2026-05-01").await;
    assert_eq!(held.status(), StatusCode::SEE_OTHER);
    assert!(
        !text(get(&service, "/", &fell).await).await.contains("E-2026-001"),
        "nothing to decide any more"
    );
    let release = text(get(&service, "/exhibits/E-2026-001/release", &fell).await).await;
    assert!(release.contains("It is still needed: its recurrence is open."), "{release}");
    let refused =
        post(&service, "/exhibits/E-2026-001/release", &fell, "to=the+maker&on=2026-03-03&why=").await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(refused).await.contains("say why the exhibit is released all the same"));
    let gone =
        post(&service, "/exhibits/E-2026-001/release", &fell, "to=the+maker&on=2026-03-03&why=for+the+bench")
            .await;
    assert_eq!(gone.status(), StatusCode::SEE_OTHER);
    let sheet = text(get(&service, "/exhibits/E-2026-001", &fell).await).await;
    assert!(
        sheet.contains("Released to the maker on 3 Mar 2026.") && sheet.contains("for the bench"),
        "{sheet}"
    );
    assert!(!sheet.contains("/release"), "it goes once");
}
