//! Who reads which report, and what engineers, board and unit see of one.

use axum::http::StatusCode;
use domain::permission::{Actor, Role};

use crate::testing::books::signed_in;
use crate::testing::{get, post, service, small_books, state, text};

#[tokio::test]
async fn engineers_and_board_read_the_record_and_a_unit_its_own_in_plain_words() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
    let skerry = signed_in(&state, &service, "skerry", Role::Board, None).await;
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let ridge = signed_in(&state, &service, "ridge", Role::UnitReporter, Some("STORE")).await;
    let holm = signed_in(&state, &service, "holm", Role::Administrator, None).await;

    let record = text(get(&service, "/reports/R-1", &fell).await).await;
    for words in [
        "zip split &lt;on&gt; the ladder",
        "near miss",
        "ZIP-1",
        r#"href="/recurrences/RC-131/ZIP-1""#,
        r#"href="/changes/CH-1""#,
        r#"href="/sorting/R-1""#,
        "Nothing was written",
    ] {
        assert_eq!(record.contains(words), words != "Nothing was written", "{words}: {record}");
    }
    let read = text(get(&service, "/reports/R-1", &skerry).await).await;
    assert!(read.contains("zip split") && !read.contains("/sorting/"), "{read}");
    let own = text(get(&service, "/reports/R-1", &tarn).await).await;
    assert!(own.contains("What became of it") && !own.contains("recurrence"), "{own}");
    for (address, sid) in [("/reports/R-1", &ridge), ("/reports/R-1", &holm), ("/reports/NONE", &ridge)] {
        assert_eq!(get(&service, address, sid).await.status(), StatusCode::FORBIDDEN);
    }
    assert_eq!(get(&service, "/reports/NONE", &fell).await.status(), StatusCode::NOT_FOUND);
    let looked_up = get(&service, "/reports?code=+r-1+", &fell).await;
    assert_eq!(looked_up.headers()["location"], "/reports/R-1");
    for (address, sid, status) in [
        ("/reports?code=none", &fell, StatusCode::NOT_FOUND),
        ("/reports", &fell, StatusCode::NOT_FOUND),
        ("/reports?code=R-1", &ridge, StatusCode::FORBIDDEN),
    ] {
        assert_eq!(get(&service, address, sid).await.status(), status, "{address}");
    }
    assert_eq!(get(&service, "/reports/R-1/photo/1", &ridge).await.status(), StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_unit_answers_a_question_on_its_own_report_only() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
    let ridge = signed_in(&state, &service, "ridge", Role::UnitReporter, Some("STORE")).await;
    let id = state.store().ask(&Actor::Program, state.now(), "R-2", "Which side?").await.unwrap();
    let address = format!("/reports/R-2/question/{id}");
    assert_eq!(post(&service, &address, &ridge, "answer=left").await.status(), StatusCode::FORBIDDEN);
    assert_eq!(post(&service, &address, &tarn, "answer=left").await.status(), StatusCode::SEE_OTHER);
    let question = state.store().find_question(id).await.unwrap().unwrap();
    assert_eq!(question.answer.as_deref(), Some("left"));
}

#[tokio::test]
async fn a_recurrence_shows_the_words_of_its_reporters_to_those_who_may_read_them() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let service = service(&state);
    let skerry = signed_in(&state, &service, "skerry", Role::Board, None).await;
    let holm = signed_in(&state, &service, "holm", Role::Administrator, None).await;
    let page = text(get(&service, "/recurrences/RC-131/ZIP-1", &skerry).await).await;
    let places: Vec<_> = ["zip burst", "zip open again", "zip split"].map(|words| page.find(words)).into();
    assert!(places.iter().all(Option::is_some) && places.is_sorted(), "newest first: {places:?}");
    assert!(page.contains(r#"href="/reports/R-1""#) && page.contains("CH-1 &#x3D;Coated slider</a>, cut in"));
    let all = text(get(&service, "/recurrences/RC-131/ZIP-1/reports", &skerry).await).await;
    assert!(all.contains("1 to 3 of 3 reports") && all.contains("zip split &lt;on&gt;"), "{all}");
    let hidden = text(get(&service, "/recurrences/RC-131/ZIP-1", &holm).await).await;
    assert!(hidden.contains("Lots") && !hidden.contains("zip burst"));
    let refused = get(&service, "/recurrences/RC-131/ZIP-1/reports", &holm).await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    let far = get(&service, "/recurrences/RC-131/ZIP-1/reports?page=18446744073709551615", &skerry).await;
    assert_eq!(far.status(), StatusCode::OK);
}
