//! What a decision is bound to: the record that was shown, and what has come in since its words were written.

use domain::change::ChangeState;
use domain::change_record::Disposition;
use domain::class::Class;
use domain::permission::{Actor, Role};
use domain::report::{Harm, Report};
use store::{Basis, NewChange, NewEvidence, NewReports, RecordEdit, Shown, Store, StoreError, digest_of};

use crate::change_samples::{basis, decision, parts, zip_change};
use crate::database::on_both;
use crate::everything::everything;
use crate::pack::{bare_report, full_report};
use crate::reports::{bring_in, send, sorting};
use crate::samples::{at, somebody};

fn shown(version: i64, evidence: Option<&str>) -> Basis {
    Basis { shown: Shown { version, evidence: evidence.map(digest_of) }, ..basis() }
}

fn evidence(document: &str) -> NewEvidence {
    NewEvidence { occasion: "submission".into(), document: document.into() }
}

fn words(problem: &str) -> RecordEdit {
    RecordEdit::Words { title: "Wider".into(), problem: problem.into(), description: "wider".into() }
}

#[test]
fn a_text_that_was_not_shown_is_not_decided_on() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let (chair, other) =
            (somebody(store, "brook", Role::Board).await, somebody(store, "reed", Role::Board).await);
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        store.submit_change(&engineer, at(2), &no, 1, Class::One, Some(&evidence("1"))).await.expect("sent");
        let first = shown(2, Some("1"));
        store
            .decide_change(&other, at(3), &no, &decision(Disposition::Defer), &first)
            .await
            .expect("put off");
        store.edit_record(&engineer, at(4), &no, 2, &words("It splits in salt.")).await.expect("rewritten");
        store.submit_change(&engineer, at(5), &no, 3, Class::One, Some(&evidence("2"))).await.expect("again");
        let approve = decision(Disposition::Approve);
        for stale in [&first, &shown(4, Some("1")), &shown(4, None), &shown(3, Some("2"))] {
            let refused = store.decide_change(&chair, at(6), &no, &approve, stale).await;
            assert!(
                matches!(refused, Err(StoreError::Overtaken { noun: "change record", .. })),
                "{refused:?}"
            );
        }
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!((record.change.state, record.decisions.len()), (Some(ChangeState::Submitted), 1));
        assert_eq!(store.evidence_seals(&no).await.expect("read").len(), 3, "nothing was frozen for it");
        store.decide_change(&chair, at(7), &no, &approve, &shown(4, Some("2"))).await.expect("decided");
    });
}

async fn since(store: &Store, no: &str) -> Option<NewReports> {
    let record = store.find_change_record(no).await.expect("read").expect("there");
    store.reports_since_written(&record).await.expect("read")
}

fn harmed(report_ref: &str, harm: Option<Harm>) -> Report {
    Report { harm, ..bare_report(report_ref) }
}

#[test]
fn what_came_in_since_the_words_were_written_is_counted_with_its_harm() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        // One is known before the words are written, one waits unsorted.
        send(store, 1, &harmed("N-1", Some(Harm::Injury))).await.expect("sent");
        store.sort_report(&engineer, at(1), ("N-1", None), &sorting(None)).await.expect("sorted");
        send(store, 1, &harmed("N-2", Some(Harm::NearMiss))).await.expect("sent");
        let new = NewChange {
            part_no: "SF-20".into(),
            recurrence: Some(("SF-20".into(), "ZIP-1".into())),
            to_revision: "C".into(),
            ..zip_change()
        };
        let no = store.draft_change(&engineer, at(2), &new).await.expect("drafted");
        let none = NewReports { since: at(2), reports: 0, near_misses: 0, injuries: 0 };
        assert_eq!(since(store, &no).await, Some(none));
        // Sorting what is known once more adds nothing; sorting what waited, and what comes in the same minute, does.
        store.sort_report(&engineer, at(2), ("N-1", None), &sorting(Some("L-1"))).await.expect("sorted anew");
        assert_eq!(since(store, &no).await, Some(none));
        store.sort_report(&engineer, at(2), ("N-2", None), &sorting(None)).await.expect("sorted");
        send(store, 2, &harmed("N-3", None)).await.expect("sent");
        store.sort_report(&engineer, at(2), ("N-3", None), &sorting(None)).await.expect("sorted");
        assert_eq!(since(store, &no).await, Some(NewReports { reports: 2, near_misses: 1, ..none }));
        // A part and a mode that the unit guessed count at once, as they do in the figures; what is set aside doesn't.
        send(store, 3, &full_report("N-4")).await.expect("sent");
        assert_eq!(since(store, &no).await, Some(NewReports { reports: 3, near_misses: 2, ..none }));
        store.set_aside(&engineer, at(4), ("N-4", None), "told twice").await.expect("set aside");
        assert_eq!(since(store, &no).await, Some(NewReports { reports: 2, near_misses: 1, ..none }));
        // Once the words are written anew, they know of it.
        store
            .edit_record(&engineer, at(5), &no, 1, &words("It splits, twice with harm."))
            .await
            .expect("written");
        assert_eq!(since(store, &no).await, Some(NewReports { since: at(5), ..none }));
    });
}

#[test]
fn books_that_are_brought_in_after_the_words_count_whatever_day_their_reports_are_of() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let new = NewChange { part_no: "SF-20".into(), to_revision: "C".into(), ..zip_change() };
        let no = store.draft_change(&engineer, at(2), &new).await.expect("drafted");
        let later = crate::pack::Pack { reports: vec![full_report("R-90")], ..Default::default() };
        let mut import = store.begin_import(&Actor::Program, at(3), &[]).await.expect("begun");
        later.stage(&mut import).await.expect("staged");
        import.publish(at(3), &[]).await.expect("published");
        let new = NewReports { since: at(2), reports: 1, near_misses: 1, injuries: 0 };
        assert_eq!(since(store, &no).await, Some(new));
    });
}
