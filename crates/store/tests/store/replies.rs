//! What units say to instructions, and the inspections that their replies are.

use domain::concerned::Concerned;
use domain::instruction::{Instruction, InstructionKind};
use domain::permission::Actor;
use domain::reply::Reply;
use store::{OfNoLot, Since, StoreError};

use crate::database::{Fresh, behind_the_back, on_both};
use crate::interim::{books, concerned, entries, stop_using};
use crate::samples::{at, day};

/// An order to look at two lots, of which two makers have the first, for a recurrence: its number.
async fn look_at_two_lots(fresh: &Fresh, engineer: &Actor) -> String {
    for sql in [
        "INSERT INTO unit (code, kind) VALUES ('COVE-2', 'wearing')",
        "INSERT INTO part_revision (part_no, revision, name, kind) VALUES ('RC-100', 'A', 'Carrier', 'ITEM')",
        "INSERT INTO lot (lot_no, part_no, revision, maker, purpose) VALUES ('TB-3', 'RC-100', 'A', '', 'production')",
    ] {
        behind_the_back(&fresh.url, sql).await.expect("a unit and its books");
    }
    let new = Instruction {
        kind: InstructionKind::Inspect,
        concerned: Concerned { lots: vec!["TB-1".into(), "TB-3".into()], ..concerned() },
        words: "Look at the seam.".into(),
        recurrence: Some(("RC-100".into(), "ZIP-1".into())),
        ..stop_using()
    };
    fresh.store.add_instruction(engineer, at(1), &new).await.expect("given")
}

/// What a crew found in a lot.
fn reply(number: &str, lot: &str, found: u32) -> Reply {
    Reply {
        instruction_no: number.into(),
        unit: "COVE-2".into(),
        lot_no: Some(lot.into()),
        replied_on: day(5, 4),
        held: 14,
        checked: 12,
        found,
        not_located: 2,
        turned_in: 0,
    }
}

#[test]
fn a_unit_says_that_an_instruction_came_and_replies_for_each_lot() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let number = look_at_two_lots(&fresh, &engineer).await;
        let unit = Actor::UnitLink { unit: "COVE-2".into() };
        store.receive_instruction(&unit, at(2), &number, "COVE-2").await.expect("said");
        store.receive_instruction(&unit, at(3), &number, "COVE-2").await.expect("said again");
        let both = [reply(&number, "TB-1", 2), reply(&number, "TB-3", 0)];
        let strange = [reply(&number, "TB-1", 2), reply(&number, "TB-9", 0)];
        let foreign =
            store.reply_to_instruction(&unit, at(4), (&number, OfNoLot::Everything), &strange).await;
        assert!(matches!(foreign, Err(StoreError::Refused(_))), "all or none: {foreign:?}");
        store
            .reply_to_instruction(&unit, at(5), (&number, OfNoLot::Everything), &both)
            .await
            .expect("replied");
        let said = store.replies_to_instruction(&number).await.expect("read");
        assert_eq!(said.received, [("COVE-2".to_owned(), at(2))]);
        assert_eq!(said.replies, both);
        let looked = store.load_field().await.expect("the books").inspections.len();
        assert_eq!(looked, 1, "of TB-1 nobody can tell which maker's it was");
    });
}

/// Two of forty without a label are no two of all that the unit holds.
#[test]
fn what_is_said_of_items_without_a_lot_beside_others_is_no_inspection_of_them_all() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let number = look_at_two_lots(&fresh, &engineer).await;
        let unit = Actor::UnitLink { unit: "COVE-2".into() };
        let of_no_lot = [Reply { lot_no: None, ..reply(&number, "TB-3", 2) }];
        let inspections = async |minute, of| {
            store.reply_to_instruction(&unit, at(minute), (&number, of), &of_no_lot).await.expect("replied");
            store.books().await.expect("books").inspections().await.expect("read").len()
        };
        assert_eq!(inspections(2, OfNoLot::TheRest).await, 0);
        assert_eq!(store.replies_to_instruction(&number).await.expect("read").replies, of_no_lot);
    });
}

#[test]
fn a_reply_sent_twice_is_one_and_a_later_one_replaces_it_in_the_books_too() {
    on_both(|fresh| async move {
        let engineer = books(&fresh).await;
        let store = &fresh.store;
        let number = look_at_two_lots(&fresh, &engineer).await;
        let unit = Actor::UnitLink { unit: "COVE-2".into() };
        let say = async |minute: u32, reply: &Reply| {
            let sent = std::slice::from_ref(reply);
            store
                .reply_to_instruction(&unit, at(minute), (&number, OfNoLot::Everything), sent)
                .await
                .expect("replied");
        };
        let said = async || store.replies_to_instruction(&number).await.expect("read").replies;
        let inspections = async || store.books().await.expect("books").inspections().await.expect("read");
        let as_inspection =
            |reply: &Reply| reply.inspection("RC-100", "ZIP-1").expect("something was looked at");
        let typed = reply(&number, "TB-3", 2);
        let wrong = Reply { held: 140, checked: 138, ..typed.clone() };
        let other = reply(&number, "TB-1", 1);
        say(2, &other).await;
        say(3, &wrong).await;
        assert_eq!(inspections().await, [as_inspection(&wrong)]);

        let before = store.journal_number().await.expect("read");
        say(4, &Reply { replied_on: day(5, 5), ..wrong.clone() }).await;
        assert_eq!(store.journal_number().await.expect("read"), before, "nothing is told twice");
        assert_eq!(said().await, [other.clone(), wrong.clone()]);

        say(5, &typed).await;
        assert_eq!(said().await, [other.clone(), typed.clone()]);
        assert_eq!(inspections().await, [as_inspection(&typed)]);
        let since = store.changes_since(before, 9).await.expect("asked");
        assert_eq!(since, Since::Other, "whoever holds a picture of the books reads them anew");
        let kept = entries(store, "reply", &format!("{number} COVE-2 TB-3")).await;
        assert_eq!(kept.iter().map(|entry| entry.act.as_str()).collect::<Vec<_>>(), ["replace", "give"]);
        for (state, held) in [(&kept[0].before, r#""held":140,"#), (&kept[0].after, r#""held":14,"#)] {
            assert!(state.as_deref().is_some_and(|json| json.contains(held)), "{held}: {kept:?}");
        }

        // Nothing to look at is a reply and no inspection; what was looked at after all is one again.
        say(6, &Reply { held: 0, checked: 0, found: 0, not_located: 0, ..typed.clone() }).await;
        assert!(inspections().await.is_empty());
        say(7, &wrong).await;
        assert_eq!(
            (said().await, inspections().await),
            (vec![other, wrong.clone()], vec![as_inspection(&wrong)])
        );
    });
}
