//! The queue of reports that wait to be sorted: who comes first, and who leaves it and comes back.

use domain::danger::QUICK_RELEASE;
use domain::part::PartRevision;
use domain::permission::Actor;
use domain::report::{Harm, Report};
use store::{JournalFilter, Page, Store};

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::{bring_in, send, sorting};
use crate::samples::{at, day};

async fn queue(store: &Store) -> Vec<String> {
    let lines = store.waiting_reports(Page::first(50)).await.expect("read");
    assert_eq!(store.count_waiting_reports().await.expect("counted"), lines.len() as u64);
    lines.into_iter().map(|line| line.report.report_ref).collect()
}

#[test]
fn harm_comes_first_then_whoever_has_waited_longest() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        for (n, received, harm) in [
            (1, day(4, 9), Harm::None),
            (2, day(4, 5), Harm::None),
            (3, day(4, 20), Harm::Injury),
            (4, day(4, 3), Harm::NearMiss),
        ] {
            let report = Report { received_on: received, harm: Some(harm), ..bare_report(&format!("N-{n}")) };
            send(store, n, &report).await.expect("sent");
        }
        let waiting = store.waiting_reports(Page::first(10)).await.expect("read");
        let refs: Vec<&str> = waiting.iter().map(|line| line.report.report_ref.as_str()).collect();
        // R-2 was imported without part and mode, on 2 April; R-1 was imported sorted.
        assert_eq!(refs, ["N-3", "N-4", "R-2", "N-2", "N-1"]);
        assert_eq!(store.count_waiting_reports().await.expect("read"), 5);
        let second = store.waiting_reports(Page { number: 1, size: 3 }).await.expect("read");
        assert_eq!(second.len(), 2);
        store.sort_report(&Actor::Program, at(9), ("R-2", None), &sorting(None)).await.expect("sorted");
        store.set_aside(&Actor::Program, at(9), ("N-3", None), "a double of N-2").await.expect("set aside");
        let waiting = store.waiting_reports(Page::first(10)).await.expect("read");
        assert_eq!(waiting.len(), 3);
    });
}

#[test]
fn a_report_leaves_the_queue_when_it_is_sorted_and_comes_back_to_its_place() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        for (n, harm) in [(1, Harm::None), (2, Harm::NearMiss)] {
            let report = Report { harm: Some(harm), ..bare_report(&format!("N-{n}")) };
            send(store, n, &report).await.expect("sent");
        }
        let before = queue(store).await;
        assert_eq!(before[0], "N-2");
        for report_ref in &before {
            store
                .sort_report(&Actor::Program, at(9), (report_ref, None), &sorting(None))
                .await
                .expect("sorted");
        }
        assert!(queue(store).await.is_empty());
        for report_ref in &before {
            assert!(store.undo_sorting(&Actor::Program, at(10), (report_ref, None)).await.expect("undone"));
        }
        assert_eq!(queue(store).await, before);
    });
}

#[test]
fn the_journal_of_a_report_leaves_out_its_place() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let of_report = JournalFilter {
            noun: Some("report".into()),
            key: Some("N-1".into()),
            ..JournalFilter::default()
        };
        let entries = store.journal(&of_report, Page::first(9)).await.expect("read");
        let after = entries[0].after.as_deref().expect("what was sent");
        assert!(after.contains("found_on") && !after.contains("waits"), "{after}");
    });
}

#[test]
fn an_import_that_says_a_part_is_a_release_moves_its_reports_forward() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        for (n, part_no) in [(1, None), (2, Some("SF-20".to_owned()))] {
            let report = Report { part_no, received_on: day(4, n), ..bare_report(&format!("N-{n}")) };
            send(store, n, &report).await.expect("sent");
        }
        let place = |queue: &[String], of: &str| queue.iter().position(|one| one == of).expect("waits");
        let before = queue(store).await;
        assert!(place(&before, "N-1") < place(&before, "N-2"));
        let of_part = everything().parts.into_iter().find(|part| part.part_no == "SF-20").expect("there");
        let release = PartRevision { revision: "Z".into(), kind: QUICK_RELEASE.into(), ..of_part };
        let mut import = store.begin_import(&Actor::Program, at(5), &[]).await.expect("begun");
        import.add_parts(&[release]).await.expect("added");
        assert_eq!(queue(store).await, before, "nobody sees an import that is under way");
        import.publish(at(6), &[]).await.expect("published");
        assert_eq!(queue(store).await[0], "N-2");
    });
}
