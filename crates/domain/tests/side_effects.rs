//! What else changed with a change: other modes that rise on the new part, and units that fall silent about the old one.

use domain::analysis::{ChangeResult, analyse};
use domain::change::ChangeState;
use domain::event::Event;
use domain::field::{Field, FieldBuilder};
use domain::movement::MovementKind as K;
use domain::recurrence::is_back;
use domain::report::{Harm, Report};

use crate::common::{changed, date, day, fastener_replaced, lot, movement, part, report, unit_id};

/// A thousand items of the old part at A since July 2023, as many of the new one since the cut-in on 1 January 2024, and
/// a thousand old ones at B since January 2023.
fn books() -> FieldBuilder {
    let mut b = changed(ChangeState::CutIn, &["ZIP-1"], "2024-01-01");
    for (on, lot_no, unit, items) in
        [("2023-07-01", "OLD", "A", 1000), ("2023-01-01", "OLD", "B", 1000), ("2024-01-01", "NEW", "A", 1000)]
    {
        b.movement(&movement(on, K::Issue, lot_no, unit, items)).expect("known");
    }
    b
}

fn failures(b: &mut FieldBuilder, mode: &str, lot_no: &str, unit: &str, on: &[&str], each: usize) {
    for day in on {
        for number in 0..each {
            let reference = format!("{mode}-{lot_no}-{unit}-{day}-{number}");
            let told = report(&reference, day, unit, "PACK", Some(lot_no));
            b.report(&Report { part_no: Some("ZIPPER".into()), mode: Some(mode.into()), ..told })
                .expect("known");
        }
    }
}

fn result(field: &Field) -> ChangeResult {
    analyse(field, date("2024-12-31")).changes.remove(0)
}

#[test]
fn another_mode_that_rises_on_the_new_part_is_named_and_one_that_stays_is_not() {
    let mut b = books();
    let (old_days, new_days) = (["2023-08-01", "2023-10-01"], ["2024-02-01", "2024-04-01"]);
    failures(&mut b, "ZIP-1", "OLD", "A", &old_days, 10);
    failures(&mut b, "ZIP-1", "NEW", "A", &new_days, 1);
    failures(&mut b, "ZIP-2", "OLD", "A", &old_days, 1);
    failures(&mut b, "ZIP-2", "NEW", "A", &new_days, 12);
    failures(&mut b, "ZIP-3", "OLD", "A", &old_days, 4);
    failures(&mut b, "ZIP-3", "NEW", "A", &new_days, 2);
    let field = b.build();
    let result = result(&field);
    let told: Vec<(&str, bool)> =
        result.other_modes.iter().map(|one| (&*field.modes[one.mode].code, one.rises)).collect();
    assert_eq!(told, [("ZIP-2", true), ("ZIP-3", false)]);
    let rising = result.other_modes[0];
    assert_eq!(rising.after.map(|rate| rate.occasions), Some(24));
    let (ratio, limits) = rising.ratio.expect("failures on both sides");
    assert!(ratio > 3.0 && limits.low > 1.0, "{ratio} {limits:?}");
}

#[test]
fn a_unit_that_stops_reporting_the_old_part_after_the_cut_in_is_named() {
    let mut b = books();
    failures(&mut b, "ZIP-1", "OLD", "B", &["2023-03-01", "2023-06-01", "2023-09-01"], 3);
    failures(&mut b, "ZIP-1", "OLD", "A", &["2023-08-01", "2023-10-01", "2024-05-01", "2024-09-01"], 4);
    let field = b.build();
    let told = result(&field).still_told.expect("a cut-in");
    let silent: Vec<_> = told.silent.iter().map(|(unit, expected)| (*unit, expected.round())).collect();
    // By hand: B sent nine in the 364 days before; in as many days since it should have sent nine again.
    assert_eq!(silent, [(unit_id(&field, "B"), 9.0)]);
    assert_eq!(told.before.map(|rate| rate.occasions), Some(17));
    assert_eq!(told.since.map(|rate| rate.occasions), Some(8));
}

/// By hand: of a thousand old packs, half get a new fastener of no known lot on 2 July 2023, so that 1,000 count as old for 182
/// days of the year before the cut-in and 500 for as many more, and 500 for the 365 days since.
#[test]
fn old_items_are_told_of_on_the_days_of_each_year_while_they_have_the_old_part() {
    let mut b = changed(ChangeState::CutIn, &["ZIP-1"], "2024-01-01");
    b.movement(&movement("2022-01-01", K::Issue, "OLD", "B", 1000)).expect("known");
    let replaced = fastener_replaced("2023-07-02", "B");
    b.event(&Event { lot_no: Some("OLD".into()), quantity: 500, ..replaced }).expect("known");
    failures(&mut b, "ZIP-1", "OLD", "B", &["2023-02-01", "2023-03-01", "2023-06-01"], 3);
    let told = result(&b.build()).still_told.expect("a cut-in");
    let before = told.before.expect("old items were there");
    let item_days = 1000.0 * 182.0 + 500.0 * 182.0;
    assert_eq!(before.occasions, 9);
    assert!((before.estimate - 9.0 / item_days * 365.25 * 1000.0).abs() < 1e-9, "{before:?}");
    let [(unit, expected)] = told.silent[..] else { panic!("{told:?}") };
    let since = 9.0 / item_days * 500.0 * 365.0;
    assert!((expected - since).abs() < 1e-9, "{unit:?} {expected} {since}");
}

/// A split fastener whose label nobody could read.
fn unread(reference: &str, on: &str, unit: &str) -> Report {
    let told = report(reference, on, unit, "PACK", None);
    Report { part_no: Some("ZIPPER".into()), mode: Some("ZIP-1".into()), ..told }
}

/// By hand: A holds old packs alone and B new ones alone, whatever ropes both hold besides, and a rope has no fastener to
/// split: three of A's are before, two of B's after. C holds both kinds of pack, so that its one can't be told.
#[test]
fn a_unit_with_items_of_one_side_tells_the_side_of_an_unread_label_whatever_else_it_holds() {
    let mut b = changed(ChangeState::CutIn, &["ZIP-1"], "2024-01-01");
    b.part(&part("ROPE", "A", "ITEM")).expect("new part");
    b.lot(&lot("R-1", "ROPE", "A")).expect("new lot");
    b.unit(&crate::common::unit("C", domain::unit::UnitKind::Wearing)).expect("new unit");
    let held =
        [("OLD", "A"), ("NEW", "B"), ("OLD", "C"), ("NEW", "C"), ("R-1", "A"), ("R-1", "B"), ("R-1", "C")];
    for (lot_no, unit) in held {
        b.movement(&movement("2024-01-01", K::Issue, lot_no, unit, 1000)).expect("known");
    }
    for (reference, on, unit) in [
        ("U-1", "2024-03-01", "A"),
        ("U-2", "2024-04-01", "A"),
        ("U-3", "2024-05-01", "A"),
        ("U-4", "2024-06-01", "B"),
        ("U-5", "2024-07-01", "B"),
        ("U-6", "2024-08-01", "C"),
    ] {
        b.report(&unread(reference, on, unit)).expect("known");
    }
    let counts = result(&b.build()).counts;
    assert_eq!((counts.before.occasions, counts.after.occasions, counts.unread), (3, 2, 1));
}

/// B holds items built to the change alone: two unread labels there are two failures with the change, or one with harm, each
/// of which brings a recurrence back that was settled in May.
#[test]
fn unread_labels_at_a_unit_with_new_items_alone_bring_a_settled_recurrence_back() {
    let back = |reports: &[(&str, Option<Harm>)]| {
        let mut b = books();
        b.movement(&movement("2024-01-01", K::Issue, "NEW", "B", 1000)).expect("known");
        b.movement(&movement("2024-04-01", K::Return, "OLD", "B", 1000)).expect("known");
        for (at, &(on, harm)) in reports.iter().enumerate() {
            b.report(&Report { harm, ..unread(&format!("U-{at}"), on, "B") }).expect("known");
        }
        let with_change = result(&b.build()).failures_with_change;
        is_back(day("2024-05-01"), with_change.into_iter().map(|(_, day, harm)| (day, harm)))
    };
    assert!(back(&[("2024-06-01", None), ("2024-07-01", None)]));
    assert!(back(&[("2024-06-01", Some(Harm::Injury))]));
    assert!(!back(&[("2024-06-01", None)]), "one alone");
    assert!(!back(&[("2024-02-01", None), ("2024-03-01", None)]), "of either side, while B held both");
}

/// By hand: six read labels in the 364 days before, so that B should have sent six in as many days since.
#[test]
fn a_unit_that_goes_on_reporting_with_labels_it_cannot_read_is_not_silent() {
    let told = |since: &[&str], has_new: bool, prompted: bool| {
        let mut b = books();
        if has_new {
            b.movement(&movement("2024-01-01", K::Issue, "NEW", "B", 1000)).expect("known");
        }
        for at in 0..6 {
            let before =
                Report { lot_text: Some("OLD".into()), ..unread(&format!("O-{at}"), "2023-06-01", "B") };
            let before = Report { lot_known: Some(domain::report::LotKnown::Read), ..before };
            let prompted_by = prompted.then(|| "N-1".into());
            b.report(&Report { prompted_by, ..before }).expect("known");
        }
        for on in since {
            b.report(&unread(&format!("U-{on}"), on, "B")).expect("known");
        }
        let field = b.build();
        let told = result(&field).still_told.expect("a cut-in");
        let silent: Vec<_> = told.silent.iter().map(|(unit, expected)| (*unit, expected.round())).collect();
        (told.since.map(|rate| rate.occasions), silent, unit_id(&field, "B"))
    };
    let six = ["2024-02-01", "2024-04-01", "2024-06-01", "2024-08-01", "2024-10-01", "2024-11-01"];
    let (since, silent, _) = told(&six, false, false);
    assert_eq!((since, silent), (Some(6), vec![]), "all its packs are old");
    let (since, silent, _) = told(&six, true, false);
    assert_eq!((since, silent), (Some(0), vec![]), "nobody knows on which, but it told");
    let (since, silent, unit) = told(&[], true, false);
    assert_eq!((since, silent), (Some(0), vec![(unit, 6.0)]));
    let (_, silent, _) = told(&[], true, true);
    assert_eq!(silent, [], "a notice called for the six: no pace of its own");
}
