//! What items that became another lot contain, on which day, worked by hand.

use crate::common::{component, date, fastener_replaced, lot, lot_id, movement, part, small};
use domain::event::Event;
use domain::field::{Field, FieldBuilder};
use domain::ledger::{TakeOrder, fold};
use domain::lineage::{Lineage, Step, Whereabouts, made_from, went_into};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind as K};
use domain::serial::Serial;

fn made(b: &mut FieldBuilder, lot_no: &str, part_no: &str, revision: &str, quantity: Option<u32>) {
    b.lot(&Lot { quantity, ..lot(lot_no, part_no, revision) }).expect("new lot");
}

fn uses(b: &mut FieldBuilder, lot_no: &str, used: &str, quantity: Option<f64>) {
    let used = LotUse { lot_no: lot_no.into(), used_lot_no: used.into(), quantity };
    b.lot_use(&used).expect("known lots");
}

/// Packs of revision A are converted to revision B, which has these parts.
fn revisions(parts: &[&str]) -> FieldBuilder {
    let mut b = small(&[]);
    b.part(&part("PACK", "B", "ITEM")).expect("new revision");
    for part_no in ["BELT", "CLASP"] {
        b.part(&part(part_no, "A", "ZIP")).expect("new part");
    }
    for part_no in parts {
        b.component(&component(("PACK", "B"), (part_no, "A"), 1.0)).expect("known parts");
    }
    b
}

/// A hundred packs of L1 at unit A, of which fifty became L2 on 2024-01-01.
fn convert(b: &mut FieldBuilder) {
    b.movement(&movement("2023-01-02", K::Issue, "L1", "A", 100)).expect("known names");
    let became = movement("2024-01-01", K::Convert, "L1", "A", 50);
    b.movement(&Movement { to_lot_no: Some("L2".into()), ..became }).expect("known names");
}

/// L1 has fasteners of T1. L2 gets a belt more: at unit B are fifty of it that were made new with fasteners of `new`, at unit A
/// the fifty that L1 became.
fn half_new(quantity: Option<u32>, new: &str, used: Option<f64>) -> Field {
    let mut b = revisions(&["ZIPPER", "BELT"]);
    made(&mut b, "L1", "PACK", "A", Some(100));
    made(&mut b, "L2", "PACK", "B", quantity);
    made(&mut b, "T1", "ZIPPER", "A", Some(150));
    made(&mut b, "T2", "ZIPPER", "A", Some(50));
    uses(&mut b, "L1", "T1", Some(100.0));
    uses(&mut b, "L2", new, used);
    b.movement(&movement("2023-01-02", K::Issue, "L2", "B", 50)).expect("known names");
    convert(&mut b);
    b.build()
}

/// Ways to write down the fifty new ones of L2: its quantity, which may count what became it later or not, and the fasteners.
const RECORDS: [(Option<u32>, Option<f64>); 4] =
    [(Some(100), Some(50.0)), (Some(50), Some(50.0)), (None, Some(50.0)), (None, None)];

/// Unit, lot, then items held and the best, fewest and most of them that contain the lot.
type Row = (String, String, [f64; 4]);

fn row(unit: &str, lot_no: &str, numbers: [f64; 4]) -> Row {
    (unit.into(), lot_no.into(), numbers)
}

/// Who holds it on a day, by books that go on until 2025.
fn held(field: &Field, lot_no: &str, on: &str) -> Vec<Row> {
    let today = fold(field, date("2025-01-01").into(), TakeOrder::OldestFirst);
    let found = Whereabouts::on(field, &today, lot_id(field, lot_no), date(on).into());
    let told = |holder: &domain::lineage::Holder| {
        let unit = &field.unit_names[holder.unit.expect("nothing came back")];
        let lot_no = &field.lots[holder.lot().expect("every lot is known")].lot_no;
        let (items, held) = (holder.items, holder.containing);
        row(unit, lot_no, [items.best, held.best, held.low, held.high])
    };
    found.holders.iter().map(told).collect()
}

/// Fifty of L2 have a fastener of T1 and fifty one of T2; which is where nobody wrote down.
#[test]
fn a_lot_partly_new_and_partly_converted_has_each_by_its_number() {
    for (quantity, used) in RECORDS {
        let field = half_new(quantity, "T2", used);
        let id = |lot_no: &str| lot_id(&field, lot_no);
        let of_l2 = [row("A", "L2", [50.0, 25.0, 0.0, 50.0]), row("B", "L2", [50.0, 25.0, 0.0, 50.0])];
        assert_eq!(held(&field, "T2", "2024-06-01"), of_l2, "{quantity:?} {used:?}");
        let [at_a, at_b] = of_l2;
        let with_l1 = [row("A", "L1", [50.0, 50.0, 50.0, 50.0]), at_a, at_b];
        assert_eq!(held(&field, "T1", "2024-06-01"), with_l1, "{quantity:?} {used:?}");
        let up = Lineage::of(&field, id("L2"));
        let told: Vec<_> = up.up.iter().map(|kin| (kin.lot, kin.steps, kin.content.share)).collect();
        assert_eq!(told, [(id("L1"), 1, 0.5), (id("T2"), 1, 0.5), (id("T1"), 2, 0.5)]);
        let ways: Vec<_> = up.steps.iter().map(|step| (step.from, step.into, step.share)).collect();
        assert_eq!(ways, [(id("T2"), id("L2"), 0.5), (id("L1"), id("L2"), 0.5), (id("T1"), id("L1"), 0.5)]);
    }
    // As recorded in full, of the hundred of L2 surely fifty have either.
    let field = half_new(Some(100), "T2", Some(50.0));
    for kin in Lineage::of(&field, lot_id(&field, "L2")).up {
        let content = kin.content;
        assert_eq!((content.fewest_of(100.0), content.most_of(100.0), kin.amount), (50.0, 50.0, Some(50.0)));
    }
}

#[test]
fn one_step_up_or_down_is_told_as_sewn_in_or_as_converted() {
    let field = half_new(Some(100), "T2", Some(50.0));
    let id = |lot_no: &str| lot_id(&field, lot_no);
    let way = |step: &Step| (step.from, step.into, step.quantity, step.by_conversion);
    let up: Vec<_> = made_from(&field, id("L2")).iter().map(way).collect();
    assert_eq!(up, [(id("T2"), id("L2"), Some(50.0), false), (id("L1"), id("L2"), Some(50.0), true)]);
    let down = |lot_no: &str| went_into(&field, id(lot_no)).map(|step| way(&step)).collect::<Vec<_>>();
    assert_eq!(down("L1"), [(id("L1"), id("L2"), Some(50.0), true)]);
    assert_eq!(down("T1"), [(id("T1"), id("L1"), Some(100.0), false)]);
}

/// Were the new ones made with fasteners of T1 too, all of L2 would have one.
#[test]
fn a_lot_in_the_new_and_in_the_converted_half_is_in_all() {
    for (quantity, used) in RECORDS {
        let field = half_new(quantity, "T1", used);
        let told = [
            row("A", "L1", [50.0, 50.0, 50.0, 50.0]),
            row("A", "L2", [50.0, 50.0, 50.0, 50.0]),
            row("B", "L2", [50.0, 50.0, 50.0, 50.0]),
        ];
        assert_eq!(held(&field, "T1", "2024-06-01"), told, "{quantity:?} {used:?}");
    }
}

#[test]
fn before_the_conversion_nothing_of_the_lot_before_is_in_it() {
    for (quantity, used) in RECORDS {
        let field = half_new(quantity, "T2", used);
        let l1 = [row("A", "L1", [100.0, 100.0, 100.0, 100.0])];
        assert_eq!(held(&field, "T1", "2023-12-31"), l1, "{quantity:?} {used:?}");
        let l2 = [row("B", "L2", [50.0, 50.0, 50.0, 50.0])];
        assert_eq!(held(&field, "T2", "2023-12-31"), l2, "{quantity:?} {used:?}");
        assert_eq!(held(&field, "T1", "2024-01-01").len(), 3, "from its day on");
    }
}

/// Conversion puts a clasp where the fastener was: of another number, so that no fastener is left in L2.
#[test]
fn a_part_that_the_new_revision_is_without_is_gone() {
    let mut b = revisions(&["CLASP"]);
    made(&mut b, "L1", "PACK", "A", Some(100));
    made(&mut b, "L2", "PACK", "B", Some(100));
    made(&mut b, "T1", "ZIPPER", "A", Some(100));
    uses(&mut b, "L1", "T1", Some(100.0));
    convert(&mut b);
    let field = b.build();
    assert_eq!(held(&field, "T1", "2024-06-01"), [row("A", "L1", [50.0, 50.0, 50.0, 50.0])]);
    let down = Lineage::of(&field, lot_id(&field, "T1")).down;
    assert_eq!(down.iter().map(|kin| kin.lot).collect::<Vec<_>>(), [lot_id(&field, "L1")]);
}

/// Of a revision without a structure nobody knows what it is without; and a flap that got another number, with the same tape in
/// it, was not taken out.
#[test]
fn a_part_stays_where_no_structure_is_known_or_its_assembly_has_but_another_number() {
    let mut b = revisions(&[]);
    for flap in ["FLAP-1", "FLAP-2"] {
        b.part(&part(flap, "A", "ASM")).expect("new part");
    }
    b.part(&part("TAPE", "A", "ZIP")).expect("new part");
    b.part(&part("PACK", "C", "ITEM")).expect("new revision");
    for (parent, child) in [
        (("FLAP-1", "A"), ("TAPE", "A")),
        (("FLAP-2", "A"), ("TAPE", "A")),
        (("PACK", "A"), ("FLAP-1", "A")),
        (("PACK", "C"), ("FLAP-2", "A")),
    ] {
        b.component(&component(parent, child, 1.0)).expect("known parts");
    }
    for revision in ["B", "C"] {
        let mut b = b.clone();
        made(&mut b, "L1", "PACK", "A", Some(100));
        made(&mut b, "L2", "PACK", revision, None);
        made(&mut b, "F1", "FLAP-1", "A", Some(100));
        made(&mut b, "T1", "TAPE", "A", Some(100));
        uses(&mut b, "F1", "T1", Some(100.0));
        uses(&mut b, "L1", "F1", Some(100.0));
        convert(&mut b);
        let told = [row("A", "L1", [50.0, 50.0, 50.0, 50.0]), row("A", "L2", [50.0, 50.0, 50.0, 50.0])];
        assert_eq!(held(&b.build(), "T1", "2024-06-01"), told, "revision {revision}");
    }
}

/// Of L2 nobody wrote down how many: twelve of L1 became it, and a hundred were issued new. A pack of L1 has no clasp, so that
/// each of L2 got one of the 56 of K1 or of the 56 of K2: of the hundred 44 to 56 have one of K1.
#[test]
fn more_of_a_part_than_the_converted_items_took_is_in_new_ones() {
    let mut b = revisions(&["CLASP"]);
    made(&mut b, "L1", "PACK", "A", Some(100));
    made(&mut b, "L2", "PACK", "B", None);
    for clasps in ["K1", "K2"] {
        made(&mut b, clasps, "CLASP", "A", Some(56));
        uses(&mut b, "L2", clasps, Some(56.0));
    }
    b.movement(&movement("2023-01-02", K::Issue, "L2", "B", 100)).expect("known names");
    b.movement(&movement("2023-01-02", K::Issue, "L1", "A", 100)).expect("known names");
    let became = movement("2024-01-01", K::Convert, "L1", "A", 12);
    b.movement(&Movement { to_lot_no: Some("L2".into()), ..became }).expect("known names");
    let field = b.build();
    let of_either = [row("A", "L2", [12.0, 6.0, 0.0, 12.0]), row("B", "L2", [100.0, 50.0, 44.0, 56.0])];
    for clasps in ["K1", "K2"] {
        assert_eq!(held(&field, clasps, "2024-06-01"), of_either);
    }
}

/// Packs and cases, both with a fastener: a lot of packs, one of cases, and one of fasteners for repair.
fn packs_and_cases() -> FieldBuilder {
    let mut b = small(&["L1"]);
    b.part(&part("CASE", "A", "ITEM")).expect("new part");
    b.component(&component(("CASE", "A"), ("ZIPPER", "A"), 1.0)).expect("known parts");
    made(&mut b, "C1", "CASE", "A", None);
    made(&mut b, "Z2", "ZIPPER", "A", None);
    b
}

/// Ten packs of no known lot are given the number of another part, as lot C1: on a day gone by they are told as they are today.
#[test]
fn items_of_another_part_and_no_known_lot_are_told_on_any_day() {
    let mut b = packs_and_cases();
    let of_no_lot = |on: &str, kind| Movement {
        lot_no: None,
        part_no: Some("PACK".into()),
        ..movement(on, kind, "", "A", 10)
    };
    b.movement(&of_no_lot("2023-01-01", K::Issue)).expect("known names");
    let became = of_no_lot("2023-06-01", K::Convert);
    b.movement(&Movement { to_lot_no: Some("C1".into()), ..became }).expect("known names");
    assert_eq!(held(&b.build(), "C1", "2024-06-01"), [row("A", "C1", [10.0; 4])]);
}

/// S1 was a pack's number before it was a case's, and the case gets a fastener of Z2.
#[test]
fn a_part_given_to_a_numbered_item_is_told_on_any_day_by_the_lot_it_is_of_then() {
    let mut b = packs_and_cases();
    b.movement(&movement("2023-01-01", K::Issue, "C1", "A", 1)).expect("known names");
    for (lot_no, from, to) in [("L1", "2019-01-01", Some("2022-01-01")), ("C1", "2023-01-01", None)] {
        b.serial(&Serial {
            serial: "S1".into(),
            lot_no: lot_no.into(),
            unit: Some("A".into()),
            from: Some(date(from)),
            to: to.map(date),
        })
        .expect("known names");
    }
    b.event(&Event {
        serial: Some("S1".into()),
        new_lot_no: Some("Z2".into()),
        ..fastener_replaced("2024-01-01", "A")
    })
    .expect("known names");
    assert_eq!(held(&b.build(), "Z2", "2024-06-01"), [row("A", "C1", [1.0; 4])]);
}
