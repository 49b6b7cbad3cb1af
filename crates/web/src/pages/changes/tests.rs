//! Changes from the draft to the decision, through the whole service.

mod argued;
mod bound;
mod docket;
mod frozen;
mod options;
mod overtaken;
mod take_back;
pub(super) mod world;

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
    for words in ["3 relevant reports", "item-years (", "own words: R-1.", r#"value="B""#] {
        assert!(form.contains(words), "{words}: {form}");
    }
    // Administrators read changes and no unit's words.
    assert!(!form.contains("split on the ladder"), "{form}");
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
    let long = DRAFT.replace("title=", &format!("title={}", "x".repeat(super::LONGEST_TITLE)));
    let again = text(post(&world.service, "/changes/new", &engineer, &long).await).await;
    assert!(again.contains(super::TITLE_TOO_LONG), "{again}");
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
    let page = text(get(&world.service, address, &chair).await).await;
    assert!(page.contains("Your full name, as signature: SKERRY"), "{page}");
    let shown = world.shown().await;
    let form = |name: &str, password: &str| {
        format!("disposition=approve&reason=enough+shown&signature={name}&password={password}{shown}")
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

#[tokio::test]
async fn an_edit_that_was_overtaken_keeps_what_was_typed_and_changes_nothing() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let address = "/changes/2026-001/edit/words";
    let form = |words: &str| format!("version=1&title=Coated+slider&problem=It+splits&description={words}");
    let first = post(&world.service, address, &engineer, &form("a+coat")).await;
    assert_eq!(first.headers()[header::LOCATION], "/changes/2026-001#words");
    let second = post(&world.service, address, &engineer, &form("a+wider+chain")).await;
    assert_eq!(second.status(), StatusCode::CONFLICT);
    let page = text(second).await;
    assert!(page.contains("a wider chain") && page.contains(r#"name="version" value="2""#), "{page}");
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains("a coat") && !sheet.contains("a wider chain"), "{sheet}");
}

#[tokio::test]
async fn each_section_is_kept_by_its_form_and_a_wrong_one_comes_back() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let sections = [
        (
            "prediction",
            "basis=judged&ratio_low=0.9&ratio_best=0.4&ratio_high=0.8&prediction_source=judged+by+Fell",
            "basis=judged&ratio_low=0.2&ratio_best=0.4&ratio_high=0.8&prediction_source=judged+by+Fell",
        ),
        ("requirements", "verdict-3.4=met&note-3.4=", "verdict-3.4=not+affected&note-3.4=the+catch+stays"),
        ("class", "safety=yes&safety-reason=", "safety=yes&safety-reason=holds+it+shut&performance=no"),
        ("effectivity", "maker-0=Harbour+Loft", "retrofit=on_return&from-0=TB-9&share-0=40"),
        ("handling", "priority=U", "priority=U&justification=D&cost_note=four+a+piece"),
    ];
    for (version, (section, wrong, right)) in (1..).zip(sections) {
        let address = format!("/changes/2026-001/edit/{section}");
        let refused = post(&world.service, &address, &engineer, &format!("version={version}&{wrong}")).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{section}");
        let kept = post(&world.service, &address, &engineer, &format!("version={version}&{right}")).await;
        assert_eq!(kept.status(), StatusCode::SEE_OTHER, "{section}");
        assert_eq!(get(&world.service, &address, &engineer).await.status(), StatusCode::OK);
    }
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    for words in [
        "judged by Fell",
        "the catch stays",
        "holds it shut",
        "from lot TB-9",
        "40\u{a0}%",
        "four a piece",
        "After, predicted",
    ] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
}

/// Plain arithmetic: from 8.5 lb to 6.5 lb is 23.5 % less.
#[tokio::test]
async fn specimens_weighed_here_show_in_the_record_and_in_its_json() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let before = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(before.contains("never weighed: RC-131 B"), "{before}");
    let wrong = post(&world.service, "/changes/2026-001/weigh", &engineer, "size=&grams=2948,35").await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(wrong).await.contains("2948,35"));
    let kept =
        post(&world.service, "/changes/2026-001/weigh", &engineer, "size=&grams=2948.35+2948.35").await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains("\u{2212}23.5\u{a0}%") && sheet.contains("2 specimens in all sizes"), "{sheet}");
    let json = text(get(&world.service, "/changes/2026-001/json", &engineer).await).await;
    let record: serde_json::Value = serde_json::from_str(&json).unwrap();
    let percent = record["mass"][0]["delta_percent"].as_f64().unwrap();
    assert!((percent + 23.53).abs() < 0.005, "{percent}");
    assert_eq!(record["failures"]["before"]["occasions"], 3);
}

#[tokio::test]
async fn an_approved_change_is_cut_in_at_a_lot_of_the_books_and_not_in_the_future() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let address = "/changes/2026-001/cut-in";
    let early = get(&world.service, address, &engineer).await;
    assert_eq!(early.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let decision = "disposition=approve&reason=enough&signature=SKERRY&password=seven+dry+karabiners";
    world.decide(&chair, decision).await;
    let none = text(get(&world.service, address, &engineer).await).await;
    assert!(none.contains("is in the books yet") && !none.contains("TB-1"), "{none}");
    world.bring_in(&[("lots.csv", "lot_no,part_no,revision,maker\nZ-7,RC-131,B,Harbour Loft\n")]).await;
    for wrong in ["lot=TB-1&day=2026-03-03", "lot=Z-7&day=2026-03-05", "lot=Z-7&day="] {
        let refused = post(&world.service, address, &engineer, wrong).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
    }
    let slip = post(&world.service, address, &engineer, "lot=Z-7&day=2020-01-01").await;
    assert_eq!(slip.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(slip).await;
    assert!(page.contains("before the board on 3 Mar 2026, so it was not cut in on 1 Jan 2020."), "{page}");
    let right = "lot=Z-7&day=2026-03-03";
    assert_eq!(post(&world.service, address, &chair, right).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(post(&world.service, address, &engineer, right).await.status(), StatusCode::SEE_OTHER);
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains("lot Z-7") && sheet.contains("accomplished"), "{sheet}");
    let proved = post(&world.service, "/changes/2026-001/conclude", &engineer, "to=proved").await;
    assert_eq!(proved.status(), StatusCode::UNPROCESSABLE_ENTITY, "no figure shows it");
    assert_eq!(world.state_of("2026-001").await, "cut in");
}

#[tokio::test]
async fn a_change_of_a_pack_gets_a_record_and_its_proof_is_recorded_as_the_figures_say() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.bring_in_a_change_that_worked().await;
    let sheet = text(get(&world.service, "/changes/CH-1", &engineer).await).await;
    assert!(sheet.contains("Start a record") && sheet.contains(": shown"), "{sheet}");
    assert_eq!(
        post(&world.service, "/changes/CH-1/start", &engineer, "").await.status(),
        StatusCode::SEE_OTHER
    );
    let sheet = text(get(&world.service, "/changes/CH-1", &engineer).await).await;
    assert!(sheet.contains("relevant reports") && !sheet.contains("Start a record"), "{sheet}");
    let not = post(&world.service, "/changes/CH-1/conclude", &engineer, "to=not_proved").await;
    assert_eq!(not.status(), StatusCode::UNPROCESSABLE_ENTITY, "the figures say the other");
    let chair = world.sign_in("skerry").await;
    let other = post(&world.service, "/changes/CH-1/conclude", &chair, "to=proved").await;
    assert_eq!(other.status(), StatusCode::FORBIDDEN);
    let proved = post(&world.service, "/changes/CH-1/conclude", &engineer, "to=proved").await;
    assert_eq!(proved.status(), StatusCode::SEE_OTHER);
    assert_eq!(world.state_of("CH-1").await, "proved");
}

#[tokio::test]
async fn nothing_is_decided_that_nobody_has_written_down() {
    let world = World::new().await;
    let row = "change_no,title,part_no,from_revision,to_revision,modes,state\n\
               CH-2,Coated slider,RC-131,A,B,ZIP-1,submitted\n";
    let part = "part_no,revision,name,kind,replaces_revision\nRC-131,B,Front slide fastener,ZIP,A\n";
    world.bring_in(&[("parts.csv", part), ("changes.csv", row)]).await;
    let chair = world.sign_in("skerry").await;
    let sheet = text(get(&world.service, "/changes/CH-2", &chair).await).await;
    assert!(!sheet.contains("/changes/CH-2/decide"), "{sheet}");
    let refused = get(&world.service, "/changes/CH-2/decide", &chair).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(refused).await.contains("has no record to decide on"));
}
