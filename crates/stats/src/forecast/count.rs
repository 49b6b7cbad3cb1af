//! The distribution of a count: a sum of binomials, exactly, or a Poisson.

use crate::error::{StatsError, not_negative};
use crate::special::beta::binomial_term;
use crate::special::{gamma, normal};
use crate::value::Probability;

/// Above this variance a sum of binomials is not tabled.
const LARGEST_TABLED_VARIANCE: f64 = 2e4;

/// Terms below this share of the largest are left off above it.
const UPPER_CUT: f64 = 1e-30;

/// Terms below this are left off below the largest.
const LOWER_CUT: f64 = 1e-305;

#[derive(Clone, Debug)]
enum Shape {
    /// Probabilities of `first`, `first + 1` and so on.
    Table {
        first: u64,
        terms: Vec<f64>,
    },
    /// Normal with a correction for skewness, at most 1e-5 off in probability.
    Smooth {
        skewness: f64,
    },
    Poisson,
}

/// The distribution of a count of failures.
#[derive(Clone, Debug)]
pub struct Count {
    mean: f64,
    variance: f64,
    /// Natural logarithm of the probability of none.
    ln_none: f64,
    shape: Shape,
}

impl Count {
    /// Sum of binomials, each of `n` units that fail with probability `rho`.
    ///
    /// By convolution; with a variance above 20,000 by the normal distribution corrected for skewness
    /// (A. Yu. Volkova, Theory Probab. Appl. 40 (1996)), which is then within 1e-5 in probability.
    ///
    /// ```
    /// use stats::{Probability, forecast::Count};
    /// let half = Probability::new(0.5).unwrap();
    /// let count = Count::binomials(&[(2, half), (1, half)]);
    /// assert!((count.exactly(0) - 0.125).abs() < 1e-15 && (count.at_most(1) - 0.5).abs() < 1e-15);
    /// assert_eq!((count.lower(0.05), count.upper(0.9)), (0, 3));
    /// ```
    pub fn binomials(parts: &[(u64, Probability)]) -> Self {
        let parts: Vec<_> = parts.iter().map(|&(n, rho)| (n, rho.value())).collect();
        Self::exact(&parts)
    }

    pub(crate) fn exact(parts: &[(u64, f64)]) -> Self {
        Self::binomials_up_to(parts, LARGEST_TABLED_VARIANCE)
    }

    /// The same, tabled only up to a variance.
    pub(crate) fn binomials_up_to(parts: &[(u64, f64)], largest: f64) -> Self {
        let (mut mean, mut variance, mut third, mut ln_none) = (0.0, 0.0, 0.0, 0.0);
        for &(n, rho) in parts.iter().filter(|part| part.0 > 0) {
            let part = n as f64 * rho;
            mean += part;
            variance += part * (1.0 - rho);
            third += part * (1.0 - rho) * (1.0 - 2.0 * rho);
            ln_none += n as f64 * (-rho).ln_1p();
        }
        let shape = if variance > largest {
            Shape::Smooth { skewness: third / variance.powf(1.5) }
        } else {
            table(parts)
        };
        Self { mean, variance, ln_none, shape }
    }

    /// Poisson: what the sum of binomials tends to when every probability is small.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a mean that is negative, infinite or NaN.
    pub fn poisson(mean: f64) -> Result<Self, StatsError> {
        let mean = not_negative("expected count", mean)?;
        Ok(Self { mean, variance: mean, ln_none: -mean, shape: Shape::Poisson })
    }

    /// Expected count.
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Variance of the count.
    pub fn variance(&self) -> f64 {
        self.variance
    }

    /// Probability that there is none.
    pub fn none(&self) -> f64 {
        self.ln_none.exp()
    }

    /// Probability of exactly `k`.
    pub fn exactly(&self, k: u64) -> f64 {
        match &self.shape {
            Shape::Table { first, terms } => {
                k.checked_sub(*first).and_then(|i| terms.get(i as usize)).copied().unwrap_or(0.0)
            }
            Shape::Poisson => gamma::poisson_term(k as f64, self.mean),
            Shape::Smooth { .. } if k == 0 => self.none(),
            Shape::Smooth { .. } => (self.at_most(k) - self.at_most(k - 1)).max(0.0),
        }
    }

    /// Probability of `k` or fewer.
    pub fn at_most(&self, k: u64) -> f64 {
        match &self.shape {
            Shape::Table { first, terms } => {
                let upto = k.saturating_add(1).saturating_sub(*first).min(terms.len() as u64);
                terms[..upto as usize].iter().sum::<f64>().min(1.0)
            }
            Shape::Poisson if self.mean == 0.0 => 1.0,
            Shape::Poisson => gamma::tails(k as f64 + 1.0, self.mean).upper,
            Shape::Smooth { skewness } => {
                let x = (k as f64 + 0.5 - self.mean) / self.variance.sqrt();
                let bent = skewness * (1.0 - x * x) / 6.0 * normal::density(x);
                (normal::tails(x).lower + bent).clamp(0.0, 1.0)
            }
        }
    }

    /// Lower bound: the smallest `k` with `P(K <= k) > risk`, so that fewer come with probability at most `risk`.
    pub fn lower(&self, risk: f64) -> u64 {
        self.first(|below| below > risk)
    }

    /// Upper bound: the smallest `k` with `P(K <= k) >= level`.
    pub fn upper(&self, level: f64) -> u64 {
        self.first(|below| below >= level)
    }

    fn first(&self, reached: impl Fn(f64) -> bool) -> u64 {
        if let Shape::Table { first, terms } = &self.shape {
            let mut below = 0.0;
            for (k, term) in (*first..).zip(terms) {
                below += term;
                if reached(below.min(1.0)) {
                    return k;
                }
            }
            return *first + terms.len() as u64 - 1;
        }
        let (mut low, mut high) = (0, (self.mean + 40.0 * self.variance.sqrt() + 40.0) as u64);
        while low < high {
            let middle = low + (high - low) / 2;
            if reached(self.at_most(middle)) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        low
    }
}

fn table(parts: &[(u64, f64)]) -> Shape {
    let (mut first, mut terms) = (0, vec![1.0]);
    for &(n, rho) in parts.iter().filter(|part| part.0 > 0 && part.1 > 0.0) {
        let (offset, own) = binomial(n, rho);
        let mut next = vec![0.0; terms.len() + own.len() - 1];
        for (i, one) in terms.iter().enumerate() {
            for (sum, other) in next[i..].iter_mut().zip(&own) {
                *sum += one * other;
            }
        }
        let largest = next.iter().copied().fold(0.0, f64::max);
        let end = next.iter().rposition(|&t| t > UPPER_CUT * largest).unwrap_or(0);
        next.truncate(end + 1);
        let start = next.iter().position(|&t| t > LOWER_CUT).unwrap_or(0);
        next.drain(..start);
        (first, terms) = (first + offset + start as u64, next);
    }
    Shape::Table { first, terms }
}

/// Terms of one binomial that matter, outward from its largest.
fn binomial(n: u64, rho: f64) -> (u64, Vec<f64>) {
    if rho >= 1.0 {
        return (n, vec![1.0]);
    }
    let mode = (((n + 1) as f64 * rho).floor() as u64).min(n);
    let largest = binomial_term(mode as f64, n as f64, rho, 1.0 - rho);
    let odds = rho / (1.0 - rho);
    let mut terms = Vec::new();
    let (mut k, mut term) = (mode, largest);
    while term > LOWER_CUT {
        terms.push(term);
        if k == 0 {
            break;
        }
        term *= k as f64 / ((n - k + 1) as f64 * odds);
        k -= 1;
    }
    let first = mode + 1 - terms.len() as u64;
    terms.reverse();
    (k, term) = (mode, largest);
    while k < n {
        term *= (n - k) as f64 * odds / (k + 1) as f64;
        if term < UPPER_CUT * largest {
            break;
        }
        terms.push(term);
        k += 1;
    }
    (first, terms)
}
