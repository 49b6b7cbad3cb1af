//! Reports sent by a program: kept once, refused by field, followed, with photographs.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use domain::part::PartRevision;
use domain::report::{Harm, Report};
use serde_json::json as made;
use store::IntakeFacts;

use super::*;
use crate::secrets::digest_hex;
use crate::testing::get;

const PATH: &str = "/api/v1/reports";

async fn with_an_item() -> (AppState, Router) {
    let state = state().await;
    let store = state.store();
    for code in ["COVE-2", "RIDGE-1"] {
        let unit = Unit { unit: code.into(), ..unit() };
        store.add_unit(&Actor::Program, noon(), &unit).await.unwrap();
    }
    let part = |part_no: &str, kind: &str| PartRevision {
        part_no: part_no.into(),
        revision: "A".into(),
        name: "Rescue carrier".into(),
        kind: kind.into(),
        released_on: None,
        replaces_revision: None,
        change_no: None,
        life_years: None,
    };
    let mut import = store.begin_import(&Actor::Program, noon(), &[]).await.unwrap();
    import.add_parts(&[part("RC-100", "ITEM"), part("RC-131", "ZIP")]).await.unwrap();
    import.publish(noon(), &[]).await.unwrap();
    let service = service(&state);
    (state, service)
}

fn report(client_key: &str) -> Value {
    made!({ "client_key": client_key, "item_part_no": "RC-100", "harm": "near_miss",
        "narrative": "zip bust open climbing out of the boat" })
}

#[tokio::test]
async fn a_report_is_kept_once_and_followed_by_its_unit() {
    let (state, service) = with_an_item().await;
    let unit = key(&state, Role::UnitReporter, Some("COVE-2")).await;
    let first = ask(&service, PATH, &unit, Some(report("torn-zip-1"))).await;
    assert_eq!(first.status(), StatusCode::CREATED);
    let place = first.headers()[header::LOCATION].to_str().unwrap().to_owned();
    let first = json(first).await;
    assert!(first["cautions"][0].as_str().unwrap().contains("report through your chain at once"));

    let again = ask(&service, PATH, &unit, Some(report("torn-zip-1"))).await;
    assert_eq!(again.status(), StatusCode::OK);
    let again = json(again).await;
    assert_eq!((&again["report_ref"], &again["follow_url"]), (&first["report_ref"], &first["follow_url"]));
    assert_eq!(again["sent_before"], true);
    // What was kept is not looked at again.
    let mut mistyped = report("torn-zip-1");
    mistyped["part_no"] = "RC-999".into();
    let mistyped = ask(&service, PATH, &unit, Some(mistyped)).await;
    assert_eq!(mistyped.status(), StatusCode::OK);
    assert_eq!(json(mistyped).await["report_ref"], first["report_ref"]);
    assert_eq!(state.store().count_waiting_reports().await.unwrap(), 1);

    let address = first["follow_url"].as_str().unwrap();
    let page = get(&service, &address[address.find("/follow/").unwrap()..], "").await;
    assert!(text(page).await.contains(first["receipt_code"].as_str().unwrap()));

    let reference = first["report_ref"].as_str().unwrap();
    let engineer = Actor::Program;
    state.store().ask(&engineer, noon(), reference, "Can you read the lot label?").await.unwrap();
    let standing = json(ask(&service, &place, &unit, None).await).await;
    assert_eq!(standing["state"], "asked");
    assert_eq!(standing["questions"][0]["question"], "Can you read the lot label?");
    assert_eq!(standing["questions"][0]["answer"], Value::Null);
}

#[tokio::test]
async fn one_key_serves_two_units_each_with_a_receipt_of_its_own() {
    let (state, service) = with_an_item().await;
    let engineer = key(&state, Role::Engineer, None).await;
    let mut kept = Vec::new();
    for unit in ["COVE-2", "RIDGE-1"] {
        let mut sent = report("workshop-key-001");
        sent["unit"] = unit.into();
        let first = ask(&service, PATH, &engineer, Some(sent.clone())).await;
        assert_eq!(first.status(), StatusCode::CREATED, "{unit}");
        let first = json(first).await;
        let again = json(ask(&service, PATH, &engineer, Some(sent)).await).await;
        assert_eq!(
            (&again["report_ref"], &again["follow_url"]),
            (&first["report_ref"], &first["follow_url"]),
            "{unit}"
        );
        kept.push((first["report_ref"].to_string(), first["follow_url"].to_string()));
    }
    assert!(kept[0].0 != kept[1].0 && kept[0].1 != kept[1].1, "{kept:?}");
    assert_eq!(state.store().count_waiting_reports().await.unwrap(), 2);
}

/// As reports were kept before their secrets named the unit.
#[tokio::test]
async fn what_was_kept_under_a_secret_without_its_unit_is_followed_as_before() {
    let (state, service) = with_an_item().await;
    let engineer = key(&state, Role::Engineer, None).await;
    let opens = digest_hex(format!("receipt {engineer} torn-zip-1").as_bytes());
    let kept = Report {
        narrative: Some("zip bust open climbing out of the boat".into()),
        harm: Some(Harm::NearMiss),
        ..Report::bare("K7M4-RT9X", noon().date_naive(), "COVE-2", "RC-100")
    };
    let facts = IntakeFacts {
        receipt_code: "K7M4-RT9X".into(),
        client_key: digest_hex(b"api COVE-2 torn-zip-1"),
        secret_hash: digest_hex(opens.as_bytes()),
        unit_link_id: None,
        altered_by: None,
        contact: None,
        alarm: None,
    };
    state.store().send_report(&Actor::Program, noon(), &kept, &facts, &[]).await.unwrap();
    let mut sent = report("torn-zip-1");
    sent["unit"] = "COVE-2".into();
    let again = ask(&service, PATH, &engineer, Some(sent)).await;
    assert_eq!(again.status(), StatusCode::OK);
    let address = json(again).await["follow_url"].as_str().unwrap().to_owned();
    assert!(address.ends_with(&format!("/follow/{opens}")), "{address}");
}

#[tokio::test]
async fn another_report_under_a_used_key_is_refused_with_the_first_ones_code() {
    let (state, service) = with_an_item().await;
    let unit = key(&state, Role::UnitReporter, Some("COVE-2")).await;
    let first = json(ask(&service, PATH, &unit, Some(report("torn-zip-1"))).await).await;
    let mut other = report("torn-zip-1");
    other["narrative"] = "strap pulled out of its seam".into();
    let refused = ask(&service, PATH, &unit, Some(other)).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let problem = json(refused).await;
    assert_eq!(problem["problems"][0]["field"], "client_key");
    assert!(problem.to_string().contains(first["receipt_code"].as_str().unwrap()), "{problem}");
}

#[tokio::test]
async fn another_key_gets_the_receipt_without_its_secret_and_another_unit_gets_nothing() {
    let (state, service) = with_an_item().await;
    let unit = key(&state, Role::UnitReporter, Some("COVE-2")).await;
    let first = json(ask(&service, PATH, &unit, Some(report("torn-zip-1"))).await).await;
    let renewed = key(&state, Role::UnitReporter, Some("COVE-2")).await;
    let again = json(ask(&service, PATH, &renewed, Some(report("torn-zip-1"))).await).await;
    assert_eq!((&again["report_ref"], &again["follow_url"]), (&first["report_ref"], &Value::Null));

    let other = key(&state, Role::UnitReporter, Some("RIDGE-1")).await;
    let place = format!("{PATH}/{}", first["report_ref"].as_str().unwrap());
    for address in [place.as_str(), "/api/v1/reports/NO-SUCH"] {
        assert_eq!(ask(&service, address, &other, None).await.status(), StatusCode::FORBIDDEN, "{address}");
    }
    let mut for_another = report("torn-zip-2");
    for_another["unit"] = "COVE-2".into();
    let refused = ask(&service, PATH, &other, Some(for_another)).await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let board = key(&state, Role::Board, None).await;
    let mut by_board = report("torn-zip-3");
    by_board["unit"] = "COVE-2".into();
    assert_eq!(ask(&service, PATH, &board, Some(by_board)).await.status(), StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn everything_wrong_with_a_report_is_named_by_its_field() {
    let (state, service) = with_an_item().await;
    let engineer = key(&state, Role::Engineer, None).await;
    let fields = |problem: &Value| -> Vec<String> {
        let all = problem["problems"].as_array().unwrap();
        all.iter().map(|one| one["field"].as_str().unwrap().to_owned()).collect()
    };
    let empty = ask(&service, PATH, &engineer, Some(made!({ "unit": "COVE-2", "worn_weeks": 9000 }))).await;
    assert_eq!(empty.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let named = fields(&json(empty).await);
    for field in ["client_key", "item_part_no", "narrative", "harm", "worn_weeks"] {
        assert!(named.contains(&field.to_owned()), "{field} is not among {named:?}");
    }
    let mut unknown = report("torn-zip-1");
    (unknown["unit"], unknown["item_part_no"]) = ("NOWHERE".into(), "RC-999".into());
    let unknown = json(ask(&service, PATH, &engineer, Some(unknown)).await).await;
    assert_eq!(fields(&unknown), ["item_part_no", "unit"]);
    let mut on_a_part = report("torn-zip-1");
    (on_a_part["unit"], on_a_part["item_part_no"]) = ("COVE-2".into(), "RC-131".into());
    let on_a_part = ask(&service, PATH, &engineer, Some(on_a_part)).await;
    assert_eq!(on_a_part.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(fields(&json(on_a_part).await), ["item_part_no"]);
    let no_unit = json(ask(&service, PATH, &engineer, Some(report("torn-zip-1"))).await).await;
    assert_eq!(fields(&no_unit), ["unit"]);
    let mut unknown_part = report("torn-zip-1");
    (unknown_part["unit"], unknown_part["part_no"]) = ("COVE-2".into(), "RC-999".into());
    let unknown_part = ask(&service, PATH, &engineer, Some(unknown_part)).await;
    assert_eq!(unknown_part.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(fields(&json(unknown_part).await), ["part_no"]);
    for (field, value) in [
        ("narrative", made!("\u{0}\u{7}")),
        ("narrative", made!("\u{200b}\u{200b}")),
        ("worn_weeks", made!("long")),
        ("relevant", made!(true)),
        ("found_on", made!("")),
        ("found_when", made!("")),
        ("harm", made!("none ")),
    ] {
        let mut wrong = report("torn-zip-1");
        wrong["unit"] = "COVE-2".into();
        wrong[field] = value;
        let wrong = ask(&service, PATH, &engineer, Some(wrong)).await;
        assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(fields(&json(wrong).await), [field]);
    }
    assert_eq!(state.store().count_waiting_reports().await.unwrap(), 0);
}

async fn send(service: &Router, path: &str, key: &str, kind: &str, bytes: Vec<u8>) -> Response {
    let request = Request::post(path)
        .header(header::AUTHORIZATION, format!("Bearer {key}"))
        .header(header::CONTENT_TYPE, kind)
        // A browser's page of another site may not act for a reader; a key is nobody's cookie.
        .header("sec-fetch-site", "cross-site")
        .body(Body::from(bytes));
    service.clone().oneshot(request.unwrap()).await.unwrap()
}

fn picture(shade: u8) -> Vec<u8> {
    let mut png = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_pixel(40, 30, image::Rgb([shade, 90, 90]));
    image::DynamicImage::from(picture).write_to(&mut png, image::ImageFormat::Png).unwrap();
    png.into_inner()
}

#[tokio::test]
async fn photographs_follow_a_report_six_at_most_and_each_once() {
    let (state, service) = with_an_item().await;
    let unit = key(&state, Role::UnitReporter, Some("COVE-2")).await;
    let sent = json(ask(&service, PATH, &unit, Some(report("torn-zip-1"))).await).await;
    let path = format!("{PATH}/{}/photos", sent["report_ref"].as_str().unwrap());
    for shade in 0..6 {
        let kept = send(&service, &path, &unit, "image/png", picture(shade * 40)).await;
        assert_eq!(kept.status(), StatusCode::CREATED);
        assert_eq!(json(kept).await["width"], 40);
    }
    assert_eq!(send(&service, &path, &unit, "image/png", picture(0)).await.status(), StatusCode::OK);
    let seventh = send(&service, &path, &unit, "image/png", picture(250)).await;
    assert_eq!(json(seventh).await["problems"][0]["field"], "photo");
    let damaged = send(&service, &path, &unit, "image/jpeg", b"torn".to_vec()).await;
    assert_eq!(damaged.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let no_picture = send(&service, &path, &unit, "text/plain", b"torn".to_vec()).await;
    assert_eq!(no_picture.status(), StatusCode::UNSUPPORTED_MEDIA_TYPE);
    let place = path.trim_end_matches("/photos");
    assert_eq!(json(ask(&service, place, &unit, None).await).await["photos"], 6);
}

#[tokio::test]
async fn a_body_too_large_is_refused_as_a_problem() {
    let (state, service) = with_an_item().await;
    let unit = key(&state, Role::UnitReporter, Some("COVE-2")).await;
    let large = send(&service, PATH, &unit, "application/json", vec![b' '; 300 * 1024]).await;
    assert_eq!(large.status(), StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(json(large).await["status"], 413);
    let garbled = send(&service, PATH, &unit, "application/json", b"{".to_vec()).await;
    assert_eq!(garbled.status(), StatusCode::BAD_REQUEST);
    let form = send(&service, PATH, &unit, "application/x-www-form-urlencoded", b"a=b".to_vec()).await;
    assert_eq!(form.status(), StatusCode::UNSUPPORTED_MEDIA_TYPE);
}
