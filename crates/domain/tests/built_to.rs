//! What share of a lot was built to a change, by hand.

use crate::analysis::mixed_cut_in_books;
use crate::common::{changed, lot, lot_id, part};
use domain::analysis::share_of_lot;
use domain::change::ChangeState;
use domain::effectivity::{Effectivity, Stage};
use domain::lot::Lot;
use domain::lot_use::LotUse;

#[test]
fn a_lot_says_what_share_of_it_was_built_to_a_change() {
    let field = mixed_cut_in_books().build();
    let change = &field.changes.rows()[0];
    let shares = ["A-13", "A-14", "A-15"].map(|lot_no| share_of_lot(&field, change, lot_id(&field, lot_no)));
    assert_eq!(shares, [Some(0.0), Some(0.4), Some(1.0)]);
}

/// A maker's new lots are NB-0001 and NB-0002, and its old one TB-0418 comes after them as a person counts. From NB-0001 on, open
/// at the end, it stays before the change by its revision. Whoever names the last lot means what lies between; and where the
/// first lot is of the old revision, revisions don't tell.
#[test]
fn an_open_cut_in_leaves_old_lots_with_later_numbers_before_the_change() {
    let shares = |first: &str, last: Option<&str>| {
        let mut b = changed(ChangeState::CutIn, &[], "2024-07-01");
        // Revision C is of something else since.
        b.part(&part("PACK", "C", "ITEM")).expect("new revision");
        let lots = [("NB-0001", "B"), ("NB-0002", "B"), ("TB-0418", "A"), ("TC-0001", "C")];
        for (lot_no, revision) in lots {
            b.lot(&Lot { maker: Some("Fell".into()), ..lot(lot_no, "PACK", revision) }).expect("new lot");
        }
        b.effectivity(&Effectivity {
            change_no: "C-1".into(),
            stage: Stage::Accomplished,
            maker: Some("Fell".into()),
            from_lot: Some(first.into()),
            to_lot: last.map(Into::into),
            share_new: 1.0,
            from_date: None,
        })
        .expect("known");
        let field = b.build();
        lots.map(|(lot_no, _)| share_of_lot(&field, &field.changes.rows()[0], lot_id(&field, lot_no)))
    };
    assert_eq!(shares("NB-0001", None), [Some(1.0), Some(1.0), Some(0.0), Some(1.0)]);
    assert_eq!(shares("NB-0001", Some("TB-0418"))[..3], [Some(1.0); 3]);
    assert_eq!(shares("TB-0418", None)[2..], [Some(1.0); 2]);
}

/// By hand: 120 of 600 fasteners are of the new revision, a fifth; where it isn't known how many there were of one lot, the
/// two have equal parts.
#[test]
fn a_lot_made_from_old_and_new_parts_is_shared_by_their_quantities_where_all_are_known() {
    let share = |new: Option<f64>| {
        let mut b = mixed_cut_in_books();
        b.lot(&lot("M-1", "PACK", "A")).expect("new lot");
        for (lot_no, revision, quantity) in [("Z-1", "A", Some(480.0)), ("Z-2", "B", new)] {
            b.lot(&lot(lot_no, "ZIPPER", revision)).expect("new lot");
            let used = LotUse { lot_no: "M-1".into(), used_lot_no: lot_no.into(), quantity };
            b.lot_use(&used).expect("known");
        }
        let field = b.build();
        share_of_lot(&field, &field.changes.rows()[0], lot_id(&field, "M-1"))
    };
    assert_eq!((share(Some(120.0)), share(None)), (Some(0.2), Some(0.5)));
}

/// By hand: 300 of 400 flaps come from a lot sewn wholly with new fasteners, 100 from one with half of them: 0.75 + 0.125. How
/// many fasteners those lots used in all doesn't matter, nor do the straps, which hold none.
#[test]
fn a_lot_made_from_lots_of_old_and_new_parts_is_shared_by_what_it_used_of_those() {
    let mut b = mixed_cut_in_books();
    b.part(&part("FLAP", "A", "ITEM")).expect("new part");
    b.part(&part("STRAP", "A", "ITEM")).expect("new part");
    for (lot_no, part_no, revision) in [
        ("M-1", "PACK", "A"),
        ("F-1", "FLAP", "A"),
        ("F-2", "FLAP", "A"),
        ("S-1", "STRAP", "A"),
        ("Z-1", "ZIPPER", "A"),
        ("Z-2", "ZIPPER", "B"),
    ] {
        b.lot(&lot(lot_no, part_no, revision)).expect("new lot");
    }
    for (lot_no, used_lot_no, quantity) in [
        ("M-1", "F-1", 300.0),
        ("M-1", "F-2", 100.0),
        ("M-1", "S-1", 800.0),
        ("F-1", "Z-2", 400.0),
        ("F-2", "Z-1", 5000.0),
        ("F-2", "Z-2", 5000.0),
    ] {
        let used =
            LotUse { lot_no: lot_no.into(), used_lot_no: used_lot_no.into(), quantity: Some(quantity) };
        b.lot_use(&used).expect("known");
    }
    let field = b.build();
    let share = share_of_lot(&field, &field.changes.rows()[0], lot_id(&field, "M-1"));
    assert!((share.expect("known") - 0.875).abs() < 1e-12, "{share:?}");
}
