//! Instructions, variances, conditions of lots and makers' cases: numbered, kept with their history, ended once.

use domain::concerned::Concerned;
use domain::disclosure::{Disclosure, Removal};
use domain::instruction::{Instruction, InstructionKind};
use domain::lot_condition::{LotCondition, Scope, StockCondition};
use domain::maker_case::{CaseResult, MakerCase, SampleSplit};
use domain::permission::{Actor, Role};
use domain::variance::{Departure, Variance};
use store::{JournalEntry, JournalFilter, Page, Store, StoreError};

use crate::database::{Fresh, behind_the_back, on_both};
use crate::samples::{at, day, somebody};

pub(crate) async fn books(fresh: &Fresh) -> Actor {
    for sql in [
        "INSERT INTO part (part_no) VALUES ('RC-100')",
        "INSERT INTO lot (lot_no, part_no, revision, maker, purpose) VALUES ('TB-1', 'RC-100', 'A', 'Harbour Loft', 'production')",
        "INSERT INTO lot (lot_no, part_no, revision, maker, purpose) VALUES ('TB-1', 'RC-100', 'A', '', 'production')",
    ] {
        behind_the_back(&fresh.url, sql).await.expect("books");
    }
    somebody(&fresh.store, "fell", Role::Engineer).await
}

pub(crate) fn concerned() -> Concerned {
    Concerned { part_no: "RC-100".into(), maker: None, lots: vec!["TB-1".into(), "TB-2".into()] }
}

/// An order without an end.
pub(crate) fn stop_using() -> Instruction {
    Instruction {
        kind: InstructionKind::StopUse,
        concerned: concerned(),
        from: day(5, 1),
        to: None,
        words: "Hand it in.".into(),
        authority: "Equipment engineer".into(),
        change_no: None,
        recurrence: None,
        withdrawn: None,
    }
}

#[test]
fn an_instruction_reads_back_whole_and_is_withdrawn_once() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let recurrence = Some(("RC-100".into(), "TUBE-1".into()));
        let new = Instruction { to: Some(day(9, 1)), recurrence, ..stop_using() };
        let number = store.add_instruction(&engineer, at(1), &new).await.expect("given");
        assert_eq!(number, "I-2026-001");
        let kept = store.find_instruction(&number).await.expect("read").expect("there");
        assert_eq!((&kept.what, kept.by.as_str(), kept.at), (&new, "fell of the base", at(1)));
        store.withdraw_instruction(&engineer, at(3), &number, " Replaced. ").await.expect("withdrawn");
        let kept = store.find_instruction(&number).await.expect("read").expect("there");
        assert_eq!(kept.what.withdrawn, Some((day(5, 4), "Replaced.".into())));
        let again = store.withdraw_instruction(&engineer, at(4), &number, "Once more").await;
        assert!(matches!(again, Err(StoreError::Refused(_))));
        let nowhere = Instruction { change_no: Some("2026-999".into()), ..new };
        let missing = store.add_instruction(&engineer, at(5), &nowhere).await;
        assert!(matches!(missing, Err(StoreError::Missing { noun: "change", .. })));
    });
}

/// What the journal has on a thing, the latest first.
pub(crate) async fn entries(store: &Store, noun: &str, key: &str) -> Vec<JournalEntry> {
    let filter = JournalFilter { noun: Some(noun.into()), key: Some(key.into()), ..JournalFilter::default() };
    store.journal(&filter, Page::first(9)).await.expect("read")
}

#[test]
fn an_instruction_given_twice_is_one_until_it_is_withdrawn() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let new = stop_using();
        let give = async |minute: u32, what: &Instruction| {
            store.add_instruction(&engineer, at(minute), what).await.expect("given")
        };
        assert_eq!(give(1, &new).await, "I-2026-001");
        let loose = Instruction { words: " Hand it in. ".into(), ..new.clone() };
        assert_eq!([give(2, &new).await, give(2, &loose).await], ["I-2026-001", "I-2026-001"]);
        assert_eq!(store.list_instructions().await.expect("read").len(), 1);
        assert_eq!(entries(store, "instruction", "I-2026-001").await.len(), 1, "it was given once");

        let longer = Instruction { to: Some(day(9, 1)), ..new.clone() };
        let of_one = Concerned { lots: vec!["TB-1".into()], ..concerned() };
        let narrower = Instruction { concerned: of_one, ..new.clone() };
        let other_words = Instruction { words: "Tag it.".into(), ..new.clone() };
        for (what, number) in
            [(&longer, "I-2026-002"), (&narrower, "I-2026-003"), (&other_words, "I-2026-004")]
        {
            assert_eq!(give(3, what).await, number, "that is another order");
        }
        store.withdraw_instruction(&engineer, at(4), "I-2026-001", "Replaced.").await.expect("withdrawn");
        assert_eq!(give(5, &new).await, "I-2026-005", "what was withdrawn orders nothing");
        assert_eq!(give(6, &new).await, "I-2026-005");
    });
}

#[test]
fn a_variance_reads_back_whole_with_what_it_touches() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let new = Variance {
            concerned: concerned(),
            departure: "Thread of another shade".into(),
            touches: vec![Departure::Safety, Departure::EffectiveUse],
            quantity: Some(400),
            from: day(5, 1),
            expires: Some(day(9, 1)),
            recurring: true,
            reason: "The dyer is late.".into(),
            approved_by: "Jon Skerry".into(),
            change_no: None,
            withdrawn: None,
        };
        let number = store.add_variance(&engineer, at(1), &new).await.expect("given");
        assert_eq!(store.add_variance(&engineer, at(2), &new).await.expect("sent twice"), number);
        let kept = store.list_variances().await.expect("read");
        assert_eq!((kept.len(), &kept[0].what), (1, &new));
        store.withdraw_variance(&engineer, at(3), &number, "Right thread came.").await.expect("withdrawn");
        let kept = store.find_variance(&number).await.expect("read").expect("there");
        assert_eq!(kept.what.withdrawn, Some((day(5, 4), "Right thread came.".into())));
        let anew = store.add_variance(&engineer, at(4), &new).await.expect("given");
        assert_ne!(anew, number, "what was withdrawn is no twin");
        let endless = Variance { quantity: None, expires: None, ..new };
        assert!(matches!(store.add_variance(&engineer, at(4), &endless).await, Err(StoreError::Refused(_))));
    });
}

#[test]
fn the_conditions_of_a_lot_keep_their_history_and_makers_apart() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let entry = |maker: Option<&str>, condition, scope| LotCondition {
            lot_no: "TB-1".into(),
            maker: maker.map(Into::into),
            condition,
            on: day(5, 4),
            authority: "Equipment engineer".into(),
            scope,
            reason: "Three tubes pulled out.".into(),
        };
        let loft = Some("Harbour Loft");
        let set = [
            entry(loft, StockCondition::OnHold, Scope::Whole),
            entry(loft, StockCondition::Released, Scope::Unit("COVE-2".into())),
            entry(loft, StockCondition::InspectFirst, Scope::Quantity(12)),
        ];
        for (minute, entry) in set.iter().enumerate() {
            store.set_lot_condition(&engineer, at(minute as u32), entry).await.expect("set");
        }
        let kept = store.conditions_of_lot("TB-1", loft).await.expect("read");
        assert_eq!(kept.iter().map(|kept| kept.what.clone()).collect::<Vec<_>>(), set);
        assert!(store.conditions_of_lot("TB-1", None).await.expect("read").is_empty());
        let free = store
            .set_lot_condition(&engineer, at(9), &entry(None, StockCondition::Released, Scope::Whole))
            .await;
        assert!(matches!(free, Err(StoreError::Refused(_))), "nothing of the other maker's lot is held");
        let nowhere =
            LotCondition { lot_no: "TB-9".into(), ..entry(None, StockCondition::OnHold, Scope::Whole) };
        let missing = store.set_lot_condition(&engineer, at(9), &nowhere).await;
        assert!(matches!(missing, Err(StoreError::Missing { noun: "lot", .. })));
        assert_eq!(store.list_lot_conditions().await.expect("read").len(), 3);
    });
}

/// A case as it is opened.
fn weak_seams() -> MakerCase {
    MakerCase {
        lot_no: "TB-1".into(),
        maker: "Harbour Loft".into(),
        about: "Tube seams below strength".into(),
        notice_on: day(5, 2),
        reply_due: day(5, 20),
        reply: None,
        samples: SampleSplit { maker: 5, ours: 4, referee: 3 },
        result: None,
        settlement: None,
        owner: None,
    }
}

#[test]
fn a_case_goes_from_notice_to_settlement_and_is_closed_then() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let opened = weak_seams();
        let number = store.open_case(&engineer, at(1), &opened).await.expect("opened");
        assert_eq!(store.open_case(&engineer, at(1), &opened).await.expect("sent twice"), number);
        let replied = MakerCase { reply: Some((day(5, 3), "We test ours.".into())), ..opened.clone() };
        let shown = async || store.find_case_to_write(&number).await.expect("read").expect("there").1;
        store.write_case(&engineer, at(2), (&number, Some(0)), &replied).await.expect("written");
        let settled = MakerCase {
            result: Some(CaseResult::Nonconforming),
            settlement: Some((day(5, 4), "Replaced at the maker's cost.".into())),
            ..replied.clone()
        };
        store.write_case(&engineer, at(4), (&number, Some(shown().await)), &settled).await.expect("written");
        assert_eq!(store.find_case(&number).await.expect("read").expect("there").what, settled);
        let late = MakerCase { about: "All of it".into(), ..settled };
        let late = store.write_case(&engineer, at(5), (&number, Some(shown().await)), &late).await;
        assert!(matches!(late, Err(StoreError::Refused(_))));
        assert_eq!(store.list_cases().await.expect("read").len(), 1);
    });
}

#[test]
fn who_writes_on_a_case_overwrites_nothing_that_they_have_not_seen() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let other = somebody(store, "bight", Role::Engineer).await;
        let opened = weak_seams();
        let number = store.open_case(&engineer, at(1), &opened).await.expect("opened");
        let (_, shown) = store.find_case_to_write(&number).await.expect("read").expect("there");
        let replied = MakerCase { reply: Some((day(5, 3), "We test ours.".into())), ..opened.clone() };
        let write = async |by: &Actor, minute: u32, case: &MakerCase| {
            store.write_case(by, at(minute), (&number, Some(shown)), case).await
        };
        write(&engineer, 2, &replied).await.expect("written");
        write(&engineer, 3, &replied).await.expect("two clicks on one button");
        let longer = MakerCase { reply_due: day(6, 20), ..opened.clone() };
        for (by, case) in [(&other, &longer), (&other, &replied), (&engineer, &longer)] {
            let stale = write(by, 4, case).await;
            assert!(matches!(stale, Err(StoreError::Overtaken { .. })), "{stale:?}");
        }
        let kept = store.find_case(&number).await.expect("read").expect("there").what;
        assert_eq!(kept, replied, "nothing was lost");
        let since = store.case_written_since(&number, shown).await.expect("read");
        assert_eq!((since.len(), since[0].at), (1, at(2)));
        assert_eq!(
            since[0].changed,
            [("replied_on", "2026-05-03"), ("reply", "We test ours.")]
                .map(|(column, value)| (column.to_owned(), value.to_owned()))
        );
        // Whoever has seen it may take it out again, and it is told that it is gone.
        let (_, seen) = store.find_case_to_write(&number).await.expect("read").expect("there");
        store.write_case(&other, at(5), (&number, Some(seen)), &longer).await.expect("written");
        let since = store.case_written_since(&number, seen).await.expect("read");
        let changed = |column| since[0].changed.iter().find(|one| one.0 == column).map(|one| one.1.as_str());
        assert_eq!((changed("reply"), changed("reply_due")), (Some(""), Some("2026-06-20")));
        assert_eq!(store.case_written_since(&number, 0).await.expect("read").len(), 2);
    });
}

#[test]
fn a_disclosure_is_drafted_by_one_and_released_once_with_its_file() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let reviewer = somebody(store, "skerry", Role::Board).await;
        let new = Disclosure {
            part_no: "RC-100".into(),
            mode: "TUBE-1".into(),
            to: "the standards committee".into(),
            removals: vec![
                (Removal::Units, "Not theirs\nto know.".into()),
                (Removal::NamesInNarratives, "Persons.".into()),
            ],
            struck: vec!["Gannet Stack".into(), "the north\tpier".into()],
            threshold: 5,
        };
        let number = store.draft_disclosure(&engineer, at(1), &new).await.expect("drafted");
        let file = store.find_disclosure(&number).await.expect("read").expect("there");
        assert_eq!(file.kept.what.removals[0], (Removal::Units, "Not theirs to know.".into()));
        assert_eq!(file.kept.what.struck, ["Gannet Stack", "the north pier"]);
        assert_eq!((file.review.clone(), store.disclosed_file(&number).await.expect("read")), (None, None));
        let silent = store.review_disclosure(&reviewer, at(2), &number, " ", None).await;
        assert!(matches!(silent, Err(StoreError::Refused(_))));
        let left = Some(("ab12".to_owned(), vec![1, 2, 3]));
        store.review_disclosure(&reviewer, at(2), &number, "Read it all.", left).await.expect("released");
        let kept = store.find_disclosure(&number).await.expect("read").expect("there");
        assert_eq!(store.list_disclosures().await.expect("read"), [kept]);
        let review = store.list_disclosures().await.expect("read")[0].review.clone().expect("reviewed");
        assert_eq!((review.by.as_str(), review.sha256.as_deref()), ("skerry of the base", Some("ab12")));
        assert_eq!(store.disclosed_file(&number).await.expect("read"), Some(vec![1, 2, 3]));
        let again = store.review_disclosure(&reviewer, at(3), &number, "Once more.", None).await;
        assert!(matches!(again, Err(StoreError::Refused(_))));
        if fresh.is_sqlite {
            // Whatever is wrong with a file, a list doesn't read it.
            behind_the_back(&fresh.url, "UPDATE disclosure SET file = 5").await.expect("spoilt");
            assert!(store.disclosed_file(&number).await.is_err());
            assert_eq!(store.list_disclosures().await.expect("read").len(), 1);
            assert!(store.find_disclosure(&number).await.expect("read").is_some());
            assert_eq!(store.draft_disclosure(&engineer, at(3), &new).await.expect("drafted"), "D-2026-002");
        }
        let loose = Disclosure { removals: Vec::new(), ..new };
        assert!(matches!(
            store.draft_disclosure(&engineer, at(4), &loose).await,
            Err(StoreError::Refused(_))
        ));
    });
}
