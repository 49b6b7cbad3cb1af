//! Following the books: what one program sees of what others write, in the order in which it was committed.

use std::collections::BTreeMap;

use domain::handling::Sorting;
use domain::lot_use::LotUse;
use domain::permission::Actor;
use domain::report::Report;
use store::{Followed, IntakeFacts, Since, Store};

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::bare_report;
use crate::samples::{at, unit};

/// Books that a field can be folded from.
async fn bring_in(store: &Store) {
    let mut pack = everything();
    pack.lots.remove(1);
    pack.lot_uses = vec![LotUse { lot_no: "L-1".into(), used_lot_no: "L-2".into(), quantity: Some(400.0) }];
    pack.effectivity[0].to_lot = None;
    let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
    pack.stage(&mut import).await.expect("staged");
    import.publish(at(0), &[]).await.expect("published");
}

async fn send(store: &Store, report_ref: &str) {
    let facts = IntakeFacts {
        receipt_code: format!("code {report_ref}"),
        client_key: format!("client {report_ref}"),
        secret_hash: format!("secret {report_ref}"),
        unit_link_id: None,
        altered_by: None,
        contact: None,
        alarm: None,
    };
    let by = Actor::UnitLink { unit: "COVE-2".into() };
    store.send_report(&by, at(1), &bare_report(report_ref), &facts, &[]).await.expect("sent");
}

fn as_split() -> Sorting {
    Sorting {
        part_no: "SF-20".into(),
        mode: "ZIP-1".into(),
        lot_no: None,
        relevant: true,
        relevant_reason: None,
        chargeable: true,
        chargeable_reason: None,
        cause: None,
    }
}

async fn sort(store: &Store, report_ref: &str) {
    store.sort_report(&Actor::Program, at(2), (report_ref, None), &as_split()).await.expect("sorted");
}

#[test]
fn a_follower_is_told_of_reports_one_by_one_and_of_other_changes_that_there_are_some() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store).await;
        let read = store.read_field(|_, _| ()).await.expect("read");
        assert_eq!((read.field.reports.len(), read.rows.len()), (2, 2));
        assert_eq!(
            store.changes_since(read.number, 9).await.expect("asked"),
            Since::Reports { number: read.number, reports: vec![] }
        );

        send(store, "N-1").await;
        sort(store, "N-1").await;
        let Since::Reports { number, reports } = store.changes_since(read.number, 9).await.expect("asked")
        else {
            panic!("only a report has changed")
        };
        assert!(number > read.number);
        let [Followed { row, report, lot_is_chosen: false }] = reports.as_slice() else {
            panic!("{reports:?}")
        };
        assert!(Some(row) > read.rows.last());
        assert_eq!((report.report_ref.as_str(), report.mode.as_deref()), ("N-1", Some("ZIP-1")));

        // Looking at one change at a time comes to the same.
        let mut so_far = read.number;
        while so_far < number {
            let step = store.changes_since(so_far, 1).await.expect("asked");
            let Since::Reports { number: now, reports: one } = step else {
                panic!("only a report has changed")
            };
            assert_eq!((one, now > so_far), (reports.clone(), true));
            so_far = now;
        }

        store.add_unit(&Actor::Program, at(3), &unit("FELL-9")).await.expect("added");
        assert_eq!(store.changes_since(number, 9).await.expect("asked"), Since::Other);
    });
}

/// The label could not be read. An engineer says which lot it is, and then that nobody knows.
#[test]
fn a_lot_that_was_chosen_is_followed_as_chosen_and_read_as_chosen() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store).await;
        let before = store.journal_number().await.expect("asked");
        send(store, "N-1").await;
        for (minute, lot_no) in [(2, Some("L-1")), (3, None)] {
            let sorting = Sorting { lot_no: lot_no.map(Into::into), ..as_split() };
            store.sort_report(&Actor::Program, at(minute), ("N-1", None), &sorting).await.expect("sorted");
            let since = store.changes_since(before, 9).await.expect("asked");
            let Since::Reports { reports, .. } = since else { panic!("only a report has changed") };
            assert_eq!(reports[0].lot_is_chosen, lot_no.is_some());
            let field = store.read_field(|_, _| ()).await.expect("read").field;
            let chosen = field.reports.values().filter_map(|report| report.lot_chosen);
            let chosen: Vec<&str> = chosen.map(|lot| &*field.lots[lot].lot_no).collect();
            assert_eq!(chosen.first().copied(), lot_no);
        }
    });
}

/// Two programs on one database write as fast as they can; a third follows. Were a number ever visible before a lower one,
/// the follower would step over that one's report.
#[test]
fn a_follower_of_two_writers_misses_nothing() {
    on_both(|fresh| async move {
        bring_in(&fresh.store).await;
        let follower = Store::connect(&fresh.url).await.expect("a third program");
        let read = follower.read_field(|_, _| ()).await.expect("read");
        let mut writers = Vec::new();
        for writer in 0..2 {
            let store = Store::connect(&fresh.url).await.expect("another program");
            writers.push(tokio::spawn(async move {
                for n in 0..40 {
                    let report_ref = format!("W{writer}-{n}");
                    send(&store, &report_ref).await;
                    if n % 3 == 0 {
                        sort(&store, &report_ref).await;
                    }
                }
            }));
        }
        let (mut number, mut known) = (read.number, BTreeMap::<String, Report>::new());
        let mut last = false;
        loop {
            let Since::Reports { number: now, reports } =
                follower.changes_since(number, 9).await.expect("asked")
            else {
                panic!("only reports change")
            };
            assert!(now >= number, "the number never goes back");
            let at_the_end = now == number;
            number = now;
            known.extend(
                reports.into_iter().map(|Followed { report, .. }| (report.report_ref.clone(), report)),
            );
            if last && at_the_end {
                break;
            }
            last = last || writers.iter().all(tokio::task::JoinHandle::is_finished);
        }
        for writer in writers {
            writer.await.expect("no writer failed");
        }
        assert_eq!(known.len(), 80);
        let sorted = known.values().filter(|report| report.mode.is_some()).count();
        assert_eq!(sorted, 28, "each as it stood last");
        assert_eq!(number, fresh.store.journal_number().await.expect("asked"));
        follower.close().await.expect("closed");
    });
}
