//! A list from the file to its receipts and back, through the whole service.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, Response, StatusCode, header};
use domain::permission::Role;
use store::Page;
use tower::ServiceExt as _;

use crate::testing::books::signed_in;
use crate::testing::{get, post, service, small_books, state, text};

const LIST: &str = "Date;Article;Injury?;Description of defect;Lot no;Colour\n\
                    03/04/2025;RC-100;none;\"zip split; on the ladder\";TB-1;red\n\
                    05/04/2025;RC-100;Near miss;\"=HYPERLINK(\"\"x\"\")\";;\n\
                    06/04/2025;RC-999;perhaps;tube came out;;\n";
const CHOSEN: &str = "chosen=yes&c0=found_on&c1=item&c2=harm&c3=story&c4=lot_text&c5=";

async fn arrive(service: &Router, cookie: &str, name: &str, bytes: &[u8]) -> Response<Body> {
    let mut body = format!(
        "--b\r\nContent-Disposition: form-data; name=\"list\"; filename=\"{name}\"\r\n\
         Content-Type: application/octet-stream\r\n\r\n"
    )
    .into_bytes();
    body.extend_from_slice(bytes);
    body.extend_from_slice(b"\r\n--b--\r\n");
    let request = Request::post("/reports/upload")
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=b")
        .body(Body::from(body))
        .unwrap();
    service.clone().oneshot(request).await.unwrap()
}

fn led_to(response: &Response<Body>) -> String {
    assert_eq!(response.status(), StatusCode::SEE_OTHER);
    response.headers()[header::LOCATION].to_str().unwrap().to_owned()
}

fn seen(page: &str) -> String {
    page.split("name=\"seen\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned()
}

/// One date can only be meant day first, so that the page asks for no order, and its form sends none.
#[tokio::test]
async fn a_list_whose_dates_tell_their_order_is_sent_with_what_its_page_has() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let list = LIST.replace("05/04/2025", "31/03/2025");
    let waiting = led_to(&arrive(&service, &tarn, "march.csv", list.as_bytes()).await);
    let page = text(get(&service, &waiting, &tarn).await).await;
    assert!(!page.contains("Which comes first?") && page.contains("Send 2 reports"), "{page}");
    let looked = text(get(&service, &format!("{waiting}?{CHOSEN}"), &tarn).await).await;
    assert!(looked.contains("31 Mar 2025") && looked.contains("Send 2 reports"), "{looked}");
    let sheet = led_to(&post(&service, &waiting, &tarn, &format!("{CHOSEN}&seen={}", seen(&page))).await);
    assert!(text(get(&service, &sheet, &tarn).await).await.contains("2 reports were sent on"));
}

#[tokio::test]
async fn a_list_is_matched_looked_at_sent_once_and_remembered() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;

    let waiting = led_to(&arrive(&service, &tarn, "C:\\lists\\march.csv", LIST.as_bytes()).await);
    let proposed = text(get(&service, &waiting, &tarn).await).await;
    for words in [
        r#"<option value="found_on" selected>"#,
        r#"<option value="item" selected>"#,
        r#"<option value="harm" selected>"#,
        r#"<option value="story" selected>"#,
        r#"<option value="lot_text" selected>"#,
        "Which comes first?",
        "Say which comes first in the dates, day or month.",
        "march.csv",
    ] {
        assert!(proposed.contains(words), "{words} is missing in {proposed}");
    }
    assert!(
        !proposed.contains("lists\\march") && !proposed.contains("value=\"unit\""),
        "a unit's list is its own"
    );

    let looked = text(get(&service, &format!("{waiting}?{CHOSEN}&order=day+first"), &tarn).await).await;
    for words in [
        "Send 2 reports and leave the rest out",
        "3 Apr 2025",
        "Expected one of none, near miss, injury.",
        "There is no such item; expected one of RC-100",
        "Injury?",
    ] {
        assert!(looked.contains(words), "{words} is missing in {looked}");
    }
    let form = format!("{CHOSEN}&order=day+first&seen={}", seen(&looked));
    let changed = post(&service, &waiting, &tarn, &form.replace("c5=", "c5=size")).await;
    assert_eq!(changed.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(changed).await.contains("You changed what the columns mean"));

    let sheet = led_to(&post(&service, &waiting, &tarn, &form).await);
    let page = text(get(&service, &sheet, &tarn).await).await;
    assert!(page.contains("2 reports were sent on") && page.contains("1 row was left out."), "{page}");
    let again = post(&service, &waiting, &tarn, &form).await;
    assert_eq!(again.status(), StatusCode::NOT_FOUND, "a second press sends nothing");
    assert_eq!(state.store().list_uploads(None, Page::first(9)).await.unwrap().len(), 1);
    let file = state.store().find_upload(1).await.unwrap().unwrap();
    let report = &file.reports[0].report;
    assert_eq!((report.unit.as_str(), report.found_on.to_string().as_str()), ("COVE-2", "2025-04-03"));
    assert_eq!(report.narrative.as_deref(), Some("zip split; on the ladder"));
    let receipt = text(get(&service, &format!("/reports/{}", report.report_ref), &tarn).await).await;
    assert!(receipt.contains("It has arrived"), "{receipt}");
    let receipts = text(get(&service, &format!("{sheet}/receipts.csv"), &tarn).await).await;
    assert!(receipts.contains("\"'=HYPERLINK(\"\"x\"\")\""), "a formula stays text: {receipts}");

    // The same file once more: told, proposed as chosen, and nothing goes twice.
    let waiting = led_to(&arrive(&service, &tarn, "march.csv", LIST.as_bytes()).await);
    let page = text(get(&service, &waiting, &tarn).await).await;
    assert!(page.contains("This same file was sent on 3 Mar 2026: 2 reports"), "{page}");
    assert!(page.contains("Send 2 reports"), "the order of dates is remembered: {page}");
    let form = format!("{CHOSEN}&order=day+first&seen={}", seen(&page));
    let nothing = post(&service, &waiting, &tarn, &form).await;
    assert_eq!(nothing.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(nothing).await.contains("every row of it was sent before".split_at(1).1));

    // Another unit sees neither the list nor what waits.
    let ridge = signed_in(&state, &service, "ridge", Role::UnitReporter, Some("STORE")).await;
    assert_eq!(get(&service, &sheet, &ridge).await.status(), StatusCode::NOT_FOUND);
    assert_eq!(get(&service, &waiting, &ridge).await.status(), StatusCode::NOT_FOUND);
    assert_eq!(led_to(&post(&service, &format!("{waiting}/forget"), &tarn, "").await), "/reports/upload");
    assert_eq!(get(&service, &waiting, &tarn).await.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_long_list_is_opened_as_it_was_sent_and_the_row_left_out_is_named() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let row = |line: u32| {
        let item = if line == 437 { "RC-999" } else { "RC-100" };
        format!("13/03/2025;{item};none;story {line} ends;;\n")
    };
    let rows: Vec<String> = (2..=602).map(row).collect();
    let list = format!("Date;Article;Injury?;Description of defect;Lot no;Colour\n{}", rows.concat());
    let waiting = led_to(&arrive(&service, &tarn, "year.csv", list.as_bytes()).await);
    let looked = text(get(&service, &format!("{waiting}?{CHOSEN}&order=day+first"), &tarn).await).await;
    for words in
        ["Send 600 reports and leave the rest out", "Row 437</th>", "RC-999", "There is no such item"]
    {
        assert!(looked.contains(words), "{words} is missing in {looked}");
    }
    let form = format!("{CHOSEN}&order=day+first&seen={}", seen(&looked));
    let sheet = led_to(&post(&service, &waiting, &tarn, &form).await);
    let page = text(get(&service, &sheet, &tarn).await).await;
    assert!(page.contains("600 reports were sent on") && page.contains("1 row was left out."), "{page}");
    let shown: Vec<&str> = page
        .split("<td class=\"telling\">story ")
        .skip(1)
        .filter_map(|rest| rest.split(' ').next())
        .collect();
    let sent: Vec<String> = (2..=602).filter(|line| *line != 437).map(|line| line.to_string()).collect();
    assert_eq!(shown, sent);
}

#[tokio::test]
async fn a_mistaken_list_is_taken_back_and_its_receipts_say_so() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let skerry = signed_in(&state, &service, "skerry", Role::Board, None).await;
    let waiting = led_to(&arrive(&service, &tarn, "march.csv", LIST.as_bytes()).await);
    let looked = text(get(&service, &format!("{waiting}?{CHOSEN}&order=day+first"), &tarn).await).await;
    let form = format!("{CHOSEN}&order=day+first&seen={}", seen(&looked));
    let sheet = led_to(&post(&service, &waiting, &tarn, &form).await);

    let without = post(&service, &format!("{sheet}/withdraw"), &tarn, "why=").await;
    assert_eq!(without.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(without).await.contains("Say why it is taken back."));
    let refused = post(&service, &format!("{sheet}/withdraw"), &skerry, "why=mine").await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let back = post(&service, &format!("{sheet}/withdraw"), &tarn, "why=the+wrong+file").await;
    assert_eq!(led_to(&back), sheet);
    let page = text(get(&service, &sheet, &tarn).await).await;
    assert!(page.contains("Taken back on") && page.contains("The wrong file."), "{page}");
    let file = state.store().find_upload(1).await.unwrap().unwrap();
    let address = format!("/reports/{}", file.reports[0].report.report_ref);
    let receipt = text(get(&service, &address, &tarn).await).await;
    assert!(receipt.contains("It was taken back on") && receipt.contains("The wrong file."), "{receipt}");
}

/// Sends a list as its sender would who says what its columns mean, looks, and sends.
async fn send(service: &Router, cookie: &str, list: &str, unit: &str) -> Response<Body> {
    let waiting = led_to(&arrive(service, cookie, "march.csv", list.as_bytes()).await);
    let form = format!("{CHOSEN}&order=day+first&unit={unit}");
    let looked = text(get(service, &format!("{waiting}?{form}"), cookie).await).await;
    post(service, &waiting, cookie, &format!("{form}&seen={}", seen(&looked))).await
}

#[tokio::test]
async fn a_row_is_kept_once_whoever_sends_the_list() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let rime = signed_in(&state, &service, "rime", Role::Engineer, None).await;
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let ridge = signed_in(&state, &service, "ridge", Role::UnitReporter, Some("STORE")).await;
    let waiting = state.store().count_waiting_reports().await.unwrap();
    led_to(&send(&service, &fell, LIST, "COVE-2").await);

    // The same file by her successor and by the unit itself.
    let nothing = send(&service, &rime, LIST, "COVE-2").await;
    assert_eq!(nothing.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(nothing).await;
    assert!(page.contains("very row of it was sent before"), "{page}");
    assert!(page.contains("This same file was sent on 3 Mar 2026: 2 reports"), "{page}");
    assert!(page.contains("href=\"/reports/upload/1\""), "{page}");
    let nothing = send(&service, &tarn, LIST, "").await;
    assert_eq!(nothing.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(nothing).await;
    assert!(page.contains("This same file was sent on 3 Mar 2026 by somebody else."), "{page}");
    assert!(!page.contains("See what was sent"), "an engineer's list is not the unit's to read: {page}");
    assert_eq!(state.store().count_waiting_reports().await.unwrap(), waiting + 2);

    // Next month's list holds the old rows and one more.
    let grown = format!("{LIST}07/04/2025;RC-100;none;strap torn;;\n");
    let sheet = led_to(&send(&service, &tarn, &grown, "").await);
    let page = text(get(&service, &sheet, &tarn).await).await;
    assert!(page.contains("1 report was sent on") && page.contains("2 rows had been sent before"), "{page}");
    assert_eq!(state.store().count_waiting_reports().await.unwrap(), waiting + 3);

    // Another unit's rows are of other failures, whatever they say.
    led_to(&send(&service, &ridge, LIST, "").await);
    assert_eq!(state.store().count_waiting_reports().await.unwrap(), waiting + 5);

    // What was taken back may be sent again, by anybody.
    led_to(&post(&service, "/reports/upload/1/withdraw", &fell, "why=the+wrong+unit").await);
    led_to(&send(&service, &tarn, LIST, "").await);
    assert_eq!(state.store().count_waiting_reports().await.unwrap(), waiting + 5);
}

#[tokio::test]
async fn an_engineer_says_the_unit_and_a_board_member_sends_nothing() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let skerry = signed_in(&state, &service, "skerry", Role::Board, None).await;
    assert_eq!(get(&service, "/reports/upload", &skerry).await.status(), StatusCode::FORBIDDEN);
    let waiting = led_to(&arrive(&service, &fell, "march.csv", LIST.as_bytes()).await);
    let without = text(get(&service, &format!("{waiting}?{CHOSEN}&order=day+first"), &fell).await).await;
    assert!(without.contains("No unit is named.") && without.contains("No row can be read yet"), "{without}");
    let looked =
        text(get(&service, &format!("{waiting}?{CHOSEN}&order=day+first&unit=COVE-2"), &fell).await).await;
    let form = format!("{CHOSEN}&order=day+first&unit=COVE-2&seen={}", seen(&looked));
    let sheet = led_to(&post(&service, &waiting, &fell, &form).await);
    assert_eq!(state.store().find_upload(1).await.unwrap().unwrap().upload.sender, "user 1");
    assert!(text(get(&service, "/reports/upload", &fell).await).await.contains(&sheet));
}

#[tokio::test]
async fn a_file_that_is_no_list_is_refused_in_words() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    for (bytes, words) in [
        (&b""[..], "is empty. Nothing was kept."),
        (b"PK\x03\x04 and then nothing", "is no workbook that can be read"),
        (&vec![b'x'; crate::upload::LARGEST_FILE + 1], "larger than the 8 MB"),
        (&vec![b'x'; crate::upload::LARGEST_FILE * 3], "larger than the 8 MB"),
    ] {
        let refused = arrive(&service, &tarn, "<b>.csv", bytes).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        assert!(page.contains(words) && !page.contains("<b>.csv"), "{words}: {page}");
    }
}
