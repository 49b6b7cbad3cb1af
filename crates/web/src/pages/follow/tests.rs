//! What a unit reads of its report, from its arrival to the change that cures it.

use axum::http::StatusCode;
use chrono::NaiveDate;
use domain::change_record::Disposition;
use domain::class::Class;
use domain::handling::Sorting;
use domain::permission::{Actor, Role};
use domain::report::{Harm, LotKnown, Report};
use store::{IntakeFacts, NewChange, NewDecision};

use crate::secrets::Token;
use crate::state::AppState;
use crate::testing::{cookie, get, person, post, service, small_books, state, text};

/// Words that only engineers use.
const INTERNAL: [&str; 8] =
    ["recurrence", "cut-in", "cut in", "chargeable", "retrofit", "exposure", "effectivity", "disposition"];

fn report(lot_text: Option<&str>) -> Report {
    let day = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    Report {
        lot_text: lot_text.map(Into::into),
        lot_known: lot_text.map(|_| LotKnown::Read),
        narrative: Some("zip <split> again".into()),
        harm: Some(Harm::None),
        ..Report::bare("K7M4-RT9X", day, "COVE-2", "RC-100")
    }
}

async fn sent(state: &AppState, lot_text: Option<&str>) -> Token {
    send(state, &report(lot_text)).await
}

async fn send(state: &AppState, report: &Report) -> Token {
    let opens = state.secrets().token();
    let facts = IntakeFacts {
        receipt_code: "K7M4-RT9X".into(),
        client_key: state.secrets().token().digest(),
        secret_hash: opens.digest(),
        unit_link_id: None,
        altered_by: None,
        contact: None,
        alarm: None,
    };
    let unit = Actor::UnitLink { unit: "COVE-2".into() };
    state.store().send_report(&unit, state.now(), report, &facts, &[]).await.unwrap();
    opens
}

async fn engineer(state: &AppState) -> Actor {
    let id = person(state, "fell", Role::Engineer, "seven dry karabiners").await;
    state.store().find_user(id).await.unwrap().unwrap().actor()
}

async fn sort(state: &AppState, by: &Actor, relevant: bool) {
    let sorting = Sorting {
        part_no: "RC-131".into(),
        mode: "ZIP-1".into(),
        lot_no: None,
        relevant,
        relevant_reason: (!relevant).then(|| "an accident".into()),
        chargeable: relevant,
        chargeable_reason: None,
        cause: None,
    };
    state.store().sort_report(by, state.now(), ("K7M4-RT9X", None), &sorting).await.unwrap();
}

async fn page(state: &AppState, opens: &Token) -> String {
    let page = text(get(&service(state), &format!("/follow/{}", opens.as_str()), "").await).await;
    let said = page.to_lowercase();
    for word in INTERNAL {
        assert!(!said.contains(word), "`{word}` is an engineer's word: {page}");
    }
    assert!(page.contains("zip &lt;split&gt; again") && page.contains("K7M4-RT9X"), "{page}");
    page
}

#[tokio::test]
async fn the_sender_reads_each_step_up_to_the_approved_change() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let (opens, fell) = (sent(&state, Some("TB-0418")).await, engineer(&state).await);
    assert!(page(&state, &opens).await.contains("Nobody has looked at it yet."));

    sort(&state, &fell, true).await;
    let sorted = page(&state, &opens).await;
    for words in [
        "took it for this: front slide fastener, ",
        "It is one of 4 reports of the same thing.",
        "A change to the front slide fastener was drafted: &#x3D;Coated slider.",
        "1 Sep 2025",
        "New items are built to it, from lot TB-0501 on.",
        // No other lot of its revision is there to compare it with.
        "It is too early to say whether lot TB-0418, which your item is of, stands out",
        "Lot TB-0418 was made before the change.",
    ] {
        assert!(sorted.contains(words), "{words}: {sorted}");
    }

    let new = NewChange {
        title: "Wider slider".into(),
        part_no: "RC-131".into(),
        from_revision: "B".into(),
        to_revision: "C".into(),
        modes: vec!["ZIP-1".into()],
        recurrence: Some(("RC-131".into(), "ZIP-1".into())),
        problem: "It splits.".into(),
    };
    let store = state.store();
    let no = store.draft_change(&fell, state.now(), &new).await.unwrap();
    let drafted = page(&state, &opens).await;
    assert!(drafted.contains("was drafted: Wider slider.") && !drafted.contains("put before the board"));
    store.submit_change(&fell, state.now(), &no, 1, Class::One, None).await.unwrap();
    let submitted = page(&state, &opens).await;
    assert!(submitted.contains("put before the board") && !submitted.contains("approved"), "{submitted}");
    let decision = NewDecision {
        disposition: Disposition::Approve,
        reason: "enough shown".into(),
        conditions: None,
        signature: "Jon Skerry".into(),
    };
    let basis = store::Basis {
        shown: store::Shown { version: 2, evidence: None },
        evidence: store::NewEvidence { occasion: "approve".into(), document: "{}".into() },
        plan: domain::proof_plan::ProofPlan::default(),
        planned: None,
    };
    store.decide_change(&Actor::Program, state.now(), &no, &decision, &basis).await.unwrap();
    assert!(page(&state, &opens).await.contains("3 Mar 2026</b> The board approved it."));
}

#[tokio::test]
async fn a_report_that_does_not_count_says_why_and_nothing_of_changes() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let (opens, fell) = (sent(&state, None).await, engineer(&state).await);
    sort(&state, &fell, false).await;
    let page = page(&state, &opens).await;
    assert!(page.contains("isn&#x27;t counted as a failure of the equipment: an accident."), "{page}");
    assert!(!page.contains("A change to") && !page.contains("Is your lot affected?"), "{page}");
}

/// What the receipt of a load pack says, its label read as given, while one lot of fasteners must not be used.
async fn pack_receipt(lot_text: Option<&str>, sorted: bool) -> String {
    let state = state().await;
    small_books::bring_in(&state).await;
    small_books::bring_in_packs(&state).await;
    let fell = engineer(&state).await;
    let service = service(&state);
    let sid = cookie(&post(&service, "/sign-in", "", "name=fell&password=seven+dry+karabiners").await);
    let given = post(&service, "/instructions/new", &sid, small_books::STOP_FASTENER).await;
    assert_eq!(given.status(), StatusCode::SEE_OTHER);
    let opens = send(&state, &Report { item_part_no: "LP-200".into(), ..report(lot_text) }).await;
    if sorted {
        sort(&state, &fell, true).await;
    }
    page(&state, &opens).await
}

#[tokio::test]
async fn an_order_is_the_readers_own_only_where_the_label_says_so() {
    let own = pack_receipt(Some("KL-7"), false).await;
    assert!(own.contains("<b>Stop using it</b> Load pack, LP-200, lot KL-7: Hand it in."), "{own}");
    let sound = pack_receipt(Some("KL-8"), false).await;
    assert!(!sound.to_lowercase().contains("stop using it"), "{sound}");
    let unread = pack_receipt(None, false).await;
    let only_if = "<b>If your label says KL-7: stop using it</b> Load pack, LP-200: Hand it in.";
    assert!(unread.contains(only_if) && !unread.contains("<b>Stop using it</b>"), "{unread}");
    let strange = pack_receipt(Some("SO26-9999"), false).await;
    assert!(strange.contains(only_if) && strange.contains("No lot SO26-9999 is known here."), "{strange}");
}

#[tokio::test]
async fn a_lot_of_another_item_is_not_taken_for_the_readers() {
    let page = pack_receipt(Some("TB-0418"), true).await;
    assert!(page.contains("Lot TB-0418 is of something else (rescue carrier)"), "{page}");
    assert!(!page.contains("which your item is of") && !page.contains("Lot TB-0418 was made"), "{page}");
    assert!(page.contains("If your label says KL-7: stop using it"), "{page}");
    // Whoever read the fastener's own label holds what the order is about.
    let part = pack_receipt(Some("SO-155"), true).await;
    assert!(part.contains("<b>Stop using it</b> Front slide fastener, RC-131, lot SO-155"), "{part}");
}

#[tokio::test]
async fn an_unread_label_is_said_to_tell_nothing_of_the_lot() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let (opens, fell) = (sent(&state, None).await, engineer(&state).await);
    sort(&state, &fell, true).await;
    assert!(page(&state, &opens).await.contains("Nobody could tell the lot of your item"));
}

#[tokio::test]
async fn a_report_whose_sorting_was_taken_back_after_its_answer_was_looked_at() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let (opens, fell) = (sent(&state, Some("TB-0418")).await, engineer(&state).await);
    sort(&state, &fell, true).await;
    state.store().answer_report(&fell, state.now(), ("K7M4-RT9X", None), "Hand it in.").await.unwrap();
    state.store().undo_sorting(&fell, state.now(), ("K7M4-RT9X", None)).await.unwrap();
    let page = page(&state, &opens).await;
    assert!(page.contains("nothing is decided yet") && !page.contains("Nobody has looked at it"), "{page}");
}

#[tokio::test]
async fn a_receipt_is_there_before_the_books_were_read() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let (opens, fell) = (sent(&state, Some("TB-0418")).await, engineer(&state).await);
    let reading = state.hold_the_books().await;
    let early = page(&state, &opens).await;
    assert!(early.contains("Take a damaged") && early.contains("Nobody has looked at it yet."), "{early}");

    sort(&state, &fell, true).await;
    let later = "stands here in a moment";
    assert!(page(&state, &opens).await.contains(later));
    drop(reading);
    state.picture().await.unwrap();
    let whole = page(&state, &opens).await;
    assert!(whole.contains("took it for this") && !whole.contains(later), "{whole}");
}

#[tokio::test]
async fn an_answer_that_is_too_long_comes_back_and_two_taps_answer_once() {
    let state = state().await;
    small_books::bring_in(&state).await;
    let opens = sent(&state, None).await;
    let id = state.store().ask(&Actor::Program, state.now(), "K7M4-RT9X", "Which side?").await.unwrap();
    let service = service(&state);
    let receipt = format!("/follow/{}", opens.as_str());
    let answer = async |words: &str| {
        let form = format!("answer={words}");
        post(&service, &format!("{receipt}/question/{id}"), "language=de", &form).await
    };
    let long = "x".repeat(4_001);
    for words in [long.as_str(), "+"] {
        let refused = answer(words).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        assert!(page.contains(&format!("{}</textarea>", words.replace('+', " "))), "{page}");
        assert!(page.contains(r##"<a href="#answer-0">Schreiben Sie eine Antwort"##), "{page}");
        assert!(
            page.contains(r#"id="answer-0" name="answer""#) && page.contains("answer-0-problem"),
            "{page}"
        );
    }
    for _tap in 0..2 {
        assert_eq!(answer("The+left.").await.headers()["location"], receipt.as_str());
    }
    let other = answer("The+right.").await;
    assert_eq!(other.status(), StatusCode::CONFLICT);
    let page = text(other).await;
    for said in ["The left.", "The right.", "Diese Frage ist schon beantwortet"] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let kept = state.store().find_question(id).await.unwrap().unwrap();
    assert_eq!(kept.answer.as_deref(), Some("The left."));
}
