//! Sorting: what it sets, what it asks for, how it is taken back, and what the unit is asked and told.

use domain::handling::{ReportState, Sorting};
use domain::permission::{Actor, Role};
use domain::report::Report;
use store::{Decided, JournalFilter, Page, ReportFile, Store, StoreError};

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::{bring_in, cove, send, sorting};
use crate::samples::{at, somebody};

/// A report's file, but for the number of its latest decision: taking one back is a decision too.
async fn standing(store: &Store) -> ReportFile {
    ReportFile { shown: 0, ..file(store).await }
}

async fn file(store: &Store) -> ReportFile {
    store.find_report_file("N-1").await.expect("read").expect("there")
}

fn is_overtaken<T>(result: Result<T, StoreError>) -> bool {
    matches!(result, Err(StoreError::Overtaken { noun: "report", key }) if key == "N-1")
}

#[test]
fn sorting_sets_the_flags_and_can_be_taken_back_step_by_step() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        let sent = Report { lot_text: Some("l1".into()), ..bare_report("N-1") };
        send(store, 1, &sent).await.expect("sent");
        let before = standing(store).await;

        store.sort_report(&oda, at(2), ("N-1", None), &sorting(Some("L-1"))).await.expect("sorted");
        let sorted = standing(store).await;
        assert_eq!(sorted.report.part_no.as_deref(), Some("SF-20"));
        assert_eq!((sorted.report.relevant, sorted.report.chargeable), (Some(true), Some(false)));
        assert_eq!(sorted.report.lot_text.as_deref(), Some("L-1"));
        assert_eq!(sorted.handling.lot_text_as_sent.as_deref(), Some("l1"));
        assert_eq!(sorted.handling.state, ReportState::Sorted);
        assert_eq!(sorted.handling.cause.as_deref(), Some("sand in the chain"));
        assert_eq!(sorted.handling.sorted_at, Some(at(2)));
        assert!(sorted.handling.sorted_by.is_some());

        // Another choice of lot keeps what was sent; no choice puts it back.
        store.sort_report(&oda, at(3), ("N-1", None), &sorting(Some("L-2"))).await.expect("sorted");
        let again = standing(store).await;
        assert_eq!(again.handling.lot_text_as_sent.as_deref(), Some("l1"));
        store.sort_report(&oda, at(4), ("N-1", None), &sorting(None)).await.expect("sorted");
        let label = standing(store).await;
        assert_eq!((label.report.lot_text.as_deref(), label.handling.lot_text_as_sent), (Some("l1"), None));

        assert!(store.undo_sorting(&oda, at(5), ("N-1", None)).await.expect("undone"));
        assert_eq!(standing(store).await, again);
        assert!(store.undo_sorting(&oda, at(6), ("N-1", None)).await.expect("undone"));
        assert_eq!(standing(store).await, sorted);
        store.set_aside(&oda, at(7), ("N-1", None), "not ours").await.expect("set aside");
        assert!(store.undo_sorting(&oda, at(8), ("N-1", None)).await.expect("undone"));
        assert!(store.undo_sorting(&oda, at(9), ("N-1", None)).await.expect("undone"));
        assert_eq!(standing(store).await, before);
        assert!(!store.undo_sorting(&oda, at(10), ("N-1", None)).await.expect("nothing left"));
    });
}

#[test]
fn a_lot_chosen_for_a_blank_label_is_told_from_a_label() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        store
            .sort_report(&Actor::Program, at(2), ("N-1", None), &sorting(Some("L-1")))
            .await
            .expect("sorted");
        store.sort_report(&Actor::Program, at(3), ("N-1", None), &sorting(None)).await.expect("sorted");
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
        let refused = store.sort_report(&Actor::Program, at(1), ("R-2", None), &no_reason).await;
        assert!(matches!(refused, Err(StoreError::Refused(p)) if p.field == "chargeable_reason"));
        let no_part = Sorting { part_no: "SF-99".into(), ..sorting(None) };
        let refused = store.sort_report(&Actor::Program, at(1), ("R-2", None), &no_part).await;
        assert!(matches!(refused, Err(StoreError::Missing { noun: "part", .. })));
        let nothing = store.sort_report(&Actor::Program, at(1), ("R-9", None), &sorting(None)).await;
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
        let entered = async || {
            let asked = JournalFilter { noun: Some("question".into()), ..JournalFilter::default() };
            store.journal(&asked, Page::first(9)).await.expect("read").len()
        };
        let once = entered().await;
        assert_eq!(store.ask(&oda, at(2), "N-1", "Which side?").await.expect("asked twice"), id);
        assert_eq!(entered().await, once, "one question is asked once while it is open");
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
        store.sort_report(&oda, at(5), ("N-1", None), &sorting(None)).await.expect("sorted");
        assert_eq!(answer_came().await, None, "it was read");
        store.answer_report(&oda, at(6), ("N-1", None), "The slider is changed.").await.expect("answered");
        assert_eq!(state().await, ReportState::Answered);
        let sorted = store.sorted_reports_on("RC-100", Page::first(9)).await.expect("read");
        assert!(sorted.iter().any(|line| line.report.report_ref == "N-1"), "{sorted:?}");
        // Sorting anew does not take the answer back.
        store.sort_report(&oda, at(7), ("N-1", None), &sorting(None)).await.expect("sorted");
        let file = store.find_report_file("N-1").await.expect("read").expect("there");
        assert_eq!(file.handling.state, ReportState::Answered);
        assert_eq!(file.questions[0].answer.as_deref(), Some("The left."));
        assert_eq!((file.answers[0].by.as_str(), file.answers[0].at), ("oda of the base", at(6)));
        let lines = store.reports_of_unit("COVE-2", Page::first(9)).await.expect("read");
        assert_eq!(lines.len(), 3);
        assert!(store.reports_of_unit("COVE-2B", Page::first(9)).await.expect("read").is_empty());
    });
}

#[test]
fn an_answer_about_a_report_that_was_decided_waits_until_somebody_acts_on_it() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let hear = async |asked: u32, heard: u32| {
            let id = store.ask(&oda, at(asked), "N-1", "Which side?").await.expect("asked");
            store.answer_question(&cove(), at(heard), id, "The left.").await.expect("answered");
        };
        let to_read = async || {
            let lines = store.reports_with_answer_to_read().await.expect("read");
            let is_on_receipt = file(store).await.has_answer_to_read();
            assert_eq!(is_on_receipt, !lines.is_empty(), "the receipt says the same");
            lines.first().and_then(|line| line.answer_came)
        };
        hear(2, 3).await;
        let waiting = store.reports_with_answer_to_read().await.expect("read");
        assert!(waiting.is_empty() && file(store).await.has_answer_to_read(), "the queue has it");
        store.sort_report(&oda, at(4), ("N-1", None), &sorting(None)).await.expect("sorted");
        assert_eq!(to_read().await, None, "it was there when it was sorted");

        hear(5, 6).await;
        assert_eq!(file(store).await.handling.state, ReportState::Sorted);
        assert_eq!(to_read().await, Some(at(6)));
        store.sort_report(&oda, at(7), ("N-1", None), &sorting(None)).await.expect("sorted anew");
        assert_eq!(to_read().await, None);

        hear(8, 9).await;
        store.answer_report(&oda, at(10), ("N-1", None), "The slider is changed.").await.expect("answered");
        assert_eq!(to_read().await, None);

        hear(11, 12).await;
        assert_eq!(to_read().await, Some(at(12)), "whatever its state");
        let on = store.ask(&oda, at(13), "N-1", "Which size?").await.expect("asked on");
        assert_eq!(to_read().await, None);
        store.answer_question(&cove(), at(14), on, "M").await.expect("answered");
        assert_eq!(to_read().await, Some(at(14)));
        store.set_aside(&oda, at(15), ("N-1", None), "a double").await.expect("set aside");
        assert_eq!(to_read().await, None);
        hear(16, 17).await;
        assert_eq!(to_read().await, Some(at(17)));
    });
}

#[test]
fn a_report_whose_sorting_is_taken_back_stands_where_what_came_since_puts_it() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        for report_ref in ["N-1", "N-2"] {
            send(store, 1, &bare_report(report_ref)).await.expect("sent");
        }
        let state = async || file(store).await.handling.state;
        let sort = async |minute| {
            store.sort_report(&oda, at(minute), ("N-1", None), &sorting(None)).await.expect("sorted");
        };
        let undo = async |minute| {
            assert!(store.undo_sorting(&oda, at(minute), ("N-1", None)).await.expect("undone"));
        };
        let side = store.ask(&oda, at(2), "N-1", "Which side?").await.expect("asked");
        sort(3).await;
        store.answer_question(&cove(), at(4), side, "The left.").await.expect("answered");
        undo(5).await;
        assert_eq!(state().await, ReportState::Received, "no question is open");
        let waiting = store.waiting_reports(Page::first(9)).await.expect("read");
        let line = waiting.iter().find(|line| line.report.report_ref == "N-1").expect("it waits again");
        assert_eq!(line.answer_came, Some(at(4)));

        sort(6).await;
        let size = store.ask(&oda, at(7), "N-1", "Which size?").await.expect("asked");
        undo(8).await;
        assert_eq!(state().await, ReportState::Asked, "a question is open");
        store.answer_question(&cove(), at(9), size, "M").await.expect("answered");
        assert_eq!(state().await, ReportState::Received);

        sort(10).await;
        sort(11).await;
        store.answer_report(&oda, at(12), ("N-1", None), "The slider is changed.").await.expect("answered");
        undo(13).await;
        assert_eq!(state().await, ReportState::Answered, "the first sorting stands, and so does the answer");
        undo(14).await;
        assert_eq!(state().await, ReportState::Received);
        sort(15).await;
        assert_eq!(state().await, ReportState::Answered, "the unit still has its answer");

        // What a unit is told before anybody sorted its report is on the way, not its answer.
        store.answer_report(&oda, at(2), ("N-2", None), "It is looked into.").await.expect("told");
        store.sort_report(&oda, at(3), ("N-2", None), &sorting(None)).await.expect("sorted");
        let second = store.find_report_file("N-2").await.expect("read").expect("there");
        assert_eq!(second.handling.state, ReportState::Sorted);
    });
}

#[test]
fn a_decision_on_what_is_no_longer_so_is_refused_and_changes_nothing() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        let tove = somebody(store, "tove", Role::Engineer).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let shown = file(store).await.shown;
        assert_eq!(shown, 0, "nothing is decided about it");
        let own = ("N-1", Some(shown));
        let sorted = store.sort_report(&oda, at(2), own, &sorting(Some("L-1"))).await.expect("sorted");
        let kept = file(store).await;
        assert_eq!(kept.shown, sorted);

        let other = sorting(Some("L-2"));
        assert!(is_overtaken(store.sort_report(&tove, at(3), own, &other).await));
        assert!(
            is_overtaken(store.sort_report(&tove, at(3), own, &sorting(Some("L-1"))).await),
            "hers, not his"
        );
        assert!(is_overtaken(store.sort_report(&oda, at(3), own, &other).await), "another one of his");
        assert!(is_overtaken(store.set_aside(&tove, at(3), own, "a double").await));
        assert!(is_overtaken(store.undo_sorting(&tove, at(3), own).await));
        assert!(is_overtaken(store.answer_report(&tove, at(3), own, "It is changed.").await));
        assert_eq!(file(store).await, kept);

        store.sort_report(&tove, at(4), ("N-1", Some(sorted)), &other).await.expect("on what she saw");
        assert!(is_overtaken(store.undo_sorting(&oda, at(5), ("N-1", Some(sorted))).await), "it is hers now");
        store.set_aside(&oda, at(6), ("N-1", None), "a double").await.expect("nobody looked");
        let said: Vec<_> = store.decided_since("N-1", shown).await.expect("read").into_iter().collect();
        let both = Decided::Sorted { part_no: "SF-20".into(), mode: "ZIP-1".into() };
        let aside = Decided::SetAside { reason: "a double".into() };
        let whats: Vec<_> = said.iter().map(|one| one.what.clone()).collect();
        assert_eq!(whats, [both.clone(), both, aside.clone()]);
        assert_eq!((said[1].by.as_str(), said[1].at), ("tove of the base", at(4)));
        let later = store.decided_since("N-1", file(store).await.shown).await.expect("read");
        assert!(later.is_empty(), "{later:?}");
    });
}

#[test]
fn of_two_who_decide_at_once_on_the_same_sheet_one_is_told() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let mut deciding = Vec::new();
        for name in ["oda", "tove", "jon"] {
            let (store, by) = (store.clone(), somebody(store, name, Role::Engineer).await);
            deciding.push(tokio::spawn(async move {
                store.sort_report(&by, at(2), ("N-1", Some(0)), &sorting(None)).await
            }));
        }
        let mut kept = 0;
        for one in deciding {
            let done = one.await.expect("ran");
            assert_eq!(done.is_err(), is_overtaken(done.map(|_| kept += 1)));
        }
        assert_eq!(kept, 1);
    });
}

#[test]
fn the_same_decision_sent_twice_is_kept_once() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let shown = async || ("N-1", Some(file(store).await.shown));

        let seen = shown().await;
        let first = store.sort_report(&oda, at(2), seen, &sorting(Some("L-1"))).await.expect("sorted");
        let again = store.sort_report(&oda, at(3), seen, &sorting(Some("L-1"))).await.expect("done before");
        assert_eq!((first, file(store).await.handling.sorted_at), (again, Some(at(2))));

        let seen = shown().await;
        let first = store.set_aside(&oda, at(4), seen, "a double").await.expect("set aside");
        assert_eq!(store.set_aside(&oda, at(5), seen, "a double").await.expect("done before"), first);
        assert!(is_overtaken(store.set_aside(&oda, at(5), seen, "not ours").await));

        let seen = shown().await;
        for _click in 0..2 {
            assert!(store.undo_sorting(&oda, at(6), seen).await.expect("taken back"));
        }
        let kept = file(store).await;
        assert_eq!((kept.handling.state, kept.shown > first), (ReportState::Sorted, true), "one step back");

        let seen = shown().await;
        for _click in 0..2 {
            store.answer_report(&oda, at(7), seen, "It is changed.").await.expect("answered");
        }
        assert!(is_overtaken(store.answer_report(&oda, at(8), seen, "It is not.").await));
        assert_eq!(file(store).await.answers.len(), 1);
        let filter = JournalFilter { key: Some("N-1".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(20)).await.expect("read");
        let acts: Vec<_> =
            entries.iter().map(|entry| entry.act.as_str()).filter(|act| *act != "add").collect();
        assert_eq!(acts, ["answer", "undo", "set aside", "sort", "send"]);
    });
}

#[test]
fn what_the_unit_answers_overtakes_a_decision_and_a_question_does_not() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let oda = somebody(store, "oda", Role::Engineer).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let shown = file(store).await.shown;
        let id = store.ask(&oda, at(2), "N-1", "Which side?").await.expect("asked");
        assert_eq!(file(store).await.shown, shown);
        store.answer_question(&cove(), at(3), id, "The left.").await.expect("answered");
        assert!(is_overtaken(store.sort_report(&oda, at(4), ("N-1", Some(shown)), &sorting(None)).await));
        let said = store.decided_since("N-1", shown).await.expect("read");
        assert_eq!(
            (said.len(), said[0].what.clone(), said[0].by.as_str()),
            (1, Decided::Heard, "unit COVE-2")
        );
        let shown = Some(file(store).await.shown);
        store.sort_report(&oda, at(5), ("N-1", shown), &sorting(None)).await.expect("sorted");
    });
}
