//! Where reports sit, against small books worked by hand.

use crate::common::{builder, component, date, lot, movement, part, report, unit};
use domain::analysis::{Concentration, analyse};
use domain::field::{Field, FieldBuilder};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::MovementKind as K;
use domain::report::Report;
use domain::unit::UnitKind;

const UNITS: [&str; 4] = ["A", "B", "C", "D"];

/// A pack with a fastener cut from tape; four wearing units.
fn service() -> FieldBuilder {
    let mut b = builder();
    for code in UNITS {
        b.unit(&unit(code, UnitKind::Wearing)).expect("new unit");
    }
    for (part_no, kind) in [("PACK", "ITEM"), ("ZIPPER", "ZIP"), ("TAPE", "ZIP"), ("BELT", "HIP")] {
        b.part(&part(part_no, "A", kind)).expect("new part");
    }
    b.component(&component(("PACK", "A"), ("ZIPPER", "A"), 1.0)).expect("known");
    b.component(&component(("PACK", "A"), ("BELT", "A"), 1.0)).expect("known");
    b.component(&component(("ZIPPER", "A"), ("TAPE", "A"), 1.0)).expect("known");
    b
}

fn uses(b: &mut FieldBuilder, lot_no: &str, used: &[(&str, f64)]) {
    for &(used, quantity) in used {
        let used = LotUse { lot_no: lot_no.into(), used_lot_no: used.into(), quantity: Some(quantity) };
        b.lot_use(&used).expect("known lots");
    }
}

/// An item lot of a maker, 400 of them at each of some units for a year, with reports at each unit.
fn pack_lot(
    b: &mut FieldBuilder,
    lot_no: &str,
    used: &[(&str, f64)],
    maker: &str,
    reports: &[(&str, usize)],
) {
    b.lot(&Lot { maker: Some(maker.into()), ..lot(lot_no, "PACK", "A") }).expect("new lot");
    uses(b, lot_no, used);
    for &(unit, n) in reports {
        b.movement(&movement("2024-01-01", K::Issue, lot_no, unit, 400)).expect("known");
        for i in 0..n {
            let split = Report {
                part_no: Some("ZIPPER".into()),
                mode: Some("ZIP-1".into()),
                ..report(&format!("{lot_no}-{unit}-{i}"), "2024-09-01", unit, "PACK", Some(lot_no))
            };
            b.report(&split).expect("known names");
        }
    }
}

fn found(field: &Field, factor: &str, value: &str) -> Concentration {
    let analysis = analyse(field, date("2025-01-01"));
    let all = analysis.recurrences[0].concentrations.clone().expect("exposure");
    let wanted = |c: &&Concentration| c.level.factor() == factor && c.level.value(field) == value;
    all.iter().find(wanted).unwrap_or_else(|| panic!("no {factor} {value}")).clone()
}

/// Six pack lots of 800, two of them with fastener lot Z-1 cut from tape T-118, the others with Z-2 to Z-5 of T-119.
/// Every lot is at two units. Z-1's lots have 12 and 11 reports, the others 2 each: by hand, 23 on Z-1 against
/// 8 x 1,600 / 3,200 = 4 expected.
fn tape_books() -> Field {
    let mut b = service();
    for tape in ["T-118", "T-119"] {
        b.lot(&lot(tape, "TAPE", "A")).expect("new lot");
    }
    for (n, tape) in [(1, "T-118"), (2, "T-119"), (3, "T-119"), (4, "T-119"), (5, "T-119")] {
        let zip = format!("Z-{n}");
        b.lot(&lot(&zip, "ZIPPER", "A")).expect("new lot");
        uses(&mut b, &zip, &[(tape, 100.0)]);
    }
    b.lot(&lot("BELT-1", "BELT", "A")).expect("new lot");
    let lots = [("P-1", "Z-1", [6, 6]), ("P-2", "Z-1", [6, 5]), ("P-3", "Z-2", [1, 1])];
    for (lot_no, zip, n) in lots {
        pack_lot(&mut b, lot_no, &[(zip, 800.0), ("BELT-1", 800.0)], "Fell", &[("A", n[0]), ("B", n[1])]);
    }
    for (lot_no, zip) in [("P-4", "Z-3"), ("P-5", "Z-4"), ("P-6", "Z-5")] {
        pack_lot(&mut b, lot_no, &[(zip, 800.0)], "Skerry", &[("A", 1), ("B", 1)]);
    }
    b.build()
}

/// Five lots alike, 800 item-years each, and all twelve reports on one of them: there is no rate of the others to hold it
/// against, and yet it is plain. By hand: twelve of twelve on a fifth of the exposure have a chance of 0.2^12; the lower limit of
/// the share is 0.025^(1/12) = 0.735, so that of the ratio 0.735 / 0.265 x 4 = 11.1 (Clopper and Pearson 1934).
#[test]
fn a_lot_with_all_of_the_reports_stands_out_though_the_others_have_none() {
    let mut b = service();
    for n in 1..=5 {
        let zip = format!("Z-{n}");
        b.lot(&lot(&zip, "ZIPPER", "A")).expect("new lot");
        let here = if n == 3 { 6 } else { 0 };
        pack_lot(&mut b, &format!("P-{n}"), &[(&zip, 800.0)], "Fell", &[("A", here), ("B", here)]);
    }
    let field = b.build();
    for (factor, level) in [("used_lot", "Z-3"), ("item_lot", "P-3")] {
        let bad = found(&field, factor, level);
        assert_eq!((bad.reports, bad.expected, bad.ratio, bad.flagged), (12, 0.0, None, true), "{bad:?}");
        assert!((bad.ratio_low - 11.1).abs() < 0.05 && bad.ratio_high.is_infinite(), "{bad:?}");
        assert!(bad.probability_worse > 0.9, "{bad:?}");
    }
    let analysis = analyse(&field, date("2025-01-01"));
    let worst = &analysis.recurrences[0].lots[0];
    assert_eq!((&*field.lots[worst.lot].lot_no, worst.ratio, worst.flagged), ("P-3", None, true));
}

#[test]
fn the_part_s_own_lot_is_named_and_tape_and_item_lots_follow_from_it() {
    let field = tape_books();
    let zip = found(&field, "used_lot", "Z-1");
    assert_eq!((zip.reports, zip.of, zip.flagged, zip.explained_by), (23, 31, true, None));
    assert!(
        (zip.expected - 4.0).abs() < 1e-9 && (zip.ratio.expect("peers with reports") - 5.75).abs() < 1e-9,
        "{zip:?}"
    );
    assert!(zip.ratio_low > 2.0 && zip.probability_worse > 0.9);
    let tape = found(&field, "used_lot", "T-118");
    assert_eq!((tape.reports, tape.explained_by), (23, Some(zip.level)), "it covers the same items");
    for lot_no in ["P-1", "P-2"] {
        let item_lot = found(&field, "item_lot", lot_no);
        assert_eq!(item_lot.explained_by, Some(zip.level), "{item_lot:?}");
    }
    let analysis = analyse(&field, date("2025-01-01"));
    let all = analysis.recurrences[0].concentrations.as_ref().expect("exposure");
    assert!(all.iter().all(|c| c.level.value(&field) != "BELT-1"), "a sibling part's lot is no candidate");
    assert_eq!(all[0].level, zip.level, "the worst that nothing else explains comes first");
    let analysed = analyse(&field, date("2025-01-01")).recurrences;
    assert_eq!(analysed, analysis.recurrences, "the same books give the same answer");
}

/// Two fastener lots cut from one bad tape: the tape covers both, and no one of them all of it.
#[test]
fn a_tape_in_several_bad_part_lots_is_named_before_them() {
    let mut b = service();
    for tape in ["T-118", "T-119"] {
        b.lot(&lot(tape, "TAPE", "A")).expect("new lot");
    }
    for n in 1..=8 {
        let zip = format!("Z-{n}");
        b.lot(&lot(&zip, "ZIPPER", "A")).expect("new lot");
        uses(&mut b, &zip, &[(if n < 3 { "T-118" } else { "T-119" }, 100.0)]);
        let each = if n < 3 { 8 } else { 1 };
        pack_lot(&mut b, &format!("P-{n}"), &[(&zip, 800.0)], "Fell", &[("A", each), ("B", each)]);
    }
    let field = b.build();
    let tape = found(&field, "used_lot", "T-118");
    assert_eq!((tape.flagged, tape.explained_by, tape.reports), (true, None, 32));
    assert_eq!(found(&field, "used_lot", "Z-1").explained_by, Some(tape.level));
}

/// Six bad fastener lots of two pack lots each, the worst with 48 reports and the least with 28, among thirty good ones.
#[test]
fn item_lots_follow_from_the_sixth_cause_as_from_the_first() {
    let mut b = service();
    for n in 1..=36_usize {
        let zip = format!("Z-{n}");
        b.lot(&lot(&zip, "ZIPPER", "A")).expect("new lot");
        let each = if n <= 6 { 13 - n } else { 1 };
        for pack in ["P", "Q"] {
            let at_both = [("A", each), ("B", each)];
            pack_lot(&mut b, &format!("{pack}-{n}"), &[(&zip, 800.0)], "Fell", &at_both);
        }
    }
    let field = b.build();
    for n in 1..=6 {
        let zip = found(&field, "used_lot", &format!("Z-{n}"));
        assert_eq!((zip.flagged, zip.explained_by), (true, None), "{n}");
        for pack in ["P", "Q"] {
            let item_lot = found(&field, "item_lot", &format!("{pack}-{n}"));
            assert_eq!((item_lot.flagged, item_lot.explained_by), (true, Some(zip.level)), "{pack}-{n}");
        }
    }
}

/// Unit D has only the bad lot: it stands out until one knows of the lot.
#[test]
fn a_unit_that_got_only_the_bad_lot_is_explained_by_it() {
    let mut b = service();
    pack_lot(&mut b, "BAD", &[], "Fell", &[("D", 30), ("A", 30), ("B", 30)]);
    for lot_no in ["P-1", "P-2", "P-3", "P-4"] {
        pack_lot(&mut b, lot_no, &[], "Fell", &[("A", 3), ("B", 3), ("C", 3)]);
    }
    let field = b.build();
    let lot = found(&field, "item_lot", "BAD");
    assert!(lot.flagged && lot.explained_by.is_none(), "{lot:?}");
    let unit = found(&field, "unit", "D");
    assert!(unit.ratio > Some(1.5), "{unit:?}");
    assert!(!unit.flagged || unit.explained_by == Some(lot.level), "{unit:?}");
}

/// One maker's four lots all fail three times as often as the other maker's four: by hand 48 against 16 expected.
#[test]
fn a_maker_is_named_when_all_its_lots_are_worse() {
    let mut b = service();
    for n in 1..=4 {
        let each = |unit_n: usize| -> Vec<(&str, usize)> { UNITS.iter().map(|&u| (u, unit_n)).collect() };
        pack_lot(&mut b, &format!("F-{n}"), &[], "Fell", &each(3));
        pack_lot(&mut b, &format!("S-{n}"), &[], "Skerry", &each(1));
    }
    let field = b.build();
    let maker = found(&field, "maker", "Fell");
    assert!((maker.expected - 16.0).abs() < 1e-9 && maker.reports == 48, "{maker:?}");
    assert_eq!((maker.flagged, maker.explained_by), (true, None));
    assert!(!found(&field, "maker", "Skerry").flagged);
    assert!(!found(&field, "unit", "A").flagged);
}

/// P-3 has Z-1 in a quarter of its items. Z-1's own lots fail at 20, the others at 2 in 800: P-3 then shows
/// 0.25 x 20 + 0.75 x 2 = 6.5, of which 5 are Z-1's. Z-2 is left with 2 of P-3 beside 4 of P-4 and P-8.
#[test]
fn an_item_lot_of_two_part_lots_shares_its_reports_by_the_mixture() {
    let mut b = service();
    for n in 1..=5 {
        b.lot(&lot(&format!("Z-{n}"), "ZIPPER", "A")).expect("new lot");
    }
    pack_lot(&mut b, "P-1", &[("Z-1", 800.0)], "Fell", &[("A", 10), ("B", 10)]);
    pack_lot(&mut b, "P-2", &[("Z-1", 800.0)], "Fell", &[("A", 10), ("B", 10)]);
    pack_lot(&mut b, "P-3", &[("Z-1", 200.0), ("Z-2", 600.0)], "Fell", &[("A", 4), ("B", 3)]);
    for n in 4..=9 {
        let zip = format!("Z-{}", 2 + n % 4);
        pack_lot(&mut b, &format!("P-{n}"), &[(&zip, 800.0)], "Fell", &[("A", 1), ("B", 1)]);
    }
    let field = b.build();
    let bad = found(&field, "used_lot", "Z-1");
    assert!((44..=46).contains(&bad.reports), "40 of its own and about 5 of 7: {bad:?}");
    assert_eq!((bad.flagged, bad.explained_by), (true, None));
    let mixed = found(&field, "used_lot", "Z-2");
    assert!(!mixed.flagged && mixed.reports == 6, "{mixed:?}");
}

#[test]
fn nothing_is_flagged_where_all_are_alike() {
    let mut b = service();
    for n in 1..=6 {
        let each: Vec<(&str, usize)> = UNITS.iter().map(|&u| (u, 2 + n % 2)).collect();
        pack_lot(&mut b, &format!("P-{n}"), &[], if n < 4 { "Fell" } else { "Skerry" }, &each);
    }
    let analysis = analyse(&b.build(), date("2025-01-01"));
    let all = analysis.recurrences[0].concentrations.as_ref().expect("exposure");
    assert!(all.len() >= 12 && all.iter().all(|c| !c.flagged), "{all:?}");
}

/// A unit tells of a lot that it never had on record: that says nothing of how often it reports of what it has, in whichever
/// order the lots were written down.
#[test]
fn reports_of_a_unit_that_never_had_the_lot_are_in_no_unit_s_ratio() {
    let expected = |order: [usize; 2]| {
        let mut b = service();
        let lots = [("P-1", [("A", 3), ("B", 3)]), ("P-2", [("A", 2), ("C", 2)])];
        for at in order {
            pack_lot(&mut b, lots[at].0, &[], "Fell", &lots[at].1);
        }
        for n in 0..6 {
            let elsewhere = Report {
                part_no: Some("ZIPPER".into()),
                mode: Some("ZIP-1".into()),
                ..report(&format!("C-{n}"), "2024-09-01", "C", "PACK", Some("P-1"))
            };
            b.report(&elsewhere).expect("known names");
        }
        found(&b.build(), "item_lot", "P-1").expected
    };
    let (one, other) = (expected([0, 1]), expected([1, 0]));
    assert!((one - other).abs() < 1e-9, "{one} {other}");
}
