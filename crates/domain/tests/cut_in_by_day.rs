//! Changes that take effect from a day on, where no lot is named: lots by their day of make, worked by hand.

use crate::common::{change, component, date, lot, lot_id, movement, part, report, small};
use domain::analysis::{ProofVerdict, analyse, share_of_lot};
use domain::change::{Change, ChangeState};
use domain::effectivity::{Effectivity, Stage};
use domain::field::{Field, FieldBuilder};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::MovementKind as K;
use domain::report::Report;

/// A row of the effectivity as accomplished that names the day alone.
fn since(day: &str) -> Effectivity {
    Effectivity {
        change_no: "C-1".into(),
        stage: Stage::Accomplished,
        maker: None,
        from_lot: None,
        to_lot: None,
        share_new: 1.0,
        from_date: Some(date(day)),
    }
}

/// A change of the fastener that the carrier's letter doesn't tell: lots L1 made the day before 2023-05-01, L2 on it and L3 a month
/// later, all of PACK A.
fn letter_unchanged(change_is: Change, rows: &[Effectivity]) -> FieldBuilder {
    let mut b = small(&[]);
    b.part(&part("ZIPPER", "B", "ZIP")).expect("new revision");
    for (lot_no, made_on) in [("L1", "2023-04-30"), ("L2", "2023-05-01"), ("L3", "2023-06-01")] {
        b.lot(&made(lot_no, "A", Some(made_on))).expect("new lot");
    }
    with_rows(&mut b, change_is, rows);
    b
}

fn with_rows(b: &mut FieldBuilder, change_is: Change, rows: &[Effectivity]) {
    b.change(&change_is).expect("known");
    for row in rows {
        b.effectivity(row).expect("known");
    }
}

fn made(lot_no: &str, revision: &str, on: Option<&str>) -> Lot {
    Lot { maker: Some("Fell".into()), made_on: on.map(date), ..lot(lot_no, "PACK", revision) }
}

fn cut_in() -> Change {
    Change { state: Some(ChangeState::CutIn), ..change("C-1", "ZIPPER") }
}

fn shares<const N: usize>(field: &Field, lots: [&str; N]) -> [Option<f64>; N] {
    lots.map(|lot_no| share_of_lot(field, &field.changes.rows()[0], lot_id(field, lot_no)))
}

fn shares_by(change_is: Change, rows: &[Effectivity]) -> [Option<f64>; 3] {
    shares(&letter_unchanged(change_is, rows).build(), ["L1", "L2", "L3"])
}

const BEFORE: Option<f64> = Some(0.0);
const AFTER: Option<f64> = Some(1.0);

/// By hand: 11,688 items over 125 days are 4,000 item-years before, with 48 failures; 5,844 are 2,000 after, with 6. Ratio 0.25.
#[test]
fn lots_made_from_the_day_on_are_after_the_change_and_prove_it() {
    let mut b = letter_unchanged(cut_in(), &[since("2023-05-01")]);
    for (lot_no, quantity) in [("L1", 11_688), ("L2", 2800), ("L3", 3044)] {
        b.movement(&movement("2024-01-01", K::Issue, lot_no, "A", quantity)).expect("known");
    }
    for (lot_no, failures) in [("L1", 48), ("L2", 2), ("L3", 4)] {
        for n in 0..failures {
            let told = report(&format!("{lot_no}-{n}"), "2024-03-01", "A", "PACK", Some(lot_no));
            let split = Report { part_no: Some("ZIPPER".into()), mode: Some("ZIP-1".into()), ..told };
            b.report(&split).expect("known names");
        }
    }
    let field = b.build();
    assert_eq!(shares(&field, ["L1", "L2", "L3"]), [BEFORE, AFTER, AFTER]);
    let analysis = analyse(&field, date("2024-05-05"));
    let change = &analysis.changes[0];
    let (before, after) = (change.rate_before.expect("exposure"), change.rate_after.expect("exposure"));
    assert_eq!((before.occasions, after.occasions), (48, 6));
    assert!((before.item_years - 4000.0).abs() < 1e-6 && (after.item_years - 2000.0).abs() < 1e-6);
    let proof = change.proof.expect("exposure on both sides");
    assert!((proof.ratio.expect("failures") - 0.25).abs() < 1e-6);
    assert_eq!(proof.verdict, ProofVerdict::Worked);
    assert!(!analysis.warnings.iter().any(|said| said.contains("when they were made")));
}

#[test]
fn a_makers_day_is_of_that_makers_lots() {
    let by = |maker: &str| Effectivity { maker: Some(maker.into()), ..since("2023-05-01") };
    assert_eq!(shares_by(cut_in(), &[by("Fell")]), [BEFORE, AFTER, AFTER]);
    assert_eq!(shares_by(cut_in(), &[by("Skerry")]), [BEFORE; 3]);
}

/// A day approved is a plan until lots are built; and a first lot, L3, says better than a day.
#[test]
fn a_day_approved_counts_once_the_change_is_cut_in_and_no_first_lot_is_named() {
    let approved = [Effectivity { stage: Stage::Approved, ..since("2023-05-01") }];
    let planned = Change { state: Some(ChangeState::Approved), ..cut_in() };
    let from_l3 = || Change { cut_in_lot: Some("L3".into()), ..cut_in() };
    assert_eq!(shares_by(planned, &approved), [BEFORE; 3]);
    assert_eq!(shares_by(cut_in(), &approved), [BEFORE, AFTER, AFTER]);
    assert_eq!(shares_by(from_l3(), &approved), [BEFORE, BEFORE, AFTER]);
    assert_eq!(shares_by(from_l3(), &[since("2023-05-01")]), [BEFORE, BEFORE, AFTER]);
}

#[test]
fn a_row_that_names_a_lot_says_more_than_a_day_and_a_later_day_more_than_an_earlier() {
    let partly = Effectivity {
        maker: Some("Fell".into()),
        from_lot: Some("L2".into()),
        to_lot: Some("L2".into()),
        share_new: 0.4,
        ..since("2023-05-01")
    };
    let day = since("2023-05-01");
    assert_eq!(shares_by(cut_in(), &[day.clone(), partly.clone()]), [BEFORE, Some(0.4), AFTER]);
    assert_eq!(shares_by(cut_in(), &[partly, day.clone()]), [BEFORE, Some(0.4), AFTER]);
    // L1 was made between the two days, L2 and L3 since both, in whatever order the rows stand.
    let half = Effectivity { share_new: 0.5, ..since("2023-04-01") };
    assert_eq!(shares_by(cut_in(), &[half.clone(), day.clone()]), [Some(0.5), AFTER, AFTER]);
    assert_eq!(shares_by(cut_in(), &[day, half]), [Some(0.5), AFTER, AFTER]);
}

/// L2 was sewn with 300 old fasteners and 100 new ones, a quarter; L3's fasteners are not on record.
#[test]
fn what_a_lot_was_made_from_says_more_than_its_day() {
    let mut b = letter_unchanged(cut_in(), &[since("2023-05-01")]);
    for (lot_no, revision, quantity) in [("Z-1", "A", 300.0), ("Z-2", "B", 100.0)] {
        let made_on = Some(date("2023-05-02"));
        b.lot(&Lot { made_on, ..lot(lot_no, "ZIPPER", revision) }).expect("new lot");
        let used = LotUse { lot_no: "L2".into(), used_lot_no: lot_no.into(), quantity: Some(quantity) };
        b.lot_use(&used).expect("known");
    }
    let found = shares(&b.build(), ["L1", "L2", "L3", "Z-1", "Z-2"]);
    assert_eq!(found, [BEFORE, Some(0.25), AFTER, BEFORE, AFTER]);
}

/// PACK B holds the new fastener, so a lot that is marked A since then has the old one; B-0 was early.
#[test]
fn where_the_item_has_a_revision_for_the_change_its_letter_says_more_than_its_day() {
    let mut b = letter_unchanged(cut_in(), &[]);
    b.part(&part("PACK", "B", "ITEM")).expect("new revision");
    b.component(&component(("PACK", "B"), ("ZIPPER", "B"), 1.0)).expect("known");
    for (lot_no, made_on) in [("B-0", "2023-04-01"), ("B-1", "2023-05-10")] {
        b.lot(&made(lot_no, "B", Some(made_on))).expect("new lot");
    }
    b.effectivity(&since("2023-05-01")).expect("known");
    let found = shares(&b.build(), ["L1", "L2", "L3", "B-0", "B-1"]);
    assert_eq!(found, [BEFORE, BEFORE, BEFORE, AFTER, AFTER]);
}

#[test]
fn lots_of_unknown_day_of_make_stay_before_the_change_and_are_told() {
    let mut b = letter_unchanged(cut_in(), &[since("2023-05-01")]);
    b.lot(&made("L4", "A", None)).expect("new lot");
    let field = b.build();
    assert_eq!(shares(&field, ["L3", "L4"]), [AFTER, BEFORE]);
    let said = "C-1: 1 lot doesn't say when made, so the day from which the change was built doesn't tell the side; it counts by \
                its revision.";
    let warnings = analyse(&field, date("2024-05-05")).warnings;
    assert!(warnings.iter().any(|warning| warning == said), "{warnings:?}");
}
