//! Reports: sent once however often, refused whole or kept whole, found again.

use std::collections::HashMap;

use domain::catalogue::Catalogue;
use domain::handling::{ReportState, Sorting};
use domain::pack::{Known, Record as _};
use domain::permission::Actor;
use domain::report::Report;
use store::{IntakeFacts, JournalFilter, NewPhoto, Page, Receipt, Store, StoreError};

use crate::database::{behind_the_back, on_both};
use crate::everything::everything;
use crate::pack::{Pack, bare_report, full_report};
use crate::samples::{at, day};

pub(crate) async fn bring_in(store: &Store, pack: &Pack) {
    let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
    pack.stage(&mut import).await.expect("staged");
    import.publish(at(0), &[]).await.expect("published");
}

pub(crate) fn facts(key: &str) -> IntakeFacts {
    IntakeFacts {
        receipt_code: format!("code {key}"),
        client_key: format!("client {key}"),
        secret_hash: format!("secret {key}"),
        unit_link_id: None,
        altered_by: Some("our own saddler".into()),
        contact: None,
        alarm: None,
    }
}

fn photo(sha256: &str) -> NewPhoto {
    NewPhoto { sha256: sha256.into(), media_type: "image/jpeg".into(), width: 1200, height: 900 }
}

pub(crate) fn cove() -> Actor {
    Actor::UnitLink { unit: "COVE-2".into() }
}

pub(crate) async fn send(store: &Store, minute: u32, report: &Report) -> Result<Receipt, StoreError> {
    store
        .send_report(&cove(), at(minute), report, &facts(&report.report_ref), &[photo("a"), photo("a")])
        .await
}

pub(crate) fn sorting(lot_no: Option<&str>) -> Sorting {
    Sorting {
        part_no: "SF-20".into(),
        mode: "ZIP-1".into(),
        lot_no: lot_no.map(Into::into),
        relevant: true,
        relevant_reason: None,
        chargeable: false,
        chargeable_reason: Some("altered by the unit".into()),
        cause: Some("sand in the chain".into()),
    }
}

#[test]
fn a_report_is_about_an_end_item_as_a_pack_asks_of_it() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let on_a_part = Report { item_part_no: "SF-20".into(), ..bare_report("N-1") };
        let refused = send(store, 1, &on_a_part).await.expect_err("a part");
        assert_eq!(
            refused.to_string(),
            "item_part_no: SF-20 is a part, but not an end item; expected the item it belongs to"
        );
        let on_nothing = Report { item_part_no: "NONE".into(), ..bare_report("N-1") };
        assert!(matches!(send(store, 1, &on_nothing).await, Err(StoreError::Missing { noun: "part", .. })));
        send(store, 2, &bare_report("N-1")).await.expect("an item");
        // What is kept can be taken in elsewhere.
        let mut known = Known::new(Catalogue::shipped());
        let books = store.books().await.expect("opened");
        books.units().await.expect("units").iter().for_each(|unit| unit.learn(&mut known));
        books.parts().await.expect("parts").iter().for_each(|part| part.learn(&mut known));
        let mut problems = Vec::new();
        let check = |report: Report| {
            report.check_references(&known, &mut problems);
            Ok::<_, StoreError>(())
        };
        books.for_each_report(false, check).await.expect("read");
        assert_eq!(problems, []);
    });
}

#[test]
fn a_recurrence_is_read_whole_however_many_reports_it_has() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let before = store.count_reports_of_recurrence("SF-20", "ZIP-1").await.expect("counted");
        // More than one query can ask for: 32,766 on SQLite, 65,535 on PostgreSQL.
        let many = if fresh.is_sqlite { 33_000 } else { 66_000 };
        let copy = format!(
            "INSERT INTO report (report_ref, found_on, received_on, unit, item_part_no, part_no, mode, harm, quantity) \
             WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < {many}) \
             SELECT 'M-' || i, found_on, received_on, unit, item_part_no, 'SF-20', 'ZIP-1', 'near_miss', 1 \
             FROM report, n WHERE report_ref = 'N-1'"
        );
        assert_eq!(behind_the_back(&fresh.url, &copy).await.expect("copied"), many);
        let handled = format!(
            "INSERT INTO report_handling (report_ref, state) VALUES ('M-1', 'asked'), ('M-{many}', 'answered')"
        );
        behind_the_back(&fresh.url, &handled).await.expect("handled");
        let count = store.count_reports_of_recurrence("SF-20", "ZIP-1").await.expect("counted");
        assert_eq!(count, before + many);
        let lines = store.reports_of_recurrence("SF-20", "ZIP-1", Page::first(count)).await.expect("read");
        let stand: HashMap<&str, ReportState> =
            lines.iter().map(|line| (line.report.report_ref.as_str(), line.state)).collect();
        assert_eq!((lines.len() as u64, stand.len() as u64), (count, count), "each once");
        let last = format!("M-{many}");
        let of = ["M-1", "M-2", last.as_str()].map(|report_ref| stand[report_ref]);
        assert_eq!(of, [ReportState::Asked, ReportState::Sorted, ReportState::Answered]);
        let waits =
            lines.iter().filter(|line| line.danger.is_some() && line.report.report_ref.starts_with("M-"));
        assert_eq!(waits.count(), 1, "the one that is asked about");
    });
}

#[test]
fn a_report_sent_ten_times_at_once_is_kept_once() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        // Ten senders draw ten references and secrets, for they know nothing of each other; the client key is one.
        let sendings = (0..10).map(|n| {
            let store = store.clone();
            tokio::spawn(async move {
                let facts = IntakeFacts { client_key: "one".into(), ..facts(&format!("{n}")) };
                store
                    .send_report(&cove(), at(n), &bare_report(&format!("N-{n}")), &facts, &[photo("a")])
                    .await
            })
        });
        let mut receipts = Vec::new();
        for sending in sendings.collect::<Vec<_>>() {
            receipts.push(sending.await.expect("ran").expect("acknowledged"));
        }
        assert_eq!(receipts.iter().filter(|receipt| !receipt.sent_before).count(), 1);
        assert!(receipts.iter().all(|receipt| receipt.report_ref == receipts[0].report_ref));
        assert!(receipts.iter().all(|receipt| receipt.receipt_code == receipts[0].receipt_code));
        let filter = JournalFilter { noun: Some("report".into()), ..JournalFilter::default() };
        assert_eq!(store.journal(&filter, Page::first(20)).await.expect("read").len(), 1);
        let back = Pack::read(&store.books().await.expect("opened")).await;
        assert_eq!(back.reports.len(), everything().reports.len() + 1);
    });
}

#[test]
fn a_client_key_of_another_unit_opens_nothing() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let other = Report { unit: "COVE-2B".into(), ..bare_report("N-2") };
        let refused = store.send_report(&cove(), at(2), &other, &facts("N-1"), &[]).await;
        assert!(matches!(refused, Err(StoreError::Taken { noun: "client key", .. })));
    });
}

#[test]
fn a_sent_report_waits_with_its_receipt_and_photos() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        // The unit guessed part and mode; that sorts nothing.
        let receipt = send(store, 1, &full_report("N-1")).await.expect("sent");
        assert_eq!((receipt.unit.as_str(), receipt.sent_at, receipt.sent_before), ("COVE-2", at(1), false));
        let file = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!(file.report, full_report("N-1"));
        assert_eq!(file.handling.state, ReportState::Received);
        assert_eq!(file.photos.len(), 1, "the same photo twice is one");
        let kept = store.find_photo(file.photos[0].id).await.expect("read").expect("there");
        assert_eq!((kept.report_ref.as_str(), kept.sha256.as_str(), kept.bytes), ("N-1", "a", None));
        let of_several = store.photos_of(&["N-0", "N-1"]).await.expect("read");
        assert_eq!(of_several, [("N-1".to_owned(), file.photos[0].clone())]);
        let (part_no, mode) = (file.report.part_no.expect("guessed"), file.report.mode.expect("guessed"));
        let all = store.reports_of_recurrence(&part_no, &mode, Page::first(500)).await.expect("read");
        let count = store.count_reports_of_recurrence(&part_no, &mode).await.expect("read");
        assert_eq!(
            (count, store.count_reports_of_recurrence("NONE", &mode).await.expect("read")),
            (all.len() as u64, 0)
        );
        assert!(all.iter().any(|line| line.report.report_ref == "N-1"));
        let opened = store.find_receipt("secret N-1").await.expect("read").expect("opened");
        assert_eq!(opened.altered_by.as_deref(), Some("our own saddler"));
        assert_eq!(store.find_receipt("code N-1").await.expect("read"), None);
        assert!(store.find_receipt_by_code("code N-1").await.expect("read").is_some());
        assert_eq!(store.find_report_file("N-2").await.expect("read"), None);
    });
}

#[test]
fn a_report_for_nobody_or_of_a_taken_reference_is_refused_whole() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let nowhere = Report { unit: "NOWHERE".into(), ..bare_report("N-1") };
        assert!(matches!(send(store, 1, &nowhere).await, Err(StoreError::Missing { noun: "unit", .. })));
        let nothing = Report { item_part_no: "RC-900".into(), ..bare_report("N-1") };
        assert!(matches!(send(store, 1, &nothing).await, Err(StoreError::Missing { noun: "part", .. })));
        assert!(matches!(
            send(store, 1, &bare_report("R-1")).await,
            Err(StoreError::Taken { noun: "report", .. })
        ));
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let same_code = IntakeFacts { receipt_code: "code N-1".into(), ..facts("N-2") };
        let refused = store.send_report(&cove(), at(2), &bare_report("N-2"), &same_code, &[]).await;
        assert!(matches!(refused, Err(StoreError::Taken { noun: "receipt", .. })));
        let same_secret = IntakeFacts { secret_hash: "secret N-1".into(), ..facts("N-2") };
        let refused = store.send_report(&cove(), at(2), &bare_report("N-2"), &same_secret, &[]).await;
        assert!(matches!(refused, Err(StoreError::Taken { noun: "secret", .. })), "no other code helps");
        assert_eq!(store.find_report("N-2").await.expect("read"), None);
    });
}

#[test]
fn possible_doubles_are_near_in_time_whatever_they_say() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mut pack = everything();
        let found = |n: &str, month, date| Report {
            found_on: day(month, date),
            received_on: day(6, 1),
            ..full_report(n)
        };
        let mute = |of: Report| Report { part_no: None, mode: None, serial: None, lot_text: None, ..of };
        pack.reports = vec![
            found("D-1", 4, 10),
            // A label misread, and nothing else said.
            Report { lot_text: Some("L I".into()), ..mute(found("D-2", 4, 12)) },
            found("D-3", 5, 20),
            Report { unit: "COVE-2B".into(), ..found("D-4", 4, 10) },
            mute(found("D-5", 4, 10)),
            found("D-6", 4, 18),
            found("D-7", 4, 3),
        ];
        bring_in(store, &pack).await;
        let refs = async |report: &Report, most: u64| {
            let found = store.possible_doubles(report, most).await.expect("read");
            found.into_iter().map(|line| line.report.report_ref).collect::<Vec<_>>()
        };
        assert_eq!(refs(&pack.reports[0], 9).await, ["D-5", "D-2", "D-7"]);
        assert_eq!(refs(&pack.reports[0], 2).await, ["D-5", "D-2"]);
        assert_eq!(refs(&pack.reports[1], 9).await, ["D-5", "D-1", "D-6"]);
        assert_eq!(refs(&pack.reports[4], 9).await, ["D-1", "D-2", "D-7"]);
        assert_eq!(refs(&pack.reports[2], 9).await, Vec::<String>::new());
    });
}

/// The import stands half-way while reports are sent, so that one that waited for its end would wait for ever.
#[test]
fn a_report_waits_for_no_import() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        // Another program on the same database, as a server beside an import from the command line.
        let other = Store::connect(&fresh.url).await.expect("opened");
        let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        let mut sent = 0;
        for part in 0..3 {
            let reports: Vec<Report> = (0..2_000).map(|n| full_report(&format!("I-{part}-{n}"))).collect();
            import.add_reports(&reports).await.expect("staged");
            for store in [store, &other] {
                send(store, 1, &bare_report(&format!("N-{sent}"))).await.expect("sent");
                sent += 1;
            }
        }
        import.publish(at(1), &[]).await.expect("published");
        let back = Pack::read(&store.books().await.expect("opened")).await;
        assert_eq!(back.reports.len(), 6_000 + sent + everything().reports.len());
        other.close().await.expect("closed");
    });
}

#[test]
fn sizes_come_from_the_tariff_or_else_from_the_lots() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        assert!(store.list_sizes().await.expect("read").is_empty());
        let whole = everything();
        bring_in(store, &Pack { size_shares: Vec::new(), ..everything() }).await;
        let mut of_lots: Vec<String> = whole.lots.iter().filter_map(|lot| lot.size.clone()).collect();
        of_lots.sort();
        of_lots.dedup();
        assert_eq!(store.list_sizes().await.expect("read"), of_lots);
        bring_in(store, &whole).await;
        let tariff: Vec<&str> = whole.size_shares.iter().map(|share| share.size.as_str()).collect();
        assert_eq!(store.list_sizes().await.expect("read"), tariff);
    });
}
