//! A retrofit followed unit by unit through the movements.

use domain::analysis::{Progress, campaign};
use domain::change::{Change, ChangeState};
use domain::field::Field;
use domain::ledger::{TakeOrder, fold};
use domain::movement::{Movement, MovementKind as K};
use domain::unit::UnitKind;

use crate::common::{builder, component, day, lot, movement, part, unit};

/// Forty items of lot OLD at each of two units; 25 of the first unit's were converted to lot OLD-R, 10 came new.
fn field() -> Field {
    let mut b = builder();
    for code in ["A", "B"] {
        b.unit(&unit(code, UnitKind::Wearing)).expect("new");
    }
    for (part_no, revision, kind) in
        [("PACK", "A", "ITEM"), ("PACK", "B", "ITEM"), ("ZIPPER", "A", "ZIP"), ("ZIPPER", "B", "ZIP")]
    {
        b.part(&part(part_no, revision, kind)).expect("new");
    }
    for revision in ["A", "B"] {
        b.component(&component(("PACK", revision), ("ZIPPER", revision), 1.0)).expect("known");
    }
    for (lot_no, revision) in [("OLD", "A"), ("OLD-R", "B"), ("NEW", "B")] {
        b.lot(&lot(lot_no, "PACK", revision)).expect("known");
    }
    b.change(&Change {
        change_no: "2026-001".into(),
        title: "Coated slider".into(),
        part_no: "ZIPPER".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: Vec::new(),
        state: Some(ChangeState::Approved),
        cut_in_lot: None,
        cut_in_on: None,
    })
    .expect("known");
    let moved = [
        movement("2024-01-01", K::Issue, "OLD", "A", 40),
        movement("2024-01-01", K::Issue, "OLD", "B", 40),
        movement("2025-03-01", K::Issue, "NEW", "A", 10),
        Movement { to_lot_no: Some("OLD-R".into()), ..movement("2025-04-01", K::Convert, "OLD", "A", 25) },
    ];
    for one in &moved {
        b.movement(one).expect("known names");
    }
    b.build()
}

#[test]
fn each_unit_has_its_converted_its_new_and_its_to_go_and_silence_is_told() {
    let field = field();
    let ledger = fold(&field, day("2025-06-01"), TakeOrder::OldestFirst);
    let id = field.find_change("2026-001").expect("known");
    let (rows, total) = campaign(&field, &ledger, id, day("2025-01-01"));
    let told: Vec<_> = rows.iter().map(|(unit, progress)| (&field.unit_names[*unit], *progress)).collect();
    let silent = Progress { to_go: 40, ..Progress::default() };
    let first =
        Progress { to_go: 15, converted: 25, built: 10, not_told: 0, last_heard: Some(day("2025-04-01")) };
    assert_eq!(told, [("B", silent), ("A", first)]);
    assert!(silent.is_not_heard_of() && !first.is_not_heard_of());
    assert_eq!((total.to_go, total.converted, total.share()), (55, 25, Some(25.0 / 80.0)));
    assert_eq!(Progress::default().share(), None);
}
