//! What must hold of lineage and whereabouts whatever was made from what.

use std::collections::{BTreeMap, HashMap};

use crate::common::{component, date, draws, lot, movement, part, small};
use domain::field::{Day, Field, LotId, Stock};
use domain::ledger::{TakeOrder, fold};
use domain::lineage::{Kin, Lineage, Whereabouts};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind as K};
use proptest::prelude::*;

const UNITS: [&str; 3] = ["A", "B", "STORE"];

/// What was really made and where it really is: every piece with the lots it contains.
struct Real {
    uses: Vec<LotUse>,
    movements: Vec<Movement>,
    lots: Vec<Lot>,
    /// Items at each unit: how many contain each lot.
    containing: HashMap<(String, String), u32>,
}

struct Draws<F>(F);

impl<F: FnMut() -> u64> Draws<F> {
    fn below(&mut self, n: usize) -> usize {
        ((self.0)() % n.max(1) as u64) as usize
    }
}

/// A piece: the lots it is of and contains.
type Piece = Vec<usize>;

/// Three levels of lots made piece by piece: tape, fasteners of one tape each, packs of so many fasteners each.
fn real(seed: u64, fasteners_each: usize) -> Real {
    let mut d = Draws(draws(seed));
    let mut real =
        Real { uses: Vec::new(), movements: Vec::new(), lots: Vec::new(), containing: HashMap::new() };
    let levels = [("TAPE", 3, 30), ("ZIPPER", 4, 20), ("PACK", 4, 12)];
    let mut pieces: Vec<Piece> = Vec::new();
    for (level, (part_no, lots, most)) in levels.into_iter().enumerate() {
        let each = [0, 1, fasteners_each][level];
        let mut made: Vec<Piece> = Vec::new();
        for n in 0..lots {
            let place = real.lots.len();
            let lot_no = format!("{}{n}", &part_no[..1]);
            let mut used: BTreeMap<usize, u32> = BTreeMap::new();
            let mut own: Vec<Piece> = Vec::new();
            // Of a few lots below, whichever is at hand.
            for _ in 0..=d.below(most) {
                if level > 0 && pieces.len() < each {
                    break;
                }
                let mut piece = vec![place];
                for _ in 0..each {
                    let at = d.below(pieces.len().min(12));
                    let below = pieces.remove(at);
                    *used.entry(below[0]).or_default() += 1;
                    piece.extend(below);
                }
                own.push(piece);
            }
            real.lots.push(Lot { quantity: Some(own.len() as u32), ..lot(&lot_no, part_no, "A") });
            for (from, quantity) in used {
                let used_lot_no = real.lots[from].lot_no.clone();
                let quantity = Some(f64::from(quantity));
                real.uses.push(LotUse { lot_no: lot_no.clone(), used_lot_no, quantity });
            }
            made.extend(own);
        }
        pieces = made;
    }
    for item in pieces {
        let at = d.below(4);
        let Some(&unit) = UNITS.get(at) else { continue };
        let lot_no = real.lots[item[0]].lot_no.clone();
        let kind = if unit == "STORE" { K::Receive } else { K::Issue };
        let on = ["2026-01-01", "2026-02-01", "2026-03-01"][d.below(3)];
        real.movements.push(movement(on, kind, &lot_no, unit, 1));
        let mut contains: Vec<usize> = item;
        contains.sort_unstable();
        contains.dedup();
        for lot in contains {
            *real.containing.entry((unit.to_owned(), real.lots[lot].lot_no.clone())).or_default() += 1;
        }
    }
    // A store whose arrivals are on record can't issue more than it got.
    let received: Vec<Movement> = real.movements.iter().filter(|m| m.kind == K::Issue).cloned().collect();
    for issued in received {
        let lot_no = issued.lot_no.expect("every lot is known");
        real.movements.push(movement("2025-12-01", K::Receive, &lot_no, "STORE", issued.quantity));
    }
    real
}

fn field_of(lots: &[Lot], uses: &[LotUse], movements: &[Movement], fasteners_each: usize) -> Field {
    let mut b = small(&[]);
    b.part(&part("TAPE", "A", "ZIP")).expect("new part");
    b.component(&component(("ZIPPER", "A"), ("TAPE", "A"), 1.0)).expect("known parts");
    // The structure of the small world has one fastener; each further one is another line of it.
    for _ in 1..fasteners_each {
        b.component(&component(("PACK", "A"), ("ZIPPER", "A"), 1.0)).expect("known parts");
    }
    for lot in lots {
        b.lot(lot).expect("new lot");
    }
    for lot_use in uses {
        b.lot_use(lot_use).expect("known lots");
    }
    for movement in movements {
        b.movement(movement).expect("known names");
    }
    b.build()
}

fn all_lots(field: &Field) -> Vec<LotId> {
    field.lots.iter().map(|(id, _)| id).collect()
}

fn whereabouts(field: &Field, of: LotId, on: &str) -> Whereabouts {
    Whereabouts::new(field, &fold(field, date(on).into(), TakeOrder::OldestFirst), of)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn up_and_down_are_each_others_reverse(seed in any::<u64>(), each in 1usize..3) {
        let real = real(seed, each);
        let field = field_of(&real.lots, &real.uses, &real.movements, each);
        let mut ways: HashMap<(LotId, LotId), [Option<Kin>; 2]> = HashMap::new();
        for lot in all_lots(&field) {
            let lineage = Lineage::of(&field, lot);
            for kin in &lineage.up {
                ways.entry((kin.lot, lot)).or_default()[0] = Some(*kin);
            }
            for kin in &lineage.down {
                ways.entry((lot, kin.lot)).or_default()[1] = Some(*kin);
            }
        }
        for (pair, [up, down]) in ways {
            let (Some(up), Some(down)) = (up, down) else { return Err(TestCaseError::fail(format!("{pair:?}"))) };
            prop_assert_eq!((up.content, up.amount, up.steps), (down.content, down.amount, down.steps));
        }
    }

    #[test]
    fn no_more_goes_out_of_a_lot_than_it_has(seed in any::<u64>(), each in 1usize..3) {
        let real = real(seed, each);
        let field = field_of(&real.lots, &real.uses, &[], each);
        for lot in all_lots(&field) {
            let down = Lineage::of(&field, lot).down;
            let made = f64::from(field.lots[lot].quantity.expect("every quantity is known"));
            for part in down.iter().map(|kin| field.part_of_lot(kin.lot)) {
                let into = down.iter().filter(|kin| field.part_of_lot(kin.lot) == part);
                let amount: f64 = into.map(|kin| kin.amount.expect("every quantity is known")).sum();
                prop_assert!(amount <= made + 1e-9, "{amount} of {made}");
            }
        }
    }

    #[test]
    fn what_is_really_there_lies_between_the_fewest_and_the_most(seed in any::<u64>(), each in 1usize..3) {
        let real = real(seed, each);
        let field = field_of(&real.lots, &real.uses, &real.movements, each);
        for lot in all_lots(&field) {
            let lot_no = field.lots[lot].lot_no.to_string();
            let found = whereabouts(&field, lot, "2026-04-01");
            let mut all = 0;
            for unit in UNITS {
                let there = real.containing.get(&(unit.to_owned(), lot_no.clone())).copied().unwrap_or(0);
                all += there;
                let rows = found.by_unit();
                let row = rows.iter().find(|(id, _)| id.is_some_and(|id| &field.unit_names[id] == unit));
                let (low, high) = row.map_or((0.0, 0.0), |(_, held)| (held.low, held.high));
                let there = f64::from(there);
                prop_assert!(low <= there && there <= high, "{lot_no} at {unit}: {there}, {low} to {high}");
            }
            let all = f64::from(all);
            prop_assert!(found.total.low <= all && all <= found.total.high, "{lot_no}: {all}, {:?}", found.total);
        }
    }

    #[test]
    fn holders_add_up_to_what_is_on_record(seed in any::<u64>(), each in 1usize..3) {
        let real = real(seed, each);
        let field = field_of(&real.lots, &real.uses, &real.movements, each);
        let ledger = fold(&field, date("2026-04-01").into(), TakeOrder::OldestFirst);
        for lot in all_lots(&field) {
            let found = Whereabouts::new(&field, &ledger, lot);
            let own: f64 = found.holders.iter().filter(|h| h.lot() == Some(lot)).map(|h| h.items.best).sum();
            let on_record = ledger.held.iter().filter(|h| h.stock == Stock::Lot(lot));
            prop_assert_eq!(own, on_record.map(|h| f64::from(h.quantity)).sum::<f64>());
            let best: f64 = found.holders.iter().map(|h| h.containing.best).sum();
            prop_assert!((best - found.total.best).abs() < 1e-6);
            prop_assert!(found.in_service.best <= found.total.best + 1e-9);
            for holder in &found.holders {
                let (items, held) = (holder.items, holder.containing);
                prop_assert!(held.low <= held.best && held.best <= held.high, "{holder:?}");
                prop_assert!(held.low <= items.low && held.high <= items.high, "{holder:?}");
            }
        }
    }

    #[test]
    fn the_order_of_rows_is_irrelevant_and_any_date_can_be_asked(seed in any::<u64>(), turn in any::<u64>()) {
        let mut real = real(seed, 2);
        let field = field_of(&real.lots, &real.uses, &real.movements, 2);
        let mut d = Draws(draws(turn));
        let mut again = Vec::new();
        while !real.movements.is_empty() {
            again.push(real.movements.swap_remove(d.below(real.movements.len())));
        }
        let other = field_of(&real.lots, &real.uses.iter().rev().cloned().collect::<Vec<_>>(), &again, 2);
        let today = fold(&field, date("2026-04-01").into(), TakeOrder::OldestFirst);
        for lot in all_lots(&field) {
            let [one, two] = [&field, &other].map(|field| Lineage::of(field, lot));
            let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
            for (a, b) in one.down.iter().zip(&two.down).chain(one.up.iter().zip(&two.up)) {
                prop_assert_eq!((a.lot, a.steps), (b.lot, b.steps));
                prop_assert!(close(a.content.share, b.content.share));
                prop_assert!(a.amount.zip(b.amount).is_some_and(|(a, b)| close(a, b)));
            }
            for on in ["2025-12-15", "2026-01-15", "2026-02-15", "2026-04-01"] {
                let [a, b] = [&field, &other].map(|field| whereabouts(field, lot, on));
                prop_assert_eq!(a.holders.len(), b.holders.len());
                prop_assert!(close(a.total.best, b.total.best) && close(a.total.low, b.total.low));
                prop_assert_eq!(&a, &Whereabouts::on(&field, &today, lot, Day::from(date(on))));
            }
        }
    }
}
