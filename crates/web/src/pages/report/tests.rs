//! The report form, sent through the whole service.

use axum::Router;
use axum::http::StatusCode;
use domain::permission::{Actor, Role};
use domain::receipt::ReceiptCode;
use store::Page as Rows;

use super::answers::Answers;
use super::keep::{Kept, Sending, keep};
use crate::error::AppError;
use crate::secrets::Token;
use crate::state::AppState;
use crate::testing::books::{bring_in, leads_to, link, send, signed_in, three_answers};
use crate::testing::{get, service, state, text};

/// A service with books, and the address of a unit's form.
async fn at_the_form() -> (AppState, Router, String) {
    let state = state().await;
    bring_in(&state).await;
    let form = format!("/report/{}", link(&state, "COVE-2").await);
    let service = service(&state);
    (state, service, form)
}

async fn kept(state: &AppState) -> u64 {
    state.store().count_waiting_reports().await.unwrap()
}

fn with(digit: char, changed: &[(&'static str, &str)]) -> Vec<(&'static str, String)> {
    let mut answers = three_answers(digit);
    answers.retain(|(name, _)| changed.iter().all(|(other, _)| other != name));
    answers.extend(changed.iter().map(|(name, value)| (*name, (*value).to_owned())));
    answers
}

#[tokio::test]
async fn three_answers_lead_to_a_receipt_with_its_code_and_cautions() {
    let (state, service, form) = at_the_form().await;
    let page = text(get(&service, &form, "").await).await;
    assert!(page.contains("Front slide fastener") && page.contains(r#"value="M""#), "{page}");

    let sent = send(&service, &form, "", &three_answers('a'), &[]).await;
    assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    let receipt = text(get(&service, &leads_to(&sent), "").await).await;
    let line = &state.store().waiting_reports(Rows::first(2)).await.unwrap()[0];
    assert!(line.report.report_ref.parse::<ReceiptCode>().is_ok());
    assert!(receipt.contains(&line.report.report_ref) && receipt.contains("Take a damaged"), "{receipt}");
}

#[tokio::test]
async fn the_same_form_sent_twice_leads_to_the_same_receipt() {
    let (state, service, form) = at_the_form().await;
    let first = leads_to(&send(&service, &form, "", &three_answers('a'), &[]).await);
    let again = leads_to(&send(&service, &form, "", &three_answers('a'), &[]).await);
    assert_eq!((first.clone(), kept(&state).await), (again, 1));
    let other = leads_to(&send(&service, &form, "", &three_answers('b'), &[]).await);
    assert_ne!(first, other);
}

#[tokio::test]
async fn another_report_under_a_used_key_comes_back_in_a_form_that_names_the_first() {
    let (state, service, form) = at_the_form().await;
    let first = leads_to(&send(&service, &form, "", &three_answers('a'), &[]).await);
    let code = state.store().waiting_reports(Rows::first(2)).await.unwrap()[0].report.report_ref.clone();
    for other in [("story", "buckle let go"), ("harm", "injury"), ("serial", "00042")] {
        let refused = send(&service, &form, "", &with('a', &[other]), &[&png(8, 8)]).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{other:?}");
        let page = text(refused).await;
        let told = format!("its receipt is {code}");
        assert!(page.contains(&told) && page.contains("must be chosen again"), "{page}");
        assert!(!page.contains(&"a".repeat(64)), "the key is another: {page}");
        let key = page.split(r#"name="client_key" value=""#).nth(1).unwrap().split('"').next().unwrap();
        let mut answers = with('a', &[other]);
        answers.retain(|(name, _)| *name != "client_key");
        answers.push(("client_key", key.to_owned()));
        let second = leads_to(&send(&service, &form, "", &answers, &[]).await);
        assert!(second.starts_with("/follow/") && second != first, "{second}");
    }
    assert_eq!(kept(&state).await, 4);
    let again = leads_to(&send(&service, &form, "", &three_answers('a'), &[]).await);
    assert_eq!((again, kept(&state).await), (first, 4), "the same is still the same");
}

#[tokio::test]
async fn what_the_server_asks_for_is_asked_for_without_signal_too() {
    let (_, service, form) = at_the_form().await;
    let page = text(get(&service, &form, "").await).await;
    for radio in [r#"name="harm" value="none" required"#, r#"name="item" value="RC-100" required"#] {
        assert!(page.contains(radio), "{radio}: {page}");
    }
    assert!(!page.contains(r#"name="lot_known" value="read" required"#), "{page}");
}

#[tokio::test]
async fn an_empty_form_names_every_fault_and_a_wrong_one_keeps_what_was_typed() {
    let (state, service, form) = at_the_form().await;
    let empty = send(&service, &form, "", &[], &[]).await;
    assert_eq!(empty.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(empty).await;
    for field in ["story", "harm", "item"] {
        let (link, beside) = (format!(r##"href="#{field}""##), format!(r#"id="{field}-problem""#));
        assert!(page.contains(&link) && page.contains(&beside), "{field}: {page}");
    }
    assert!(!page.contains("<details class=\"more\" open"), "what is wrong stands open already");
    assert!(!page.contains("must be chosen again"), "there were no photographs: {page}");

    let wrong = with('a', &[("worn", "long"), ("part", "RC-131"), ("size", "M")]);
    let page = text(send(&service, &form, "", &wrong, &[]).await).await;
    for typed in [
        "zipper split climbing out of the boat</textarea>",
        r#"value="long""#,
        r#"<option value="RC-131" selected>"#,
        r#"<option value="M" selected>"#,
        r#"value="none" checked"#,
        "<details class=\"more\" open",
    ] {
        assert!(page.contains(typed), "{typed}: {page}");
    }
    assert!(page.contains(&"a".repeat(64)), "the key stays, so that the mended form is the same sending");
    assert_eq!(kept(&state).await, 0);
}

#[tokio::test]
async fn words_of_a_stranger_stay_words() {
    let (_, service, form) = at_the_form().await;
    let hostile = "</textarea><script>alert(1)</script>{{shell}}";
    let answers = with('a', &[("story", hostile), ("harm", "\"><b>")]);
    let refused = text(send(&service, &form, "", &answers, &[]).await).await;
    let sent = send(&service, &form, "", &with('a', &[("story", hostile)]), &[]).await;
    let receipt = text(get(&service, &leads_to(&sent), "").await).await;
    for page in [refused, receipt] {
        assert!(!page.contains("<script>") && page.contains("&lt;script&gt;"), "{page}");
        assert!(page.contains("{{shell}}"), "{page}");
    }
}

fn png(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(width, height).write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

#[tokio::test]
async fn a_file_that_is_no_picture_or_a_bomb_is_a_sentence_beside_the_field() {
    let (state, service, form) = at_the_form().await;
    let mut bomb = png(8, 8);
    bomb[16..20].copy_from_slice(&60_000_u32.to_be_bytes());
    bomb[20..24].copy_from_slice(&60_000_u32.to_be_bytes());
    // The header's checksum is mended so that the size is what refuses it.
    let checksum = crc32(&bomb[12..29]);
    bomb[29..33].copy_from_slice(&checksum.to_be_bytes());
    for (file, says) in
        [(b"it tore at the seam".as_slice(), "JPEG, PNG or WebP"), (bomb.as_slice(), "too many pixels")]
    {
        let refused = send(&service, &form, "", &three_answers('a'), &[file]).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        assert!(page.contains(says) && page.contains(r#"id="photo-problem""#), "{page}");
        assert!(page.contains("must be chosen again"), "{page}");
    }
    assert_eq!(kept(&state).await, 0);
}

fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |c, _| if c & 1 == 1 { (c >> 1) ^ 0xEDB8_8320 } else { c >> 1 })
    })
}

#[tokio::test]
async fn a_photograph_is_kept_without_what_the_camera_wrote() {
    let (state, service, form) = at_the_form().await;
    let mut plain = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(40, 20).write_to(&mut plain, image::ImageFormat::Jpeg).unwrap();
    let exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0HIDDENPLACE";
    let mut jpeg = vec![0xFF, 0xD8, 0xFF, 0xE1];
    jpeg.extend(u16::try_from(exif.len() + 2).unwrap().to_be_bytes());
    jpeg.extend(exif);
    jpeg.extend(&plain.into_inner()[2..]);

    let sent = send(&service, &form, "", &three_answers('a'), &[&jpeg]).await;
    let receipt = text(get(&service, &leads_to(&sent), "").await).await;
    let shown = receipt.split("<img src=\"").nth(1).unwrap().split('"').next().unwrap();
    let photo = get(&service, shown, "").await;
    let bytes = axum::body::to_bytes(photo.into_body(), 1 << 20).await.unwrap();
    assert!(bytes.starts_with(&[0xFF, 0xD8]) && !bytes.windows(11).any(|w| w == b"HIDDENPLACE"));
    assert_eq!(kept(&state).await, 1);
}

#[tokio::test]
async fn what_is_no_item_of_the_books_is_refused_beside_its_field_and_an_unknown_part_in_words() {
    let (state, service, form) = at_the_form().await;
    // One number that nothing has, one that a part of the item has.
    for item in ["RC-999", "RC-131"] {
        let refused = send(&service, &form, "", &with('a', &[("item", item)]), &[]).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY, "{item}");
        let page = text(refused).await;
        assert!(
            page.contains(r#"id="item-problem""#) && page.contains("Choose which item it was."),
            "{page}"
        );
    }
    for (cookie, says) in
        [("", "There is no part RC-999."), ("language=de", "Ein Teil RC-999 gibt es nicht.")]
    {
        let refused = send(&service, &form, cookie, &with('a', &[("part", "RC-999")]), &[]).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        assert!(page.contains(says) && page.contains(r#"id="part-problem""#), "{page}");
    }
    assert_eq!(kept(&state).await, 0);
}

#[tokio::test]
async fn who_is_signed_in_sends_for_their_own_unit_and_an_engineer_for_any() {
    let (state, service, _) = at_the_form().await;
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let forged = with('a', &[("unit", "RIDGE-1")]);
    assert_eq!(send(&service, "/report", &tarn, &forged, &[]).await.status(), StatusCode::SEE_OTHER);

    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    assert!(text(get(&service, "/report", &fell).await).await.contains("RIDGE-1 Ridge team"));
    let none = send(&service, "/report", &fell, &three_answers('b'), &[]).await;
    assert!(text(none).await.contains("Choose the unit it happened to."));
    let chosen = with('b', &[("unit", "RIDGE-1")]);
    assert_eq!(send(&service, "/report", &fell, &chosen, &[]).await.status(), StatusCode::SEE_OTHER);

    let lines = state.store().waiting_reports(Rows::first(9)).await.unwrap();
    let units: Vec<&str> = lines.iter().map(|line| line.report.unit.as_str()).collect();
    assert_eq!(units, ["COVE-2", "RIDGE-1"]);
}

#[tokio::test]
async fn who_may_not_send_gets_no_form() {
    let (state, service, _) = at_the_form().await;
    assert_eq!(leads_to(&get(&service, "/report", "").await), "/sign-in?back=/report");
    let board = signed_in(&state, &service, "skerry", Role::Board, None).await;
    assert_eq!(get(&service, "/report", &board).await.status(), StatusCode::FORBIDDEN);
    let sent = send(&service, "/report", &board, &three_answers('a'), &[]).await;
    assert_eq!((sent.status(), kept(&state).await), (StatusCode::FORBIDDEN, 0));
}

fn code(seed: u64) -> ReceiptCode {
    ReceiptCode::draw(&mut || seed)
}

async fn keep_under(state: &AppState, key: char, codes: &[ReceiptCode]) -> Result<Kept, AppError> {
    let answers =
        Answers { story: "split".into(), harm: "none".into(), item: "RC-100".into(), ..Answers::default() };
    let report = answers.report(crate::tongue::Tongue::ENGLISH, "", "COVE-2", state.today()).unwrap();
    let (actor, key) =
        (Actor::UnitLink { unit: "COVE-2".into() }, Token::parse(&key.to_string().repeat(64)).unwrap());
    let sending =
        Sending { by: &actor, key: &key, unit_link_id: None, altered_by: "", contact: None, photos: &[] };
    let mut codes = codes.iter().cycle().cloned();
    keep(state, report, sending, || codes.next().unwrap()).await
}

#[tokio::test]
async fn a_receipt_code_that_is_taken_is_drawn_again() {
    let (state, ..) = at_the_form().await;
    keep_under(&state, 'a', &[code(1)]).await.unwrap();
    keep_under(&state, 'b', &[code(1), code(1), code(2)]).await.unwrap();
    let second = state.store().find_receipt_by_code(code(2).as_str()).await.unwrap().unwrap();
    assert_eq!(second.report_ref, code(2).as_str());
    let given_up = keep_under(&state, 'c', &[code(1), code(2)]).await;
    assert!(matches!(given_up, Err(AppError::Inside(_))));
    assert_eq!(kept(&state).await, 2);
}

#[tokio::test]
async fn a_link_that_brings_a_flood_is_told_when_to_try_again_and_a_revoked_one_stops_at_once() {
    let (state, service, form) = at_the_form().await;
    let link = state.store().list_unit_links(Some("COVE-2")).await.unwrap().remove(0);
    while state.floods().count(link.id, state.now()).is_ok() {}
    let refused = send(&service, &form, "", &three_answers('a'), &[]).await;
    assert_eq!(refused.status(), StatusCode::TOO_MANY_REQUESTS);
    let seconds: u32 = refused.headers()["retry-after"].to_str().unwrap().parse().unwrap();
    assert!((1..=60).contains(&seconds), "{seconds}");
    let page = text(refused).await;
    assert!(
        page.contains("Very many reports have come by this link") && page.contains("wait 1 min"),
        "{page}"
    );
    assert_eq!(kept(&state).await, 0);
    assert_eq!(get(&service, &form, "").await.status(), StatusCode::OK, "reading is free");

    let other = format!("/report/{}", crate::testing::books::link(&state, "COVE-2").await);
    assert_eq!(send(&service, &other, "", &three_answers('b'), &[]).await.status(), StatusCode::SEE_OTHER);
    let second = state.store().list_unit_links(Some("COVE-2")).await.unwrap().remove(0);
    state.store().revoke_unit_link(&Actor::Program, state.now(), second.id).await.unwrap();
    assert_eq!(send(&service, &other, "", &three_answers('c'), &[]).await.status(), StatusCode::NOT_FOUND);
    assert_eq!(get(&service, &other, "").await.status(), StatusCode::NOT_FOUND);
    assert_eq!(kept(&state).await, 1);
}
