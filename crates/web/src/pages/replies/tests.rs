//! A unit's reply from its page to the engineer's list and the books.

use axum::http::StatusCode;
use domain::permission::{Actor, Role};
use store::NewUnitLink;

use crate::testing::books::link;
use crate::testing::{cookie, get, person, post, service, small_books, state, text};

const LOOK: &str = "kind=inspect&part_no=RC-100&lots=TB-0418&from=2026-03-01&words=Look+at+the+seam.&authority=Chief\
     &recurrence=RC-131+ZIP-1";

#[tokio::test]
async fn a_unit_replies_lot_by_lot_and_its_counts_are_an_inspection() {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let token = state.secrets().token();
    let link = NewUnitLink { unit: "COVE-2".into(), token_hash: token.digest(), label: "tent".into() };
    state.store().add_unit_link(&Actor::Program, state.now(), &link).await.unwrap();
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let before = state.picture().await.unwrap().field.inspections.len();
    let given = post(&service, "/instructions/new", &sid, LOOK).await;
    assert_eq!(given.headers()["location"], "/instructions/I-2026-001");

    let own = format!("/unit/{}", token.as_str());
    let form = format!("{own}/instructions/I-2026-001");
    assert!(text(get(&service, &own, "").await).await.contains(&form));
    let page = text(get(&service, &form, "").await).await;
    assert!(
        page.contains("Look at the seam.") && page.contains("lot-0") && page.contains("TB-0418"),
        "{page}"
    );
    let list = async || text(get(&service, "/instructions/I-2026-001/replies", &sid).await).await;
    assert!(list().await.contains("not received"));
    assert_eq!(post(&service, &form, "", "").await.status(), StatusCode::SEE_OTHER);
    assert!(list().await.contains("received") && list().await.contains("0 of"));

    let off =
        post(&service, &form, "", "lot-0=TB-0418&held-0=14&checked-0=11&not_located-0=2&found-0=1").await;
    assert_eq!(off.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let off = text(off).await;
    assert!(off.contains("11 checked and 2 not located come to 13") && off.contains("value=\"14\""), "{off}");
    let sent =
        post(&service, &form, "", "lot-0=TB-0418&held-0=14&checked-0=12&not_located-0=2&found-0=1").await;
    assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    assert!(text(get(&service, &form, "").await).await.contains("14 held, 12 checked, 1 found"));
    // The unit holds this lot too, but isn't asked about it.
    let other = post(&service, &form, "", "lot-0=TB-0501&held-0=1000000&checked-0=1000000").await;
    assert_eq!(other.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(other).await.contains("asked about lot TB-0501"));
    let again = post(&service, &form, "", "lot-0=TB-0418&held-0=14&checked-0=14").await;
    assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(list().await.contains("complied"));
    assert_eq!(state.picture().await.unwrap().field.inspections.len(), before + 1);

    let other = state.secrets().token();
    let stranger = format!("/unit/{}/instructions/I-2026-001", other.as_str());
    assert_eq!(get(&service, &stranger, "").await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn an_order_on_a_part_names_the_items_that_hold_it_by_what_their_labels_say() {
    let state = state().await;
    small_books::bring_in(&state).await;
    small_books::bring_in_packs(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let secret = link(&state, "COVE-2").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let given = post(&service, "/instructions/new", &sid, small_books::STOP_FASTENER).await;
    assert_eq!(given.headers()["location"], "/instructions/I-2026-001");
    let own = text(get(&service, &format!("/unit/{secret}"), "").await).await;
    assert!(own.contains("<b>Stop using it</b> Load pack, LP-200, lot KL-7: Hand it in."), "{own}");
    let form = format!("/unit/{secret}/instructions/I-2026-001");
    let page = text(get(&service, &form, "").await).await;
    assert!(page.contains("to COVE-2: Front slide fastener, RC-131, lot SO-155, 1 Mar 2026"), "{page}");
    assert!(page.contains("you hold of it: Load pack, LP-200, lot KL-7."), "{page}");
}
