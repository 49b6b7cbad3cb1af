//! Who may see the pages about a lot, and what they say of dates and lots that aren't there.

use axum::http::{StatusCode, header};
use domain::permission::{Actor, Role};

use crate::pack::{ImportOptions, Limits, PackSource, import};
use crate::state::AppState;
use crate::testing::books::signed_in;
use crate::testing::{get, service, state, text};

const FILES: [(&str, &str); 6] = [
    ("units.csv", "unit,name,kind\nCOVE-2,=2+2,wearing\nSTORE,,store\n"),
    (
        "parts.csv",
        "part_no,revision,name,kind\nRC-100,A,rescue carrier,ITEM\nRC-131,A,front slide fastener,ZIP\n",
    ),
    (
        "structure.csv",
        "parent_part_no,parent_revision,child_part_no,child_revision,quantity\nRC-100,A,RC-131,A,1\n",
    ),
    (
        "lots.csv",
        "lot_no,part_no,revision,quantity,maker\n=Z-1,RC-131,A,300,Tarn\nTB-1,RC-100,A,200,Oreval\n\
         TB-9,RC-100,A,10,Oreval\nTB-9,RC-100,A,10,Harbour\n",
    ),
    ("lot_uses.csv", "lot_no,used_lot_no,quantity\nTB-1,=Z-1,150\n"),
    (
        "movements.csv",
        "moved_on,kind,lot_no,unit,quantity\n2025-02-01,issue,TB-1,COVE-2,120\n2025-05-01,return,TB-1,COVE-2,20\n",
    ),
];

async fn bring_in(state: &AppState) {
    bring(state, FILES.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).into()).await;
}

async fn bring(state: &AppState, files: Vec<(String, Vec<u8>)>) {
    let pack = PackSource::from_files(files, Limits::UPLOAD).unwrap();
    let options =
        ImportOptions { by: Actor::Program, now: state.now(), refused_to: None, strict: false, keep: 10 };
    import(state.store(), pack, options, |_| {}).await.unwrap();
}

#[tokio::test]
async fn a_unit_sees_none_of_it_and_a_board_member_all() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let unit = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let board = signed_in(&state, &service, "skerry", Role::Board, None).await;
    for page in ["lineage", "holders", "holders.csv", "notice"] {
        let address = format!("/lots/TB-1/{page}");
        assert_eq!(get(&service, &address, &unit).await.status(), StatusCode::FORBIDDEN, "{page}");
        assert_eq!(get(&service, &address, "").await.status(), StatusCode::SEE_OTHER, "{page}");
        assert_eq!(get(&service, &address, &board).await.status(), StatusCode::OK, "{page}");
        let nowhere = format!("/lots/TB-2/{page}");
        assert_eq!(get(&service, &nowhere, &board).await.status(), StatusCode::NOT_FOUND, "{page}");
        let several = format!("/lots/TB-9/{page}");
        assert_eq!(get(&service, &several, &board).await.status(), StatusCode::NOT_FOUND, "{page}");
        let one = format!("/lots/TB-9/{page}?maker=Harbour");
        assert_eq!(get(&service, &one, &board).await.status(), StatusCode::OK, "{page}");
    }
}

#[tokio::test]
async fn holders_are_told_for_the_date_asked_and_a_strange_date_is_kept_with_the_problem() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let page = |query: &'static str| {
        let (service, sid) = (service.clone(), sid.clone());
        async move {
            let answer = get(&service, &format!("/lots/%3DZ-1/holders{query}"), &sid).await;
            (answer.status(), text(answer).await)
        }
    };
    // 150 pieces for 200 carriers: what is not on record may be of that lot too, so that all can have it.
    let (status, today) = page("").await;
    assert_eq!(status, StatusCode::OK);
    assert!(
        today.contains("1 unit held 120 (70 to 120) items") && today.contains("returned, not issued again"),
        "{today}"
    );
    let (_, before) = page("?on=2025-03-01").await;
    assert!(before.contains("On 1 Mar 2025, 1 unit held 120 (70 to 120) items"), "{before}");
    let (_, nobody) = page("?on=2025-01-01").await;
    assert!(nobody.contains("nobody held an item"), "{nobody}");
    for wrong in ["?on=tomorrow%22", "?on=2099-01-01"] {
        let (status, page) = page(wrong).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(page.contains("Expected a date such as 2026-03-09"), "{page}");
    }
    assert!(page("?on=tomorrow%22").await.1.contains("value=\"tomorrow&quot;\""));
}

#[tokio::test]
async fn the_file_runs_no_formula_and_its_name_is_plain() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let answer = get(&service, "/lots/%3DZ-1/holders.csv?on=2025-06-01", &sid).await;
    assert_eq!(
        answer.headers()[header::CONTENT_DISPOSITION],
        "attachment; filename=\"holders-_Z-1-2025-06-01.csv\""
    );
    let file = text(answer).await;
    let rows: Vec<&str> = file.lines().collect();
    assert_eq!(rows[1], "2025-06-01,COVE-2,'=2+2,TB-1,Oreval,RC-100,A,,in_service,100,100,50,100");
    assert_eq!(rows[2], "2025-06-01,,,TB-1,Oreval,RC-100,A,,returned,20,20,0,20");
}

/// Of 50 carriers by part number alone, 20 got a fastener of a spare lot that nothing was made from.
#[tokio::test]
async fn items_of_no_known_lot_with_a_part_of_it_stand_on_the_page_in_the_file_and_on_the_notice() {
    let state = state().await;
    let mut files = FILES.map(|(name, text)| (name.to_owned(), text.to_owned()));
    files[3].1 += "SP-1,RC-131,A,30,Tarn\n";
    files[5].1 = "moved_on,kind,part_no,unit,quantity\n2025-02-01,opening,RC-100,COVE-2,50\n".into();
    let events =
        "happened_on,unit,quantity,kind,part_no,new_lot_no\n2025-03-01,COVE-2,20,part_replaced,RC-131,SP-1\n";
    let mut files: Vec<(String, Vec<u8>)> = files.map(|(name, text)| (name, text.into_bytes())).into();
    files.push(("events.csv".into(), events.as_bytes().to_vec()));
    bring(&state, files).await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let page = text(get(&service, "/lots/SP-1/holders", &sid).await).await;
    assert!(page.contains("1 unit held 20 items") && page.contains("Lot unknown, by part number RC-100"));
    let file = text(get(&service, "/lots/SP-1/holders.csv?on=2025-06-01", &sid).await).await;
    let rows: Vec<&str> = file.lines().skip(1).collect();
    assert_eq!(rows, ["2025-06-01,COVE-2,'=2+2,,,RC-100,,,in_service,20,20,20,20"]);
    let notice = text(get(&service, "/lots/SP-1/notice", &sid).await).await;
    assert!(notice.contains("To COVE-2") && notice.contains("Lot unknown, part RC-100"), "{notice}");
    assert!(notice.contains("The lot of 20 of them we don"), "{notice}");
    let sheet = text(get(&service, "/lots/SP-1", &sid).await).await;
    assert!(sheet.contains("20 items in service contain it"), "{sheet}");
}

#[tokio::test]
async fn one_item_that_was_returned_is_told_as_one() {
    let state = state().await;
    let mut files = FILES.map(|(name, text)| (name.to_owned(), text.to_owned()));
    files[5].1 = files[5].1.replace("return,TB-1,COVE-2,20", "return,TB-1,COVE-2,1");
    bring(&state, files.map(|(name, text)| (name, text.into_bytes())).into()).await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let notice = text(get(&service, "/lots/%3DZ-1/notice", &sid).await).await;
    assert!(notice.contains("Up to 1 item was returned and not issued again"), "{notice}");
}

#[tokio::test]
async fn a_notice_is_for_the_units_concerned_or_for_one() {
    let state = state().await;
    bring_in(&state).await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let all = text(get(&service, "/lots/%3DZ-1/notice", &sid).await).await;
    assert!(all.contains("To COVE-2") && !all.contains("To STORE"), "{all}");
    assert!(all.contains("Suspected nonconforming") && all.contains("Up to 20 items were returned"), "{all}");
    let other = text(get(&service, "/lots/%3DZ-1/notice?unit=STORE", &sid).await).await;
    assert!(!other.contains("class=\"notice\""), "{other}");
    assert_eq!(get(&service, "/lots/%3DZ-1/notice?unit=X", &sid).await.status(), StatusCode::NOT_FOUND);
}
