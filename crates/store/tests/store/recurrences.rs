//! Recurrences: what people decide about them, under a sheet number, with a journal line for each decision.

use domain::permission::{Actor, Role};
use domain::recurrence::RecurrenceState;
use domain::risk::{Level, Severity};
use migrations::{Migrations as _, Migrator};
use sea_orm::{ConnectionTrait as _, Database, Statement};
use store::{JournalFilter, Page, RecurrenceEdit, RecurrenceRecord, Store, StoreError, UserEdit};

use crate::database::{behind_the_back, on_both, on_both_unmigrated};
use crate::handover::number;
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
            store.decide_recurrence(&engineer, at(minute as u32), (KEY, None), edit).await.expect("kept");
        }
        let kept = store.find_recurrence(KEY.0, KEY.1).await.expect("read").expect("there");
        let judgement = kept.judgement.clone().expect("judged");
        assert_eq!((kept.sheet_no.as_str(), kept.state), ("R-2026-001", RecurrenceState::TakenUp));
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
        let refused =
            fresh.store.decide_recurrence(&engineer, at(0), (KEY, None), &RecurrenceEdit::TakeUp).await;
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
        let refused = async |edit: RecurrenceEdit| match store
            .decide_recurrence(&engineer, at(9), (KEY, None), &edit)
            .await
        {
            Err(StoreError::Refused(Problem { field, .. })) => field,
            other => panic!("{other:?}"),
        };
        store
            .decide_recurrence(&engineer, at(2), (KEY, None), &RecurrenceEdit::TakeUp)
            .await
            .expect("taken up");
        assert_eq!(refused(stated("Ada Brook")).await, "cause");
        let noted = RecurrenceEdit::Note { cause: "Worn slider".into(), next_step: String::new() };
        store.decide_recurrence(&engineer, at(3), (KEY, None), &noted).await.expect("noted");
        assert_eq!(refused(stated("Ada Brook")).await, "change");
        store.submit_change(&engineer, at(4), &no, 1, Class::One, None).await.expect("submitted");
        store
            .decide_change(&chair, at(5), &no, &decision(Disposition::Approve), &basis())
            .await
            .expect("decided");
        behind_the_back(&fresh.url, "UPDATE change SET state = 'proved'").await.expect("proved");
        assert_eq!(refused(stated(" ")).await, "accepted_by");
        store.decide_recurrence(&engineer, at(6), (KEY, None), &stated("Ada Brook")).await.expect("settled");
        let shown = (KEY, Some(latest(store).await - 1));
        store.decide_recurrence(&engineer, at(7), shown, &stated(" Ada Brook ")).await.expect("sent twice");
        let other = store.decide_recurrence(&engineer, at(7), shown, &stated("Jon Skerry")).await;
        assert!(matches!(other, Err(StoreError::Overtaken { .. })), "in another name, {other:?}");
        let kept = store.find_recurrence(KEY.0, KEY.1).await.expect("read").expect("there");
        let settled = kept.settled.expect("settled");
        assert_eq!((kept.state, settled.at), (RecurrenceState::Settled, at(6)));
        assert_eq!(
            (settled.settlement.accepted_by.as_str(), settled.settlement.with_change),
            ("Ada Brook", 60)
        );
        store
            .decide_recurrence(&engineer, at(7), (KEY, None), &RecurrenceEdit::TakeUp)
            .await
            .expect("taken up again");
        let again = store.find_recurrence(KEY.0, KEY.1).await.expect("read").expect("there");
        assert_eq!(again.state, RecurrenceState::TakenUp);
        assert!(again.settled.is_some(), "its history stays");
    });
}

/// The number of the latest entry about the recurrence.
async fn latest(store: &Store) -> i64 {
    let filter = JournalFilter { noun: Some("recurrence".into()), ..JournalFilter::default() };
    let entries = store.journal(&filter, Page::first(1)).await.expect("read");
    entries.first().map_or(0, |entry| entry.id)
}

async fn kept(store: &Store) -> RecurrenceRecord {
    store.find_recurrence(KEY.0, KEY.1).await.expect("read").expect("there")
}

fn judged(reason: &str) -> RecurrenceEdit {
    RecurrenceEdit::Judge { severity: Severity::Critical, probability: None, reason: reason.into() }
}

fn noted(cause: &str) -> RecurrenceEdit {
    RecurrenceEdit::Note { cause: cause.into(), next_step: "Bench test".into() }
}

#[test]
fn a_decision_is_overtaken_only_by_what_it_would_overwrite() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        behind_the_back(&fresh.url, "INSERT INTO part (part_no) VALUES ('ZIP-9')").await.expect("a part");
        let oda = somebody(store, "oda", Role::Engineer).await;
        let tove = somebody(store, "tove", Role::Engineer).await;
        let decide = async |by: &Actor, shown, edit: &RecurrenceEdit| match store
            .decide_recurrence(by, at(1), (KEY, Some(shown)), edit)
            .await
        {
            Ok(()) => true,
            Err(StoreError::Overtaken { noun: "recurrence", key }) if key == "ZIP-9 ZIP-1" => false,
            Err(other) => panic!("{other}"),
        };
        assert!(decide(&oda, 0, &judged("A fall was near.")).await);
        assert!(decide(&oda, 0, &noted("Salt")).await, "a judgement is no note");
        assert!(decide(&oda, 0, &RecurrenceEdit::TakeUp).await, "nobody had it");
        let before = kept(store).await;
        assert!(!decide(&tove, 0, &judged("Nobody can fall.")).await);
        assert!(!decide(&tove, 0, &noted("Sand")).await);
        assert!(!decide(&tove, 0, &RecurrenceEdit::TakeUp).await, "it is not taken from Oda unseen");
        assert_eq!(kept(store).await, before);

        let shown = latest(store).await;
        for edit in [judged("Nobody can fall."), noted("Sand"), RecurrenceEdit::TakeUp] {
            assert!(decide(&tove, shown, &edit).await, "{edit:?} on what was seen");
        }
        let after = kept(store).await;
        assert_eq!((after.cause.as_deref(), after.owner_id), (Some("Sand"), Some(number(&tove))));
    });
}

#[test]
fn the_same_decision_sent_twice_is_kept_once() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        behind_the_back(&fresh.url, "INSERT INTO part (part_no) VALUES ('ZIP-9')").await.expect("a part");
        let oda = somebody(store, "oda", Role::Engineer).await;
        for edit in [judged("A fall was near."), noted(" Salt "), RecurrenceEdit::TakeUp] {
            let shown = latest(store).await;
            for minute in [1, 2] {
                store.decide_recurrence(&oda, at(minute), (KEY, Some(shown)), &edit).await.expect("kept");
            }
        }
        let filter = JournalFilter { noun: Some("recurrence".into()), ..JournalFilter::default() };
        let told = store.journal(&filter, Page::first(9)).await.expect("read");
        let acts: Vec<&str> = told.iter().map(|entry| entry.act.as_str()).collect();
        assert_eq!(acts, ["take up", "note", "judge"]);
        let shown = Some(0);
        let another = store.decide_recurrence(&oda, at(3), (KEY, shown), &noted("Sand")).await;
        assert!(matches!(another, Err(StoreError::Overtaken { .. })), "another one of hers, {another:?}");
    });
}

#[test]
fn an_owner_is_known_by_number_and_named_as_they_are_named_now() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        behind_the_back(&fresh.url, "INSERT INTO part (part_no) VALUES ('ZIP-9')").await.expect("a part");
        let oda = somebody(store, "oda", Role::Engineer).await;
        store.decide_recurrence(&oda, at(1), (KEY, None), &RecurrenceEdit::TakeUp).await.expect("taken up");
        let edit = UserEdit { full_name: "Oda Bight".into(), role: Role::Engineer, unit: None };
        store.edit_user(&Actor::Program, at(2), number(&oda), &edit).await.expect("renamed");
        let record = kept(store).await;
        assert_eq!((record.owner.as_deref(), record.owner_id), (Some("Oda Bight"), Some(number(&oda))));
        assert_eq!(store.list_recurrences().await.expect("read"), [record]);
        behind_the_back(&fresh.url, "UPDATE recurrence SET owner_id = NULL").await.expect("only a name");
        let record = kept(store).await;
        assert_eq!((record.owner.as_deref(), record.owner_id), (Some("oda of the base"), None));
    });
}

#[test]
fn owners_kept_by_name_get_the_number_of_the_only_one_of_that_name() {
    const SINCE: &str = "m20261127_000412_recurrence_owner";
    on_both_unmigrated(|url| async move {
        let db = Database::connect(&url).await.expect("opens");
        let steps = Migrator::migrations().iter().position(|step| step.name() == SINCE).expect("there");
        Migrator::up(&db, Some(u32::try_from(steps).expect("few"))).await.expect("up");
        for sql in [
            "INSERT INTO part (part_no) VALUES ('ZIP-9')",
            "INSERT INTO app_user (id, name, full_name, role) VALUES (7, 'fell', 'Oda Fell', 'engineer'), \
             (8, 'one', 'Ada Brook', 'engineer'), (9, 'other', 'Ada Brook', 'board')",
            "INSERT INTO recurrence (sheet_no, part_no, mode, state, owner) VALUES \
             ('1', 'ZIP-9', 'ZIP-1', 'taken up', 'Oda Fell'), ('2', 'ZIP-9', 'ZIP-2', 'taken up', 'Ada Brook'), \
             ('3', 'ZIP-9', 'ZIP-3', 'taken up', 'Tove Bight'), ('4', 'ZIP-9', 'ZIP-4', 'standing', NULL)",
        ] {
            db.execute_unprepared(sql).await.expect("books");
        }
        Migrator::up(&db, Some(1)).await.expect("up");
        let sql = "SELECT owner_id FROM recurrence ORDER BY sheet_no";
        let rows = db.query_all_raw(Statement::from_string(db.get_database_backend(), sql)).await;
        let owners: Vec<Option<i64>> =
            rows.expect("read").iter().map(|row| row.try_get_by_index(0).expect("a number")).collect();
        assert_eq!(owners, [Some(7), None, None, None], "two share a name, and one is not there");
        db.close().await.expect("closes");
    });
}
