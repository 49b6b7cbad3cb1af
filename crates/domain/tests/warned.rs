//! What a reader is warned of: reports and weighings that don't fit the parts on record.

use domain::analysis::analyse;
use domain::change::ChangeState;
use domain::event::Event;
use domain::lot::Lot;
use domain::movement::MovementKind as K;
use domain::report::Report;
use domain::weighing::Weighing;

use crate::common::{changed, component, date, fastener_replaced, lot, movement, part, report, small};

fn sorted(reference: &str, item: &str, mode: &str) -> Report {
    let found = report(reference, "2024-06-01", "A", item, None);
    Report { part_no: Some("ZIPPER".into()), mode: Some(mode.into()), ..found }
}

#[test]
fn a_mode_of_another_kind_and_an_item_without_the_part_are_told() {
    let mut b = small(&["L1"]);
    b.part(&part("BELT", "A", "ITEM")).expect("new part");
    b.part(&part("STRAP", "A", "WEB")).expect("new part");
    b.component(&component(("BELT", "A"), ("STRAP", "A"), 1.0)).expect("known");
    b.lot(&lot("B1", "BELT", "A")).expect("new lot");
    for lot_no in ["L1", "B1"] {
        b.movement(&movement("2024-01-01", K::Issue, lot_no, "A", 100)).expect("known");
    }
    let reports = [("R-1", "PACK", "ZIP-1"), ("R-2", "PACK", "ZIP-1"), ("R-3", "BELT", "ZIP-1")];
    let of_another = [("R-4", "PACK", "WEB-1"), ("R-5", "PACK", "WEB-1")];
    // No part of these books is a seam: its failures are on what was sewn.
    let of_seams = [("R-6", "PACK", "SEM-1"), ("R-7", "PACK", "SEM-1")];
    for (reference, item, mode) in reports.into_iter().chain(of_another).chain(of_seams) {
        b.report(&sorted(reference, item, mode)).expect("known names");
    }
    let warnings = analyse(&b.build(), date("2025-01-01")).warnings;
    let has = |said: &str| warnings.iter().filter(|warning| warning.as_str() == said).count();
    assert_eq!(
        has(
            "ZIPPER ZIP-1: 1 report is on items that don't contain the part: R-3. Their failures count, and their service doesn't."
        ),
        1,
        "{warnings:?}"
    );
    assert_eq!(
        has(
            "ZIPPER WEB-1: the mode is of another kind of part than ZIP; the reports count as they are sorted."
        ),
        1,
        "{warnings:?}"
    );
    assert_eq!(warnings.iter().filter(|one| one.contains("another kind")).count(), 1, "{warnings:?}");
}

/// Of a pack of 1,000 g whole, fasteners of 11 g and 14 g are all that is on record.
#[test]
fn an_item_much_heavier_than_its_parts_on_record_is_told() {
    let weighed = |grams: f64| {
        let mut b = changed(ChangeState::Draft, &[], "2024-07-01");
        for (part_no, revision, mass_g) in
            [("ZIPPER", "A", 11.0), ("ZIPPER", "B", 14.0), ("PACK", "A", grams)]
        {
            let (part_no, revision, specimen) = (part_no.into(), revision.into(), "1".into());
            b.weighing(&Weighing { part_no, revision, size: None, specimen, mass_g }).expect("known");
        }
        analyse(&b.build(), date("2025-01-01")).warnings
    };
    let said = "C-1: PACK was weighed whole at 1000 g, and its parts on record come to 14 g: grams before and after are of these \
                parts alone, and so is the change in percent.";
    assert!(weighed(1000.0).iter().any(|warning| warning == said), "{:?}", weighed(1000.0));
    assert!(!weighed(15.0).iter().any(|warning| warning.contains("weighed whole")));
}

/// Replacements that name a lot of packs as that of a new fastener, each named by its day.
#[test]
fn a_new_lot_of_another_part_is_told() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 100)).expect("known");
    b.lot(&lot("Z1", "ZIPPER", "A")).expect("new lot");
    for (on, new_lot) in [("2024-03-01", "Z1"), ("2024-03-02", "L1"), ("2024-03-03", "L1")] {
        let (lot_no, new_lot_no) = (Some("L1".into()), Some(new_lot.into()));
        b.event(&Event { lot_no, new_lot_no, ..fastener_replaced(on, "A") }).expect("known");
    }
    let field = b.build();
    let warned = |as_of: &str| -> Vec<String> {
        let warnings = analyse(&field, date(as_of)).warnings;
        warnings.into_iter().filter(|one| one.contains("new one")).collect()
    };
    let of_another = "of another part as that of the new one, and what the new part is made from counts as not known: 2024-03-02, \
                      lot L1 of PACK for ZIPPER";
    let both = format!("2 replacements name lots {of_another}; 2024-03-03, lot L1 of PACK for ZIPPER.");
    assert_eq!(warned("2025-01-01"), [both]);
    assert_eq!(warned("2024-03-02"), [format!("1 replacement names a lot {of_another}.")]);
}

/// A lot that is yet to be made is none to look at.
#[test]
fn lots_count_from_the_day_they_are_made() {
    let mut b = small(&["L1"]);
    b.lot(&Lot { made_on: Some(date("2024-06-01")), ..lot("L2", "PACK", "A") }).expect("new lot");
    let field = b.build();
    let lots = |as_of: &str| analyse(&field, date(as_of)).counts.lots;
    assert_eq!((lots("2024-05-31"), lots("2024-06-01")), (1, 2));
}
