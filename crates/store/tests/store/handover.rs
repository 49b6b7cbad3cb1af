//! A hand-over passes everything open in one act; the outbox sends each mail once.

use chrono::Duration;
use domain::action::{Action, ActionKind};
use domain::change_record::Disposition;
use domain::class::Class;
use domain::handover::HandoverKind as K;
use domain::mail_address::MailAddress;
use domain::maker_case::{MakerCase, SampleSplit};
use domain::permission::{Actor, Role};
use store::{
    Handover, MailWords, NewChange, NewDecision, NewHandover, NewMail, RecurrenceEdit, StoreError, UserEdit,
};

use crate::database::{Fresh, behind_the_back, on_both};
use crate::samples::{at, day, somebody};

pub(crate) fn passing((from, to): (i64, i64), note: &str, address: Option<&str>) -> NewHandover {
    let address = address.map(|address| MailAddress::parse(address).expect("an address"));
    NewHandover { from, to, note: note.into(), address }
}

#[expect(clippy::unnecessary_wraps, reason = "the store takes words that may fail to be made")]
pub(crate) fn told(handover: &Handover) -> Result<MailWords, Box<dyn std::error::Error + Send + Sync>> {
    let text = format!("{} things", handover.items.len());
    Ok(MailWords { subject: format!("Hand-over {}", handover.id), html: format!("<p>{text}</p>"), text })
}

pub(crate) fn number(actor: &Actor) -> i64 {
    match actor {
        Actor::Person { id, .. } => *id,
        other => panic!("{other:?} is nobody"),
    }
}

async fn books(fresh: &Fresh) {
    for sql in [
        "INSERT INTO part (part_no) VALUES ('ZIP-9')",
        "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('ZIP-9', 'A', 'slide fastener', 'ZIP')",
        "INSERT INTO lot (lot_no, part_no, revision, maker, purpose) VALUES ('Z-1', 'ZIP-9', 'A', 'Harbour Loft', 'production')",
    ] {
        behind_the_back(&fresh.url, sql).await.expect("books");
    }
}

#[test]
fn a_hand_over_passes_recurrences_changes_actions_and_cases_at_once() {
    on_both(|fresh| async move {
        books(&fresh).await;
        let store = &fresh.store;
        let [old, new] =
            [somebody(store, "fell", Role::Engineer).await, somebody(store, "bight", Role::Engineer).await];
        let chair = somebody(store, "brook", Role::Board).await;
        store
            .decide_recurrence(&old, at(1), (("ZIP-9", "ZIP-1"), None), &RecurrenceEdit::TakeUp)
            .await
            .expect("taken up");
        let change = NewChange {
            title: "Wider slide fastener".into(),
            part_no: "ZIP-9".into(),
            from_revision: "A".into(),
            to_revision: "B".into(),
            modes: Vec::new(),
            recurrence: None,
            problem: "It splits.".into(),
        };
        let no = store.draft_change(&old, at(2), &change).await.expect("drafted");
        store.submit_change(&old, at(3), &no, 1, Class::One, None).await.expect("submitted");
        let decision = NewDecision {
            disposition: Disposition::Approve,
            reason: "enough shown".into(),
            conditions: None,
            signature: "Ada Brook".into(),
        };
        store
            .decide_change(&chair, at(4), &no, &decision, &crate::change_samples::basis())
            .await
            .expect("decided");
        let action = Action {
            change_no: no.clone(),
            kind: ActionKind::Drawing,
            what: "Release drawing 7".into(),
            owner: Some(number(&old)),
            due: None,
            done: None,
        };
        let id = store.add_action(&old, at(5), &action).await.expect("added");
        let case = MakerCase {
            lot_no: "Z-1".into(),
            maker: "Harbour Loft".into(),
            about: "Chain splits".into(),
            notice_on: day(5, 2),
            reply_due: day(5, 20),
            reply: None,
            samples: SampleSplit::default(),
            result: None,
            settlement: None,
            owner: Some(number(&old)),
        };
        let case_no = store.open_case(&old, at(6), &case).await.expect("opened");

        let kinds =
            |items: &[domain::handover::HandoverItem]| items.iter().map(|item| item.kind).collect::<Vec<_>>();
        let today = day(5, 4);
        let open = store.open_of(number(&old), today).await.expect("read");
        assert_eq!(kinds(&open), [K::Recurrence, K::Change, K::Action, K::Case]);
        assert_eq!(
            open.iter().map(|item| item.due).collect::<Vec<_>>(),
            [None, None, None, Some(day(5, 20))]
        );
        let both = (number(&old), number(&new));
        let new_one = passing(both, " On leave. ", None);
        let handover = store.hand_over(&old, at(7), &new_one, told).await.expect("handed over");
        assert!(store.open_of(both.0, today).await.expect("read").is_empty());
        assert_eq!(kinds(&store.open_of(both.1, today).await.expect("read")), kinds(&open));
        assert!(store.take_mail(at(8), 9).await.expect("taken").is_empty(), "nobody has an address");
        let kept = store.find_handover(handover).await.expect("read").expect("there");
        assert_eq!((kept.items, kept.note.as_deref(), kept.to), (open, Some("On leave."), both.1));
        let recurrence = store.find_recurrence("ZIP-9", "ZIP-1").await.expect("read").expect("there");
        assert_eq!(
            (recurrence.owner.as_deref(), recurrence.owner_id),
            (Some("bight of the base"), Some(both.1))
        );
        assert_eq!(store.change_holders().await.expect("read")[&no], both.1);
        assert_eq!(store.find_action(id).await.expect("read").expect("there").action.owner, Some(both.1));
        assert_eq!(store.find_case(&case_no).await.expect("read").expect("there").what.owner, Some(both.1));
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!(
            record.body.expect("a record").drafted_by,
            Some(both.0),
            "who drafted it still may not decide on it"
        );
        let again = store.hand_over(&old, at(8), &passing(both, "", None), told).await;
        assert!(matches!(again, Err(StoreError::Refused(_))), "nothing is left");
        let board = passing((both.1, number(&chair)), "", None);
        let to_board = store.hand_over(&new, at(9), &board, told).await;
        assert!(matches!(to_board, Err(StoreError::Refused(_))));
    });
}

#[test]
fn of_two_people_of_one_name_each_passes_on_their_own_recurrences() {
    on_both(|fresh| async move {
        books(&fresh).await;
        let store = &fresh.store;
        let mut people = Vec::new();
        for name in ["fell", "namesake", "bight"] {
            people.push(somebody(store, name, Role::Engineer).await);
        }
        let edit = UserEdit { full_name: "fell of the base".into(), role: Role::Engineer, unit: None };
        store.edit_user(&Actor::Program, at(1), number(&people[1]), &edit).await.expect("named alike");
        for (person, mode) in [(&people[0], "ZIP-1"), (&people[1], "ZIP-2")] {
            let key = (("ZIP-9", mode), None);
            store.decide_recurrence(person, at(2), key, &RecurrenceEdit::TakeUp).await.expect("taken up");
        }
        // A settled one passes on too: it may come back.
        let settle = "UPDATE recurrence SET state = 'settled' WHERE mode = 'ZIP-1'";
        behind_the_back(&fresh.url, settle).await.expect("settled");
        let open = async |person: &Actor| {
            let items = store.open_of(number(person), day(5, 4)).await.expect("read");
            items.into_iter().map(|item| item.key).collect::<Vec<_>>()
        };
        assert_eq!(open(&people[0]).await, ["ZIP-9 ZIP-1"]);
        assert_eq!(open(&people[1]).await, ["ZIP-9 ZIP-2"]);
        let passed = passing((number(&people[0]), number(&people[2])), "", None);
        store.hand_over(&people[0], at(3), &passed, told).await.expect("handed over");
        assert_eq!(open(&people[1]).await, ["ZIP-9 ZIP-2"]);
        assert_eq!(open(&people[2]).await, ["ZIP-9 ZIP-1"]);
        // Whoever saw it before the hand-over doesn't take it from the successor unseen.
        let take_up = (("ZIP-9", "ZIP-1"), Some(1));
        let late = store.decide_recurrence(&people[1], at(4), take_up, &RecurrenceEdit::TakeUp).await;
        assert!(matches!(late, Err(StoreError::Overtaken { .. })), "{late:?}");
    });
}

#[test]
fn a_mail_is_written_once_taken_once_and_tried_again_later() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mail = |key: &str| NewMail {
            key: key.into(),
            to: "oda@rescue.example".into(),
            subject: "Where the changes stand".into(),
            text: "none".into(),
            html: "<p>none</p>".into(),
            is_personal: false,
            stop_url: None,
        };
        let program = Actor::Program;
        let queued =
            store.queue_mail(&program, at(0), &[mail("a"), mail("b"), mail("a")]).await.expect("queued");
        assert_eq!((queued, store.queue_mail(&program, at(1), &[mail("a")]).await.expect("queued")), (2, 0));
        let taken = store.take_mail(at(1), 9).await.expect("taken");
        assert_eq!(taken.iter().map(|one| one.mail.key.as_str()).collect::<Vec<_>>(), ["a", "b"]);
        assert!(store.take_mail(at(2), 9).await.expect("taken").is_empty(), "they are being sent");
        store.settle_mail(&program, at(2), taken[0].id, Ok(())).await.expect("settled");
        store.settle_mail(&program, at(2), taken[1].id, Err("no answer".into())).await.expect("settled");
        let later = store.take_mail(at(20), 9).await.expect("taken");
        assert_eq!(later.iter().map(|one| one.mail.key.as_str()).collect::<Vec<_>>(), ["b"]);
        let fates = store.latest_mail(9).await.expect("read");
        assert_eq!((fates[0].last_error.as_deref(), fates[1].sent_at), (Some("no answer"), Some(at(2))));
        for tries in 2..30 {
            store.take_mail(at(20) + Duration::days(tries), 9).await.expect("taken");
        }
        assert!(
            store.take_mail(at(20) + Duration::days(99), 9).await.expect("taken").is_empty(),
            "it is given up"
        );
    });
}

#[test]
fn the_digest_goes_to_who_asked_for_it_and_was_not_retired() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let chair = somebody(store, "brook", Role::Board).await;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        for (person, address) in [(&chair, "ada@rescue.example"), (&engineer, "oda@rescue.example")] {
            store.set_digest_address(person, at(1), number(person), Some(address)).await.expect("set");
        }
        store.set_digest_address(&chair, at(2), number(&chair), Some("ada@base.example")).await.expect("set");
        store.retire_user(&Actor::Program, at(3), number(&engineer)).await.expect("retired");
        let readers = store.digest_readers().await.expect("read");
        assert_eq!(readers, [(number(&chair), "ada@base.example".to_owned())]);
        store.set_digest_address(&chair, at(4), number(&chair), None).await.expect("set");
        assert!(store.digest_readers().await.expect("read").is_empty());
        let wrong = store.set_digest_address(&chair, at(5), number(&chair), Some("ada")).await;
        assert!(matches!(wrong, Err(StoreError::Refused(_))));
    });
}
