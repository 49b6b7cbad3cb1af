//! Change records: drafted, edited under a version, decided once, never altered afterwards.

use domain::change::ChangeState;
use domain::change_record::{Disposition, Prediction, PredictionBasis, Retrofit, Verdict};
use domain::class::{Class, Criterion};
use domain::effectivity::{Effectivity, Stage};
use domain::permission::Role;
use store::{
    CriterionAnswer, JournalFilter, NewChange, NewWeighings, Page, RecordEdit, RequirementAnswer, Store,
    StoreError,
};

use crate::change_samples::{approved, basis, decision, parts, zip_change};
use crate::database::{behind_the_back, on_both};
use crate::samples::{at, day, somebody};

async fn version(store: &Store, change_no: &str) -> i64 {
    let record = store.find_change_record(change_no).await.expect("read").expect("there");
    record.body.expect("a record").version
}

#[test]
fn drafts_are_numbered_by_year_and_one_that_is_sent_twice_is_one() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let (store, new) = (&fresh.store, zip_change());
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let other = somebody(store, "scar", Role::Engineer).await;
        let draft = async |by, minute, new: &NewChange| store.draft_change(by, at(minute), new).await;
        assert_eq!(draft(&engineer, 1, &new).await.expect("drafted"), "2026-001");
        assert_eq!(draft(&engineer, 2, &new).await.expect("the first"), "2026-001");
        let later = NewChange { title: "Another fastener".into(), ..zip_change() };
        assert_eq!(draft(&engineer, 2, &later).await.expect("other words"), "2026-002");
        assert_eq!(draft(&other, 2, &new).await.expect("somebody else"), "2026-003");
        assert_eq!(draft(&engineer, 30, &new).await.expect("much later"), "2026-004");
        store
            .withdraw_change(&engineer, at(30), "2026-004", (1, ChangeState::Draft))
            .await
            .expect("given up");
        assert_eq!(draft(&engineer, 31, &new).await.expect("begun anew"), "2026-005");
        let unknown = NewChange { part_no: "NONE".into(), ..zip_change() };
        let error = fresh.store.draft_change(&engineer, at(3), &unknown).await.unwrap_err();
        assert_eq!(error.to_string(), "there is no part `NONE`");
    });
}

#[test]
fn an_edit_from_an_old_version_is_refused_and_changes_nothing() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let words = |text: &str| RecordEdit::Words {
            title: text.into(),
            problem: text.into(),
            description: text.into(),
        };
        store.edit_record(&engineer, at(2), &no, 1, &words("first")).await.expect("edited");
        let error = store.edit_record(&engineer, at(3), &no, 1, &words("second")).await.unwrap_err();
        assert!(matches!(error, StoreError::Overtaken { .. }));
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!(record.change.title, "first");
        assert_eq!(record.body.expect("a record").version, 2);
    });
}

#[test]
fn a_record_reads_back_section_by_section() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let prediction = Prediction {
            basis: PredictionBasis::Bench,
            ratio_low: 0.2,
            ratio_best: 0.4,
            ratio_high: 0.8,
            source: "crosswise strength, 10 specimens each".into(),
        };
        let criteria = vec![CriterionAnswer {
            criterion: Criterion::Weight,
            touched: true,
            reason: Some("heavier by 22 g".into()),
        }];
        let answers = vec![RequirementAnswer {
            requirement_no: "3.4".into(),
            verdict: Verdict::NotAffected,
            note: Some("the release is not touched".into()),
        }];
        let line = Effectivity {
            change_no: no.clone(),
            stage: Stage::Proposed,
            maker: Some("Maker A".into()),
            from_lot: Some("A-15".into()),
            to_lot: None,
            share_new: 1.0,
            from_date: Some(day(6, 1)),
        };
        let edits = [
            RecordEdit::Prediction(prediction.clone()),
            RecordEdit::Criteria(criteria.clone()),
            RecordEdit::Requirements(answers.clone()),
            RecordEdit::Effectivity {
                proposed: vec![line.clone()],
                retrofit: Some(Retrofit::OnReturn),
                note: None,
            },
        ];
        for (i, edit) in edits.iter().enumerate() {
            store
                .edit_record(&engineer, at(2), &no, 1 + i64::try_from(i).expect("few"), edit)
                .await
                .expect("edited");
        }
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        let body = record.body.expect("a record");
        assert_eq!(body.prediction, Some(prediction));
        assert_eq!(body.retrofit, Some(Retrofit::OnReturn));
        assert_eq!(body.drafted_by_name.as_deref(), Some("fell of the base"));
        assert_eq!((record.criteria, record.answers, record.effectivity), (criteria, answers, vec![line]));
    });
}

#[test]
fn a_change_is_decided_once_and_never_edited_afterwards() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let early = store
            .decide_change(&chair, at(2), &no, &decision(Disposition::Approve), &basis())
            .await
            .unwrap_err();
        assert_eq!(early.to_string(), "A change that is draft can't become approved.");
        store.submit_change(&engineer, at(3), &no, 1, Class::One, None).await.expect("submitted");
        store
            .decide_change(&chair, at(4), &no, &decision(Disposition::Approve), &basis())
            .await
            .expect("decided");
        let twice =
            store.decide_change(&chair, at(5), &no, &decision(Disposition::Disapprove), &basis()).await;
        assert!(matches!(twice.unwrap_err(), StoreError::NotAllowed(_)));
        let words = RecordEdit::Words { title: "x".into(), problem: "x".into(), description: "x".into() };
        let late = store.edit_record(&engineer, at(6), &no, version(store, &no).await, &words).await;
        assert!(matches!(late.unwrap_err(), StoreError::NotAllowed(_)));
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!(record.change.state, Some(ChangeState::Approved));
        assert_eq!(record.decisions.len(), 1);
        assert_eq!(record.since, Some(at(4)));
    });
}

#[test]
fn an_approved_change_is_cut_in_at_a_lot() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let early = store.cut_in_change(&engineer, at(2), &no, "A-15", day(6, 1)).await;
        assert!(matches!(early.unwrap_err(), StoreError::NotAllowed(_)));
        store.submit_change(&engineer, at(3), &no, 1, Class::One, None).await.expect("submitted");
        store
            .decide_change(&chair, at(4), &no, &decision(Disposition::Approve), &basis())
            .await
            .expect("decided");
        let unknown = store.cut_in_change(&engineer, at(5), &no, "A-15", day(6, 1)).await.unwrap_err();
        assert_eq!(unknown.to_string(), "cut_in_lot: no lot in the books has this number");
        let lot = "INSERT INTO lot (lot_no, part_no, revision, maker, purpose) \
                   VALUES ('A-15', 'ZIP-9', 'B', '', 'production')";
        behind_the_back(&fresh.url, lot).await.expect("a lot");
        store.cut_in_change(&engineer, at(5), &no, "A-15", day(6, 1)).await.expect("cut in");
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!(record.change.cut_in_lot.as_deref(), Some("A-15"));
        assert!(record.effectivity.iter().any(|line| line.stage == Stage::Accomplished));
    });
}

#[test]
fn a_draft_puts_the_proposed_revision_in_the_books_built_as_the_one_before() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        for sql in [
            "INSERT INTO part (part_no) VALUES ('TAPE-3')",
            "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('TAPE-3', 'A', 'tape', 'WEB')",
            "INSERT INTO component (parent_part_no, parent_revision, child_part_no, child_revision, quantity, identity) \
             VALUES ('ZIP-9', 'A', 'TAPE-3', 'A', 2, 'one')",
        ] {
            behind_the_back(&fresh.url, sql).await.expect("a structure");
        }
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let no = store.draft_change(&engineer, at(1), &zip_change()).await.expect("drafted");
        let proposed = store.revisions_of("ZIP-9").await.expect("read").pop().expect("there");
        assert_eq!((proposed.revision.as_str(), proposed.released_on), ("B", None));
        assert_eq!(proposed.change_no.as_deref(), Some(no.as_str()));
        assert_eq!(proposed.replaces_revision.as_deref(), Some("A"));
        let field = store.load_field().await.expect("the field loads with a draft in it");
        let of = |revision| field.find_revision("ZIP-9", revision).expect("known");
        let made_of = |revision| field.revisions[of(revision)].components.clone();
        assert_eq!(made_of("A"), made_of("B"));
        assert_eq!(made_of("B").len(), 1);
        // A second draft to the same revision finds it there.
        let second = NewChange { title: "Another fastener".into(), ..zip_change() };
        store.draft_change(&engineer, at(2), &second).await.expect("drafted");
        assert_eq!(store.revisions_of("ZIP-9").await.expect("read").len(), 2);
        let from_nowhere = NewChange { from_revision: "K".into(), ..zip_change() };
        let error = store.draft_change(&engineer, at(3), &from_nowhere).await.unwrap_err();
        assert_eq!(error.to_string(), "from_revision: part ZIP-9 has no such revision");
    });
}

#[test]
fn specimens_are_weighed_on_from_those_that_are_there_or_not_at_all() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let no = store.draft_change(&engineer, at(0), &zip_change()).await.expect("drafted");
        let of = |revision: &str, size: Option<&str>, grams: &[f64]| NewWeighings {
            change_no: no.clone(),
            part_no: "ZIP-9".into(),
            revision: revision.into(),
            size: size.map(Into::into),
            grams: grams.into(),
            shown: 0,
        };
        store.add_weighings(&engineer, at(1), &of("A", Some("M"), &[41.0, 41.5])).await.expect("weighed");
        store.add_weighings(&engineer, at(2), &of("A", Some("M"), &[42.0])).await.expect("weighed");
        store.add_weighings(&engineer, at(3), &of("A", None, &[40.0])).await.expect("weighed");
        let refused = store.add_weighings(&engineer, at(4), &of("A", None, &[39.0, 0.0])).await.unwrap_err();
        assert_eq!(refused.to_string(), "mass_g: expected grams above 0");
        let unknown = store.add_weighings(&engineer, at(5), &of("K", None, &[39.0])).await.unwrap_err();
        assert_eq!(unknown.to_string(), "there is no part revision `ZIP-9 K`");
        let field = store.load_field().await.expect("read");
        let revision = &field.revisions[field.find_revision("ZIP-9", "A").expect("known")];
        let medium = field.sizes.find("M");
        let grams: Vec<f64> =
            revision.weighings.iter().filter(|(size, _)| *size == medium).map(|(_, grams)| *grams).collect();
        assert_eq!((grams, revision.weighings.len()), (vec![41.0, 41.5, 42.0], 4));
        let filter = JournalFilter { key: Some("ZIP-9 A".into()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(50)).await.expect("read");
        assert_eq!(entries.iter().filter(|entry| entry.act == "weigh").count(), 4);
        store.submit_change(&engineer, at(6), &no, 1, Class::One, None).await.expect("submitted");
        let late = store.add_weighings(&engineer, at(7), &of("A", None, &[39.0])).await.unwrap_err();
        assert!(matches!(late, StoreError::NotAllowed(_)), "the board decides on what was weighed: {late}");
    });
}

#[test]
fn a_sitting_that_is_sent_twice_is_weighed_once() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        let store = &fresh.store;
        let engineer = somebody(store, "fell", Role::Engineer).await;
        let other = somebody(store, "scar", Role::Engineer).await;
        let no = store.draft_change(&engineer, at(0), &zip_change()).await.expect("drafted");
        let weigh = async |by, (minute, shown), size: Option<&str>, grams: &[f64]| {
            let new = NewWeighings {
                change_no: no.clone(),
                part_no: "ZIP-9".into(),
                revision: "A".into(),
                size: size.map(Into::into),
                grams: grams.into(),
                shown,
            };
            store.add_weighings(by, at(minute), &new).await.expect("weighed");
            let field = store.load_field().await.expect("read");
            field.revisions[field.find_revision("ZIP-9", "A").expect("known")].weighings.len()
        };
        assert_eq!(weigh(&engineer, (1, 0), None, &[41.2, 40.8]).await, 2);
        assert_eq!(weigh(&engineer, (3, 0), None, &[41.2, 40.8]).await, 2, "sent twice");
        assert_eq!(weigh(&engineer, (3, 0), None, &[41.2]).await, 3, "another sitting with a mass alike");
        assert_eq!(weigh(&engineer, (3, 0), Some("M"), &[41.2]).await, 4, "of another size");
        assert_eq!(weigh(&other, (3, 0), None, &[41.2, 40.8]).await, 6, "by somebody else");
        assert_eq!(weigh(&engineer, (30, 0), None, &[41.2, 40.8]).await, 8, "much later");
        let seen = store.journal_number().await.expect("read");
        assert_eq!(
            weigh(&engineer, (31, seen), None, &[41.2, 40.8]).await,
            10,
            "who has seen the others means more"
        );
    });
}

#[test]
fn a_change_is_withdrawn_only_as_it_was_shown_and_once() {
    on_both(|fresh| async move {
        let (engineer, _, no) = approved(&fresh).await;
        let store = &fresh.store;
        let withdraw =
            async |version, stood| store.withdraw_change(&engineer, at(4), &no, (version, stood)).await;
        // Whoever had it open while it was before the board.
        let stale = withdraw(2, ChangeState::Submitted).await.unwrap_err();
        assert!(matches!(stale, StoreError::Overtaken { .. }), "{stale}");
        let older = withdraw(1, ChangeState::Approved).await.unwrap_err();
        assert!(matches!(older, StoreError::Overtaken { .. }), "{older}");
        let state =
            async || store.find_change(&no).await.expect("read").expect("there").state.expect("a state");
        assert_eq!(state().await, ChangeState::Approved);
        withdraw(2, ChangeState::Approved).await.expect("withdrawn");
        withdraw(2, ChangeState::Approved).await.expect("two clicks on one button");
        assert_eq!(state().await, ChangeState::Withdrawn);
        let filter = JournalFilter { key: Some(no.clone()), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(50)).await.expect("read");
        assert_eq!(entries.iter().filter(|entry| entry.act == "withdraw").count(), 1);
    });
}

#[test]
fn a_proof_is_recorded_once_and_only_after_the_cut_in() {
    on_both(|fresh| async move {
        let (engineer, _, no) = approved(&fresh).await;
        let store = &fresh.store;
        let early = store.conclude_change(&engineer, at(4), &no, true).await.unwrap_err();
        assert_eq!(early.to_string(), "A change that is approved can't become proved.");
        let lot = "INSERT INTO lot (lot_no, part_no, revision, maker, purpose) \
                   VALUES ('A-15', 'ZIP-9', 'B', '', 'production')";
        behind_the_back(&fresh.url, lot).await.expect("a lot");
        store.cut_in_change(&engineer, at(5), &no, "A-15", day(6, 1)).await.expect("cut in");
        store.conclude_change(&engineer, at(6), &no, true).await.expect("concluded");
        let twice = store.conclude_change(&engineer, at(7), &no, true).await;
        assert!(matches!(twice.unwrap_err(), StoreError::NotAllowed(_)));
        let record = store.find_change_record(&no).await.expect("read").expect("there");
        assert_eq!((record.change.state, record.since), (Some(ChangeState::Proved), Some(at(6))));
    });
}
