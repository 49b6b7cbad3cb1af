//! What an instruction bears on: its own lots, what was made from them, and items that hold the part.

use domain::concerned::{Concerned, lot_numbers};
use domain::field::Field;
use domain::lot::Lot;
use domain::lot_use::LotUse;

use crate::common::{component, lot, lot_id, part, small};

/// Packs P1 are made from fasteners Z1; of packs P2 nobody wrote down what they were made from.
fn field() -> Field {
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
    b.build()
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
}

#[test]
fn lot_numbers_are_read_as_people_write_lists() {
    assert_eq!(lot_numbers(" P1, P2;P1\n Z9 "), ["P1", "P2", "Z9"]);
    assert!(lot_numbers(" , ").is_empty());
}
