//! What the evidence comes to, the options of retrofit and the campaign, through the whole service.

use axum::http::StatusCode;

use super::world::{World, fill_whole};
use crate::testing::{get, text};

const SHEET: &str = "/changes/2026-001";

#[tokio::test]
async fn options_are_compared_once_a_rate_after_is_predicted_and_the_json_has_them_too() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let before = text(get(&world.service, SHEET, &engineer).await).await;
    assert!(before.contains("No comparison: no failure rate after the change is predicted yet."), "{before}");
    fill_whole(&world, "2026-001").await;
    let sheet = text(get(&world.service, SHEET, &engineer).await).await;
    for words in [
        "Only new lots change; unissued old stock is set aside.",
        "All issued items are called back.",
        "as proposed",
        "99\u{a0}% in 12 months",
        "Within 36 months from now",
        "a recall takes 12 months",
    ] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
    let json = text(get(&world.service, &format!("{SHEET}/json"), &engineer).await).await;
    let record: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let options = record["retrofit_options"]["options"].as_array().expect("a list");
    let avoided = |at: usize| options[at]["avoided"]["best"].as_f64().expect("a number");
    assert_eq!(options.len(), 4);
    assert!(avoided(3) > avoided(0) && avoided(0) >= avoided(1), "a recall avoids most: {json}");
    assert_eq!(record["change_no"], "2026-001", "the record stands beside it");
}

/// Fifteen specimens a side, cycles to failure: the suggestion begins a prediction, which can be altered before it is kept.
#[tokio::test]
async fn a_suggestion_from_the_bench_begins_a_prediction() {
    let world = World::new().await;
    let engineer = world.sign_in("fell").await;
    world.draft(&engineer).await;
    let head = "part_no,revision,method,measure,specimen,value,measure_unit,outcome\n".to_owned();
    let rows = (1..=15).flat_map(|at| {
        [("A", 1000.0), ("B", 2500.0)].map(|(revision, of)| {
            let value = of * (f64::from(at) / 8.0).sqrt();
            format!("RC-131,{revision},EN 16732,cycles to failure,{revision}{at},{value:.0},cycles,failed\n")
        })
    });
    let tests: String = std::iter::once(head).chain(rows).collect();
    world.bring_in(&[("bench_tests.csv", &tests)]).await;
    let sheet = text(get(&world.service, SHEET, &engineer).await).await;
    for words in
        ["EN 16732: cycles to failure", "Life after over before", "take&#x3D;0", "15 before, 15 after"]
    {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
    let form = text(get(&world.service, &format!("{SHEET}/edit/prediction?take=0"), &engineer).await).await;
    assert!(form.contains(r#"value="cycles" checked"#), "{form}");
    assert!(form.contains("Specimens: 15 before, 15 after."), "{form}");
}

#[tokio::test]
async fn the_campaign_is_followed_by_unit_from_the_approval_on() {
    let world = World::new().await;
    let (engineer, chair) = (world.sign_in("fell").await, world.sign_in("skerry").await);
    world.submitted(&engineer).await;
    let address = format!("{SHEET}/campaign");
    let early = text(get(&world.service, &address, &engineer).await).await;
    assert!(early.contains("No retrofit runs before the board has approved the change."), "{early}");
    let decision = "disposition=approve&reason=enough&signature=SKERRY&password=seven+dry+karabiners";
    world.decide(&chair, decision).await;
    let page = text(get(&world.service, &address, &chair).await).await;
    assert!(page.contains("COVE-2") && page.contains("Not heard of since then: 1 unit"), "{page}");
    let unit = world.sign_in("tarn").await;
    assert_eq!(get(&world.service, &address, &unit).await.status(), StatusCode::FORBIDDEN);
}
