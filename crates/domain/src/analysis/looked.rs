//! What inspections found of a mode, lot by lot: a share of items looked at, never mixed with what units report unasked.
//!
//! A notice makes people look, and looking finds: the surge of reports after it says nothing of the lot. What does is the
//! share of the lot's items that show the mode beside the share of the others looked at.

use std::collections::BTreeMap;

use stats::Exposure;
use stats::binomial::clopper_pearson;
use stats::rate_ratio::{Group, ratio, ratio_upper};

use super::CONFIDENCE;
use super::lot_lines::{RATIO_WORTH_A_FLAG, REPORTS_WORTH_A_FLAG};
use crate::field::{Day, Field, InspectionFacts, LotId, ModeId, PartId, TextId};

/// Items looked at and those that showed the mode.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Prevalence {
    /// Items looked at; one looked at twice counts twice.
    pub inspected: u64,
    /// Of these, showing the mode.
    pub found: u64,
}

impl Prevalence {
    /// The share with its exact 95 % limits (Clopper and Pearson 1934); `None` where nothing was looked at.
    pub fn share(&self) -> Option<(f64, f64, f64)> {
        let limits = clopper_pearson(self.found, self.inspected, CONFIDENCE).ok()?;
        Some((self.found as f64 / self.inspected as f64, limits.low, limits.high))
    }

    fn group(self) -> Option<Group> {
        Some(Group { count: self.found, exposure: Exposure::new(self.inspected as f64).ok()? })
    }

    fn add(&mut self, inspection: &InspectionFacts) {
        self.inspected += u64::from(inspection.inspected);
        self.found += u64::from(inspection.found.min(inspection.inspected));
    }
}

/// One lot as inspections saw it.
#[derive(Clone, Debug, PartialEq)]
pub struct Looked {
    /// The lot; `None` where lots were not told apart.
    pub lot: Option<LotId>,
    /// The notices that asked for it.
    pub notices: Vec<TextId>,
    /// Its own items.
    pub own: Prevalence,
    /// The items of the other lots looked at, where lots were told apart.
    pub others: Option<Prevalence>,
    /// Ratio of the two shares with its limits; `None` without findings on both sides, infinite above where the others show none.
    pub ratio: Option<(f64, f64, f64)>,
    /// Whether the lot shows it more often than the others: at least three found, ratio above 1.5, lower limit above 1.
    pub stands_out: bool,
    /// Whether the lot is cleared: ratio at most 1.5, its one-sided 95 % upper limit at most 2.
    pub cleared: bool,
}

/// A lot is cleared where the looks rule out, with 95 % confidence on this one side, that it shows the mode more than so many
/// times as often. A judgement: to rule out 1.5 of two like shares takes some forty findings on either side, more than most
/// looks bring.
const RATIO_RULED_OUT: f64 = 2.0;

impl Looked {
    /// What the comparison says, in words.
    pub fn verdict(&self) -> &'static str {
        if self.stands_out {
            "the lot stands out"
        } else if self.cleared {
            "not the lot"
        } else {
            "the lot is not shown to be worse"
        }
    }
}

/// Inspections for one mode of a part up to a date, most found first.
pub(super) fn looked(field: &Field, part: PartId, mode: ModeId, as_of: Day) -> Vec<Looked> {
    let mut lots: BTreeMap<Option<LotId>, (Prevalence, Vec<TextId>)> = BTreeMap::new();
    let wanted = |i: &&InspectionFacts| (i.part, i.mode) == (part, mode) && i.day <= as_of;
    for inspection in field.inspections.iter().filter(wanted) {
        let entry = lots.entry(inspection.lot).or_default();
        entry.0.add(inspection);
        entry.1.extend(inspection.notice.filter(|notice| !entry.1.contains(notice)));
    }
    let told_apart = lots.iter().filter(|(lot, _)| lot.is_some());
    let all = told_apart.fold(Prevalence::default(), |sum, (_, (own, _))| Prevalence {
        inspected: sum.inspected + own.inspected,
        found: sum.found + own.found,
    });
    let mut looked: Vec<Looked> = lots
        .into_iter()
        .map(|(lot, (own, notices))| {
            let others = lot.map(|_| Prevalence {
                inspected: all.inspected - own.inspected,
                found: all.found - own.found,
            });
            let ratio = others.and_then(|others| compared(own, others));
            let cleared = ratio.is_some_and(|(ratio, ..)| ratio <= RATIO_WORTH_A_FLAG)
                && others.and_then(|others| at_most(own, others)).is_some_and(|most| most <= RATIO_RULED_OUT);
            let stands_out = own.found >= u64::from(REPORTS_WORTH_A_FLAG)
                && ratio.is_some_and(|(ratio, low, _)| ratio > RATIO_WORTH_A_FLAG && low > 1.0);
            let others = others.filter(|o| o.inspected > 0);
            Looked { lot, notices, own, others, ratio, stands_out, cleared }
        })
        .collect();
    looked.sort_by(|a, b| b.own.found.cmp(&a.own.found).then(a.lot.cmp(&b.lot)));
    looked
}

/// The ratio of two shares by the conditional test of two Poisson counts: a little wide where shares are large.
fn compared(own: Prevalence, others: Prevalence) -> Option<(f64, f64, f64)> {
    if own.found + others.found == 0 {
        return None;
    }
    let limits = ratio(own.group()?, others.group()?, CONFIDENCE);
    let (mine, theirs) = (own.share()?.0, others.share()?.0);
    Some((if theirs > 0.0 { mine / theirs } else { f64::INFINITY }, limits.low, limits.high))
}

/// The one-sided upper limit of the ratio by the same test.
fn at_most(own: Prevalence, others: Prevalence) -> Option<f64> {
    Some(ratio_upper(own.group()?, others.group()?, CONFIDENCE))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of one finding on either side at most one is the lot's with chance 1 - p^2, which is 0.05 at p = 0.9747, a
    /// ratio of 38.5 times 60/59. 22 of 310 beside 20 of 300 give 1.860 (bisection of the binomial sum).
    #[test]
    fn few_looked_at_leave_a_high_upper_limit() {
        let of = |found, inspected| Prevalence { inspected, found };
        let most = |own, others| at_most(own, others).expect("looked at");
        let root = 0.95_f64.sqrt();
        let by_hand = root / (1.0 - root) * 60.0 / 59.0;
        assert!((most(of(1, 59), of(1, 60)) / by_hand - 1.0).abs() < 1e-9);
        assert!((most(of(22, 310), of(20, 300)) - 1.860).abs() < 1e-3);
        assert!(most(of(3, 59), of(0, 60)).is_infinite());
    }
}
