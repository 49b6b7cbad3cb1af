//! When no life distribution fits best: the likelihood rises for ever along some way through the parameters.

use std::fmt;

use crate::error::StatsError;
use crate::lifetimes::{End, Lifetimes};

/// Why no maximum of the likelihood exists. Each is a normal state of field data, not a fault in them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoFit {
    /// Nothing failed: any longer life fits better. [`fixed_shape`](super::fixed_shape) still gives a lower limit.
    NoFailures,
    /// Every unit was found failed at its first look: any shorter life fits better.
    AllFailedUnseen,
    /// One age splits all that survived from all that failed: ever less spread fits better. A single failure at the
    /// largest age is of this kind, and so are failures all at one age that no survivor has passed.
    NoSpread,
    /// Ever more spread fits better, as when later looks find smaller shares failed.
    NoShape,
}

impl NoFit {
    /// The reason as words, without a full stop.
    pub fn reason(self) -> &'static str {
        match self {
            Self::NoFailures => "nothing has failed, so that any longer life fits better",
            Self::AllFailedUnseen => {
                "every unit was found failed at its first look, so that any shorter life fits better"
            }
            Self::NoSpread => {
                "one age splits all survivors from all failures, so that ever less spread fits better"
            }
            Self::NoShape => "the failures do not follow age, so that ever more spread fits better",
        }
    }
}

impl fmt::Display for NoFit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "no estimate exists: {}", self.reason())
    }
}

impl std::error::Error for NoFit {}

impl From<NoFit> for StatsError {
    fn from(none: NoFit) -> Self {
        Self::NoEstimate { reason: none.reason() }
    }
}

/// Looks for a way along which no term of the likelihood falls; two parameters may also lose their spread.
pub(crate) fn check(lifetimes: &Lifetimes, two_parameters: bool) -> Result<(), NoFit> {
    let lives = lifetimes.lives();
    if lives.iter().all(|l| matches!(l.end, End::Survived(_))) {
        return Err(NoFit::NoFailures);
    }
    // A unit alive at entry and found failed later says no more about early ages than one never seen.
    let unseen = |low: f64, entry: f64| low <= entry;
    if lives.iter().all(|l| match l.end {
        End::FailedBefore(_) => true,
        End::FailedBetween(low, _) => unseen(low, l.entry),
        End::Failed(_) | End::Survived(_) => false,
    }) {
        return Err(NoFit::AllFailedUnseen);
    }
    if !two_parameters {
        return Ok(());
    }
    // The age that would split: at or above all survivors, at or below all failures, at each exact failure.
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    for life in lives {
        let (from, to) = match life.end {
            End::Failed(age) => (age, age),
            End::Survived(age) => (age, f64::INFINITY),
            End::FailedBefore(age) => (0.0, age),
            End::FailedBetween(from, to) if unseen(from, life.entry) => (0.0, to),
            End::FailedBetween(from, to) => (from, to),
        };
        (low, high) = (low.max(from), high.min(to));
        if low > high {
            return Ok(());
        }
    }
    Err(NoFit::NoSpread)
}
