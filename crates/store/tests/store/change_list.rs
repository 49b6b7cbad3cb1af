//! Lists of change records say of each what it says when it is read alone.

use domain::change_record::{Disposition, DocumentKind, Prediction, PredictionBasis, Retrofit, Verdict};
use domain::class::{Class, Criterion, Justification, Priority};
use domain::effectivity::{Effectivity, Stage};
use domain::permission::{Actor, Role};
use domain::reidentification::LevelAnswer;
use domain::retrofit::Costs;
use store::{
    AffectedDocument, ChangeRecord, CriterionAnswer, NewChange, NewEnclosure, RecordEdit, RequirementAnswer,
    Store,
};

use crate::change_samples::{basis, decision, parts, zip_change};
use crate::database::{behind_the_back, on_both};
use crate::samples::{at, day, somebody};

/// Every section, with words that tell whose record it is.
fn edits(no: &str) -> Vec<RecordEdit> {
    let words = |text: &str| format!("{text} of {no}");
    let criteria = [Criterion::ALL[1], Criterion::ALL[0]].map(|criterion| CriterionAnswer {
        criterion,
        touched: true,
        reason: Some(words("reason")),
    });
    let answers = ["3.4", "3.2"].map(|requirement_no| RequirementAnswer {
        requirement_no: requirement_no.into(),
        verdict: Verdict::NotAffected,
        note: Some(words("note")),
    });
    let document = AffectedDocument {
        kind: DocumentKind::Drawing,
        number: words("drawing"),
        revision: None,
        note: None,
    };
    let level = LevelAnswer {
        part_no: "ZIP-9".into(),
        interchangeable: false,
        new_number: true,
        words: words("wider"),
    };
    vec![
        RecordEdit::Prediction(Prediction {
            basis: PredictionBasis::Judged,
            ratio_low: 0.2,
            ratio_best: 0.4,
            ratio_high: 0.8,
            source: words("source"),
        }),
        RecordEdit::Criteria(criteria.into()),
        RecordEdit::Requirements(answers.into()),
        RecordEdit::Effectivity {
            proposed: vec![Effectivity {
                change_no: no.into(),
                stage: Stage::Proposed,
                maker: None,
                from_lot: Some(words("lot")),
                to_lot: None,
                share_new: 1.0,
                from_date: Some(day(6, 1)),
            }],
            retrofit: Some(Retrofit::RunOut),
            note: Some(words("retrofit")),
        },
        RecordEdit::Handling {
            priority: Priority::Urgent,
            justification: Justification::Deficiency,
            cost_note: Some(words("cost")),
            edition: Some("480B".into()),
        },
        RecordEdit::Documents(vec![document]),
        RecordEdit::Levels { answers: vec![level], signature: "Oda Fell".into() },
        RecordEdit::Costs(Costs {
            currency: Some("EUR".into()),
            conversion: Some(14.5),
            source: Some(words("workshop")),
            ..Costs::default()
        }),
    ]
}

/// Drafts a change, writes all of it and adds what may be added.
async fn whole(store: &Store, by: &Actor, part_no: &str) -> String {
    let new = NewChange { part_no: part_no.into(), recurrence: None, ..zip_change() };
    let no = store.draft_change(by, at(1), &new).await.expect("drafted");
    for (version, edit) in (1..).zip(edits(&no)) {
        store.edit_record(by, at(2), &no, version, &edit).await.expect("edited");
    }
    for n in 0..2 {
        store.remark(by, at(3 + n), &no, &format!("remark {n} on {no}")).await.expect("remarked");
        let file = NewEnclosure {
            name: format!("{n}.pdf"),
            media_type: "application/pdf".into(),
            sha256: format!("{no} {n}"),
            bytes: vec![1; 3],
        };
        store.enclose(by, at(3 + n), &no, &file).await.expect("enclosed");
    }
    no
}

async fn alone(store: &Store, numbers: &[String]) -> Vec<ChangeRecord> {
    let mut records = Vec::new();
    for no in numbers {
        records.push(store.find_change_record(no).await.expect("read").expect("there"));
    }
    records
}

#[test]
fn a_list_says_of_each_change_what_its_record_says_alone() {
    on_both(|fresh| async move {
        parts(&fresh).await;
        for sql in [
            "INSERT INTO part (part_no) VALUES ('TUBE-2')",
            "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('TUBE-2', 'A', 'tube', 'TUB')",
            "INSERT INTO change (change_no, title, part_no, from_revision, to_revision, modes, state) \
             VALUES ('CH-1', 'From a pack', 'ZIP-9', 'A', 'B', '', 'approved')",
        ] {
            behind_the_back(&fresh.url, sql).await.expect("books");
        }
        let store = &fresh.store;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let bight = somebody(store, "bight", Role::Engineer).await;
        let chair = somebody(store, "brook", Role::Board).await;
        assert_eq!(store.list_change_records().await.expect("read").len(), 1);
        let mut numbers = vec!["CH-1".to_owned()];
        for (by, part_no) in [(&fell, "ZIP-9"), (&bight, "TUBE-2"), (&fell, "ZIP-9")] {
            numbers.push(whole(store, by, part_no).await);
        }
        // Put off once, then decided, so that one has two decisions and another none.
        let submit = async |minute: u32, version| {
            store
                .submit_change(&fell, at(minute), &numbers[1], version, Class::One, None)
                .await
                .expect("submitted");
        };
        submit(10, 9).await;
        let shown = store::Shown { version: 10, evidence: None };
        let basis = store::Basis { shown, ..basis() };
        let defer = decision(Disposition::Defer);
        store.decide_change(&chair, at(11), &numbers[1], &defer, &basis).await.expect("decided");

        let list = store.list_change_records().await.expect("read");
        assert_eq!(list, alone(store, &numbers).await);
        let own = &list[3];
        let no = &numbers[3];
        assert_eq!(own.body.as_ref().expect("a record").cost_note, Some(format!("cost of {no}")));
        let remarks: Vec<&str> = own.argued.remarks.iter().map(|one| one.words.as_str()).collect();
        assert_eq!(remarks, [format!("remark 0 on {no}"), format!("remark 1 on {no}")]);
        assert_eq!(own.argued.levels[0].words, format!("wider of {no}"));
        assert_eq!((list[1].decisions.len(), list[3].decisions.len()), (1, 0));
        assert_eq!(list[1].decisions[0].by.as_deref(), Some("brook of the base"));
        assert_eq!(
            list[2].body.as_ref().and_then(|body| body.drafted_by_name.as_deref()),
            Some("bight of the base")
        );
        assert_eq!((list[0].since, list[1].since, list[2].since), (None, Some(at(11)), Some(at(1))));

        let of_part = store.change_records_of_part("ZIP-9").await.expect("read");
        let expected = [&list[0], &list[1], &list[3]].map(ChangeRecord::clone);
        assert_eq!(of_part, expected);
        assert!(store.change_records_of_part("RC-100").await.expect("read").is_empty());
    });
}
