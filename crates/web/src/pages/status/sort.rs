//! What a reader narrows the status table by, and in which order it stands.

use std::cmp::Reverse;

use domain::change::{ChangeState, Wait};
use domain::risk::RiskLevel;
use serde::Deserialize;

use super::line::Line;
use crate::address;

/// What a reader asks for.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Filter {
    /// A state's word; all where it is none.
    pub(super) state: String,
    /// Who is waited for, as the page words it; everybody where it is empty.
    pub(super) whom: String,
    /// An order's word; by what is waited for where it is none.
    pub(super) sort: String,
}

/// An order of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sort {
    /// By what is waited for, the oldest wait first.
    Wait,
    /// By number.
    Change,
    /// The oldest stand first.
    Since,
    /// The worst risk first.
    Risk,
    /// The most failures a year first.
    Failures,
    /// The least reach first.
    Reach,
}

impl Sort {
    /// Every order but the first, with its word and the head it stands under.
    pub(super) const UNDER_HEADS: [(Self, &'static str, &'static str); 5] = [
        (Self::Change, "change", "Change"),
        (Self::Since, "since", "Since"),
        (Self::Risk, "risk", "Risk"),
        (Self::Failures, "failures", "Reported failures a year"),
        (Self::Reach, "reach", "Reach"),
    ];
}

impl Filter {
    pub(super) fn sort(&self) -> Sort {
        Sort::UNDER_HEADS
            .iter()
            .find(|(_, word, _)| *word == self.sort)
            .map_or(Sort::Wait, |(sort, ..)| *sort)
    }

    fn passes(&self, line: &Line<'_>) -> bool {
        self.state.parse::<ChangeState>().map_or(true, |wanted| line.state == wanted)
            && (self.whom.is_empty() || line.wait().is_some_and(|wait| wait.whom() == self.whom))
    }

    /// The same narrowing in another order, or in another form.
    pub(super) fn address(&self, page: &str, sort: &str) -> String {
        let (state, whom) = (address::segment(&self.state), address::segment(&self.whom));
        format!("{page}?state={state}&whom={whom}&sort={sort}")
    }

    /// Everybody who may be waited for, each once.
    pub(super) fn whoms() -> Vec<&'static str> {
        let mut whoms: Vec<&str> = Vec::new();
        for wait in Wait::ALL {
            if !whoms.contains(&wait.whom()) {
                whoms.push(wait.whom());
            }
        }
        whoms
    }

    /// The lines asked for, in the order asked for.
    pub(super) fn narrow<'l, 'a>(&self, lines: &'l [Line<'a>]) -> Vec<&'l Line<'a>> {
        let mut passing: Vec<_> = lines.iter().filter(|line| self.passes(line)).collect();
        self.order(&mut passing);
        passing
    }

    /// Puts lines into the order asked for; they come in that of the wait.
    fn order(&self, lines: &mut [&Line<'_>]) {
        match self.sort() {
            Sort::Wait => {}
            Sort::Change => lines.sort_by_key(|line| line.record.change.change_no.clone()),
            // A stand that began before records did is the oldest.
            Sort::Since => lines.sort_by_key(|line| line.since),
            Sort::Risk => lines.sort_by_key(|line| {
                line.risk.as_ref().map_or((2, RiskLevel::Eliminated), |(risk, _)| {
                    risk.level().map_or((1, RiskLevel::Eliminated), |level| (0, level))
                })
            }),
            Sort::Failures => lines.sort_by(|a, b| {
                let of = |line: &Line<'_>| {
                    line.result
                        .and_then(|result| result.while_waiting)
                        .map_or(-1.0, |waits| waits.failures_a_year)
                };
                of(b).total_cmp(&of(a))
            }),
            Sort::Reach => lines.sort_by(|a, b| {
                let of = |line: &Line<'_>| line.result.and_then(|result| result.reach.share()).unwrap_or(2.0);
                of(a).total_cmp(&of(b))
            }),
        }
        // What waits for nobody stands last in every order but that of the numbers.
        if self.sort() != Sort::Change {
            lines.sort_by_key(|line| Reverse(line.wait().is_some()));
        }
    }
}
