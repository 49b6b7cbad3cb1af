//! Recurrences: what people decide about them, under a sheet number, with a journal line for each decision.

use domain::permission::Role;
use domain::recurrence::RecurrenceState;
use domain::risk::{Level, Severity};
use store::{JournalFilter, Page, RecurrenceEdit, StoreError};

use crate::database::{behind_the_back, on_both};
use crate::samples::{at, somebody};

const KEY: (&str, &str) = ("ZIP-9", "ZIP-1");

#[test]
fn decisions_read_back_and_stand_in_the_journal() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        behind_the_back(&fresh.url, "INSERT INTO part (part_no) VALUES ('ZIP-9')").await.expect("a part");
        let engineer = somebody(store, "fell", Role::Engineer).await;
        assert_eq!(store.find_recurrence(KEY.0, KEY.1).await.expect("read"), None);
        let number = store.journal_number().await.expect("read");
        let judged = RecurrenceEdit::Judge {
            severity: Severity::Critical,
            probability: Some(Level::C),
            reason: "A fall was near twice.".into(),
        };
        let noted = RecurrenceEdit::Note { cause: "Worn slider".into(), next_step: " ".into() };
        for (minute, edit) in [RecurrenceEdit::TakeUp, judged, noted].iter().enumerate() {
            store.decide_recurrence(&engineer, at(minute as u32), KEY, edit).await.expect("kept");
        }
        let kept = store.find_recurrence(KEY.0, KEY.1).await.expect("read").expect("there");
        let judgement = kept.judgement.clone().expect("judged");
        assert_eq!((kept.sheet_no.as_str(), kept.state), ("2026-001", RecurrenceState::TakenUp));
        assert_eq!((judgement.severity, judgement.probability), (Severity::Critical, Some(Level::C)));
        assert_eq!((judgement.reason.as_str(), judgement.at), ("A fall was near twice.", at(1)));
        assert_eq!((kept.cause.as_deref(), kept.next_step.as_deref()), (Some("Worn slider"), None));
        assert_eq!(store.list_recurrences().await.expect("read"), [kept]);
        let filter = JournalFilter { noun: Some("recurrence".into()), ..JournalFilter::default() };
        let told = store.journal(&filter, Page::first(9)).await.expect("read");
        let acts: Vec<&str> = told.iter().map(|entry| entry.act.as_str()).collect();
        assert_eq!(acts, ["note", "judge", "take up"]);
        assert_eq!(store.journal_number().await.expect("read"), number, "no figure rests on it");
    });
}

#[test]
fn there_is_nothing_to_decide_about_a_part_that_is_not_there() {
    on_both(|fresh| async move {
        let engineer = somebody(&fresh.store, "fell", Role::Engineer).await;
        let refused = fresh.store.decide_recurrence(&engineer, at(0), KEY, &RecurrenceEdit::TakeUp).await;
        assert!(matches!(refused, Err(StoreError::Missing { noun: "part", .. })));
        assert_eq!(fresh.store.list_recurrences().await.expect("read"), []);
    });
}
