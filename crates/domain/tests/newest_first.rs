//! Whether a change's verdict is the same whichever items a movement takes.

use domain::analysis::{ChangeResult, ProofVerdict, analyse};
use domain::change::ChangeState;
use domain::movement::MovementKind as K;
use domain::report::Report;

use crate::common::{changed, date, movement, report};

/// A hundred packs at A since `old_since` and a hundred since 2023, of which a hundred came back in February; thirty splits on
/// the old fastener since, two on the new one. Beside them another mode of the part, which the change is not to cure and which
/// rises.
fn result(old_since: &str, state: ChangeState) -> ChangeResult {
    let mut b = changed(state, &["ZIP-1"], "2023-02-01");
    for (on, kind, lot_no) in [
        (old_since, K::Issue, "OLD"),
        ("2023-01-01", K::Issue, "OLD"),
        ("2023-02-01", K::Return, "OLD"),
        ("2023-02-01", K::Issue, "NEW"),
    ] {
        b.movement(&movement(on, kind, lot_no, "A", 100)).expect("known");
    }
    for (mode, lot_no, failures) in
        [("ZIP-1", "OLD", 30), ("ZIP-1", "NEW", 2), ("ZIP-2", "OLD", 2), ("ZIP-2", "NEW", 40)]
    {
        for number in 0..failures {
            let on = format!("2024-{:02}-{:02}", 1 + number % 11, 1 + number / 11);
            let told = report(&format!("{mode}-{lot_no}-{number}"), &on, "A", "PACK", Some(lot_no));
            b.report(&Report { part_no: Some("ZIPPER".into()), mode: Some(mode.into()), ..told })
                .expect("known");
        }
    }
    analyse(&b.build(), date("2024-12-31")).changes.remove(0)
}

/// Packs that all came within a year are alike whichever of them went: the change worked either way.
#[test]
fn a_verdict_that_does_not_hang_on_which_items_went_holds() {
    for state in [ChangeState::CutIn, ChangeState::Approved] {
        let result = result("2023-01-01", state);
        assert_eq!(result.proof.map(|proof| proof.verdict), Some(ProofVerdict::Worked), "{state:?}");
        assert_eq!(result.holds_newest_first, Some(true), "{state:?}");
    }
}

/// The oldest gone, those that failed are as young as the new ones. The newest gone, they are four years old, an age that no
/// new one has reached, and at younger ages the old packs showed nothing.
#[test]
fn a_verdict_that_hangs_on_which_items_went_does_not_hold() {
    let result = result("2020-01-01", ChangeState::CutIn);
    assert_eq!(result.proof.map(|proof| proof.verdict), Some(ProofVerdict::Worked));
    assert_eq!(result.holds_newest_first, Some(false));
}
