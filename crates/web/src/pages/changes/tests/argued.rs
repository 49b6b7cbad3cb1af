//! Part numbers, documents, costs, remarks and enclosures, through the whole service.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use axum::response::Response;
use tower::ServiceExt as _;

use super::world::World;
use crate::testing::{get, post, text};

const SHEET: &str = "/changes/2026-001";

async fn enclose(world: &World, cookie: &str, name: &str, content: &str) -> Response {
    let body = format!(
        "--seam\r\ncontent-disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\
         content-type: application/octet-stream\r\n\r\n{content}\r\n--seam--\r\n"
    );
    let request = Request::post(format!("{SHEET}/enclosure"))
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=seam")
        .body(Body::from(body))
        .expect("a request");
    world.service.clone().oneshot(request).await.expect("answered")
}

/// MIL-STD-100G 406.13: the changed part does not exchange, so the level above is asked too, and signed for.
#[tokio::test]
async fn a_part_that_does_not_exchange_leads_to_the_level_above_it() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let address = format!("{SHEET}/edit/part-numbers");
    let form = text(get(&world.service, &address, &engineer).await).await;
    assert!(form.contains("RC-131, the changed part") && !form.contains("RC-100, next"), "{form}");
    let one = "version=1&same-RC-131=no&number-RC-131=rule&why-RC-131=wider+chain&signature=Fell";
    let asked = post(&world.service, &address, &engineer, one).await;
    assert_eq!(asked.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(asked).await;
    assert!(
        page.contains("Answer this level too") && page.contains("RC-100, next higher assembly"),
        "{page}"
    );
    let against = format!("{one}&same-RC-100=yes&number-RC-100=keep");
    let silent = post(&world.service, &address, &engineer, &against).await;
    assert_eq!(silent.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(silent).await.contains("departs from what the rule proposes"));
    let whole = format!("{against}&why-RC-100=one+level+lower+here");
    let kept = post(&world.service, &address, &engineer, &whole).await;
    assert_eq!(kept.headers()[header::LOCATION], "/changes/2026-001#part-numbers");
    let sheet = text(get(&world.service, SHEET, &engineer).await).await;
    for words in ["New number", "Keeps its number, against the rule", "one level lower here", "Signed Fell"] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
}

#[tokio::test]
async fn documents_costs_and_the_edition_of_the_target_time_are_kept_by_their_forms() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let sections = [
        ("documents", "document-0=D-1", "kind-0=drawing&document-0=D-1&note-0=coated"),
        ("costs", "conversion=some", "currency=EUR&conversion=14.50&cost_source=workshop"),
        ("handling", "priority=U&edition=1949", "priority=U&justification=D&edition=480B"),
    ];
    for (version, (section, wrong, right)) in (1..).zip(sections) {
        let address = format!("{SHEET}/edit/{section}");
        let refused = post(&world.service, &address, &engineer, &format!("version={version}&{wrong}")).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{section}");
        let kept = post(&world.service, &address, &engineer, &format!("version={version}&{right}")).await;
        assert_eq!(kept.status(), StatusCode::SEE_OTHER, "{section}");
    }
    let sheet = text(get(&world.service, SHEET, &engineer).await).await;
    for words in ["D-1", "coated", "within 15 days of submission (edition 480B)", "Stock, from the ledger"] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
}

#[tokio::test]
async fn remarks_and_files_stand_in_the_sheet_and_files_are_saved_not_shown() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let said = post(&world.service, &format!("{SHEET}/remark"), &engineer, "words=Weigh+XL+first.").await;
    assert_eq!(said.headers()[header::LOCATION], "/changes/2026-001#remarks");
    let (reader, unit) = (world.sign_in("holm").await, world.sign_in("tarn").await);
    for other in [&reader, &unit] {
        let refused = post(&world.service, &format!("{SHEET}/remark"), other, "words=x").await;
        assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    }
    assert_eq!(enclose(&world, &reader, "a.pdf", "one").await.status(), StatusCode::FORBIDDEN);
    for bad in ["page.html", "picture.svg", "noend"] {
        let refused = enclose(&world, &engineer, bad, "one").await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{bad}");
    }
    assert_eq!(enclose(&world, &engineer, "bench report.pdf", "one").await.status(), StatusCode::SEE_OTHER);
    let sheet = text(get(&world.service, SHEET, &reader).await).await;
    // The digest of "one" (FIPS 180-4; worked with sha256sum).
    for words in ["Weigh XL first.", "bench report.pdf", "7692c3ad3540", "3 bytes"] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
    let saved = get(&world.service, &format!("{SHEET}/enclosure/1"), &reader).await;
    let how = saved.headers()[header::CONTENT_DISPOSITION].to_str().expect("ascii").to_owned();
    assert_eq!(how, "attachment; filename*=UTF-8''bench%20report.pdf");
    assert_eq!(text(saved).await, "one");
    let elsewhere = get(&world.service, "/changes/CH-1/enclosure/1", &reader).await;
    assert_eq!(elsewhere.status(), StatusCode::NOT_FOUND);
}
