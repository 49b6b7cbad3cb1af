//! A count against what is usual: how surprising it is, and how much likelier where something is wrong.

use crate::special::beta;

/// Times the usual rate at which something may be wrong, each as likely beforehand.
const WORSE: [f64; 3] = [2.0, 3.0, 5.0];

/// A count beyond this is never sought: larger ones are no longer told apart as numbers.
const LARGEST: u64 = 1 << 53;

/// The distribution of a count where nothing is wrong: Poisson about a mean that is itself known only so well, so that the
/// count follows a negative binomial. Its methods answer NaN, and never hang, where a field is outside its range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usual {
    /// Mean of the count, above 0 and finite; a number of events, without unit.
    pub expected: f64,
    /// One over the relative variance of the mean, above 0; infinite for a mean that is known.
    pub shape: f64,
}

impl Usual {
    /// Chance of `count` or more, from 0 to 1: `I_x(count, shape)` with `x / (1 - x) = expected / shape`. The count may be
    /// any number, weighted ones too; it is 1 for counts of 0 and below.
    ///
    /// With `shape = n2 + 1` and `expected = odds (n2 + 1)` it is the conditional test of `count` against `n2` others:
    /// the chance that so many of `count + n2` fall on the one whose odds are so.
    ///
    /// Source: N. L. Johnson, A. W. Kemp & S. Kotz, Univariate Discrete Distributions, 3rd ed., section 5.6.
    ///
    /// ```
    /// use stats::excess::Usual;
    /// // 18 of 30 where a third is usual: 0.0024578, the upper tail of the binomial distribution (scipy.stats.binom.sf).
    /// let chance = Usual { expected: 6.5, shape: 13.0 }.chance(18.0);
    /// assert!((chance - 0.002_457_8).abs() < 1e-6);
    /// ```
    pub fn chance(self, count: f64) -> f64 {
        if count <= 0.0 {
            return 1.0;
        }
        // Beyond this the two distributions agree to the last digits.
        let shape = self.shape.min(1e9);
        let split = beta::Split::from_odds(self.expected / shape);
        beta::tails(count, shape, split.x, split.y).lower
    }

    /// How many times likelier a count is at two, three or five times the usual rate, taken as equally likely, than at
    /// the usual one: the mean of `r^n ((k + e) / (k + r e))^(n + k)` for the count `n`, from 0 up, mean `e` and shape `k`.
    /// It is 0 or above, and may be infinite.
    ///
    /// Source: R. E. Kass & A. E. Raftery, J. Amer. Statist. Assoc. 90 (1995) 773, for such ratios; the three rates are a
    /// choice of this crate.
    ///
    /// ```
    /// use stats::excess::Usual;
    /// // By hand, with a known mean of 1: (2^4 e^-1 + 3^4 e^-2 + 5^4 e^-4) / 3.
    /// let evidence = Usual { expected: 1.0, shape: f64::INFINITY }.evidence(4.0);
    /// assert!((evidence - 9.431_8).abs() < 1e-3);
    /// ```
    pub fn evidence(self, count: f64) -> f64 {
        let (e, k) = (self.expected, self.shape.min(1e9));
        let ratio = |r: &f64| (count * r.ln() - (count + k) * ((r - 1.0) * e / (k + e)).ln_1p()).exp();
        WORSE.iter().map(ratio).sum::<f64>() / WORSE.len() as f64
    }

    /// The smallest whole count, from `least` up, with at least so much evidence; about 2^53 where no count has it.
    ///
    /// ```
    /// use stats::excess::Usual;
    /// let usual = Usual { expected: 1.0, shape: f64::INFINITY };
    /// // By the sum above: 4 has 9.43, and 5 has (2^5 e^-1 + 3^5 e^-2 + 5^5 e^-4) / 3 = 33.96.
    /// assert_eq!(usual.smallest(10.0, 3), 5);
    /// assert!(usual.smallest(f64::NAN, 3) >= 1 << 53, "no count has that");
    /// ```
    pub fn smallest(self, evidence: f64, least: u64) -> u64 {
        let enough = |count: u64| count >= LARGEST || self.evidence(count as f64) >= evidence;
        let (mut low, mut step) = (least, 1);
        if enough(low) {
            return low;
        }
        while !enough(low + step) {
            low += step;
            step *= 2;
        }
        let mut high = low + step;
        while high - low > 1 {
            let middle = low + (high - low) / 2;
            if enough(middle) { high = middle } else { low = middle }
        }
        high
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_smallest_count_with_enough_evidence_is_found() {
        for (expected, shape) in [(0.05, 1e9), (2.0, 10.0), (40.0, 300.0)] {
            let usual = Usual { expected, shape };
            for evidence in [1.0, 30.0, 1e6] {
                let count = usual.smallest(evidence, 0);
                assert!(usual.evidence(count as f64) >= evidence);
                assert!(count == 0 || usual.evidence((count - 1) as f64) < evidence);
            }
            assert_eq!(usual.smallest(0.0, 7), 7);
        }
    }

    #[test]
    fn a_mean_that_is_not_known_well_makes_a_count_less_surprising() {
        let sure = Usual { expected: 3.0, shape: f64::INFINITY };
        let unsure = Usual { expected: 3.0, shape: 5.0 };
        assert!((sure.chance(9.0) / crate::poisson_rate::upper_tail(9, 3.0) - 1.0).abs() < 1e-6);
        assert!(unsure.chance(9.0) > 2.0 * sure.chance(9.0));
        assert!(unsure.evidence(9.0) < sure.evidence(9.0));
    }
}
