//! Evidence, revisions and plans of changes: frozen with the act, guarded by the database, attempts in the journal.

use domain::change::ChangeState;
use domain::change_record::Disposition;
use domain::class::Class;
use domain::permission::Role;
use domain::proof_plan::ProofPlan;
use store::{JournalFilter, NewEvidence, Page, RecordEdit, Store, digest_of};

use crate::change_samples::{approved, basis, basis_on, decision, parts, zip_change};
use crate::database::{behind_the_back, on_both};
use crate::samples::{at, somebody};

fn words(text: &str) -> RecordEdit {
    RecordEdit::Words { title: "Wider".into(), problem: text.into(), description: "a wider chain".into() }
}

async fn acts(store: &Store, noun: &str, key: &str) -> Vec<String> {
    let (noun, key) = (Some(noun.to_owned()), Some(key.to_owned()));
    let filter = JournalFilter { noun, key, ..JournalFilter::default() };
    let entries = store.journal(&filter, Page::first(50)).await.expect("read");
    entries.into_iter().rev().map(|entry| entry.act).collect()
}

#[test]
fn a_decision_freezes_its_evidence_and_plan_and_the_journal_keeps_the_digest() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let submitted = NewEvidence { occasion: "submission".into(), document: "{}".into() };
        store.submit_change(&engineer, at(2), &no, 1, Class::One, Some(&submitted)).await.expect("submitted");
        store
            .decide_change(&chair, at(3), &no, &decision(Disposition::Approve), &basis_on(&submitted))
            .await
            .expect("decided");
        let kept = store.list_evidence(&no).await.expect("read");
        assert_eq!(
            kept.iter().map(|one| one.occasion.as_str()).collect::<Vec<_>>(),
            ["approve", "submission"]
        );
        assert!(kept.iter().all(store::FrozenEvidence::is_whole));
        assert_eq!((kept[0].revision, kept[0].digest.clone()), (1, digest_of("{\"a\":1}")));
        let plan = store.find_proof_plan(&no).await.expect("read").expect("approved");
        assert_eq!((plan.plan, plan.planned_at), (ProofPlan::default(), at(3)));
        let filter = JournalFilter { noun: Some("evidence".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(5)).await.expect("read");
        assert_eq!(entries.len(), 2);
        assert!(entries[0].after.as_deref().is_some_and(|after| after.contains(&kept[0].digest)));
    });
}

#[test]
fn the_database_refuses_to_alter_or_remove_evidence_and_revisions() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let new = NewEvidence { occasion: "submission".into(), document: "{}".into() };
        store.submit_change(&engineer, at(2), &no, 1, Class::One, Some(&new)).await.expect("submitted");
        for table in ["evidence", "change_revision"] {
            for attempt in [format!("UPDATE {table} SET document = 'x'"), format!("DELETE FROM {table}")] {
                let refused = behind_the_back(&fresh.url, &attempt).await.expect_err(&attempt);
                assert!(refused.to_string().contains("is append-only"), "{attempt}: {refused}");
            }
        }
        assert_eq!(store.list_evidence(&no).await.expect("read")[0].document, "{}");
    });
}

#[test]
fn attempts_to_decide_twice_or_to_edit_what_is_approved_are_refused_and_journalled() {
    on_both(|fresh| async move {
        let (engineer, chair, no) = approved(&fresh).await;
        let store = &fresh.store;
        let number = store.journal_number().await.expect("read");
        store.edit_record(&engineer, at(4), &no, 2, &words("other")).await.unwrap_err();
        store
            .decide_change(&chair, at(5), &no, &decision(Disposition::Disapprove), &basis())
            .await
            .unwrap_err();
        assert_eq!(
            acts(store, "change", &no).await,
            ["draft", "submit", "decide", "refused: edit words", "refused: decide"]
        );
        assert_eq!(store.journal_number().await.expect("read"), number, "an attempt changes no figure");
        assert_eq!(store.list_evidence(&no).await.expect("read").len(), 1);
    });
}

#[test]
fn each_submission_is_a_revision_and_an_edit_after_a_refusal_opens_the_next() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        store.submit_change(&engineer, at(2), &no, 1, Class::One, None).await.expect("submitted");
        store
            .decide_change(&chair, at(3), &no, &decision(Disposition::Disapprove), &basis())
            .await
            .expect("decided");
        store
            .edit_record(&engineer, at(4), &no, 2, &words("It splits in salt water."))
            .await
            .expect("reopened");
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!((record.change.state, record.since), (Some(ChangeState::Draft), Some(at(4))));
        store.submit_change(&engineer, at(5), &no, 3, Class::One, None).await.expect("submitted again");
        let revisions = store.list_text_revisions(&no).await.expect("read");
        let problems: Vec<&str> = revisions
            .iter()
            .flat_map(|one| {
                one.text.iter().filter(|line| line.field == "Problem").map(|line| line.text.as_str())
            })
            .collect();
        assert_eq!(problems, ["It splits.", "It splits in salt water."]);
        assert_eq!(revisions.iter().map(|one| one.revision).collect::<Vec<_>>(), [1, 2]);
        assert_eq!(revisions[1].submitted_at, at(5));
    });
}
