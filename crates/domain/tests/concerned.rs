//! What an instruction bears on: its own lots, what was made from them, and items that hold the part.

use std::collections::BTreeMap;

use domain::concerned::{Concerned, lot_numbers};
use domain::event::Event;
use domain::field::{Field, FieldBuilder};
use domain::ledger::{TakeOrder, fold};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind};
use domain::reply::{Asked, asked};

use crate::common::{component, day, fastener_replaced, lot, lot_id, movement, part, small, unit_id};

/// Packs P1 are made from fasteners Z9; of packs P2 nobody wrote down what they were made from.
fn field() -> Field {
    builder().build()
}

fn builder() -> FieldBuilder {
    let mut b = small(&[]);
    b.part(&part("TAPE", "A", "ZIP")).expect("new part");
    b.component(&component(("ZIPPER", "A"), ("TAPE", "A"), 1.0)).expect("known parts");
    let of = |maker: &str, made: Lot| Lot { maker: Some(maker.into()), ..made };
    for made in [
        of("Harbour Loft", lot("Z1", "ZIPPER", "A")),
        of("Tarnside", lot("Z1", "ZIPPER", "A")),
        lot("Z9", "ZIPPER", "A"),
        lot("P1", "PACK", "A"),
        lot("P2", "PACK", "A"),
    ] {
        b.lot(&made).expect("new lot");
    }
    b.lot_use(&LotUse { lot_no: "P1".into(), used_lot_no: "Z9".into(), quantity: None }).expect("known lots");
    b
}

fn concerned(part_no: &str, maker: Option<&str>, lots: &[&str]) -> Concerned {
    Concerned {
        part_no: part_no.into(),
        maker: maker.map(Into::into),
        lots: lots.iter().map(|&number| number.into()).collect(),
    }
}

#[test]
fn a_lot_of_a_component_bears_on_what_was_made_from_it() {
    let field = field();
    let on = |what: &Concerned, number: &str| what.bears_on(&field, lot_id(&field, number));
    let fastener = concerned("ZIPPER", None, &["Z9"]);
    assert!(on(&fastener, "Z9") && on(&fastener, "P1") && !on(&fastener, "P2"));
    let pack = concerned("PACK", None, &["P2"]);
    assert!(on(&pack, "P2") && !on(&pack, "P1"));
}

#[test]
fn the_labels_of_items_tell_the_lots_made_from_a_component_and_an_unknown_lot_may_be_any() {
    let field = field();
    let of = |number: &str| field.part_names.find(number).expect("a part");
    let fastener = concerned("ZIPPER", None, &["Z9"]);
    assert_eq!(fastener.item_lots(&field), [lot_id(&field, "P1")]);
    assert!(!fastener.is_whole() && concerned("ZIPPER", None, &[]).is_whole());
    assert!(fastener.may_bear_on(&field, of("PACK")) && !fastener.may_bear_on(&field, of("TAPE")));
    assert!(!concerned("NONE", None, &[]).may_bear_on(&field, of("PACK")));
    // No structure tells that packs hold thread; that one lot was made from it does.
    let mut b = builder();
    b.part(&part("THREAD", "A", "SEM")).expect("new part");
    b.lot(&lot("T1", "THREAD", "A")).expect("new lot");
    b.lot_use(&LotUse { lot_no: "P2".into(), used_lot_no: "T1".into(), quantity: None }).expect("known lots");
    assert!(concerned("THREAD", None, &["T1"]).may_bear_on(&b.build(), of("PACK")));
}

#[test]
fn the_whole_of_a_part_bears_on_every_item_that_holds_it() {
    let field = field();
    let on = |what: &Concerned, number: &str| what.bears_on(&field, lot_id(&field, number));
    let tape = concerned("TAPE", None, &[]);
    assert!(on(&tape, "P1") && on(&tape, "P2") && on(&tape, "Z9"));
    // Whose fasteners are in them nobody wrote down.
    assert!(!on(&concerned("ZIPPER", Some("Tarnside"), &[]), "P2"));
}

/// By its lot unit A would not be asked about P2; by the fastener that two of them were given it is. Of four packs no label is
/// known, so that none can be ruled out.
#[test]
fn a_unit_is_asked_about_items_given_a_part_of_the_lot_and_about_items_of_no_known_lot() {
    let mut b = builder();
    let issued = |lot_no, quantity| movement("2026-01-01", MovementKind::Issue, lot_no, "A", quantity);
    b.movement(&issued("P2", 5)).expect("known names");
    b.movement(&Movement { lot_no: None, part_no: Some("PACK".into()), ..issued("", 4) })
        .expect("known names");
    b.event(&Event {
        lot_no: Some("P2".into()),
        quantity: 2,
        new_lot_no: Some("Z9".into()),
        ..fastener_replaced("2026-02-01", "A")
    })
    .expect("known names");
    let field = b.build();
    let ledger = fold(&field, day("2026-03-01"), TakeOrder::OldestFirst);
    let of = |what: &Concerned| asked(&field, &ledger, &ledger.held, what);
    let pack = field.part_names.find("PACK").expect("a part");
    let (given, of_no_lot) = (BTreeMap::from([(lot_id(&field, "P2"), 2)]), BTreeMap::from([(pack, 4)]));
    let whole = Asked { lots: given, unknown: of_no_lot.clone(), ..Asked::default() };
    assert_eq!(whole.items(), 6);
    assert_eq!(of(&concerned("ZIPPER", None, &["Z9"])), BTreeMap::from([(unit_id(&field, "A"), whole)]));
    let of_label = Asked { unknown: of_no_lot, ..Asked::default() };
    assert_eq!(of(&concerned("PACK", None, &["P1"])), BTreeMap::from([(unit_id(&field, "A"), of_label)]));

    // What was put into an item of no known lot is known whatever its label says.
    let mut b = builder();
    b.movement(&Movement { lot_no: None, part_no: Some("PACK".into()), ..issued("", 4) })
        .expect("known names");
    b.event(&Event { new_lot_no: Some("Z9".into()), ..fastener_replaced("2026-02-01", "A") }).expect("known");
    let field = b.build();
    let ledger = fold(&field, day("2026-03-01"), TakeOrder::OldestFirst);
    let told = asked(&field, &ledger, &ledger.held, &concerned("ZIPPER", None, &["Z9"]));
    let told = &told[&unit_id(&field, "A")];
    assert_eq!((told.given.get(&pack), told.unknown.get(&pack), told.of_no_lot()), (Some(&1), Some(&3), 4));
}

/// Of packs made from fasteners Z9 some became R1, which has another strap, and some became R2, which has another fastener.
#[test]
fn a_conversion_leaves_the_lots_of_the_parts_it_did_not_take_out() {
    let mut b = builder();
    for (part_no, revision, kind) in
        [("PACK", "B", "ITEM"), ("PACK", "C", "ITEM"), ("ZIPPER", "B", "ZIP"), ("STRAP", "A", "STY")]
    {
        b.part(&part(part_no, revision, kind)).expect("new revision");
    }
    let inside = [("B", ("ZIPPER", "A")), ("B", ("STRAP", "A")), ("C", ("ZIPPER", "B"))];
    for (revision, child) in inside {
        b.component(&component(("PACK", revision), child, 1.0)).expect("known parts");
    }
    b.movement(&movement("2025-01-01", MovementKind::Issue, "P1", "A", 50)).expect("known names");
    for (lot_no, revision) in [("R1", "B"), ("R2", "C")] {
        b.lot(&lot(lot_no, "PACK", revision)).expect("new lot");
        let became = movement("2026-01-01", MovementKind::Convert, "P1", "A", 20);
        b.movement(&Movement { to_lot_no: Some(lot_no.into()), ..became }).expect("known names");
    }
    let field = b.build();
    let fastener = concerned("ZIPPER", None, &["Z9"]);
    let on = |number: &str| fastener.bears_on(&field, lot_id(&field, number));
    assert_eq!([on("P1"), on("R1"), on("R2")], [true, true, false]);
    let ledger = fold(&field, day("2026-03-01"), TakeOrder::OldestFirst);
    let told = &asked(&field, &ledger, &ledger.held, &fastener)[&unit_id(&field, "A")];
    let of = |number: &str| told.lots.get(&lot_id(&field, number)).copied();
    assert_eq!((of("P1"), of("R1"), of("R2")), (Some(10), Some(20), None));
}

#[test]
fn what_the_books_do_not_have_is_refused_by_its_field() {
    let field = field();
    let wrong = |what: Concerned| what.check(&field).expect_err("refused");
    assert_eq!(wrong(concerned("NONE", None, &[])).field, "part_no");
    assert_eq!(wrong(concerned("PACK", Some("Nobody"), &[])).field, "maker");
    assert_eq!(wrong(concerned("PACK", None, &["Z9"])).why, "lot Z9 is of another part");
    assert_eq!(wrong(concerned("ZIPPER", None, &["Z1"])).why, "several makers have a lot Z1: name the maker");
    assert_eq!(wrong(concerned("PACK", None, &["P7"])).why, "no lot in the books has the number P7");
    assert_eq!(concerned("ZIPPER", Some("Tarnside"), &["Z1"]).check(&field), Ok(()));
    assert_eq!(concerned("ZIPPER", Some("Tarnside"), &[]).check(&field), Ok(()));
    let of_nobody = wrong(concerned("PACK", Some("Tarnside"), &[]));
    assert_eq!(of_nobody.to_string(), "maker: the books have no lot of PACK that Tarnside made");
}

#[test]
fn lot_numbers_are_read_as_people_write_lists() {
    assert_eq!(lot_numbers(" P1, P2;P1\n Z9 "), ["P1", "P2", "Z9"]);
    assert!(lot_numbers(" , ").is_empty());
}
