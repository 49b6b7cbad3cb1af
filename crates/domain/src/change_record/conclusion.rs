//! What may be concluded from a proof: shown, not shown, or not yet.

use super::may_become;
use crate::analysis::ProofVerdict;
use crate::change::ChangeState;

/// The state an engineer may record on what the figures say, from where the change stands.
///
/// A change is proved when its anytime interval lies below 1. It is not proved when the interval doesn't, though a
/// halving would have been shown by now, which is the end that the comparison was planned to. Before that it is too
/// early for either, so that nobody ends a comparison because of how it looks.
pub fn conclusion(from: ChangeState, verdict: ProofVerdict) -> Option<ChangeState> {
    let to = match verdict {
        ProofVerdict::Worked => ChangeState::Proved,
        ProofVerdict::NotShown | ProofVerdict::Worse => ChangeState::NotProved,
        ProofVerdict::TooEarly => return None,
    };
    may_become(from, to).is_ok().then_some(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_concluded_too_early_or_before_the_cut_in() {
        assert_eq!(conclusion(ChangeState::CutIn, ProofVerdict::TooEarly), None);
        assert_eq!(conclusion(ChangeState::Approved, ProofVerdict::Worked), None);
        assert_eq!(conclusion(ChangeState::CutIn, ProofVerdict::Worked), Some(ChangeState::Proved));
        assert_eq!(conclusion(ChangeState::CutIn, ProofVerdict::NotShown), Some(ChangeState::NotProved));
        assert_eq!(conclusion(ChangeState::Proved, ProofVerdict::Worked), None, "recorded once");
    }
}
