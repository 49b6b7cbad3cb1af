//! Changes from the draft to the decision, through the whole service.

mod world;

use axum::http::{StatusCode, header};
use domain::permission::Role;

use self::world::{World, fill_whole};
use crate::testing::{get, post, text};

const DRAFT: &str =
    "part=RC-131&mode=ZIP-1&title=Coated+slider&from_revision=A&to_revision=B&problem=It+splits";

#[tokio::test]
async fn a_change_is_drafted_from_a_recurrence_and_leads_to_its_sheet() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    let form = text(get(&world.service, "/changes/new?part=RC-131&mode=ZIP-1", &engineer).await).await;
    for words in ["3 relevant reports", "item-years (", "split on the ladder", r#"value="B""#] {
        assert!(form.contains(words), "{words}: {form}");
    }
    let sent = post(&world.service, "/changes/new", &engineer, DRAFT).await;
    assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    assert_eq!(sent.headers()[header::LOCATION], "/changes/2026-001");
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains("Coated slider") && sheet.contains("It splits"), "{sheet}");
    let list = text(get(&world.service, "/changes", &engineer).await).await;
    assert!(list.contains("2026-001") && list.contains("the engineer"), "{list}");
}

#[tokio::test]
async fn a_draft_without_a_title_keeps_what_was_typed() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    let form = "part=RC-131&mode=ZIP-1&title=&from_revision=A&to_revision=A&problem=It+splits+badly";
    let again = post(&world.service, "/changes/new", &engineer, form).await;
    assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(again).await;
    assert!(page.contains("It splits badly") && page.contains("Write a title"), "{page}");
    assert!(page.contains("must differ"), "{page}");
}

#[tokio::test]
async fn the_gate_names_what_is_missing_and_then_lets_the_record_through() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let shut = post(&world.service, "/changes/2026-001/submit", &engineer, "version=1").await;
    assert_eq!(shut.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(shut).await;
    for missing in ["what changes, and how", "an answer to requirement 3.4", "/changes/2026-001/edit/class"] {
        assert!(page.contains(missing), "{missing}: {page}");
    }
    let version = fill_whole(&world, "2026-001").await;
    let form = format!("version={version}");
    let through = post(&world.service, "/changes/2026-001/submit", &engineer, &form).await;
    assert_eq!(through.status(), StatusCode::SEE_OTHER);
    assert_eq!(world.state_of("2026-001").await, "submitted");
}

#[tokio::test]
async fn the_board_decides_once_with_name_and_password() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let address = "/changes/2026-001/decide";
    let form = |name: &str, password: &str| {
        format!("disposition=approve&reason=enough+shown&signature={name}&password={password}")
    };
    let right = form("skerry", "seven+dry+karabiners");
    for wrong in [form("somebody", "seven+dry+karabiners"), form("skerry", "wrong")] {
        let refused = post(&world.service, address, &chair, &wrong).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert!(text(refused).await.contains("enough shown"));
    }
    assert_eq!(post(&world.service, address, &engineer, &right).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(post(&world.service, address, &chair, &right).await.status(), StatusCode::SEE_OTHER);
    assert_eq!(world.state_of("2026-001").await, "approved");
    let twice = post(&world.service, address, &chair, &right).await;
    assert_eq!(twice.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let sheet = text(get(&world.service, "/changes/2026-001", &chair).await).await;
    assert!(sheet.contains("enough shown") && sheet.contains("Signed skerry"), "{sheet}");
}

#[tokio::test]
async fn nobody_decides_on_a_record_of_their_own() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.submitted(&engineer).await;
    world.make("fell", Role::Board).await;
    let now_board = world.sign_in("fell").await;
    let form = "disposition=approve&reason=mine&signature=FELL&password=seven+dry+karabiners";
    let refused = post(&world.service, "/changes/2026-001/decide", &now_board, form).await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    assert!(text(refused).await.contains("Nobody decides on a change record of their own."));
    assert_eq!(world.state_of("2026-001").await, "submitted");
}

#[tokio::test]
async fn readers_see_the_sheet_without_forms_and_units_see_nothing() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    for (name, status) in
        [("skerry", StatusCode::OK), ("holm", StatusCode::OK), ("tarn", StatusCode::FORBIDDEN)]
    {
        let sid = world.sign_in(name).await;
        for address in ["/changes", "/changes/2026-001", "/changes/2026-001/json"] {
            let page = get(&world.service, address, &sid).await;
            assert_eq!(page.status(), status, "{name} {address}");
            assert!(!text(page).await.contains("/edit/"), "{name} {address}");
        }
        let submit = post(&world.service, "/changes/2026-001/submit", &sid, "version=1").await;
        assert_eq!(submit.status(), StatusCode::FORBIDDEN);
        assert_eq!(get(&world.service, "/changes/new", &sid).await.status(), StatusCode::FORBIDDEN);
    }
    assert_eq!(get(&world.service, "/changes/none", &engineer).await.status(), StatusCode::NOT_FOUND);
}
