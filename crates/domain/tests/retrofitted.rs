//! On which side of a change a failure stands where some items of its lot were given the new part, case by case by hand.

use domain::analysis::analyse;
use domain::change::ChangeState;
use domain::event::Event;
use domain::field::FieldBuilder;
use domain::movement::{Movement, MovementKind as K};
use domain::report::Report;
use domain::serial::Serial;

use crate::common::{self, date, lot, movement};

const DONE_ON: &str = "2024-07-01";

/// Twenty items of a lot from before the change, X00 to X19, at unit A since 2024-01-01.
fn twenty() -> FieldBuilder {
    let mut b = common::changed(ChangeState::CutIn, &[], DONE_ON);
    b.lot(&lot("Z-2", "ZIPPER", "B")).expect("new lot");
    b.movement(&movement("2024-01-01", K::Issue, "OLD", "A", 20)).expect("known names");
    for number in 0..20 {
        let serial = format!("X{number:02}");
        let at_a = Serial { serial, lot_no: "OLD".into(), unit: Some("A".into()), from: None, to: None };
        b.serial(&at_a).expect("known names");
    }
    b
}

/// A new fastener for one item known by number, or for some of the lot.
fn renewed(b: &mut FieldBuilder, serial: Option<&str>, quantity: u32, new_lot_no: Option<&str>) {
    let renewed = Event {
        serial: serial.map(Into::into),
        lot_no: Some("OLD".into()),
        new_lot_no: new_lot_no.map(Into::into),
        quantity,
        ..common::fastener_replaced(DONE_ON, "A")
    };
    b.event(&renewed).expect("known names");
}

/// Failures before, after and on no side, where one item of the lot fails in the autumn, with its number or without.
fn sides(mut b: FieldBuilder, serial: Option<&str>) -> (u64, u64, u64) {
    let found = common::report("R-1", "2024-11-01", "A", "PACK", Some("OLD"));
    let (part_no, mode) = (Some("ZIPPER".into()), Some("ZIP-1".into()));
    let found = Report { part_no, mode, serial: serial.map(Into::into), ..found };
    b.report(&found).expect("known names");
    let analysis = analyse(&b.build(), date("2025-02-01"));
    let counts = &analysis.changes[0].counts;
    (counts.before.occasions, counts.after.occasions, counts.unread)
}

#[test]
fn an_item_known_by_number_stands_where_its_own_record_says() {
    let half = || {
        let mut b = twenty();
        (0..10).for_each(|number| renewed(&mut b, Some(&format!("X{number:02}")), 1, Some("Z-2")));
        b
    };
    assert_eq!(sides(half(), Some("X03")), (0, 1, 0));
    assert_eq!(sides(half(), Some("X15")), (1, 0, 0));
    assert_eq!(sides(half(), None), (0, 0, 1), "one of ten that have it, or of ten that don't");
    let mut of_unknown_lot = twenty();
    renewed(&mut of_unknown_lot, Some("X03"), 1, None);
    assert_eq!(sides(of_unknown_lot, Some("X03")), (0, 0, 1));
}

#[test]
fn where_no_number_tells_the_side_is_that_of_nearly_all() {
    let some = |quantity| {
        let mut b = twenty();
        renewed(&mut b, None, quantity, Some("Z-2"));
        b
    };
    assert_eq!(sides(some(2), None), (1, 0, 0));
    assert_eq!(sides(some(10), None), (0, 0, 1));
    assert_eq!(sides(some(18), None), (0, 1, 0));
    assert_eq!(sides(some(10), Some("X03")), (0, 0, 1), "whether it was one of the ten nobody wrote down");
    let mut of_unknown_lot = twenty();
    renewed(&mut of_unknown_lot, None, 20, None);
    assert_eq!(sides(of_unknown_lot, None), (0, 0, 1));
}

#[test]
fn a_label_from_before_on_items_that_have_all_become_others_is_on_one_of_these() {
    let converted = |into: &[(&str, u32)]| {
        let mut b = common::changed(ChangeState::CutIn, &[], DONE_ON);
        b.lot(&lot("OLD-2", "PACK", "A")).expect("new lot");
        b.movement(&movement("2024-01-01", K::Issue, "OLD", "A", 20)).expect("known names");
        for &(to, quantity) in into {
            let became = movement(DONE_ON, K::Convert, "OLD", "A", quantity);
            b.movement(&Movement { to_lot_no: Some(to.into()), ..became }).expect("known names");
        }
        b
    };
    assert_eq!(sides(converted(&[("NEW", 20)]), None), (0, 1, 0));
    assert_eq!(sides(converted(&[("NEW", 12)]), None), (1, 0, 0), "eight have it still");
    assert_eq!(sides(converted(&[("NEW", 12), ("OLD-2", 8)]), None), (0, 0, 1), "one of two kinds");
}
