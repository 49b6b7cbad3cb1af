//! Sorting: what it sets, what it asks for, how it is taken back, and what the unit is asked and told.

use domain::handling::{ReportState, Sorting};
use domain::permission::{Actor, Role};
use domain::report::Report;
use store::{Page, StoreError};

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::{bring_in, cove, send, sorting};
use crate::samples::{at, somebody};

#[test]
fn sorting_sets_the_flags_and_can_be_taken_back_step_by_step() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        let sent = Report { lot_text: Some("l1".into()), ..bare_report("N-1") };
        send(store, 1, &sent).await.expect("sent");
        let before = store.find_report_file("N-1").await.expect("read").expect("there");

        store.sort_report(&oda, at(2), "N-1", &sorting(Some("L-1"))).await.expect("sorted");
        let sorted = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!(sorted.report.part_no.as_deref(), Some("SF-20"));
        assert_eq!((sorted.report.relevant, sorted.report.chargeable), (Some(true), Some(false)));
        assert_eq!(sorted.report.lot_text.as_deref(), Some("L-1"));
        assert_eq!(sorted.handling.lot_text_as_sent.as_deref(), Some("l1"));
        assert_eq!(sorted.handling.state, ReportState::Sorted);
        assert_eq!(sorted.handling.cause.as_deref(), Some("sand in the chain"));
        assert_eq!(sorted.handling.sorted_at, Some(at(2)));
        assert!(sorted.handling.sorted_by.is_some());

        // Another choice of lot keeps what was sent; no choice puts it back.
        store.sort_report(&oda, at(3), "N-1", &sorting(Some("L-2"))).await.expect("sorted");
        let again = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!(again.handling.lot_text_as_sent.as_deref(), Some("l1"));
        store.sort_report(&oda, at(4), "N-1", &sorting(None)).await.expect("sorted");
        let label = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!((label.report.lot_text.as_deref(), label.handling.lot_text_as_sent), (Some("l1"), None));

        assert!(store.undo_sorting(&oda, at(5), "N-1").await.expect("undone"));
        assert_eq!(store.find_report_file("N-1").await.expect("read"), Some(again));
        assert!(store.undo_sorting(&oda, at(6), "N-1").await.expect("undone"));
        assert_eq!(store.find_report_file("N-1").await.expect("read"), Some(sorted));
        store.set_aside(&oda, at(7), "N-1", "not ours").await.expect("set aside");
        assert!(store.undo_sorting(&oda, at(8), "N-1").await.expect("undone"));
        assert!(store.undo_sorting(&oda, at(9), "N-1").await.expect("undone"));
        assert_eq!(store.find_report_file("N-1").await.expect("read"), Some(before));
        assert!(!store.undo_sorting(&oda, at(10), "N-1").await.expect("nothing left"));
    });
}

#[test]
fn a_lot_chosen_for_a_blank_label_is_told_from_a_label() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        store.sort_report(&Actor::Program, at(2), "N-1", &sorting(Some("L-1"))).await.expect("sorted");
        store.sort_report(&Actor::Program, at(3), "N-1", &sorting(None)).await.expect("sorted");
        let file = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!((file.report.lot_text, file.handling.lot_text_as_sent), (None, None));
    });
}

#[test]
fn flags_need_their_reasons_and_parts_must_exist() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let no_reason = Sorting { chargeable_reason: None, ..sorting(None) };
        let refused = store.sort_report(&Actor::Program, at(1), "R-2", &no_reason).await;
        assert!(matches!(refused, Err(StoreError::Refused(p)) if p.field == "chargeable_reason"));
        let no_part = Sorting { part_no: "SF-99".into(), ..sorting(None) };
        let refused = store.sort_report(&Actor::Program, at(1), "R-2", &no_part).await;
        assert!(matches!(refused, Err(StoreError::Missing { noun: "part", .. })));
        let nothing = store.sort_report(&Actor::Program, at(1), "R-9", &sorting(None)).await;
        assert!(matches!(nothing, Err(StoreError::Missing { noun: "report", .. })));
        assert_eq!(store.find_report("R-2").await.expect("read"), Some(bare_report("R-2")));
    });
}

#[test]
fn a_unit_is_asked_and_answered() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let id = store.ask(&oda, at(2), "N-1", "Which side?").await.expect("asked");
        let state =
            async || store.find_report_file("N-1").await.expect("read").expect("there").handling.state;
        assert_eq!(state().await, ReportState::Asked);
        let open = store.open_questions_of("COVE-2").await.expect("read");
        assert_eq!(open.iter().map(|question| question.id).collect::<Vec<_>>(), [id]);
        assert!(store.open_questions_of("COVE-2B").await.expect("read").is_empty());
        store.answer_question(&cove(), at(3), id, "The left.").await.expect("answered");
        assert_eq!(state().await, ReportState::Received);
        let answer_came = async || {
            let lines = store.reports_of_unit("COVE-2", Page::first(9)).await.expect("read");
            lines.iter().find(|line| line.report.report_ref == "N-1").expect("there").answer_came
        };
        assert_eq!(answer_came().await, Some(at(3)));
        assert!(store.open_questions_of("COVE-2").await.expect("read").is_empty());
        let again = store.answer_question(&cove(), at(4), id, "The right.").await;
        assert!(matches!(again, Err(StoreError::Overtaken { .. })));
        store.sort_report(&oda, at(5), "N-1", &sorting(None)).await.expect("sorted");
        assert_eq!(answer_came().await, None, "it was read");
        store.answer_report(&oda, at(6), "N-1", "The slider is changed.").await.expect("answered");
        assert_eq!(state().await, ReportState::Answered);
        let sorted = store.sorted_reports_on("RC-100", Page::first(9)).await.expect("read");
        assert!(sorted.iter().any(|line| line.report.report_ref == "N-1"), "{sorted:?}");
        // Sorting anew does not take the answer back.
        store.sort_report(&oda, at(7), "N-1", &sorting(None)).await.expect("sorted");
        let file = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!(file.handling.state, ReportState::Answered);
        assert_eq!(file.questions[0].answer.as_deref(), Some("The left."));
        assert_eq!((file.answers[0].by.as_str(), file.answers[0].at), ("oda of the base", at(6)));
        let lines = store.reports_of_unit("COVE-2", Page::first(9)).await.expect("read");
        assert_eq!(lines.len(), 3);
        assert!(store.reports_of_unit("COVE-2B", Page::first(9)).await.expect("read").is_empty());
    });
}
