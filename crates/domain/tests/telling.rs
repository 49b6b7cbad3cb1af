//! How much units tell of what a change is to cure, before the cut-in and since, against cases worked by hand.

use crate::common::{changed, date, movement, report, unit_id};
use domain::analysis::{ChangeResult, Telling, ToldSince, analyse};
use domain::change::ChangeState;
use domain::field::{Field, FieldBuilder};
use domain::inspection::Inspection;
use domain::movement::MovementKind as K;
use domain::report::Report;

const CUT_IN: &str = "2024-01-01";

/// 10,000 old items at A for 365 days before the cut-in, 1,000 at B, and the end of 2024 another 365 days after it.
fn books(state: ChangeState) -> FieldBuilder {
    let mut b = changed(state, &["ZIP-1"], CUT_IN);
    b.movement(&movement("2023-01-01", K::Issue, "OLD", "A", 10_000)).expect("known");
    b.movement(&movement("2023-01-01", K::Issue, "OLD", "B", 1_000)).expect("known");
    b
}

fn told(b: &mut FieldBuilder, on: &str, lot_no: &str, unit: &str, number: usize) {
    for n in 0..number {
        let reference = format!("{on}-{lot_no}-{unit}-{n}");
        let told = report(&reference, on, unit, "PACK", Some(lot_no));
        b.report(&Report { part_no: Some("ZIPPER".into()), mode: Some("ZIP-1".into()), ..told })
            .expect("known");
    }
}

fn looked(b: &mut FieldBuilder, on: &str, lot_no: Option<&str>, unit: &str, (inspected, found): (u32, u32)) {
    b.inspection(&Inspection {
        inspected_on: date(on),
        unit: unit.into(),
        lot_no: lot_no.map(Into::into),
        part_no: "ZIPPER".into(),
        mode: "ZIP-1".into(),
        inspected,
        found,
        notice_no: None,
    })
    .expect("known");
}

fn result(field: &Field) -> ChangeResult {
    analyse(field, date("2024-12-31")).changes.remove(0)
}

fn telling(b: FieldBuilder) -> Telling {
    result(&b.build()).telling.expect("built, with a cut-in")
}

fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

/// By hand: 4 of 200 are 200 of 10,000, and 40 were reported: 0.20 (0.0802 to 0.5852, mpmath). A year later 8 of 200 are 400,
/// half of them from before by time in service; of 200 since 10 were reported: 0.05. The ratio is 0.25; its limits by Zou and
/// Donner (Statistics in Medicine 27 (2008) 1693) on logarithms. The limits of 0.05, and from these those of the ratio, by a
/// convolution on a grid in Python.
#[test]
fn what_is_older_than_the_cut_in_is_not_held_against_the_reports_since() {
    let mut b = books(ChangeState::CutIn);
    told(&mut b, "2023-06-01", "OLD", "A", 40);
    looked(&mut b, "2023-12-31", None, "A", (200, 4));
    told(&mut b, "2024-06-01", "OLD", "A", 10);
    looked(&mut b, "2024-12-31", None, "A", (200, 8));
    let found = telling(b);
    let (before, since) = (found.before.expect("looked"), found.since.expect("looked"));
    assert!(near(before.estimate, 0.20, 1e-12), "{before:?}");
    assert!(near(before.low, 0.0802, 5e-5) && near(before.high, 0.5852, 5e-5), "{before:?}");
    assert!(near(since.estimate, 0.05, 1e-12), "{since:?}");
    assert!(near(since.low, 0.0169, 5e-5) && near(since.high, 0.1696, 5e-5), "{since:?}");
    assert_eq!((since.reports, since.found, before.reports, before.found), (10, 8, 40, 4));
    let ratio = found.ratio.expect("both");
    assert!(near(ratio.value, 0.25, 1e-12), "{ratio:?}");
    assert!(near(ratio.interval.low, 0.0543, 5e-5) && near(ratio.interval.high, 1.1493, 5e-5), "{ratio:?}");
    assert_eq!(found.says(), ToldSince::Open);
}

/// On the day before the cut-in nothing is since it.
#[test]
fn nothing_is_told_since_a_cut_in_that_is_yet_to_come() {
    let mut b = books(ChangeState::CutIn);
    looked(&mut b, "2023-12-01", None, "A", (200, 4));
    let field = b.build();
    let told = |as_of: &str| analyse(&field, date(as_of)).changes.remove(0).telling;
    assert!(told("2023-12-31").is_none() && told(CUT_IN).is_some());
}

#[test]
fn ten_times_the_items_looked_at_show_that_less_is_told() {
    let mut b = books(ChangeState::CutIn);
    told(&mut b, "2023-06-01", "OLD", "A", 40);
    looked(&mut b, "2023-12-31", None, "A", (2_000, 40));
    told(&mut b, "2024-06-01", "OLD", "A", 10);
    looked(&mut b, "2024-12-31", None, "A", (2_000, 80));
    let found = telling(b);
    assert_eq!(found.says(), ToldSince::Less, "{found:?}");
    assert!(near(found.ratio.expect("both").value, 0.25, 1e-12));
}

#[test]
fn units_that_go_on_telling_as_before_are_not_said_to_tell_less() {
    let mut b = books(ChangeState::CutIn);
    for on in ["2023-06-01", "2024-06-01"] {
        told(&mut b, on, "OLD", "A", 100);
    }
    looked(&mut b, "2023-12-31", None, "A", (5_000, 100));
    looked(&mut b, "2024-12-31", None, "A", (5_000, 200));
    let found = telling(b);
    assert_eq!(found.says(), ToldSince::Open);
    assert!(near(found.ratio.expect("both").value, 1.0, 1e-12), "{found:?}");
}

/// By hand: 100 of 1,000 items built to the change show it, all since the cut-in, and 20 were reported.
#[test]
fn what_is_found_on_items_built_to_the_change_all_came_since() {
    let mut b = books(ChangeState::CutIn);
    b.movement(&movement("2024-02-01", K::Issue, "NEW", "B", 1_000)).expect("known");
    told(&mut b, "2024-06-01", "NEW", "B", 20);
    told(&mut b, "2024-06-01", "OLD", "B", 5);
    looked(&mut b, "2024-12-31", Some("NEW"), "B", (500, 50));
    looked(&mut b, "2024-12-31", Some("OLD"), "B", (500, 50));
    let found = telling(b);
    assert!(near(found.since_on_new.expect("looked").estimate, 0.2, 1e-9), "{found:?}");
    // Half of the 100 on old items came since, and 5 were reported.
    assert!(near(found.since_on_old.expect("looked").estimate, 0.1, 1e-9), "{found:?}");
    assert_eq!((found.says(), found.ratio), (ToldSince::NoneBefore, None));
}

#[test]
fn without_an_inspection_on_both_sides_it_is_said_which_is_missing() {
    assert_eq!(telling(books(ChangeState::CutIn)).says(), ToldSince::Never);
    let mut b = books(ChangeState::CutIn);
    looked(&mut b, "2023-12-31", None, "A", (200, 4));
    assert_eq!(telling(b).says(), ToldSince::NoneSince);
    let mut b = books(ChangeState::Approved);
    looked(&mut b, "2023-12-31", None, "A", (200, 4));
    assert_eq!(result(&b.build()).telling, None, "not built yet");
}

/// Reports take up to a month here, so an inspection of last week would find what is still to be told.
#[test]
fn an_inspection_on_which_reports_are_still_to_come_does_not_count_yet() {
    let mut b = books(ChangeState::CutIn);
    for n in 0..40 {
        let told = report(&format!("late-{n}"), "2023-06-01", "A", "PACK", Some("OLD"));
        let (part_no, mode) = (Some("ZIPPER".into()), Some("ZIP-1".into()));
        b.report(&Report { part_no, mode, received_on: date("2023-07-01"), ..told }).expect("known");
    }
    looked(&mut b, "2023-12-31", None, "A", (200, 4));
    looked(&mut b, "2024-12-24", None, "A", (200, 8));
    assert_eq!(telling(b).says(), ToldSince::NoneSince);
}

#[test]
fn a_unit_whose_reports_stopped_though_inspections_find_failures_is_named() {
    let mut b = books(ChangeState::CutIn);
    told(&mut b, "2023-06-01", "OLD", "A", 40);
    told(&mut b, "2023-06-01", "OLD", "B", 7);
    told(&mut b, "2024-06-01", "OLD", "A", 1);
    looked(&mut b, "2024-12-31", None, "A", (200, 8));
    looked(&mut b, "2024-12-31", None, "B", (200, 9));
    let field = b.build();
    let stopped = result(&field).telling.expect("a cut-in").stopped;
    let named: Vec<_> =
        stopped.iter().map(|s| (s.unit, s.reports_before, s.holds, s.inspected, s.found)).collect();
    assert_eq!(named, [(unit_id(&field, "B"), 7, 1_000, 200, 9)]);
}

#[test]
fn a_unit_that_reported_seldom_is_not_silent_for_want_of_a_report() {
    let mut b = books(ChangeState::CutIn);
    told(&mut b, "2023-06-01", "OLD", "A", 40);
    told(&mut b, "2024-06-01", "OLD", "A", 1);
    told(&mut b, "2023-06-01", "OLD", "B", 2);
    looked(&mut b, "2024-12-31", None, "B", (200, 9));
    assert_eq!(telling(b).stopped, []);
}

#[test]
fn a_unit_that_holds_nothing_more_or_is_found_whole_has_not_fallen_silent() {
    let mut b = books(ChangeState::CutIn);
    told(&mut b, "2023-06-01", "OLD", "A", 40);
    told(&mut b, "2023-06-01", "OLD", "B", 7);
    looked(&mut b, "2024-06-30", None, "A", (200, 0));
    looked(&mut b, "2024-06-30", None, "B", (200, 9));
    b.movement(&movement("2024-07-01", K::Return, "OLD", "B", 1_000)).expect("known");
    assert_eq!(telling(b).stopped, []);
}

/// The rates and the ratio with all failures told stand beside those of the reports, which stay as they are.
#[test]
fn the_verdict_and_its_ratio_know_nothing_of_it() {
    let filled = |with_looks: bool| {
        let mut b = books(ChangeState::CutIn);
        b.movement(&movement("2024-01-02", K::Issue, "NEW", "B", 5_000)).expect("known");
        told(&mut b, "2023-06-01", "OLD", "A", 80);
        told(&mut b, "2024-06-01", "NEW", "B", 10);
        if with_looks {
            looked(&mut b, "2023-12-31", None, "A", (2_000, 40));
            looked(&mut b, "2024-12-31", None, "B", (2_000, 80));
        }
        result(&b.build())
    };
    let (without, with) = (filled(false), filled(true));
    assert_eq!(with.proof, without.proof);
    let found = with.telling.expect("a cut-in");
    let (told, proof) = (found.ratio.expect("both"), with.proof.expect("both sides"));
    let corrected = found.corrected_ratio.expect("both");
    assert!(near(corrected.value, proof.ratio.expect("failures") / told.value, 1e-12));
    assert!(corrected.interval.low < corrected.value && corrected.value < corrected.interval.high);
    let after = (found.corrected_after.expect("both"), with.rate_after.expect("exposure"));
    assert!(near(after.0.estimate * found.since.expect("looked").estimate, after.1.estimate, 1e-9));
    assert_eq!(without.telling, Some(Telling::default()));
}
