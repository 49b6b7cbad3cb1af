//! What a record says beyond its body: signed part numbers, documents, costs, remarks, enclosures.

use domain::change_record::{Disposition, DocumentKind, Verdict};
use domain::class::{Class, Criterion, Justification, Priority};
use domain::effectivity::{Effectivity, Stage};
use domain::permission::Role;
use domain::reidentification::LevelAnswer;
use domain::retrofit::Costs;
use store::{
    AffectedDocument, Argued, CriterionAnswer, JournalFilter, NewChange, NewDecision, NewEnclosure, Page,
    RecordEdit, RequirementAnswer, StoreError,
};

use crate::database::{Fresh, behind_the_back, on_both};
use crate::samples::{at, somebody};

async fn draft(fresh: &Fresh) -> String {
    for sql in [
        "INSERT INTO part (part_no) VALUES ('ZIP-9')",
        "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('ZIP-9', 'A', 'slide fastener', 'ZIP')",
    ] {
        behind_the_back(&fresh.url, sql).await.expect("a part");
    }
    let engineer = somebody(&fresh.store, "fell", Role::Engineer).await;
    let new = NewChange {
        title: "Wider slide fastener".into(),
        part_no: "ZIP-9".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: Vec::new(),
        recurrence: None,
        problem: "It splits.".into(),
    };
    fresh.store.draft_change(&engineer, at(1), &new).await.expect("drafted")
}

fn levels() -> RecordEdit {
    let answers = vec![LevelAnswer {
        part_no: "ZIP-9".into(),
        interchangeable: false,
        new_number: true,
        words: "wider".into(),
    }];
    RecordEdit::Levels { answers, signature: "Oda Fell".into() }
}

fn file(bytes: &[u8], sha256: &str) -> NewEnclosure {
    let (name, media_type) = ("bench.pdf".into(), "application/pdf".into());
    NewEnclosure { name, media_type, sha256: sha256.into(), bytes: bytes.to_vec() }
}

#[test]
fn part_numbers_documents_and_costs_read_back_as_they_were_written() {
    on_both(|fresh| async move {
        let no = draft(&fresh).await;
        let store = &fresh.store;
        let engineer = store.find_user_named("fell").await.expect("read").expect("there").actor();
        let costs = Costs {
            currency: Some("EUR".into()),
            conversion: Some(14.5),
            source: Some("workshop".into()),
            ..Costs::default()
        };
        let documents = vec![AffectedDocument {
            kind: DocumentKind::Drawing,
            number: "D-1".into(),
            revision: None,
            note: Some("coating".into()),
        }];
        let handling = RecordEdit::Handling {
            priority: Priority::Urgent,
            justification: Justification::Deficiency,
            cost_note: None,
            edition: Some("480B".into()),
        };
        let edits =
            [levels(), RecordEdit::Documents(documents.clone()), RecordEdit::Costs(costs.clone()), handling];
        for (version, edit) in (1..).zip(&edits) {
            store.edit_record(&engineer, at(2), &no, version, edit).await.expect("edited");
        }
        let Argued { priority_edition, levels, levels_signed, costs: kept, documents: listed, .. } =
            store.find_change_record(&no).await.expect("read").expect("there").argued;
        assert_eq!(priority_edition.as_deref(), Some("480B"));
        assert_eq!((levels.len(), levels[0].new_number, levels[0].interchangeable), (1, true, false));
        assert_eq!(levels_signed, Some(("Oda Fell".to_owned(), at(2))));
        assert_eq!((kept, listed), (costs, documents));
        let nobody = RecordEdit::Costs(Costs { conversion: Some(1.0), ..Costs::default() });
        let refused = store.edit_record(&engineer, at(3), &no, 5, &nobody).await.unwrap_err();
        assert!(matches!(refused, StoreError::Refused(problem) if problem.field == "currency"));
    });
}

/// Each section whose lines stand outside the record's row, with these words in it, and where the journal has them.
fn sections(words: &str) -> [(RecordEdit, &'static str); 7] {
    let text = || Some(words.to_owned());
    let title =
        RecordEdit::Words { title: words.into(), problem: "It splits.".into(), description: "Wider.".into() };
    let (criterion, requirement_no) = (Criterion::Weight, "3.4".to_owned());
    let criteria = vec![CriterionAnswer { criterion, touched: true, reason: text() }];
    let verdict = Verdict::NotAffected;
    let requirements = vec![RequirementAnswer { requirement_no, verdict, note: text() }];
    let line = Effectivity {
        change_no: String::new(),
        stage: Stage::Proposed,
        maker: text(),
        from_lot: Some("A-15".into()),
        to_lot: None,
        share_new: 1.0,
        from_date: None,
    };
    let effectivity = RecordEdit::Effectivity { proposed: vec![line], retrofit: None, note: None };
    let answers = vec![LevelAnswer {
        part_no: "ZIP-9".into(),
        interchangeable: true,
        new_number: false,
        words: words.into(),
    }];
    let levels = RecordEdit::Levels { answers, signature: "Oda Fell".into() };
    let (kind, number) = (DocumentKind::Drawing, "D-1".to_owned());
    let documents = vec![AffectedDocument { kind, number, revision: None, note: text() }];
    let costs = Costs { source: text(), ..Costs::default() };
    [
        (title, "/title"),
        (RecordEdit::Criteria(criteria), "/criteria/weight/reason"),
        (RecordEdit::Requirements(requirements), "/requirements/3.4/note"),
        (effectivity, "/effectivity/1/maker"),
        (levels, "/part_numbers/ZIP-9/words"),
        (RecordEdit::Documents(documents), "/documents/1/note"),
        (RecordEdit::Costs(costs), "/plan/cost_source"),
    ]
}

#[test]
fn the_journal_has_the_lines_of_a_section_as_they_were_before_an_edit_and_after_it() {
    on_both(|fresh| async move {
        let no = draft(&fresh).await;
        let store = &fresh.store;
        let engineer = store.find_user_named("fell").await.expect("read").expect("there").actor();
        let edits = [sections("said first"), sections("said then")].into_iter().flatten();
        for (version, (edit, _)) in (1..).zip(edits) {
            store.edit_record(&engineer, at(2), &no, version, &edit).await.expect("edited");
        }
        let filter = JournalFilter { noun: Some("change".into()), key: Some(no), ..JournalFilter::default() };
        let entries = store.journal(&filter, Page::first(7)).await.expect("read");
        for (entry, (_, place)) in entries.iter().rev().zip(sections("")) {
            let said = [&entry.before, &entry.after].map(|state| {
                let state = state.as_deref().expect("a state");
                let state: serde_json::Value = serde_json::from_str(state).expect("JSON");
                state.pointer(place).and_then(serde_json::Value::as_str).map(str::to_owned)
            });
            assert_eq!(said, ["said first", "said then"].map(|said| Some(said.to_owned())), "{}", entry.act);
        }
        let first_costs = store.journal(&filter, Page { number: 1, size: 7 }).await.expect("read").remove(0);
        let before = first_costs.before.expect("a state");
        assert!(first_costs.act == "edit costs" && !before.contains("cost_source"), "{before}");
    });
}

#[test]
fn remarks_and_enclosures_are_added_after_the_decision_too_and_part_numbers_are_not() {
    on_both(|fresh| async move {
        let no = draft(&fresh).await;
        let store = &fresh.store;
        let engineer = store.find_user_named("fell").await.expect("read").expect("there").actor();
        let chair = somebody(store, "brook", Role::Board).await;
        store.submit_change(&engineer, at(2), &no, 1, Class::One, None).await.expect("submitted");
        let decision = NewDecision {
            disposition: Disposition::Approve,
            reason: "enough shown".into(),
            conditions: None,
            signature: "Ada Brook".into(),
        };
        store
            .decide_change(&chair, at(3), &no, &decision, &crate::change_samples::basis())
            .await
            .expect("decided");
        let late = store.edit_record(&engineer, at(4), &no, 2, &levels()).await;
        assert!(matches!(late.unwrap_err(), StoreError::NotAllowed(_)));
        for minute in [5, 6] {
            store.remark(&chair, at(minute), &no, "Weigh XL first.").await.expect("remarked, sent twice");
        }
        assert!(store.enclose(&engineer, at(6), &no, &file(b"one", "aa")).await.expect("enclosed"));
        assert!(!store.enclose(&engineer, at(7), &no, &file(b"one", "aa")).await.expect("kept once"));
        let argued = store.find_change_record(&no).await.expect("read").expect("there").argued;
        assert_eq!((argued.remarks.len(), argued.remarks[0].words.as_str()), (1, "Weigh XL first."));
        assert_eq!((argued.enclosures.len(), argued.enclosures[0].size), (1, 3));
        let found = store.find_enclosure(argued.enclosures[0].id).await.expect("read").expect("there");
        assert_eq!((found.change_no.as_str(), found.file.bytes.as_slice()), (no.as_str(), b"one".as_slice()));
        let filter = JournalFilter { noun: Some("enclosure".into()), ..JournalFilter::default() };
        let told = store.journal(&filter, Page::first(9)).await.expect("read");
        assert_eq!(told.len(), 1);
        assert!(
            !told[0].after.as_deref().unwrap_or_default().contains("bytes"),
            "the file is not in the journal"
        );
        store.remark(&chair, at(30), &no, "Weigh XL first.").await.expect("said once more");
        store.remark(&engineer, at(30), &no, "Weigh XL first.").await.expect("said by another");
        let remarks = store.find_change_record(&no).await.expect("read").expect("there").argued.remarks;
        assert_eq!(remarks.len(), 3);
        let missing = store.remark(&chair, at(8), "2020-001", "x").await.unwrap_err();
        assert!(matches!(missing, StoreError::Missing { .. }));
    });
}
