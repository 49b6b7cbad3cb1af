//! What is passed on besides records with an owner: exhibits, what was ordered, asked or held back, and mail.

use domain::concerned::Concerned;
use domain::disclosure::{Disclosure, Removal};
use domain::exhibit::{Exhibit, Release, Stay, hold_from};
use domain::handover::HandoverKind as K;
use domain::instruction::{Instruction, InstructionKind};
use domain::lot_condition::{LotCondition, Scope, StockCondition};
use domain::mail_address::MailAddress;
use domain::permission::{Actor, Role};
use domain::recurrence::ComeBack;
use domain::variance::{Departure, Variance};
use store::{JournalFilter, Page, Store, StoreError, UserEdit};

use crate::database::on_both;
use crate::everything::everything;
use crate::handover::{number, passing, told};
use crate::pack::bare_report;
use crate::reports::{bring_in, send};
use crate::samples::{at, day, somebody};

/// The day of `at`.
fn today() -> chrono::NaiveDate {
    day(5, 4)
}

fn exhibit() -> Exhibit {
    Exhibit {
        report_ref: "N-1".into(),
        what: "front slide fastener".into(),
        received_on: day(5, 1),
        hold_until: hold_from(day(5, 1)),
        places: vec![Stay { place: "base store, shelf 4".into(), since: day(5, 1) }],
        released: None,
    }
}

fn concerned() -> Concerned {
    Concerned { part_no: "RC-100".into(), maker: None, lots: vec!["L-1".into()] }
}

fn instruction(to: Option<chrono::NaiveDate>) -> Instruction {
    Instruction {
        kind: InstructionKind::StopUse,
        concerned: concerned(),
        from: day(4, 1),
        to,
        words: "Hand it in.".into(),
        authority: "Equipment engineer".into(),
        change_no: None,
        recurrence: None,
        withdrawn: None,
    }
}

fn variance() -> Variance {
    Variance {
        concerned: concerned(),
        departure: "Thread of another shade".into(),
        touches: vec![Departure::EffectiveUse],
        quantity: None,
        from: day(4, 1),
        expires: Some(day(9, 1)),
        recurring: false,
        reason: "The dyer is late.".into(),
        approved_by: "Jon Skerry".into(),
        change_no: None,
        withdrawn: None,
    }
}

fn on_hold(scope: Scope, condition: StockCondition) -> LotCondition {
    LotCondition {
        lot_no: "L-1".into(),
        maker: Some("Oreval Sewing".into()),
        condition,
        on: day(5, 4),
        authority: "Equipment engineer".into(),
        scope,
        reason: "Three tubes pulled out.".into(),
    }
}

/// One of each kind that is open, and beside each one that is at its end.
async fn promise_and_keep(store: &Store, by: &Actor) {
    let alike = Exhibit { what: "another of them".into(), ..exhibit() };
    let kept = store.add_exhibit(by, at(2), &alike).await.expect("taken in");
    store.add_exhibit(by, at(2), &exhibit()).await.expect("taken in");
    let release = Release { on: day(5, 4), to: "the maker".into(), why: Some("for its bench".into()) };
    store.release_exhibit(by, at(3), &kept, (&release, &ComeBack::default())).await.expect("released");

    for to in [None, Some(day(9, 1)), Some(day(5, 4)), Some(day(5, 3))] {
        store.add_instruction(by, at(4), &instruction(to)).await.expect("given");
    }
    store.withdraw_instruction(by, at(5), "I-2026-002", "Replaced.").await.expect("withdrawn");
    for reason in ["The dyer is late.", "The dyer is later still."] {
        let variance = Variance { reason: reason.into(), ..variance() };
        store.add_variance(by, at(6), &variance).await.expect("given");
    }
    store.withdraw_variance(by, at(7), "V-2026-001", "Right thread came.").await.expect("withdrawn");

    let mut answered = 0;
    for question in ["Which strap?", "Which size?"] {
        answered = store.ask(by, at(8), "N-1", question).await.expect("asked");
    }
    store.answer_question(by, at(9), answered, "M").await.expect("answered");
    for report in ["N-1", "N-2"] {
        store.hold_report(by, at(10), report, "An inquiry is open.").await.expect("held");
    }
    store.lift_hold(by, at(11), "N-2", "The inquiry has ended.").await.expect("lifted");

    let unit = Scope::Unit("COVE-2".into());
    for (scope, condition) in [
        (unit.clone(), StockCondition::OnHold),
        (Scope::Quantity(12), StockCondition::OnHold),
        (unit, StockCondition::Released),
        (Scope::Quantity(40), StockCondition::InspectFirst),
    ] {
        store.set_lot_condition(by, at(12), &on_hold(scope, condition)).await.expect("set");
    }
    let disclosure = Disclosure {
        part_no: "RC-100".into(),
        mode: "TUBE-1".into(),
        to: "the standards committee".into(),
        removals: vec![(Removal::Narratives, "Persons.".into())],
        struck: Vec::new(),
        threshold: 5,
    };
    for _ in 0..2 {
        store.draft_disclosure(by, at(13), &disclosure).await.expect("drafted");
    }
    store.review_disclosure(&Actor::Program, at(14), "D-2026-001", "Not now.", None).await.expect("reviewed");
}

#[test]
fn exhibits_and_what_was_promised_pass_on_with_their_days_and_stay_under_their_makers_name() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let [old, new, third] = [
            somebody(store, "fell", Role::Engineer).await,
            somebody(store, "bight", Role::Engineer).await,
            somebody(store, "brook", Role::Engineer).await,
        ];
        for report in ["N-1", "N-2"] {
            send(store, 1, &bare_report(report)).await.expect("sent");
        }
        promise_and_keep(store, &old).await;
        store.add_exhibit(&third, at(15), &exhibit()).await.expect("taken in");

        // Another name since then: what was promised under the old one is still theirs.
        let edit = UserEdit { full_name: "fell of the cove".into(), role: Role::Engineer, unit: None };
        store.edit_user(&Actor::Program, at(15), number(&old), &edit).await.expect("renamed");
        let open = store.open_of(number(&old), today()).await.expect("read");
        let seen: Vec<_> = open.iter().map(|item| (item.kind, item.key.as_str(), item.due)).collect();
        let until = Some(hold_from(day(5, 1)));
        assert_eq!(seen[0], (K::Exhibit, "E-2026-002", until));
        assert_eq!((seen[1].0, seen[1].1.split(' ').next()), (K::LotOnHold, Some("L-1")));
        assert_eq!(
            seen[2..5],
            [
                (K::Instruction, "I-2026-001", None),
                (K::Instruction, "I-2026-003", Some(day(5, 4))),
                (K::Variance, "V-2026-002", Some(day(9, 1))),
            ]
        );
        let kinds: Vec<K> = seen[5..].iter().map(|seen| seen.0).collect();
        assert_eq!(kinds, [K::Question, K::Hold, K::Disclosure]);
        assert_eq!(open[5].title, "report N-1: Which strap?");

        let pass = |from: &Actor, to: &Actor| passing((number(from), number(to)), "", None);
        store.hand_over(&old, at(16), &pass(&old, &new), told).await.expect("handed over");
        assert!(store.open_of(number(&old), today()).await.expect("read").is_empty());
        assert_eq!(store.open_of(number(&new), today()).await.expect("read"), open);
        assert_eq!(store.open_of(number(&third), today()).await.expect("read").len(), 1);
        for kind in [K::Exhibit, K::LotOnHold, K::Variance, K::Question, K::Hold, K::Disclosure] {
            let keepers = store.keepers(kind).await.expect("read");
            assert_eq!(keepers.into_values().collect::<Vec<_>>(), ["bight of the base"], "{kind}");
        }
        let (kept, _) = store.find_exhibit("E-2026-002").await.expect("read").expect("there");
        assert_eq!(kept.by, "fell of the base", "who took it in stays on record");
        let of_exhibit = JournalFilter {
            noun: Some("exhibit".into()),
            key: Some("E-2026-002".into()),
            ..JournalFilter::default()
        };
        let entries = store.journal(&of_exhibit, Page::first(9)).await.expect("read");
        assert_eq!(
            entries.iter().map(|entry| entry.act.as_str()).collect::<Vec<_>>(),
            ["pass on", "take in"]
        );

        // Once more, and what has ended since is not passed on again.
        store.withdraw_variance(&new, at(17), "V-2026-002", "Done.").await.expect("withdrawn");
        store.hand_over(&new, at(18), &pass(&new, &third), told).await.expect("handed over");
        let left = store.open_of(number(&third), today()).await.expect("read");
        assert_eq!((left.len(), store.open_of(number(&new), today()).await.expect("read").len()), (8, 0));
        assert_eq!(
            store.keepers(K::Exhibit).await.expect("read")["E-2026-002"],
            "brook of the base",
            "whoever has it last"
        );
    });
}

#[test]
fn mail_passes_on_to_an_address_of_the_successors_own_and_all_who_have_one_are_told_once() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let [old, new, chief] = [
            somebody(store, "fell", Role::Engineer).await,
            somebody(store, "bight", Role::Engineer).await,
            somebody(store, "brook", Role::Administrator).await,
        ];
        let address = |text: &str| MailAddress::parse(text).expect("an address");
        let (from, to) = (number(&old), number(&new));
        store.set_on_call(&old, at(1), from, Some(&address("fell@rescue.example"))).await.expect("set");
        store.set_digest_address(&old, at(1), from, Some("fell@base.example")).await.expect("set");
        store
            .set_digest_address(&chief, at(1), number(&chief), Some("brook@base.example"))
            .await
            .expect("set");
        let kinds = store.open_of(from, today()).await.expect("read");
        assert_eq!(kinds.iter().map(|item| item.kind).collect::<Vec<_>>(), [K::OnCall, K::Digest]);

        let nowhere = store.hand_over(&chief, at(2), &passing((from, to), "", None), told).await;
        assert!(matches!(&nowhere, Err(StoreError::Refused(problem)) if problem.field == "address"));
        let mute = |_: &store::Handover| Err("no words".into());
        let given = passing((from, to), "", Some("bight@rescue.example"));
        let unsaid = store.hand_over(&chief, at(2), &given, mute).await;
        assert!(matches!(unsaid, Err(StoreError::Mail(_))));
        assert_eq!(store.on_call().await.expect("read").len(), 1);
        assert_eq!(store.open_of(from, today()).await.expect("read").len(), 2, "nothing was passed on");

        store.hand_over(&chief, at(3), &given, told).await.expect("handed over");
        let mailed = |person, to: &str| (person, to.to_owned());
        assert_eq!(store.on_call().await.expect("read"), [mailed(to, "bight@rescue.example")]);
        assert_eq!(
            store.digest_readers().await.expect("read"),
            [mailed(number(&chief), "brook@base.example"), mailed(to, "bight@rescue.example")]
        );
        let mails = store.take_mail(at(4), 9).await.expect("taken");
        let told: Vec<_> = mails.iter().map(|one| (one.mail.to.as_str(), one.mail.text.as_str())).collect();
        assert_eq!(
            told,
            [
                ("bight@rescue.example", "2 things"),
                ("fell@rescue.example", "2 things"),
                ("brook@base.example", "2 things"),
            ]
        );
    });
}

#[test]
fn a_successor_who_is_mailed_already_keeps_their_address_and_a_retired_predecessor_is_not_told() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let [old, new] =
            [somebody(store, "fell", Role::Engineer).await, somebody(store, "bight", Role::Engineer).await];
        let address = |text: &str| MailAddress::parse(text).expect("an address");
        for (person, mail) in [(&old, "fell@rescue.example"), (&new, "bight@rescue.example")] {
            store.set_on_call(person, at(1), number(person), Some(&address(mail))).await.expect("set");
        }
        store.retire_user(&Actor::Program, at(2), number(&old)).await.expect("retired");
        let given = passing((number(&old), number(&new)), "", Some("other@rescue.example"));
        store.hand_over(&new, at(3), &given, crate::handover::told).await.expect("handed over");
        assert_eq!(store.on_call().await.expect("read"), [(number(&new), "bight@rescue.example".to_owned())]);
        let mails = store.take_mail(at(4), 9).await.expect("taken");
        assert_eq!(
            mails.iter().map(|one| one.mail.to.as_str()).collect::<Vec<_>>(),
            ["bight@rescue.example"]
        );
        assert!(store.open_of(number(&old), today()).await.expect("read").is_empty());
    });
}
