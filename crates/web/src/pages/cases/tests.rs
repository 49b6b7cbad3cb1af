//! A lot put on hold and the case with its maker, from the page of the lot to the settlement.

use axum::http::StatusCode;
use domain::permission::Role;

use crate::testing::{cookie, get, person, post, service, small_books, state, text};

#[tokio::test]
async fn a_lot_is_held_and_the_case_with_its_maker_goes_to_its_settlement() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);

    let held = "condition=on+hold&scope=whole&on=2026-03-03&authority=Chief&reason=Tubes";
    assert_eq!(post(&service, "/lots/TB-0418/condition", &sid, held).await.status(), StatusCode::SEE_OTHER);
    let no_unit = held.replace("scope=whole", "scope=unit&unit=NOWHERE");
    let wrong = post(&service, "/lots/TB-0418/condition", &sid, &no_unit).await;
    assert!(text(wrong).await.contains("No unit in the books has this code."));
    let page = text(get(&service, "/lots/TB-0418", &sid).await).await;
    assert!(
        page.contains("On hold")
            && page.contains("/cases/new?lot&#x3D;TB-0418&amp;maker&#x3D;Harbour%20Loft"),
        "{page}"
    );
    assert!(text(get(&service, "/lots", &sid).await).await.contains("<b>on hold</b>"));

    let opened = "lot_no=TB-0418&maker=Harbour+Loft&about=Tube+seams&notice_on=2026-02-01&reply_due=2026-03-01&sample_maker=5&sample_ours=4&sample_referee=3";
    let wrong = post(&service, "/cases/new", &sid, &opened.replace("Harbour", "Fjord")).await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(wrong).await.contains("No lot of this maker in the books has this number."));
    let case = post(&service, "/cases/new", &sid, opened).await;
    assert_eq!(case.headers()["location"], "/cases/M-2026-001");
    assert!(text(get(&service, "/cases", &sid).await).await.contains("The reply is overdue by 2 days"));
    assert!(
        text(get(&service, "/lots/TB-0418", &sid).await).await.contains("the reply is overdue by 2 days")
    );

    let settled =
        format!("{opened}&replied_on=2026-03-02&reply=Ours+hold&settled_on=2026-03-03&settlement=Replaced");
    let early = post(&service, "/cases/M-2026-001/edit", &sid, &settled).await;
    assert!(text(early).await.contains("Expected what it came to, before it is settled."));
    let done =
        post(&service, "/cases/M-2026-001/edit", &sid, &format!("{settled}&result=nonconforming")).await;
    assert_eq!(done.status(), StatusCode::SEE_OTHER);
    let page = text(get(&service, "/cases/M-2026-001", &sid).await).await;
    assert!(page.contains("3 Mar 2026: Replaced") && !page.contains("Write on"), "{page}");
    let again = post(&service, "/cases/M-2026-001/edit", &sid, &settled).await;
    assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY);
}
