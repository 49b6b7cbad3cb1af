//! What must hold of the ledger whatever the books say.

use std::collections::HashMap;

use crate::common::{date, fastener_replaced, lot, movement, small};
use chrono::{Days, NaiveDate};
use domain::event::Event;
use domain::field::{Day, Field, FieldBuilder, Stock};
use domain::ledger::{Ledger, TakeOrder, fold};
use domain::lot::Lot;
use domain::movement::{Condition, Movement, MovementKind as K};
use proptest::prelude::*;

const LOTS: [&str; 3] = ["L1", "L2", "L3"];
const UNITS: [&str; 3] = ["A", "B", "STORE"];

fn on(offset: u64) -> NaiveDate {
    date("2024-01-01").checked_add_days(Days::new(offset)).expect("a date in range")
}

/// Any well-formed movement, sensible or not.
fn any_movement() -> impl Strategy<Value = Movement> {
    (0u64..40, 0usize..K::ALL.len(), 0usize..4, 0usize..3, 0u32..12, 0usize..3, 0usize..3).prop_map(
        |(offset, kind, lot, unit, quantity, other, condition)| {
            let kind = K::ALL[kind];
            let quantity = if kind == K::Count { quantity } else { quantity + 1 };
            let lot_no = LOTS.get(lot).map(|&l| l.to_owned());
            let other = if other == unit { (unit + 1) % 3 } else { other };
            let to_lot = if lot == 0 { LOTS[1] } else { LOTS[0] };
            Movement {
                moved_on: on(offset),
                part_no: lot_no.is_none().then(|| "PACK".into()),
                lot_no,
                to_unit: (kind == K::Transfer).then(|| UNITS[other].into()),
                to_lot_no: (kind == K::Convert).then(|| to_lot.into()),
                condition: if kind == K::Issue {
                    [None, Some(Condition::New), Some(Condition::Used)][condition]
                } else {
                    None
                },
                ..movement("2024-01-01", kind, "L1", UNITS[unit], quantity)
            }
        },
    )
}

/// Any replacement of a part, whether its items are there or not.
fn any_event() -> impl Strategy<Value = Event> {
    (0u64..40, 0usize..4, 0usize..3, 1u32..12).prop_map(|(offset, lot, unit, quantity)| Event {
        happened_on: on(offset),
        lot_no: LOTS.get(lot).map(|&l| l.to_owned()),
        quantity,
        ..fastener_replaced("2024-01-01", UNITS[unit])
    })
}

fn field_of(movements: &[Movement], events: &[Event]) -> Field {
    field_with(small(&LOTS), movements, events)
}

/// The same books of a third lot that was made on day 20, so that some rows are of before.
fn field_of_late(movements: &[Movement], events: &[Event]) -> Field {
    let mut b = small(&LOTS[..2]);
    b.lot(&Lot { made_on: Some(on(20)), ..lot(LOTS[2], "PACK", "A") }).expect("new lot");
    field_with(b, movements, events)
}

fn field_with(mut b: FieldBuilder, movements: &[Movement], events: &[Event]) -> Field {
    for m in movements {
        m.check().expect("well-formed");
        b.movement(m).expect("known names");
    }
    for e in events {
        b.event(e).expect("known names");
    }
    b.build()
}

fn ledger_of(movements: &[Movement], as_of: Day) -> Ledger {
    fold(&field_of(movements, &[]), as_of, TakeOrder::OldestFirst)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_rows_is_irrelevant(
        (rows, shuffled) in prop::collection::vec(any_movement(), 0..40)
            .prop_flat_map(|rows| (Just(rows.clone()), Just(rows).prop_shuffle())),
        (events, mixed) in prop::collection::vec(any_event(), 0..8)
            .prop_flat_map(|events| (Just(events.clone()), Just(events).prop_shuffle())),
        late in any::<bool>(),
    ) {
        let field = if late { field_of_late } else { field_of };
        let [a, b] = [(rows, events), (shuffled, mixed)]
            .map(|(rows, events)| fold(&field(&rows, &events), on(60).into(), TakeOrder::OldestFirst));
        prop_assert_eq!(a.spells, b.spells);
        prop_assert_eq!(a.discrepancies, b.discrepancies);
        prop_assert_eq!(a.held, b.held);
    }

    #[test]
    fn the_least_is_never_above_the_best_nor_the_best_above_the_most(
        rows in prop::collection::vec(any_movement(), 0..40),
        events in prop::collection::vec(any_event(), 0..8),
        newest in any::<bool>(),
        late in any::<bool>(),
        as_of in 0u64..60,
    ) {
        let field = if late { field_of_late(&rows, &events) } else { field_of(&rows, &events) };
        let order = if newest { TakeOrder::NewestFirst } else { TakeOrder::OldestFirst };
        let ledger = fold(&field, on(as_of).into(), order);
        let mut spans = vec![ledger.item_years(|_| true)];
        for (lot, _) in field.lots.iter() {
            spans.push(ledger.lot_years(|s| s.stock == Stock::Lot(lot)));
        }
        for span in spans {
            prop_assert!(span.low >= 0.0 && span.low <= span.best + 1e-9 && span.best <= span.high + 1e-9, "{span:?}");
        }
        for spell in &ledger.spells {
            prop_assert!(spell.quantity > 0 && spell.from <= spell.to && spell.age_days >= 0, "{spell:?}");
            prop_assert!(spell.to <= ledger.as_of);
            let made = spell.lot().and_then(|lot| field.lots[lot].made_on);
            prop_assert!(made.is_none_or(|made| made <= spell.from || spell.from == spell.to), "{spell:?}");
        }
    }

    /// Books that balance: exposure is what went in, less what came out, each for the days that are left.
    #[test]
    fn exposure_is_conserved(
        steps in prop::collection::vec((0u64..200, 0usize..3, 0usize..2, 1u32..9, 0usize..4), 1..60)
    ) {
        let as_of = on(300);
        let mut held: HashMap<(usize, usize), u32> = HashMap::new();
        let (mut rows, mut item_days) = (Vec::new(), 0i64);
        let mut offset = 0;
        for (step, lot, unit, quantity, kind) in steps {
            offset = (offset + step % 7).min(299);
            let left = i64::try_from(300 - offset).expect("small") * i64::from(quantity);
            let name = on(offset).to_string();
            let have = held.entry((lot, unit)).or_default();
            if kind == 0 || *have < quantity {
                *have += quantity;
                item_days += left;
                rows.push(movement(&name, K::Issue, LOTS[lot], UNITS[unit], quantity));
            } else if kind == 1 {
                *have -= quantity;
                *held.entry((lot, 1 - unit)).or_default() += quantity;
                let to_unit = Some(UNITS[1 - unit].to_owned());
                rows.push(Movement { to_unit, ..movement(&name, K::Transfer, LOTS[lot], UNITS[unit], quantity) });
            } else {
                *have -= quantity;
                item_days -= left;
                let kind = if kind == 2 { K::Return } else { K::Retire };
                rows.push(movement(&name, kind, LOTS[lot], UNITS[unit], quantity));
            }
        }
        let ledger = ledger_of(&rows, as_of.into());
        prop_assert!(ledger.discrepancies.is_empty(), "{:?}", ledger.discrepancies);
        let years = ledger.item_years(|_| true);
        prop_assert!((years.best * 365.25 - item_days as f64).abs() < 1e-6);
        prop_assert_eq!((years.low, years.high), (years.best, years.best));
    }
}

/// Each of 50,000 lots becomes the one before it on one day, the last of them first: in the order of the lots only one row
/// is ready at a time. Looking at all of them each time would be 1.25e9 looks.
#[test]
fn a_long_chain_of_one_day_is_followed_to_its_end() {
    let no = |at: usize| format!("C{at}");
    let lots: Vec<String> = (0..50_000).map(no).collect();
    let mut b = small(&lots.iter().map(String::as_str).collect::<Vec<_>>());
    let last = lots.len() - 1;
    b.movement(&movement("2024-01-01", K::Issue, &lots[last], "A", 7)).expect("known names");
    for pair in lots.windows(2) {
        let to_lot_no = Some(pair[0].clone());
        b.movement(&Movement { to_lot_no, ..movement("2024-01-02", K::Convert, &pair[1], "A", 7) })
            .expect("known names");
    }
    let field = b.build();
    let ledger = fold(&field, on(11).into(), TakeOrder::OldestFirst);
    assert_eq!(ledger.discrepancies, []);
    let first = field.lots.iter().next().map(|(lot, _)| Stock::Lot(lot));
    let held: Vec<_> = ledger.held.iter().filter(|h| h.quantity > 0).map(|h| (h.stock, h.quantity)).collect();
    assert_eq!(held, [(first.expect("a lot"), 7)]);
}
