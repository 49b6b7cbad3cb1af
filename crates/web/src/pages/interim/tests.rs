//! An instruction from its form to the lot, the unit and the receipt that it bears on, and its end.

use axum::http::StatusCode;
use domain::permission::{Actor, Role};
use store::NewUnitLink;

use crate::pages::follow::FollowPage;
use crate::testing::{cookie, get, person, post, service, small_books, state, text};
use crate::tongue::Tongue;

const STOP: &str =
    "kind=stop+use&part_no=RC-100&lots=TB-0418&from=2026-03-01&words=Hand+it+in+%3Ctoday%3E.&authority=Chief";

async fn signed_in(service: &axum::Router, name: &str) -> String {
    let form = format!("name={name}&password=seven+dry+karabiners");
    cookie(&post(service, "/sign-in", "", &form).await)
}

#[tokio::test]
async fn a_stop_use_order_is_said_where_its_lot_is_and_nowhere_else_until_it_is_withdrawn() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let token = state.secrets().token();
    let link = NewUnitLink { unit: "COVE-2".into(), token_hash: token.digest(), label: "tent".into() };
    state.store().add_unit_link(&Actor::Program, state.now(), &link).await.unwrap();
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;

    let given = post(&service, "/instructions/new", &sid, STOP).await;
    assert_eq!(given.headers()["location"], "/instructions/I-2026-001");
    assert!(text(get(&service, "/instructions", &sid).await).await.contains("RC-100, lot TB-0418"));
    let says = "Hand it in &lt;today&gt;.";
    let lot = text(get(&service, "/lots/TB-0418", &sid).await).await;
    assert!(lot.contains(says) && lot.contains("Stop using it</b>: RC-100, lot TB-0418 ("), "{lot}");
    assert!(!text(get(&service, "/lots/TB-0501", &sid).await).await.contains(says));
    let own = text(get(&service, &format!("/unit/{}", token.as_str()), "").await).await;
    assert!(
        own.contains("Stop using it")
            && own.contains("Rescue carrier, RC-100, lot TB-0418")
            && own.contains(says),
        "{own}"
    );
    let receipt = async || {
        let file = state.store().find_report_file("R-1").await.unwrap().unwrap();
        let page = FollowPage::new(&state, Tongue::ENGLISH, &file, "/follow/x", false).await.unwrap();
        state.templates().render(&page).unwrap()
    };
    assert!(receipt().await.contains(says));

    assert_eq!(
        post(&service, "/instructions/I-2026-001/withdraw", &sid, "why=").await.status(),
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let withdrawn = post(&service, "/instructions/I-2026-001/withdraw", &sid, "why=Replaced").await;
    assert_eq!(withdrawn.status(), StatusCode::SEE_OTHER);
    assert!(!receipt().await.contains(says));
    assert!(!text(get(&service, "/lots/TB-0418", &sid).await).await.contains(says));
    assert!(
        text(get(&service, "/instructions/I-2026-001", &sid).await).await.contains("3 Mar 2026: Replaced")
    );
}

#[tokio::test]
async fn what_the_books_do_not_have_is_refused_beside_its_field_and_kept() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    person(&state, "skerry", Role::Board, "seven dry karabiners").await;
    let service = service(&state);
    let (sid, board) = (signed_in(&service, "fell").await, signed_in(&service, "skerry").await);
    assert_eq!(post(&service, "/instructions/new", &board, STOP).await.status(), StatusCode::FORBIDDEN);
    let wrong = post(&service, "/instructions/new", &sid, &STOP.replace("TB-0418", "TB-9")).await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(wrong).await;
    assert!(
        page.contains("No lot in the books has the number TB-9.")
            && page.contains("Hand it in &lt;today&gt;.")
    );
    let no_change = post(&service, "/instructions/new", &sid, &format!("{STOP}&change_no=2026-999")).await;
    assert_eq!(no_change.status(), StatusCode::NOT_FOUND);
    assert!(state.store().list_instructions().await.unwrap().is_empty());
}

#[tokio::test]
async fn the_class_of_a_variance_follows_from_what_it_touches() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;
    let form = "part_no=RC-100&departure=Softer+tube&touches=weight&touches=safety&from=2026-03-01&reason=Late&approved_by=Chief";
    let endless = post(&service, "/variances/new", &sid, form).await;
    assert_eq!(endless.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(endless).await.contains("no variance is for ever"));
    let given = post(&service, "/variances/new", &sid, &format!("{form}&quantity=40")).await;
    assert_eq!(given.headers()["location"], "/variances/V-2026-001");
    let page = text(get(&service, "/variances/V-2026-001", &sid).await).await;
    assert!(page.contains("Critical variance") && page.contains("This departure touches safety."), "{page}");
    assert!(text(get(&service, "/lots/TB-0418", &sid).await).await.contains("Softer tube"));
}

#[tokio::test]
async fn a_recurrence_says_of_which_item_and_lot_an_order_tied_to_it_is() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let service = service(&state);
    let sid = signed_in(&service, "fell").await;
    let tied = format!("{STOP}&maker=Harbour+Loft&recurrence=RC-131+ZIP-1");
    assert_eq!(post(&service, "/instructions/new", &sid, &tied).await.status(), StatusCode::SEE_OTHER);
    let page = text(get(&service, "/recurrences/RC-131/ZIP-1", &sid).await).await;
    assert!(page.contains("Stop using it</b>: RC-100 by Harbour Loft, lot TB-0418 ("), "{page}");
}
