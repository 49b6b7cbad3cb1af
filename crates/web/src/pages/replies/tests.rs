//! A unit's reply from its page to the engineer's list and the books.

use axum::Router;
use axum::http::StatusCode;
use domain::permission::{Actor, Role};
use store::NewUnitLink;

use crate::state::AppState;
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
    assert!(list().await.contains("complied"));
    assert_eq!(state.picture().await.unwrap().field.inspections.len(), before + 1);

    let other = state.secrets().token();
    let stranger = format!("/unit/{}/instructions/I-2026-001", other.as_str());
    assert_eq!(get(&service, &stranger, "").await.status(), StatusCode::NOT_FOUND);
}

/// COVE-2 is asked to look at what it has of a lot: the address of its form, and how many inspections the books had before.
async fn asked_to_look() -> (AppState, Router, String, usize) {
    let state = state().await;
    small_books::bring_in(&state).await;
    person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
    let secret = link(&state, "COVE-2").await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let before = state.picture().await.unwrap().field.inspections.len();
    post(&service, "/instructions/new", &sid, LOOK).await;
    let form = format!("/unit/{secret}/instructions/I-2026-001");
    (state, service, form, before)
}

/// How many were inspected and found in each inspection since.
async fn looked(state: &AppState, before: usize) -> Vec<(u32, u32)> {
    let picture = state.picture().await.unwrap();
    picture.field.inspections[before..].iter().map(|look| (look.inspected, look.found)).collect()
}

#[tokio::test]
async fn counts_sent_twice_are_one_reply_and_wrong_ones_are_mended_by_the_unit_itself() {
    const WRONG: &str = "lot-0=TB-0418&held-0=140&checked-0=140&not_located-0=0&found-0=1";
    const RIGHT: &str = "lot-0=TB-0418&held-0=14&checked-0=12&not_located-0=2&found-0=1";
    let (state, service, form, before) = asked_to_look().await;
    for _tap in 0..2 {
        let sent = post(&service, &form, "language=de", WRONG).await;
        assert_eq!(sent.headers()["location"], form.as_str());
    }
    let counted = async || looked(&state, before).await;
    assert_eq!(counted().await, [(140, 1)]);

    let page = text(get(&service, &form, "").await).await;
    let way = format!(r#"href="{form}?mend&#x3D;TB-0418""#);
    assert!(page.contains("140 held, 140 checked") && page.contains(&way), "{page}");
    assert!(!page.contains("held-0"), "nothing is asked a second time: {page}");
    let to_mend = text(get(&service, &format!("{form}?mend=TB-0418"), "").await).await;
    for kept in [
        r#"name="lot-0" value="TB-0418""#,
        r#"name="said-0" value="140 140 1 0 0""#,
        r#"value="140""#,
        "takes their place",
    ] {
        assert!(to_mend.contains(kept), "{kept}: {to_mend}");
    }
    let right = format!("{RIGHT}&said-0=140+140+1+0+0");
    let off = post(&service, &form, "language=de", &right.replace("checked-0=12", "checked-0=11")).await;
    assert_eq!(off.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let off = text(off).await;
    assert!(off.contains(r##"href="#held-0""##) && off.contains(r#"id="held-0""#), "{off}");
    assert!(off.contains("11 angesehen und 2 nicht auffindbar ergeben 13"), "{off}");

    assert!(off.contains(r#"name="said-0" value="140 140 1 0 0""#), "{off}");

    assert_eq!(post(&service, &form, "", &right).await.status(), StatusCode::SEE_OTHER);
    assert_eq!(counted().await, [(12, 1)], "the books know what was meant");
    let page = text(get(&service, &form, "").await).await;
    assert!(page.contains("14 held, 12 checked") && !page.contains("140 held"), "{page}");
    // Nothing of this leads to a field that isn't there.
    let stray = post(&service, &form, "", "lot-0=TB-0501&held-0=3&checked-0=3").await;
    assert_eq!(stray.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let stray = text(stray).await;
    assert!(stray.contains("asked about lot TB-0501") && !stray.contains("#held-0"), "{stray}");
}

#[tokio::test]
async fn counts_of_a_form_that_did_not_show_a_colleagues_reply_wait_until_it_was_seen() {
    const FIRST: &str = "lot-0=TB-0418&said-0=&held-0=14&checked-0=12&not_located-0=2&found-0=1";
    const SECOND: &str = "lot-0=TB-0418&said-0=&held-0=10&checked-0=10&not_located-0=0&found-0=0";
    let (state, service, form, before) = asked_to_look().await;
    let counted = async || looked(&state, before).await;
    // Both have this page open.
    let open = text(get(&service, &form, "").await).await;
    assert!(open.contains(r#"name="said-0" value="""#), "{open}");
    assert_eq!(post(&service, &form, "", FIRST).await.status(), StatusCode::SEE_OTHER);

    // A slip that is mended first doesn't make the form know what it never showed.
    let slip = post(&service, &form, "", &SECOND.replace("checked-0=10", "checked-0=9")).await;
    assert_eq!(slip.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let slip = text(slip).await;
    assert!(slip.contains("come to 9") && slip.contains(r#"name="said-0" value="""#), "{slip}");
    // An older page has no such field.
    for stale in [SECOND, SECOND.replace("&said-0=", "").as_str()] {
        let refused = post(&service, &form, "", stale).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        for words in [
            "replied for this meanwhile",
            "14 held, 12 checked, 1 found",
            r#"name="said-0" value="14 12 1 2 0""#,
            r##"href="#held-0""##,
            r#"value="10""#,
        ] {
            assert!(page.contains(words), "{words}: {page}");
        }
        assert!(!page.contains("takes their place"), "{page}");
        assert_eq!(counted().await, [(12, 1)], "the first reply stands");
    }

    let knowing = SECOND.replace("said-0=", "said-0=14+12+1+2+0");
    // The answer to the second may be lost on the way: sent once more it is done, and so from a page that showed nothing.
    for again in [knowing.as_str(), knowing.as_str(), SECOND] {
        assert_eq!(post(&service, &form, "", again).await.status(), StatusCode::SEE_OTHER, "{again}");
        assert_eq!(counted().await, [(10, 0)]);
    }
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
