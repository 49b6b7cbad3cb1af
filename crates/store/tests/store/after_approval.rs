//! What follows an approval: actions, conditions that bar the cut-in, and the effectivity as accomplished.

use domain::action::{Action, ActionKind, Done};
use domain::change_record::Disposition;
use domain::class::Class;
use domain::effectivity::{Effectivity, Stage};
use domain::permission::{Actor, Role};
use store::{JournalFilter, NewChange, NewDecision, Page, Store, StoreError};

use crate::database::{Fresh, behind_the_back, on_both};
use crate::samples::{at, day, somebody};

/// A change of a fastener that the board approved on two conditions, and the engineer who drafted it.
async fn approved(fresh: &Fresh) -> (Actor, String) {
    for sql in [
        "INSERT INTO part (part_no) VALUES ('ZIP-9')",
        "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('ZIP-9', 'A', 'slide fastener', 'ZIP')",
        "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('ZIP-9', 'B', 'slide fastener', 'ZIP')",
        "INSERT INTO lot (lot_no, part_no, revision, maker, purpose) VALUES ('Z-15', 'ZIP-9', 'B', 'Harbour Loft', 'production')",
    ] {
        behind_the_back(&fresh.url, sql).await.expect("books");
    }
    let store = &fresh.store;
    let engineer = somebody(store, "fell", Role::Engineer).await;
    let chair = somebody(store, "brook", Role::Board).await;
    let new = NewChange {
        title: "Wider slide fastener".into(),
        part_no: "ZIP-9".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: Vec::new(),
        recurrence: None,
        problem: "It splits.".into(),
    };
    let no = store.draft_change(&engineer, at(1), &new).await.expect("drafted");
    store.submit_change(&engineer, at(2), &no, 1, Class::One, None).await.expect("submitted");
    let decision = NewDecision {
        disposition: Disposition::ApproveWithConditions,
        reason: "enough shown".into(),
        conditions: Some("- fit check in XS\n- spares first".into()),
        signature: "Ada Brook".into(),
    };
    store
        .decide_change(&chair, at(3), &no, &decision, &crate::change_samples::basis())
        .await
        .expect("decided");
    (engineer, no)
}

fn number(actor: &Actor) -> i64 {
    match actor {
        Actor::Person { id, .. } => *id,
        other => panic!("{other:?} is nobody"),
    }
}

fn done() -> Done {
    Done { on: day(5, 4), evidence: " protocol 12 ".into() }
}

async fn meet_conditions(store: &Store, engineer: &Actor, no: &str) {
    for kept in store.list_actions(Some(no)).await.expect("read") {
        store.finish_action(engineer, at(5), kept.id, &done()).await.expect("finished");
    }
}

#[test]
fn conditions_of_an_approval_bar_the_cut_in_until_they_are_met() {
    on_both(|fresh| async move {
        let (engineer, no) = approved(&fresh).await;
        let store = &fresh.store;
        let conditions = store.list_actions(Some(&no)).await.expect("read");
        let told: Vec<_> =
            conditions.iter().map(|kept| (kept.action.kind, kept.action.what.as_str())).collect();
        assert_eq!(
            told,
            [(ActionKind::Condition, "fit check in XS"), (ActionKind::Condition, "spares first")]
        );
        assert_eq!(conditions[0].owner_name.as_deref(), Some("fell of the base"));
        let early = store.cut_in_change(&engineer, at(4), &no, "Z-15", day(5, 4)).await.unwrap_err();
        assert_eq!(early.to_string(), "conditions: a condition of the approval is open: fit check in XS");
        meet_conditions(store, &engineer, &no).await;
        store.cut_in_change(&engineer, at(6), &no, "Z-15", day(5, 4)).await.expect("cut in");
        let again = store.finish_action(&engineer, at(7), conditions[0].id, &done()).await;
        assert!(matches!(again, Err(StoreError::Refused(_))), "what is done stays so");
    });
}

#[test]
fn an_action_is_added_given_to_somebody_and_finished_with_its_evidence() {
    on_both(|fresh| async move {
        let (engineer, no) = approved(&fresh).await;
        let store = &fresh.store;
        let before = store.journal_number().await.expect("read");
        let action = Action {
            change_no: no.clone(),
            kind: ActionKind::Drawing,
            what: "Release drawing 7".into(),
            owner: None,
            due: None,
            done: None,
        };
        let id = store.add_action(&engineer, at(4), &action).await.expect("added");
        assert_eq!(store.add_action(&engineer, at(5), &action).await.expect("sent twice"), id);
        store
            .assign_action(&engineer, at(5), (id, Some(0)), (Some(number(&engineer)), Some(day(6, 1))))
            .await
            .expect("given");
        store.finish_action(&engineer, at(6), id, &done()).await.expect("finished");
        let kept = store.find_action(id).await.expect("read").expect("there");
        let whole = Action {
            owner: Some(number(&engineer)),
            due: Some(day(6, 1)),
            done: Some(Done { on: day(5, 4), evidence: "protocol 12".into() }),
            ..action
        };
        assert_eq!((kept.action, kept.owner_name.as_deref()), (whole, Some("fell of the base")));
        let filter = JournalFilter {
            noun: Some("action".into()),
            key: Some(id.to_string()),
            ..JournalFilter::default()
        };
        let told = store.journal(&filter, Page::first(9)).await.expect("read");
        let acts: Vec<&str> = told.iter().map(|entry| entry.act.as_str()).collect();
        assert_eq!(acts, ["finish", "assign", "add"]);
        assert_eq!(store.journal_number().await.expect("read"), before, "no figure rests on it");
    });
}

#[test]
fn whose_an_action_is_is_not_said_anew_by_somebody_who_has_not_seen_whose_it_is() {
    on_both(|fresh| async move {
        let (engineer, no) = approved(&fresh).await;
        let store = &fresh.store;
        let other = somebody(store, "scar", Role::Engineer).await;
        let id = store.list_actions(Some(&no)).await.expect("read")[0].id;
        let shown = async || store.find_action_to_assign(id).await.expect("read").expect("there").1;
        let seen = shown().await;
        let to = |actor: &Actor, due| (Some(number(actor)), Some(day(6, due)));
        store.assign_action(&other, at(4), (id, Some(seen)), to(&other, 1)).await.expect("given");
        store.assign_action(&other, at(4), (id, Some(seen)), to(&other, 1)).await.expect("two clicks");
        let late = store.assign_action(&engineer, at(5), (id, Some(seen)), to(&engineer, 9)).await;
        assert!(matches!(late, Err(StoreError::Overtaken { noun: "action", .. })), "{late:?}");
        let kept = store.find_action(id).await.expect("read").expect("there").action;
        assert_eq!((kept.owner, kept.due), to(&other, 1));
        let since = store.action_assigned_since(id, seen).await.expect("read");
        let told: Vec<_> =
            since.iter().map(|one| (one.by.as_str(), (one.what.owner, one.what.due), one.at)).collect();
        assert_eq!(told, [("scar of the base", to(&other, 1), at(4))]);
        let seen = shown().await;
        store.assign_action(&engineer, at(6), (id, Some(seen)), to(&engineer, 9)).await.expect("given");
        let kept = store.find_action(id).await.expect("read").expect("there").action;
        assert_eq!((kept.owner, kept.due), to(&engineer, 9));
    });
}

#[test]
fn what_is_accomplished_names_makers_and_lots_of_the_books() {
    on_both(|fresh| async move {
        let (engineer, no) = approved(&fresh).await;
        let store = &fresh.store;
        let line = Effectivity {
            change_no: no.clone(),
            stage: Stage::Proposed,
            maker: Some("Harbour Loft".into()),
            from_lot: Some("Z-15".into()),
            to_lot: None,
            share_new: 0.4,
            from_date: None,
        };
        let early = store.accomplish(&engineer, at(4), &line).await.unwrap_err();
        assert_eq!(early.to_string(), "change_no: expected a change that is cut in");
        meet_conditions(store, &engineer, &no).await;
        store.cut_in_change(&engineer, at(6), &no, "Z-15", day(5, 4)).await.expect("cut in");
        let wrong = [
            (
                Effectivity { maker: Some("Nobody".into()), ..line.clone() },
                "maker: no lot in the books is made by Nobody",
            ),
            (
                Effectivity { from_lot: Some("Z-99".into()), ..line.clone() },
                "from_lot: Harbour Loft has no lot Z-99 in the books",
            ),
            (
                Effectivity { maker: None, to_lot: Some("Z-99".into()), ..line.clone() },
                "to_lot: no lot in the books has the number Z-99",
            ),
            (Effectivity { from_lot: None, ..line.clone() }, "from_lot: expected a lot or a day"),
        ];
        for (line, says) in wrong {
            assert_eq!(store.accomplish(&engineer, at(7), &line).await.unwrap_err().to_string(), says);
        }
        store.accomplish(&engineer, at(8), &line).await.expect("kept");
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        let accomplished: Vec<f64> = record
            .effectivity
            .iter()
            .filter(|line| line.stage == Stage::Accomplished)
            .map(|line| line.share_new)
            .collect();
        assert_eq!(accomplished, [1.0, 0.4]);
    });
}
