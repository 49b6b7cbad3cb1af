//! How far a change has come at each unit: what was built to it, what was retrofitted by conversion or by a new part, and what
//! waits, worked by hand.

use domain::analysis::{Progress, Reach, analyse, campaign, reach_by};
use domain::change::ChangeState;
use domain::change_record::affected_stock;
use domain::effectivity::{Effectivity, Stage};
use domain::event::{Event, EventKind};
use domain::field::{Field, FieldBuilder};
use domain::ledger::{Ledger, TakeOrder, fold};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind as K};
use domain::unit::UnitKind;

use crate::common::{changed, component, date, day, lot, movement, part, unit, unit_id};

/// Lots OLD before and NEW after the change of the fastener, OLD-R that old items are converted to, and these movements.
fn books(movements: &[Movement]) -> FieldBuilder {
    let mut b = changed(ChangeState::Approved, &[], "2025-01-01");
    b.lot(&lot("OLD-R", "PACK", "B")).expect("known");
    for one in movements {
        b.movement(one).expect("known names");
    }
    b
}

fn convert(on: &str, lot_no: &str, to_lot_no: &str, unit: &str, quantity: u32) -> Movement {
    Movement { to_lot_no: Some(to_lot_no.into()), ..movement(on, K::Convert, lot_no, unit, quantity) }
}

/// The same by part number alone.
fn by_part(movement: Movement) -> Movement {
    Movement { lot_no: None, part_no: Some("PACK".into()), ..movement }
}

fn on(field: &Field, date: &str) -> Ledger {
    fold(field, day(date), TakeOrder::OldestFirst)
}

/// Without, built and retrofitted at a unit.
fn at(field: &Field, date: &str, unit: &str) -> [u64; 3] {
    let found = reach_by(field, &on(field, date), &field.changes.rows()[0]);
    let of_unit = found.units.iter().find(|(id, _)| *id == unit_id(field, unit));
    let Reach { without, built, retrofitted, .. } = of_unit.map(|row| row.1).unwrap_or_default();
    [without, built, retrofitted]
}

/// Forty items of lot OLD at each of two units; 25 of the first unit's were converted to lot OLD-R, 10 came new.
#[test]
fn each_unit_has_its_converted_its_new_and_its_to_go_and_silence_is_told() {
    let field = books(&[
        movement("2024-01-01", K::Issue, "OLD", "A", 40),
        movement("2024-01-01", K::Issue, "OLD", "B", 40),
        movement("2025-03-01", K::Issue, "NEW", "A", 10),
        convert("2025-04-01", "OLD", "OLD-R", "A", 25),
    ])
    .build();
    let ledger = on(&field, "2025-06-01");
    let id = field.find_change("C-1").expect("known");
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

#[test]
fn reach_tells_built_from_retrofitted_and_says_what_it_cannot_tell() {
    let mut b = crate::analysis::mixed_cut_in_books();
    b.lot(&lot("A-90", "PACK", "B")).expect("new lot");
    b.movement(&convert("2024-04-01", "A-13", "A-90", "A", 688)).expect("known");
    let analysis = analyse(&b.build(), date("2024-05-05"));
    let change = &analysis.changes[0];
    let expected = Reach { in_service: 21_915, without: 11_000, built: 5844, retrofitted: 688 };
    assert_eq!((change.reach, change.reach.not_told()), (expected, 4383));
    let cost = change.while_waiting.expect("a rate");
    let rate = change.rate_before.expect("exposure");
    assert!((cost.failures_a_year - rate.estimate * 11.0).abs() < 1e-9 && cost.items == 11_000, "{cost:?}");
}

/// 200 items by part number alone since 2020, all converted in 2023; the day before, nobody can tell of any.
#[test]
fn items_of_no_known_lot_are_retrofitted_by_their_conversion_and_not_before_it() {
    let field = books(&[
        by_part(movement("2020-01-01", K::Issue, "OLD", "A", 200)),
        by_part(convert("2023-05-01", "OLD", "OLD-R", "A", 200)),
    ])
    .build();
    assert_eq!(at(&field, "2023-04-30", "A"), [0, 0, 0]);
    assert_eq!(at(&field, "2023-05-01", "A"), [0, 0, 200]);
}

/// 1,000 items of lot NEW came new to unit B. At A 10 old ones became that lot, 4 of which went on to B: the 6 left
/// at A and the 4 at B are retrofitted. Of 5 more of no known lot, converted at A a year later beside 7 new ones, it is known
/// where; the 2 that are lost then are the longest in service, of the 6.
#[test]
fn of_a_lot_that_was_made_new_only_what_was_converted_into_it_is_retrofitted() {
    let mut moved = vec![
        movement("2021-01-01", K::Issue, "OLD", "A", 40),
        movement("2021-01-01", K::Issue, "NEW", "B", 1000),
        convert("2022-01-01", "OLD", "NEW", "A", 10),
    ];
    let told = |moved: &[Movement], date: &str| {
        let field = books(moved).build();
        ["A", "B"].map(|unit| at(&field, date, unit))
    };
    assert_eq!(told(&moved, "2021-12-31"), [[40, 0, 0], [0, 1000, 0]]);
    assert_eq!(told(&moved, "2022-01-01"), [[30, 0, 10], [0, 1000, 0]]);
    moved.push(Movement { to_unit: Some("B".into()), ..movement("2022-03-01", K::Transfer, "NEW", "A", 4) });
    assert_eq!(told(&moved, "2022-03-01"), [[30, 0, 6], [0, 1000, 4]]);
    moved.push(by_part(movement("2022-06-01", K::Issue, "OLD", "A", 5)));
    moved.push(movement("2022-06-01", K::Issue, "NEW", "A", 7));
    moved.push(by_part(convert("2023-01-01", "OLD", "NEW", "A", 5)));
    assert_eq!(told(&moved, "2023-01-01"), [[30, 7, 11], [0, 1000, 4]]);
    moved.push(movement("2023-01-02", K::Loss, "NEW", "A", 2));
    assert_eq!(told(&moved, "2023-01-02"), [[30, 7, 9], [0, 1000, 4]]);
}

/// A lot that has the change by its records though its revision is the old one, so that no part starts anew and the ledger
/// can't see which of its items became it. 10 did so at A, beside 20 that came new there; the 30 at B came new, before them.
#[test]
fn where_no_part_started_anew_as_many_are_retrofitted_as_became_the_lot_at_the_unit() {
    let mut b = books(&[]);
    b.lot(&lot("R-2", "PACK", "A")).expect("known");
    b.effectivity(&Effectivity {
        change_no: "C-1".into(),
        stage: Stage::Accomplished,
        maker: None,
        from_lot: Some("R-2".into()),
        to_lot: Some("R-2".into()),
        share_new: 1.0,
        from_date: None,
    })
    .expect("known");
    for moved in [
        movement("2020-01-01", K::Issue, "R-2", "B", 30),
        movement("2021-01-01", K::Issue, "OLD", "A", 40),
        movement("2021-06-01", K::Issue, "R-2", "A", 20),
        convert("2022-01-01", "OLD", "R-2", "A", 10),
    ] {
        b.movement(&moved).expect("known names");
    }
    let field = b.build();
    assert_eq!(["A", "B"].map(|unit| at(&field, "2022-02-01", unit)), [[30, 20, 10], [0, 30, 0]]);
}

/// Items built to the change that became another lot for another reason stay built; those that were retrofitted go first.
#[test]
fn what_was_built_to_the_change_stays_so_in_the_lot_it_becomes() {
    let moved = [
        movement("2021-01-01", K::Issue, "OLD", "A", 3),
        movement("2022-01-01", K::Issue, "NEW", "A", 20),
        convert("2023-01-01", "OLD", "NEW", "A", 3),
        convert("2024-01-01", "NEW", "OLD-R", "A", 8),
    ];
    let field = books(&moved).build();
    assert_eq!(at(&field, "2024-02-01", "A"), [0, 20, 3]);
    let (rows, _) = campaign(
        &field,
        &on(&field, "2024-02-01"),
        field.find_change("C-1").expect("known"),
        day("2024-01-01"),
    );
    assert_eq!((rows[0].1.built, rows[0].1.converted), (20, 3));
}

/// Flaps hold the fastener and panels hold flaps. 100 items of lot OLD; 60 got a flap of lot `new_lot` with what is in it.
fn exchanged(part_no: &str, new_lot: &str) -> Field {
    let mut b = books(&[movement("2024-01-01", K::Issue, "OLD", "A", 100)]);
    for part_no in ["FLAP", "PANEL"] {
        for revision in ["A", "B"] {
            b.part(&part(part_no, revision, "ASM")).expect("new part");
        }
    }
    for revision in ["A", "B"] {
        b.component(&component(("PANEL", revision), ("FLAP", revision), 1.0)).expect("known");
        b.component(&component(("FLAP", revision), ("ZIPPER", revision), 1.0)).expect("known");
    }
    b.component(&component(("PACK", "A"), ("PANEL", "A"), 1.0)).expect("known");
    for (lot_no, part_no, revision) in [
        ("Z-8", "ZIPPER", "A"),
        ("Z-9", "ZIPPER", "B"),
        ("F-7", "FLAP", "B"),
        ("F-8", "FLAP", "A"),
        ("F-9", "FLAP", "B"),
        ("N-9", "PANEL", "B"),
    ] {
        b.lot(&lot(lot_no, part_no, revision)).expect("new lot");
    }
    for (used_lot_no, quantity) in [("Z-8", 30.0), ("Z-9", 10.0)] {
        let used = LotUse { lot_no: "F-7".into(), used_lot_no: used_lot_no.into(), quantity: Some(quantity) };
        b.lot_use(&used).expect("known lots");
    }
    b.event(&Event {
        happened_on: date("2025-02-01"),
        unit: "A".into(),
        serial: None,
        lot_no: Some("OLD".into()),
        quantity: 60,
        kind: EventKind::PartReplaced,
        part_no: Some(part_no.into()),
        new_lot_no: Some(new_lot.into()),
        outcome: None,
    })
    .expect("known names");
    b.build()
}

#[test]
fn an_exchanged_assembly_brings_the_part_of_its_lot() {
    for (part_no, new_lot) in [("ZIPPER", "Z-9"), ("FLAP", "F-9"), ("PANEL", "N-9")] {
        assert_eq!(at(&exchanged(part_no, new_lot), "2025-03-01", "A"), [40, 0, 60], "{new_lot}");
    }
    assert_eq!(at(&exchanged("FLAP", "F-8"), "2025-03-01", "A"), [100, 0, 0], "of the old revision");
    // A quarter of F-7 has the new fastener: which, nobody can tell.
    assert_eq!(at(&exchanged("FLAP", "F-7"), "2025-03-01", "A"), [40, 0, 0]);
}

#[test]
fn affected_stock_tells_the_same_as_the_reach() {
    let stock = |field: &Field| -> Vec<(Option<bool>, u64)> {
        let rows = affected_stock(field, &on(field, "2025-03-01"), &field.changes.rows()[0]);
        rows.iter().map(|row| (row.has_change, row.on_issue)).collect()
    };
    for (part_no, new_lot) in [("ZIPPER", "Z-9"), ("FLAP", "F-9")] {
        assert_eq!(stock(&exchanged(part_no, new_lot)), [(Some(false), 40), (Some(true), 60)], "{new_lot}");
    }
    assert_eq!(stock(&exchanged("FLAP", "F-7")), [(None, 60), (Some(false), 40)]);
}

/// 100 old items come back to the depot after two years, are mended there under a lot of their own, which was never received,
/// and go out again: what is issued are those 100, as old as they are, whether the books say how many the lot has or not.
fn mended_go_out_as_what_they_are(mended: &[Movement]) {
    let before = [
        movement("2021-12-31", K::Receive, "OLD", "DEPOT", 100),
        movement("2022-01-01", K::Issue, "OLD", "A", 100),
        movement("2024-01-01", K::Return, "OLD", "A", 100),
    ];
    for quantity in [None, Some(100)] {
        let mut b = changed(ChangeState::Approved, &[], "2025-01-01");
        b.unit(&unit("DEPOT", UnitKind::Depot)).expect("new unit");
        b.lot(&Lot { quantity, ..lot("OLD-R", "PACK", "B") }).expect("known");
        for moved in before.iter().chain(mended) {
            b.movement(moved).expect("known names");
        }
        let field = b.build();
        let ledger = on(&field, "2024-03-02");
        assert_eq!(at(&field, "2024-03-02", "A"), [0, 0, 100], "{quantity:?} {mended:?}");
        let held: u64 = ledger.held.iter().map(|held| u64::from(held.quantity)).sum();
        assert_eq!(held, 100, "{:?}", ledger.held);
        assert!(ledger.discrepancies.is_empty(), "{:?}", ledger.discrepancies);
        assert!(ledger.spells.iter().filter(|spell| spell.open).all(|spell| spell.age_days == 730));
        assert_eq!(ledger.first_issues.iter().map(|issue| issue.2).sum::<u64>(), 100);
    }
}

#[test]
fn items_mended_at_a_depot_at_once_in_halves_or_on_the_day_they_go_out_are_not_new() {
    let mend = |on: &str, quantity| convert(on, "OLD", "OLD-R", "DEPOT", quantity);
    let out = |on: &str, quantity| movement(on, K::Issue, "OLD-R", "A", quantity);
    mended_go_out_as_what_they_are(&[mend("2024-02-01", 100), out("2024-03-01", 100)]);
    mended_go_out_as_what_they_are(&[
        mend("2024-02-01", 50),
        out("2024-02-11", 50),
        mend("2024-02-21", 50),
        out("2024-03-01", 50),
    ]);
    mended_go_out_as_what_they_are(&[mend("2024-03-01", 100), out("2024-03-01", 100)]);
}
