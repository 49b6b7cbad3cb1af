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

#[test]
fn a_recurrence_is_settled_on_a_proved_change_with_a_cause_and_a_named_acceptance() {
    use crate::change_samples::{basis, decision, parts, zip_change};
    use domain::change_record::Disposition;
    use domain::class::Class;
    use domain::recurrence::Settlement;
    use domain::words::Problem;
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let stated = |accepted_by: &str| {
            RecurrenceEdit::Settle(Settlement {
                change_no: no.clone(),
                with_change: 60,
                in_service: 100,
                stock: "runs out by 2028".into(),
                remains: "two failures a year".into(),
                accepted_by: accepted_by.into(),
            })
        };
        let refused =
            async |edit: RecurrenceEdit| match store.decide_recurrence(&engineer, at(9), KEY, &edit).await {
                Err(StoreError::Refused(Problem { field, .. })) => field,
                other => panic!("{other:?}"),
            };
        store.decide_recurrence(&engineer, at(2), KEY, &RecurrenceEdit::TakeUp).await.expect("taken up");
        assert_eq!(refused(stated("Ada Brook")).await, "cause");
        let noted = RecurrenceEdit::Note { cause: "Worn slider".into(), next_step: String::new() };
        store.decide_recurrence(&engineer, at(3), KEY, &noted).await.expect("noted");
        assert_eq!(refused(stated("Ada Brook")).await, "change");
        store.submit_change(&engineer, at(4), &no, 1, Class::One, None).await.expect("submitted");
        store
            .decide_change(&chair, at(5), &no, &decision(Disposition::Approve), &basis())
            .await
            .expect("decided");
        behind_the_back(&fresh.url, "UPDATE change SET state = 'proved'").await.expect("proved");
        assert_eq!(refused(stated(" ")).await, "accepted_by");
        store.decide_recurrence(&engineer, at(6), KEY, &stated("Ada Brook")).await.expect("settled");
        let kept = store.find_recurrence(KEY.0, KEY.1).await.expect("read").expect("there");
        let settled = kept.settled.expect("settled");
        assert_eq!((kept.state, settled.at), (RecurrenceState::Settled, at(6)));
        assert_eq!(
            (settled.settlement.accepted_by.as_str(), settled.settlement.with_change),
            ("Ada Brook", 60)
        );
        store
            .decide_recurrence(&engineer, at(7), KEY, &RecurrenceEdit::TakeUp)
            .await
            .expect("taken up again");
        let again = store.find_recurrence(KEY.0, KEY.1).await.expect("read").expect("there");
        assert_eq!(again.state, RecurrenceState::TakenUp);
        assert!(again.settled.is_some(), "its history stays");
    });
}
