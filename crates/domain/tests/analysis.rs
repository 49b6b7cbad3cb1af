//! The analysis against cases worked by hand.

use crate::common::{change, changed, component, date, lot, lot_id, movement, part, report, small};
use domain::analysis::{Analysis, LotLine, NotShown, ProofVerdict, analyse};
use domain::change::{Change, ChangeState};
use domain::effectivity::{Effectivity, Stage};
use domain::field::{Field, FieldBuilder};
use domain::lot::Lot;
use domain::movement::MovementKind as K;
use domain::report::{FoundWhen, Harm, LotKnown, Report};
use domain::risk::RiskLevel;

/// A report of a split fastener.
fn split(reference: &str, on: &str, lot_text: Option<&str>) -> Report {
    Report {
        part_no: Some("ZIPPER".into()),
        mode: Some("ZIP-1".into()),
        ..report(reference, on, "A", "PACK", lot_text)
    }
}

/// `n` reports of a lot with the first `read` labels read.
fn add_reports(b: &mut FieldBuilder, lot_no: &str, on: &str, n: usize, read: usize) {
    for i in 0..n {
        let text = (i < read).then_some(lot_no);
        b.report(&split(&format!("{lot_no}-{i}"), on, text)).expect("known names");
    }
}

fn line<'a>(field: &Field, analysis: &'a Analysis, lot_no: &str) -> &'a LotLine {
    let lot = lot_id(field, lot_no);
    analysis.recurrences[0].lots.iter().find(|l| l.lot == lot).expect("a lot with reports")
}

fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

/// Lot A: 4,000 item-years, 40 failures, 12 labels read; lot B: 2,000 item-years, 20 failures, 18 read.
/// By hand: expected of B 12/4,000 x 2,000 = 6; if the 30 unread were A's, (18/2,000)/(42/4,000) = 0.857; if they
/// were B's, (48/2,000)/(12/4,000) = 8.
#[test]
fn a_lot_with_better_labels_is_not_blamed() {
    let mut b = small(&["LA", "LB"]);
    b.movement(&movement("2024-01-01", K::Issue, "LA", "A", 2922)).expect("known");
    b.movement(&movement("2024-01-01", K::Issue, "LB", "A", 1461)).expect("known");
    add_reports(&mut b, "LA", "2024-09-01", 40, 12);
    add_reports(&mut b, "LB", "2024-09-01", 20, 18);
    let field = b.build();
    // 500 days after the issue.
    let analysis = analyse(&field, date("2025-05-15"));
    let recurrence = &analysis.recurrences[0];
    assert!(near(recurrence.item_years.best, 6000.0, 1e-6), "{:?}", recurrence.item_years);
    assert!(near(recurrence.rate.expect("exposure").estimate, 10.0, 1e-6));
    let b = line(&field, &analysis, "LB");
    assert!(!b.flagged);
    assert!(near(b.item_years, 2000.0, 1e-6) && near(b.expected.expect("peers"), 6.0, 1e-9), "{b:?}");
    assert!(near(b.ratio.expect("peers"), 3.0, 1e-9));
    let unread = b.unread.expect("some were not read");
    assert_eq!(unread.reports, 30);
    assert!(near(unread.ratio_least, 0.857, 5e-4) && near(unread.ratio_most.expect("peers"), 8.0, 1e-9));
    assert_eq!(b.not_shown(), Some(NotShown::Labels));
    let said = "ZIPPER ZIP-1: lot LB not shown: rests on 30 unread labels; ratio anywhere from 0.86 to 8.0.";
    assert!(analysis.warnings.iter().any(|w| w == said), "{:?}", analysis.warnings);
}

/// As before with every label read: B then shows 20 against 20 expected, and 60 would stand out.
#[test]
fn a_bad_lot_with_read_labels_is_flagged() {
    let flagged = |n| {
        let mut b = small(&["LA", "LB"]);
        b.movement(&movement("2024-01-01", K::Issue, "LA", "A", 2922)).expect("known");
        b.movement(&movement("2024-01-01", K::Issue, "LB", "A", 1461)).expect("known");
        add_reports(&mut b, "LA", "2024-09-01", 40, 40);
        add_reports(&mut b, "LB", "2024-09-01", n, n);
        let field = b.build();
        let analysis = analyse(&field, date("2025-05-15"));
        (line(&field, &analysis, "LB").flagged, line(&field, &analysis, "LA").flagged)
    };
    assert_eq!(flagged(20), (false, false));
    assert_eq!(flagged(60), (true, false));
}

/// A lot of 20 items beside one of 400, on which 40 of its own have failed; of the small one's labels some lack a sign.
fn with_guessed_labels(sure: usize, guessed: usize) -> (LotLine, Vec<String>) {
    let mut b = small(&["AA-7", "TX-1042"]);
    b.movement(&movement("2024-01-01", K::Issue, "AA-7", "A", 400)).expect("known");
    b.movement(&movement("2024-01-01", K::Issue, "TX-1042", "A", 20)).expect("known");
    add_reports(&mut b, "AA-7", "2024-09-01", 40, 40);
    add_reports(&mut b, "TX-1042", "2024-09-01", sure, sure);
    for at in 0..guessed {
        let told = report(&format!("G{at}"), "2024-09-01", "A", "PACK", Some("TX-104?"));
        let sorted = Report { part_no: Some("ZIPPER".into()), mode: Some("ZIP-1".into()), ..told };
        b.report(&sorted).expect("known names");
    }
    let field = b.build();
    let analysis = analyse(&field, date("2025-05-15"));
    (line(&field, &analysis, "TX-1042").clone(), analysis.warnings)
}

/// A lot whose flag rests on guessed labels says so, and guessed ones neither speak for a flag nor take sure ones away.
#[test]
fn guessed_labels_keep_a_lot_from_being_shown_and_take_no_sure_report_away() {
    let (few, warnings) = with_guessed_labels(3, 5);
    assert_eq!((few.reports, few.guessed, few.flagged), (8, 5, false));
    let said =
        "ZIPPER ZIP-1: lot TX-1042 not shown: rests on 5 guessed labels; ratio anywhere from 1.33 to 4.0.";
    assert!(warnings.iter().any(|warning| warning == said), "{warnings:?}");
    let chance = |sure, guessed| with_guessed_labels(sure, guessed).0.p_value;
    let (sure, beside) = (chance(6, 0), chance(6, 40));
    assert!(sure < 0.05 && near((beside / sure).ln(), 0.0, 0.7), "{sure} {beside}");
    let (fewer, more) = (chance(5, 0), chance(7, 0));
    assert!(more < beside && beside < fewer, "{more} {beside} {fewer}");
}

#[test]
fn a_failure_from_before_its_lot_was_made_is_named() {
    let mut b = small(&[]);
    b.lot(&Lot { made_on: Some(date("2024-03-01")), ..lot("LA", "PACK", "A") }).expect("new lot");
    b.movement(&movement("2024-04-01", K::Issue, "LA", "A", 100)).expect("known");
    add_reports(&mut b, "LA", "2024-09-01", 3, 3);
    b.report(&split("E-1", "2024-02-28", Some("LA"))).expect("known names");
    let warnings = analyse(&b.build(), date("2024-12-31")).warnings;
    let said = "1 report was found before the lot was made that its label leads to: E-1.";
    assert!(warnings.iter().any(|warning| warning.starts_with(said)), "{warnings:?}");
}

/// Fasteners that a unit holds to mend its packs with don't serve, however many: 100 packs over a year are 100 item-years.
#[test]
fn spare_parts_issued_by_themselves_are_not_in_service() {
    let mut b = small(&["LA"]);
    b.lot(&lot("Z-1", "ZIPPER", "A")).expect("new lot");
    b.movement(&movement("2024-01-01", K::Issue, "LA", "A", 100)).expect("known");
    b.movement(&movement("2024-01-01", K::Issue, "Z-1", "A", 5_000)).expect("known");
    add_reports(&mut b, "LA", "2024-09-01", 5, 5);
    let analysis = analyse(&b.build(), date("2024-12-31"));
    let years = &analysis.recurrences[0].item_years;
    assert!(near(years.best, 100.0, 0.1) && near(years.high, 100.0, 0.1), "{years:?}");
    let said = "5000 spare parts were issued by themselves: what is in no item counts as in service nowhere.";
    assert!(analysis.warnings.iter().any(|warning| warning == said), "{:?}", analysis.warnings);
}

#[test]
fn an_old_lot_is_not_blamed_for_being_old() {
    let mut b = small(&["OLD", "NEW1", "NEW2"]);
    b.movement(&movement("2018-01-01", K::Issue, "OLD", "A", 1000)).expect("known");
    b.movement(&movement("2019-01-01", K::Issue, "NEW1", "A", 1000)).expect("known");
    b.movement(&movement("2023-01-01", K::Issue, "NEW2", "A", 4000)).expect("known");
    // Both old lots fail alike from their fifth year on, six a quarter; the third is young and whole.
    for on in
        ["2022-02-15", "2022-05-15", "2022-08-15", "2022-11-15", "2023-02-15", "2023-05-15", "2023-08-15"]
    {
        add_reports(&mut b, "OLD", on, 6, 6);
    }
    for on in ["2023-11-15", "2024-02-15", "2024-05-15"] {
        add_reports(&mut b, "OLD", on, 6, 6);
        add_reports(&mut b, "NEW1", on, 6, 6);
    }
    for on in ["2023-02-15", "2023-05-15", "2023-08-15"] {
        add_reports(&mut b, "NEW1", on, 6, 6);
    }
    let field = b.build();
    let analysis = analyse(&field, date("2024-06-01"));
    let old = line(&field, &analysis, "OLD");
    assert!(!old.flagged && near(old.ratio.expect("peers"), 1.0, 0.25), "{old:?}");
}

/// The change's part B; lot 14 of one maker built 40 % to it, its lot 15 and the other maker's lot 22 wholly.
pub(crate) fn mixed_cut_in_books() -> FieldBuilder {
    let mut b = small(&[]);
    b.part(&part("ZIPPER", "B", "ZIP")).expect("new revision");
    b.part(&part("PACK", "B", "ITEM")).expect("new revision");
    b.component(&component(("PACK", "B"), ("ZIPPER", "B"), 1.0)).expect("known");
    let of = |lot_no: &str, revision: &str, maker: &str| Lot {
        maker: Some(maker.into()),
        ..lot(lot_no, "PACK", revision)
    };
    for lot in
        [of("A-13", "A", "Fell"), of("A-14", "A", "Fell"), of("A-15", "B", "Fell"), of("B-22", "B", "Skerry")]
    {
        b.lot(&lot).expect("new lot");
    }
    b.change(&Change {
        state: Some(ChangeState::CutIn),
        cut_in_lot: Some("A-14".into()),
        cut_in_on: Some(date("2024-01-01")),
        ..change("C-1", "ZIPPER")
    })
    .expect("known");
    b.effectivity(&Effectivity {
        change_no: "C-1".into(),
        stage: Stage::Accomplished,
        maker: Some("Fell".into()),
        from_lot: Some("A-14".into()),
        to_lot: Some("A-14".into()),
        share_new: 0.4,
        from_date: None,
    })
    .expect("known");
    for (lot_no, quantity) in [("A-13", 11_688), ("A-14", 4383), ("A-15", 2800), ("B-22", 3044)] {
        b.movement(&movement("2024-01-01", K::Issue, lot_no, "A", quantity)).expect("known");
    }
    for (lot_no, n) in [("A-13", 48), ("A-14", 9), ("A-15", 2), ("B-22", 4)] {
        add_reports(&mut b, lot_no, "2024-03-01", n, n);
    }
    b
}

/// 48 in 4,000 before; 6 in 2,000 after; lot 14 with 9 in 1,500 on neither side: ratio 0.25 (exact 0.087 to 0.585),
/// 12.6 expected of lot 14 by hand: 1,500 x (0.6 x 0.012 + 0.4 x 0.003).
#[test]
fn a_lot_built_partly_to_the_change_is_on_neither_side() {
    let analysis = analyse(&mixed_cut_in_books().build(), date("2024-05-05"));
    let change = &analysis.changes[0];
    let (before, after) = (change.rate_before.expect("exposure"), change.rate_after.expect("exposure"));
    assert!(near(before.item_years, 4000.0, 1e-6) && near(after.item_years, 2000.0, 1e-6));
    assert_eq!((before.occasions, after.occasions), (48, 6));
    let proof = change.proof.expect("exposure on both sides");
    assert!(near(proof.ratio.expect("failures"), 0.25, 1e-6));
    // Mid-P limits lie inside the exact ones.
    let (low, high) = (proof.low.expect("failures"), proof.high.expect("failures"));
    assert!((0.087..0.11).contains(&low) && (0.5..0.585).contains(&high), "{low} {high}");
    assert!(proof.anytime_low.expect("finite") < low && proof.anytime_high.expect("finite") > high);
    assert_eq!(proof.verdict, ProofVerdict::Worked);
    let mixed = change.mixed.as_ref().expect("lot 14");
    assert!(near(mixed.expected.expect("rates"), 12.6, 1e-6) && mixed.failures == 9);
}

/// Old and new fail alike, four a month in 1,000 items, and every report takes 60 days to arrive. Half a year after the
/// cut-in a third of the new one's failures are still on their way: by hand 16 against 24 expected, which would look like a
/// gain of a third; up to the day by which reports have arrived it is 16 against 16.
#[test]
fn reports_still_on_their_way_do_not_make_a_change_look_good() {
    let mut b = changed(ChangeState::CutIn, &[], "2024-07-01");
    for (lot_no, issued, months) in [("OLD", "2022-01-01", 36), ("NEW", "2024-07-01", 6)] {
        b.movement(&movement(issued, K::Issue, lot_no, "A", 1000)).expect("known");
        for month in 0..months {
            let found = date(issued) + chrono::Months::new(month) + chrono::Days::new(9);
            for n in 0..4 {
                let told = split(&format!("{lot_no}-{month}-{n}"), &found.to_string(), Some(lot_no));
                let late = Report { received_on: found + chrono::Days::new(60), ..told };
                b.report(&late).expect("known names");
            }
        }
    }
    let proof = analyse(&b.build(), date("2024-12-31")).changes[0].proof.expect("exposure on both sides");
    assert_eq!(proof.failures_after, 16);
    assert!(near(proof.ratio.expect("failures"), 1.0, 0.05), "{proof:?}");
}

#[test]
fn one_report_is_no_recurrence_unless_somebody_was_nearly_hurt() {
    let field_with = |harm| {
        let mut b = small(&["L1"]);
        b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 1000)).expect("known");
        b.report(&Report { harm, ..split("R1", "2024-06-01", Some("L1")) }).expect("known");
        analyse(&b.build(), date("2025-01-01")).recurrences
    };
    assert!(field_with(Some(Harm::None)).is_empty());
    let found = field_with(Some(Harm::NearMiss));
    let risk = found[0].risk.as_ref().expect("exposure");
    // One failure and one near miss: both at their upper limits over five years, which is likely; severity 3.
    assert_eq!((risk.level, risk.severity.number()), (RiskLevel::Serious, 3), "{risk:?}");
    assert!(risk.basis.contains("life assumed"), "{}", risk.basis);
}

#[test]
fn what_was_found_on_unpacking_or_called_for_by_a_notice_is_kept_apart() {
    let mut b = small(&["L1", "L2"]);
    for lot_no in ["L1", "L2"] {
        b.movement(&movement("2024-01-01", K::Issue, lot_no, "A", 500)).expect("known");
    }
    add_reports(&mut b, "L1", "2024-06-01", 4, 4);
    b.report(&Report { found_when: Some(FoundWhen::OnReceipt), ..split("R1", "2024-01-01", Some("L1")) })
        .expect("known");
    b.report(&Report { prompted_by: Some("N-1".into()), ..split("R2", "2024-07-01", Some("L2")) })
        .expect("known");
    b.report(&Report { chargeable: Some(false), ..split("R3", "2024-07-01", Some("L2")) }).expect("known");
    let field = b.build();
    let analysis = analyse(&field, date("2025-01-01"));
    let recurrence = &analysis.recurrences[0];
    assert_eq!((recurrence.reports, recurrence.prompted), (7, 1));
    assert_eq!(
        recurrence.rate.expect("exposure").occasions,
        5,
        "not the unpacked one, not the one not charged"
    );
    let on_receipt = recurrence.on_receipt.expect("one on unpacking");
    assert_eq!((on_receipt.reports, on_receipt.issued), (1, 1000));
    assert_eq!((line(&field, &analysis, "L1").reports, line(&field, &analysis, "L2").reports), (4, 1));
}

#[test]
fn only_what_was_received_by_the_date_counts() {
    let mut b = small(&["L1"]);
    b.movement(&movement("2024-01-01", K::Issue, "L1", "A", 500)).expect("known");
    add_reports(&mut b, "L1", "2024-06-01", 3, 3);
    b.report(&Report { received_on: date("2024-09-01"), ..split("LATE", "2024-06-01", Some("L1")) })
        .expect("known");
    b.movement(&movement("2024-08-15", K::Issue, "L1", "A", 100)).expect("known");
    let field = b.build();
    let counts = |on: &str| {
        let counts = analyse(&field, date(on)).counts;
        (counts.reports, counts.movements)
    };
    assert_eq!((counts("2024-08-01"), counts("2024-09-01")), ((3, 1), (4, 2)));
}

#[test]
fn a_guessed_lot_never_decides_a_flag_alone() {
    let mut b = small(&["HK-2041", "HK-7733"]);
    b.movement(&movement("2024-01-01", K::Issue, "HK-2041", "A", 2922)).expect("known");
    b.movement(&movement("2024-01-01", K::Issue, "HK-7733", "A", 300)).expect("known");
    add_reports(&mut b, "HK-2041", "2024-09-01", 40, 40);
    for i in 0..30 {
        let misread = Report {
            lot_known: Some(LotKnown::Read),
            ..split(&format!("G{i}"), "2024-09-01", Some("HK-7793"))
        };
        b.report(&misread).expect("known");
    }
    let field = b.build();
    let analysis = analyse(&field, date("2025-05-15"));
    let guessed = line(&field, &analysis, "HK-7733");
    assert_eq!((guessed.reports, guessed.guessed, guessed.flagged), (30, 30, false));
}

/// Of 1,000 items that were received and issued 900 came back and went out again, twice: each was new once.
#[test]
fn an_item_is_issued_new_once_however_often_it_goes_out() {
    let mut b = small(&["L1"]);
    let mut moved = vec![
        movement("2023-12-31", K::Receive, "L1", "STORE", 1000),
        movement("2024-01-01", K::Issue, "L1", "A", 1000),
    ];
    for (back, out) in [("2024-03-01", "2024-04-01"), ("2024-06-01", "2024-07-01")] {
        moved.extend([movement(back, K::Return, "L1", "A", 900), movement(out, K::Issue, "L1", "A", 900)]);
    }
    for one in &moved {
        b.movement(one).expect("known");
    }
    add_reports(&mut b, "L1", "2024-02-01", 4, 4);
    b.report(&Report { found_when: Some(FoundWhen::OnReceipt), ..split("R1", "2024-01-01", Some("L1")) })
        .expect("known");
    let analysis = analyse(&b.build(), date("2025-01-01"));
    assert_eq!(analysis.recurrences[0].on_receipt.expect("one on unpacking").issued, 1000);
}
