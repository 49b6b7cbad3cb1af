//! The exposure that a plan takes: at which the new lots' failures would be shown to be fewer, with the wanted power.

use stats::rate_ratio::exposure_beside;
use stats::special::{Tails, normal};
use stats::stratified::Stratum;
use stats::{Confidence, Exposure, anytime, poisson_rate};

use super::ProofPlan;
use crate::analysis::CONFIDENCE;

/// What was seen before, and how far units scatter.
#[derive(Clone, Copy)]
pub(super) struct Before {
    pub(super) failures: u64,
    /// Item-years.
    pub(super) exposure: Exposure,
    /// As [`super::Planned::scatter`].
    pub(super) scatter: f64,
}

impl Before {
    /// Item-years after for one look at a date fixed beforehand, by the one-sided conditional test.
    pub(super) fn for_one_look(self, plan: ProofPlan) -> Option<f64> {
        let confidence = confidence_of_one_look(self.scatter)?;
        let found =
            exposure_beside(self.rate(), self.exposure, plan.ratio_worth_having, confidence, plan.power);
        found.ok().flatten()
    }

    /// Failures an item-year.
    fn rate(self) -> f64 {
        self.failures as f64 / self.exposure.value()
    }

    /// Item-years after at which the anytime interval lies below 1 with the wanted power, if the ratio is the one planned.
    pub(super) fn for_any_look(self, plan: ProofPlan) -> Option<f64> {
        let enough = |after: f64| self.power(after, plan.ratio_worth_having) >= plan.power;
        let years = self.exposure.value();
        let (mut low, mut high) = (0.0, years / 64.0);
        while !enough(high) {
            if high > 1000.0 * years {
                return None;
            }
            (low, high) = (high, 2.0 * high);
        }
        while high - low > 0.005 * high {
            let middle = 0.5 * (low + high);
            if enough(middle) { high = middle } else { low = middle }
        }
        Some(high)
    }

    /// Whether so many failures in so many item-years after would be shown to be fewer, as the verdict shows it.
    fn shows(self, count: u64, after: f64) -> bool {
        let row = Stratum {
            before_count: self.failures,
            before_exposure: self.exposure.value(),
            after_count: count,
            after_exposure: after,
        };
        let ratio = count as f64 / after / self.rate();
        anytime::ratio(&[row], CONFIDENCE).is_ok_and(|limits| limits.widened(ratio, self.scatter).high < 1.0)
    }

    /// Chance of a count that shows it, at a true ratio; 0 where it is below one half.
    ///
    /// Counts from 1 on that show it lie side by side. Wide scatter leaves out the smallest of them: the logarithm of a ratio
    /// from one or two failures is known so badly that a few more say more.
    fn power(self, after: f64, ratio: f64) -> f64 {
        let unchanged = self.rate() * after;
        let mean = ratio * unchanged;
        let middle = mean as u64;
        let shows = |count: u64| self.shows(count, after);
        // The middle one shows it, or half of what may come does not.
        if !shows(middle) {
            return 0.0;
        }
        let most = turn(middle, unchanged.ceil() as u64 + 1, &shows);
        let at_most = |count: u64| poisson_rate::lower_tail(count, mean);
        if middle == 0 || shows(1) {
            return at_most(most);
        }
        let too_few = turn(1, middle, &|count| !shows(count));
        let none = if shows(0) { at_most(0) } else { 0.0 };
        at_most(most) - at_most(too_few) + none
    }
}

/// The last count at which something holds, between one at which it does and one at which it no longer does.
fn turn(mut holds: u64, mut fails: u64, is: &impl Fn(u64) -> bool) -> u64 {
    while fails - holds > 1 {
        let middle = holds + (fails - holds) / 2;
        if is(middle) { holds = middle } else { fails = middle }
    }
    holds
}

/// The confidence at which a test by chance alone shows what one of [`CONFIDENCE`] shows where the logarithm of the ratio
/// varies so many times as much: its normal deviate is larger by the root. `None` where that is past all reach.
fn confidence_of_one_look(scatter: f64) -> Option<Confidence> {
    if scatter <= 1.0 {
        return Some(CONFIDENCE);
    }
    let deviate = normal::quantile(Tails::from_upper(CONFIDENCE.risk())) * scatter.sqrt();
    Confidence::new(normal::tails(deviate).lower).ok()
}
