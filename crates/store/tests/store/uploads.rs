//! Lists of failures: kept as one, never twice, and taken back as one until somebody has sorted of them.

use std::collections::BTreeSet;

use domain::handling::ReportState;
use domain::permission::{Actor, Role};
use store::{JournalFilter, NewUpload, NewUploadRow, Page, Store, StoreError};

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::{bring_in, sorting};
use crate::samples::{at, somebody};

fn tarn() -> Actor {
    Actor::UnitLink { unit: "COVE-2".into() }
}

fn list(key: &str) -> NewUpload {
    NewUpload {
        key: key.into(),
        sender: "unit COVE-2".into(),
        sha256: "of the file".into(),
        file_name: "march.csv".into(),
        refused: 1,
    }
}

fn rows(keys: &[&str]) -> Vec<NewUploadRow> {
    let row = |(line, key): (usize, &&str)| NewUploadRow {
        line: line as u64 + 2,
        report: bare_report(""),
        client_key: (*key).into(),
        secret_hash: format!("{key} at {line}"),
        altered_by: None,
    };
    keys.iter().enumerate().map(row).collect()
}

async fn send(store: &Store, key: &str, keys: &[&str], prefix: &str) -> Result<i64, StoreError> {
    let mut drawn = 0;
    let mut draw = || {
        drawn += 1;
        format!("{prefix}-{drawn}")
    };
    let mut rows = rows(keys);
    for row in &mut rows {
        row.secret_hash = format!("{key} {}", row.secret_hash);
    }
    store.send_upload(&tarn(), at(1), (&list(key), rows), &mut draw).await
}

/// Rows of a long list: more than one statement names.
const LONG: u64 = 620;

/// The rows of a long list, each with a story of its own: `row 0` on line 2 and so on.
fn long() -> Vec<NewUploadRow> {
    let keys: Vec<String> = (0..LONG).map(|n| format!("row {n}")).collect();
    let mut rows = rows(&keys.iter().map(String::as_str).collect::<Vec<_>>());
    for (n, row) in rows.iter_mut().enumerate() {
        row.report.narrative = Some(format!("story {n}"));
    }
    rows
}

/// The latest acts on reports by their references, in the order they were done; all of them this act.
async fn latest(store: &Store, act: &str, count: usize) -> Vec<String> {
    let filter = JournalFilter { noun: Some("report".into()), ..JournalFilter::default() };
    let entries = store.journal(&filter, Page::first(count as u64)).await.expect("read");
    assert!(entries.iter().all(|entry| entry.act == act), "{act}");
    entries.into_iter().rev().map(|entry| entry.key).collect()
}

#[test]
fn a_long_list_arrives_and_goes_whole_and_in_its_order() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let waiting = store.count_waiting_reports().await.expect("read");
        send(store, "before", &["row 7"], "B").await.expect("sent");
        // Each tenth code is drawn again at once, as chance may have it.
        let mut drawn = 0;
        let mut draw = || {
            drawn += 1;
            format!("U-{}", drawn - drawn / 10)
        };
        let id = store.send_upload(&tarn(), at(1), (&list("long"), long()), &mut draw).await.expect("sent");
        let again = store.send_upload(&tarn(), at(2), (&list("long"), long()), &mut draw).await;
        assert_eq!(again.expect("found"), id, "a second sending finds it");

        let file = store.find_upload(id).await.expect("read").expect("there");
        assert_eq!((file.upload.reports, file.upload.sent_before), (619, 1));
        let told = |one: &store::UploadedReport| (one.line, one.report.narrative.clone());
        let sent = (0..LONG).filter(|n| *n != 7).map(|n| (n + 2, Some(format!("story {n}"))));
        assert_eq!(file.reports.iter().map(told).collect::<Vec<_>>(), sent.collect::<Vec<_>>());
        assert!(file.reports.iter().all(|one| one.state == ReportState::Received));
        let refs: Vec<String> = file.reports.iter().map(|one| one.report.report_ref.clone()).collect();
        assert_eq!(refs.iter().collect::<BTreeSet<_>>().len(), refs.len(), "each has a code of its own");
        assert_eq!(store.count_waiting_reports().await.expect("read"), waiting + LONG);
        assert_eq!(latest(store, "send", refs.len()).await, refs);
        let receipt = store.find_receipt("row 619 at 619").await.expect("read").expect("there");
        assert_eq!(Some(&receipt.report_ref), refs.last());

        store.sort_report(&fell, at(3), (refs[300].as_str(), None), &sorting(None)).await.expect("sorted");
        assert_eq!(store.withdraw_upload(&tarn(), at(4), id, "wrong file").await.expect("taken back"), 618);
        let went: Vec<String> = refs.iter().filter(|one| **one != refs[300]).cloned().collect();
        assert_eq!(latest(store, "set aside", went.len()).await, went);
        let file = store.find_upload(id).await.expect("read").expect("there");
        for one in &file.reports {
            let stays = one.report.report_ref == refs[300];
            let stands = (one.state, one.taken_back, one.report.relevant, one.report.chargeable);
            let sorted = (ReportState::Sorted, false, Some(true), Some(false));
            let gone = (ReportState::SetAside, true, Some(false), Some(false));
            assert_eq!(stands, if stays { sorted } else { gone }, "{}", one.report.report_ref);
        }
        assert_eq!(store.count_waiting_reports().await.expect("read"), waiting + 1);

        // What went may be sent again; what stayed, and what had come before, was sent already.
        let mut rows = long();
        for row in &mut rows {
            row.secret_hash.push_str(" anew");
        }
        let next = store.send_upload(&tarn(), at(5), (&list("next"), rows), &mut draw).await.expect("sent");
        let file = store.find_upload(next).await.expect("read").expect("there");
        assert_eq!((file.upload.sent_before, file.reports.len()), (2, 618));
    });
}

#[test]
fn the_first_row_of_a_long_list_that_names_nothing_is_told_and_nothing_is_kept() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let number = store.journal_number().await.expect("read");
        let mut drawn = 0;
        let mut draw = || {
            drawn += 1;
            format!("X-{drawn}")
        };
        let mut rows = long();
        rows[611].report.unit = "NOWHERE".into();
        let mut told = Vec::new();
        for at_row in [610, 509, 437, 3] {
            let report = &mut rows[at_row].report;
            match at_row {
                610 => report.part_no = Some("NO-PART".into()),
                509 => report.item_part_no = "SF-20".into(),
                437 => report.item_part_no = "NO-ITEM".into(),
                _ => report.unit = "NOBODY".into(),
            }
            let sent = store.send_upload(&tarn(), at(1), (&list("one"), rows.clone()), &mut draw).await;
            told.push(sent.expect_err("names nothing").to_string());
        }
        assert_eq!(
            told,
            [
                "there is no part `NO-PART`",
                "item_part_no: SF-20 is a part, but not an end item; expected the item it belongs to",
                "there is no part `NO-ITEM`",
                "there is no unit `NOBODY`",
            ]
        );
        // One key is one sending: a list that has it twice is a mistake.
        let mut twice = long();
        twice[500].client_key = twice[3].client_key.clone();
        let refused = store.send_upload(&tarn(), at(1), (&list("one"), twice), &mut draw).await;
        assert!(matches!(refused, Err(StoreError::Taken { noun: "receipt", .. })), "{refused:?}");
        assert_eq!(store.journal_number().await.expect("read"), number);
        assert_eq!(store.list_uploads(None, Page::first(9)).await.expect("read"), []);
    });
}

#[test]
fn a_list_for_which_no_code_is_free_is_not_kept() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let mut draw = || "U-1".to_owned();
        let one = (&list("one"), rows(&["a"]));
        store.send_upload(&tarn(), at(1), one, &mut draw).await.expect("sent");
        let two = (&list("two"), rows(&["b", "c"]));
        let refused = store.send_upload(&tarn(), at(1), two, &mut draw).await.expect_err("one code");
        assert_eq!(refused.to_string(), "there is a receipt `U-1` already");
    });
}

#[test]
fn a_list_is_kept_once_and_a_row_that_was_sent_before_is_counted() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let waiting = store.count_waiting_reports().await.expect("read");
        let first = send(store, "one", &["a", "b"], "U").await.expect("sent");
        assert_eq!(
            send(store, "one", &["a", "b"], "U").await.expect("found"),
            first,
            "a second sending finds it"
        );
        // The list has grown by a row and is sent again; one code of the first is drawn again.
        let second = send(store, "two", &["a", "b", "c"], "U").await.expect("sent");
        let file = store.find_upload(second).await.expect("read").expect("there");
        let refs: Vec<_> =
            file.reports.iter().map(|one| (one.line, one.report.report_ref.as_str())).collect();
        assert_eq!((file.upload.sent_before, file.upload.refused, refs), (2, 1, vec![(4, "U-3")]));
        assert_eq!(store.count_waiting_reports().await.expect("read"), waiting + 3);
        let nothing_new = send(store, "three", &["a", "b", "c"], "U").await;
        assert!(matches!(nothing_new, Err(StoreError::Refused(_))), "{nothing_new:?}");
        let all = store.list_uploads(Some("unit COVE-2"), Page::first(9)).await.expect("read");
        assert_eq!(all.iter().map(|one| one.id).collect::<Vec<_>>(), [second, first]);
        assert_eq!(store.list_uploads(Some("user 3"), Page::first(9)).await.expect("read"), []);
        let same = store.find_same_upload("of the file").await.expect("read");
        assert_eq!(same.map(|one| one.id), Some(second));
        let receipt = store.find_receipt_by_code("U-1").await.expect("read").expect("there");
        assert_eq!(receipt.unit, "COVE-2");
    });
}

#[test]
fn a_list_with_a_row_that_names_nothing_is_not_kept_at_all() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let waiting = store.count_waiting_reports().await.expect("read");
        let mut bad = rows(&["a", "b"]);
        bad[1].report.item_part_no = "NONE".into();
        let mut n = 0;
        let mut draw = || {
            n += 1;
            format!("X-{n}")
        };
        let refused = store.send_upload(&tarn(), at(1), (&list("one"), bad), &mut draw).await;
        assert!(matches!(refused, Err(StoreError::Missing { noun: "part", .. })), "{refused:?}");
        assert_eq!(store.count_waiting_reports().await.expect("read"), waiting);
        assert_eq!(store.list_uploads(None, Page::first(9)).await.expect("read"), []);
    });
}

#[test]
fn a_mistaken_list_goes_as_one_but_for_what_was_sorted() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let waiting = store.count_waiting_reports().await.expect("read");
        let id = send(store, "one", &["a", "b", "c"], "U").await.expect("sent");
        store.sort_report(&fell, at(2), ("U-2", None), &sorting(None)).await.expect("sorted");
        assert!(matches!(store.withdraw_upload(&tarn(), at(3), id, "  ").await, Err(StoreError::Refused(_))));
        assert_eq!(store.withdraw_upload(&tarn(), at(3), id, "wrong file").await.expect("taken back"), 2);
        let file = store.find_upload(id).await.expect("read").expect("there");
        let stand: Vec<_> = file.reports.iter().map(|one| (one.state, one.taken_back)).collect();
        let gone = (ReportState::SetAside, true);
        assert_eq!(stand, [gone, (ReportState::Sorted, false), gone]);
        assert_eq!(store.count_waiting_reports().await.expect("read"), waiting);
        let heard = store.heard_since(at(0)).await.expect("read");
        assert_eq!(heard.len(), 1, "what was taken back was not for anybody to answer: {heard:?}");
        let of = |report_ref: &'static str| async move {
            store.find_report_file(report_ref).await.expect("read").expect("there")
        };
        let (went, stayed) = (of("U-1").await, of("U-2").await);
        assert_eq!(went.report.relevant, Some(false), "it counts nowhere");
        let back = went.upload.expect("of a list").taken_back.expect("taken back");
        assert_eq!((back.by.as_str(), back.why.as_str(), back.at), ("unit COVE-2", "wrong file", at(3)));
        assert_eq!(stayed.upload.expect("of a list").taken_back, None);
        let again = store.withdraw_upload(&tarn(), at(4), id, "once more").await;
        assert!(matches!(again, Err(StoreError::Refused(_))), "{again:?}");
        // The right file may hold the same rows.
        let next = send(store, "two", &["a", "b", "d"], "V").await.expect("sent");
        let file = store.find_upload(next).await.expect("read").expect("there");
        assert_eq!((file.upload.sent_before, file.reports.len()), (1, 2));
        assert_eq!(store.find_same_upload("of the file").await.expect("read").map(|u| u.id), Some(next));
    });
}

#[test]
fn a_file_is_known_whoever_sent_it_until_it_is_taken_back() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let mut drawn = 0;
        let mut draw = || {
            drawn += 1;
            format!("U-{drawn}")
        };
        for (key, sender, row) in [("one", "user 7", "a"), ("two", "unit COVE-2", "b")] {
            let upload = NewUpload { sender: sender.into(), sha256: format!("file {key}"), ..list(key) };
            store.send_upload(&tarn(), at(1), (&upload, rows(&[row])), &mut draw).await.expect("sent");
        }
        let same = store.find_same_upload("file one").await.expect("read").expect("there");
        assert_eq!(same.sender, "user 7");
        store.withdraw_upload(&tarn(), at(2), same.id, "wrong file").await.expect("taken back");
        assert_eq!(store.find_same_upload("file one").await.expect("read"), None);
    });
}

#[test]
fn a_list_all_of_which_was_sorted_stays() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let id = send(store, "one", &["a"], "U").await.expect("sent");
        store.sort_report(&fell, at(2), ("U-1", None), &sorting(None)).await.expect("sorted");
        let refused = store.withdraw_upload(&tarn(), at(3), id, "wrong file").await;
        assert!(matches!(refused, Err(StoreError::Refused(_))), "{refused:?}");
        let missing = store.withdraw_upload(&tarn(), at(3), id + 1, "wrong file").await;
        assert!(matches!(missing, Err(StoreError::Missing { noun: "upload", .. })));
    });
}

#[test]
fn what_went_with_its_list_is_not_brought_back_by_undo_to_count_twice() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let id = send(store, "one", &["a", "b"], "U").await.expect("sent");
        store.set_aside(&fell, at(2), ("U-2", None), "no failure").await.expect("set aside");
        store.withdraw_upload(&tarn(), at(3), id, "wrong file").await.expect("taken back");
        send(store, "two", &["a"], "V").await.expect("the row is sent anew");
        let waiting = store.count_waiting_reports().await.expect("read");
        let undone = store.undo_sorting(&fell, at(4), ("U-1", None)).await;
        let Err(StoreError::Refused(refused)) = undone else { panic!("it came back: {undone:?}") };
        assert!(refused.why.starts_with(&format!("was taken back with list {id}")), "{refused}");
        assert_eq!(store.count_waiting_reports().await.expect("read"), waiting);
        let gone = store.find_report("U-1").await.expect("read").expect("there");
        assert_eq!(gone.relevant, Some(false), "it counts nowhere");
        // What an engineer had set aside stayed when the list went, and is theirs to bring back.
        assert!(store.undo_sorting(&fell, at(5), ("U-2", None)).await.expect("undone"));
    });
}
