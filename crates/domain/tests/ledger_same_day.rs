//! Movements of one day that hang together or compete, whichever way the units and lots were written down.

use crate::common::{builder, date, issue_used, lot, movement, part, unit};
use domain::field::FieldBuilder;
use domain::ledger::{Ledger, TakeOrder, fold};
use domain::movement::{Movement, MovementKind as K};
use domain::unit::UnitKind;

/// Every order of three.
const ORDERS: [[usize; 3]; 6] = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];

/// Three wearing units and three lots of one item, written down in some order, and a store.
fn books(order: [usize; 3]) -> FieldBuilder {
    let mut b = builder();
    b.unit(&unit("STORE", UnitKind::Store)).expect("new");
    b.part(&part("PACK", "A", "ITEM")).expect("new");
    for at in order {
        b.unit(&unit(["A", "B", "C"][at], UnitKind::Wearing)).expect("new");
        b.lot(&lot(["L1", "L2", "L3"][at], "PACK", "A")).expect("new");
    }
    b
}

fn folded(mut b: FieldBuilder, rows: &[Movement]) -> Ledger {
    for row in rows {
        b.movement(row).expect("known names");
    }
    fold(&b.build(), date("2021-06-01").into(), TakeOrder::OldestFirst)
}

fn transfer(on: &str, from: &str, to: &str, quantity: u32) -> Movement {
    Movement { to_unit: Some(to.into()), ..movement(on, K::Transfer, "L1", from, quantity) }
}

/// In whatever order the books were written down, items come from nowhere once and four are in service.
fn two_come_from_nowhere(rows: &[Movement]) {
    for order in ORDERS {
        let ledger = folded(books(order), rows);
        assert_eq!(ledger.discrepancies.len(), 1, "{order:?}: {:?}", ledger.discrepancies);
        let in_service = ledger.held.iter().filter(|held| held.in_service).map(|held| held.quantity);
        assert_eq!(in_service.sum::<u32>(), 4, "{order:?}");
    }
}

/// Of two items four are passed on, and on again the same day.
#[test]
fn what_an_overdrawn_movement_brings_is_there_for_the_next() {
    two_come_from_nowhere(&[
        movement("2020-01-01", K::Receive, "L1", "STORE", 100),
        movement("2020-01-01", K::Issue, "L1", "C", 2),
        transfer("2020-06-01", "C", "A", 4),
        transfer("2020-06-01", "A", "B", 4),
    ]);
}

/// Each of three units passes on more than it has to the next in a ring: somebody must begin.
#[test]
fn a_ring_of_overdrawn_movements_ends() {
    two_come_from_nowhere(&[
        movement("2020-01-01", K::Issue, "L1", "A", 2),
        transfer("2020-06-01", "A", "B", 4),
        transfer("2020-06-01", "B", "C", 4),
        transfer("2020-06-01", "C", "A", 4),
    ]);
}

/// Two used issues of one day take older and newer returns; and items of no known lot go from two lots as old as each other.
#[test]
fn what_competes_goes_by_names_and_not_by_the_order_they_were_written_down_in() {
    let told = |order| {
        let no_lot = Movement {
            lot_no: None,
            part_no: Some("PACK".into()),
            to_unit: Some("B".into()),
            ..movement("2020-09-01", K::Transfer, "", "C", 3)
        };
        let rows = [
            movement("2020-01-01", K::Issue, "L1", "A", 5),
            movement("2020-03-01", K::Issue, "L1", "B", 5),
            movement("2020-04-01", K::Return, "L1", "A", 5),
            movement("2020-05-01", K::Return, "L1", "B", 5),
            issue_used("2020-06-01", "L1", "A", 5),
            issue_used("2020-06-01", "L1", "C", 5),
            movement("2020-07-01", K::Issue, "L2", "C", 2),
            movement("2020-07-01", K::Issue, "L3", "C", 2),
            no_lot,
        ];
        let mut b = books(order);
        for row in &rows {
            b.movement(row).expect("known names");
        }
        let field = b.build();
        let ledger = fold(&field, date("2021-06-01").into(), TakeOrder::OldestFirst);
        let stock = |stock| match stock {
            domain::field::Stock::Lot(lot) => field.lots[lot].lot_no.to_string(),
            domain::field::Stock::Unknown(..) => "?".to_owned(),
        };
        let of_spell = |spell: &domain::ledger::Spell| {
            let unit = field.unit_names[spell.unit].to_string();
            (stock(spell.stock), unit, spell.from, spell.to, spell.age_days, spell.quantity)
        };
        let mut spells: Vec<_> = ledger.spells.iter().map(of_spell).collect();
        spells.sort();
        spells
    };
    for order in ORDERS {
        assert_eq!(told(order), told(ORDERS[0]), "{order:?}");
    }
}
