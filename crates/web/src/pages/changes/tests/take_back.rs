//! What was written down here wrongly: a weighing is asked about, and it and a line as accomplished can be taken back.

use axum::http::StatusCode;

use super::world::World;
use crate::testing::{get, post, text};

#[tokio::test]
async fn a_specimen_unlike_the_others_is_asked_about_and_taken_back_with_a_reason() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let address = "/changes/2026-001/weigh";
    let offers = async |at: &str| {
        let page = text(get(&world.service, at, &engineer).await).await;
        page.contains("href=\"/changes/2026-001/weigh/take-back\"")
    };
    assert!(!offers(address).await && !offers("/changes/2026-001").await, "nothing was weighed here");
    let asked = post(&world.service, address, &engineer, "size=&grams=2948.35+29483.5").await;
    assert_eq!(asked.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(asked).await;
    assert!(
        page.contains("29483.5 g is far from the 3855.535 g") && page.contains("name=\"sure\""),
        "{page}"
    );
    let sure = post(&world.service, address, &engineer, "size=&grams=2948.35+29483.5&sure=yes").await;
    assert_eq!(sure.status(), StatusCode::SEE_OTHER);

    assert!(offers(address).await && offers("/changes/2026-001").await);

    let back = "/changes/2026-001/weigh/take-back";
    let form = text(get(&world.service, back, &engineer).await).await;
    assert!(form.contains("Specimen 1: 2948.35 g") && form.contains("Specimen 2: 29483.5 g"), "{form}");
    let here = world.state.store().weighed_here("RC-131", "B").await.expect("read");
    let wrong = here.iter().find(|one| one.noun.specimen == "2").expect("weighed").id;
    let unsaid = post(&world.service, back, &engineer, &format!("line={wrong}&reason=")).await;
    assert_eq!(unsaid.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let none = post(&world.service, back, &engineer, "reason=a+lost+point").await;
    assert!(text(none).await.contains("Choose one of these."));
    let taken = post(&world.service, back, &engineer, &format!("line={wrong}&reason=a+lost+point")).await;
    assert_eq!(taken.status(), StatusCode::SEE_OTHER);
    let sheet = text(get(&world.service, "/changes/2026-001", &engineer).await).await;
    assert!(sheet.contains("1 specimen in all sizes"), "{sheet}");
}

#[tokio::test]
async fn a_line_as_accomplished_goes_off_the_record_and_lines_of_books_are_not_offered() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.bring_in_a_change_that_worked().await;
    let line = "change_no,stage,maker,from_lot,to_lot,share_new,from_date\nCH-1,accomplished,,TB-2,,1,\n";
    world.bring_in(&[("effectivity.csv", line)]).await;
    let back = "/changes/CH-1/accomplished/take-back";
    let none = text(get(&world.service, back, &engineer).await).await;
    assert!(none.contains("Nothing of this kind was written down here."), "{none}");
    let partly = "maker=&from_lot=TB-2&to_lot=TB-2&share=40&from_date=";
    let kept = post(&world.service, "/changes/CH-1/accomplished", &engineer, partly).await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    let form = text(get(&world.service, back, &engineer).await).await;
    assert!(form.contains("lot TB-2") && form.contains("40"), "{form}");
    assert_eq!(form.matches("name=\"line\"").count(), 1, "{form}");
    let here = world.state.store().accomplished_here("CH-1").await.expect("read");
    let sent = format!("line={}&reason=built+whole", here[0].id);
    let board = world.sign_in("skerry").await;
    assert_eq!(post(&world.service, back, &board, &sent).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(post(&world.service, back, &engineer, &sent).await.status(), StatusCode::SEE_OTHER);
    let twice = text(post(&world.service, back, &engineer, &sent).await).await;
    assert!(twice.contains("This line is no longer on record."), "{twice}");
}

#[tokio::test]
async fn a_form_with_a_zero_character_is_refused_and_nothing_is_kept() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let form = "version=1&title=Coated%00slider&problem=It+splits&description=Coat+it";
    let refused = post(&world.service, "/changes/2026-001/edit/words", &engineer, form).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(refused).await.contains("zero character"));
    let record = world.state.store().find_change_record("2026-001").await.expect("read").expect("there");
    assert!(!record.change.title.contains('\0'), "{}", record.change.title);
}
