//! What is decided is frozen: it verifies whatever comes later, and who tries to go behind it is refused and kept.

use axum::http::{StatusCode, header};
use domain::permission::Role;
use store::{JournalFilter, Page};

use super::world::World;
use crate::testing::{get, post, text};

const APPROVE: &str = "disposition=approve&reason=enough+shown&signature=skerry&password=seven+dry+karabiners\
                       &ratio_worth_having=0.4&power=90";

async fn approved(world: &World) -> (String, String) {
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let sent = world.decide(&chair, APPROVE).await;
    assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    (engineer, chair)
}

async fn attempts(world: &World) -> Vec<String> {
    let filter = JournalFilter { key: Some("2026-001".into()), ..JournalFilter::default() };
    let entries = world.state.store().journal(&filter, Page::first(50)).await.expect("read");
    let refused = entries.into_iter().rev().filter(|entry| entry.act.starts_with("refused: "));
    refused.map(|entry| format!("{} {}", entry.actor.split(' ').next().unwrap_or(""), entry.act)).collect()
}

#[tokio::test]
async fn a_decision_freezes_evidence_that_can_be_taken_out_and_verified() {
    let world = World::new().await;
    let (_, chair) = approved(&world).await;
    let kept = world.state.store().list_evidence("2026-001").await.expect("read");
    assert_eq!(kept.iter().map(|one| one.occasion.as_str()).collect::<Vec<_>>(), ["approve", "submission"]);
    let page = text(get(&world.service, "/changes/2026-001/evidence", &chair).await).await;
    assert!(page.contains("Every figure follows from the frozen inputs."), "{page}");
    assert!(
        page.contains("the books give the same figures today") && page.contains(&kept[0].digest),
        "{page}"
    );
    let address = format!("/changes/2026-001/evidence/{}/json", kept[0].id);
    let file = get(&world.service, &address, &chair).await;
    assert!(file.headers()[header::CONTENT_DISPOSITION].to_str().expect("a name").contains("evidence-1-"));
    let document = text(file).await;
    assert_eq!(store::digest_of(&document), kept[0].digest);
    let read = crate::evidence::read(&document).expect("evidence");
    assert!(read.verify().expect("whole").iter().all(domain::evidence::FigureLine::agrees));
    assert_eq!(read.inputs.plan.map(|plan| (plan.ratio_worth_having, plan.power)), Some((0.4, 0.9)));
    assert!(read.text.iter().any(|line| line.field == "Reason" && line.text == "enough shown"));
    assert!(document.starts_with("{\"inputs\":{\"as_of\":"), "keys in order: {}", &document[..60]);
    assert!(!document.contains("FELL") && !document.contains("SKERRY"), "no names of people");
}

#[tokio::test]
async fn attempts_to_go_behind_a_decision_are_refused_and_kept_and_the_evidence_still_verifies() {
    let world = World::new().await;
    let (engineer, chair) = approved(&world).await;
    let edit = "version=8&title=Other&problem=Other&description=Other";
    let tries = [
        (&chair, "/changes/2026-001/decide", APPROVE),
        (&engineer, "/changes/2026-001/edit/words", edit),
        (&engineer, "/changes/2026-001/weigh", "size=&grams=1.0+1.0"),
    ];
    for (who, address, form) in tries {
        let refused = post(&world.service, address, who, form).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{address}");
    }
    world.make("fell", Role::Board).await;
    let now_board = world.sign_in("fell").await;
    let own = post(&world.service, "/changes/2026-001/decide", &now_board, APPROVE).await;
    assert_eq!(own.status(), StatusCode::FORBIDDEN);
    assert_eq!(
        attempts(&world).await,
        ["SKERRY refused: decide", "FELL refused: edit words", "FELL refused: weigh", "FELL refused: decide"]
    );
    let page = text(get(&world.service, "/changes/2026-001/evidence", &chair).await).await;
    assert!(page.contains("Attempts that were refused") && page.contains("edit words"), "{page}");
    assert!(page.contains("Every figure follows from the frozen inputs."), "{page}");
}

#[tokio::test]
async fn a_weighing_that_comes_with_books_later_stands_beside_what_was_decided() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.draft(&engineer).await;
    post(&world.service, "/changes/2026-001/weigh", &engineer, "size=&grams=3000+3002").await;
    let form = format!("version={}", super::world::fill_whole(&world, "2026-001").await);
    post(&world.service, "/changes/2026-001/submit", &engineer, &form).await;
    let sent = world.decide(&chair, APPROVE).await;
    assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    world.bring_in(&[("weighings.csv", "part_no,revision,size,specimen,mass_g\nRC-131,B,,W-9,3500\n")]).await;
    let page = text(get(&world.service, "/changes/2026-001/evidence", &chair).await).await;
    assert!(page.contains("As now known") && page.contains("3,001 g"), "{page}");
    assert!(page.contains("3,167 g"), "the mean of three: {page}");
    assert!(page.contains("Every figure follows from the frozen inputs."), "{page}");
}

#[tokio::test]
async fn a_refused_change_is_written_anew_and_the_plan_of_a_proof_is_checked() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let wrong = APPROVE.replace("0.4", "1.2").replace("power=90", "power=abc");
    let again = world.decide(&chair, &wrong).await;
    assert_eq!(again.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(again).await;
    assert!(page.contains("such as 0.5") && page.contains(r#"value="1.2""#), "{page}");
    let disapprove = APPROVE.replace("=approve", "=disapprove");
    assert_eq!(world.decide(&chair, &disapprove).await.status(), StatusCode::SEE_OTHER);
    assert_eq!(world.state_of("2026-001").await, "disapproved");
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains("/changes/2026-001/edit/words"), "{sheet}");
    let record = world.state.store().find_change_record("2026-001").await.expect("read").expect("there");
    let version = record.body.expect("a record").version;
    let edit = format!("version={version}&title=Coated+slider&problem=It+splits+in+salt&description=A+coat");
    let kept = post(&world.service, "/changes/2026-001/edit/words", &engineer, &edit).await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    assert_eq!(world.state_of("2026-001").await, "draft");
}
