//! The log-rank test: do groups of units fail alike at every age.

use nalgebra::{DMatrix, DVector};

use crate::error::StatsError;
use crate::lifetimes::Lifetimes;
use crate::special::student;
use crate::survival::Descent;

/// What one group showed against what it would have shown had all groups failed alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// Failures seen.
    pub observed: f64,
    /// Failures expected from the group's share of those at risk at each age.
    pub expected: f64,
    /// Variance of the difference.
    pub variance: f64,
}

/// The test over all groups.
#[derive(Clone, Debug, PartialEq)]
pub struct LogRank {
    /// The groups, as given.
    pub groups: Vec<Group>,
    /// `(O-E)' V^-1 (O-E)` on all groups but one.
    pub chi_square: f64,
    /// Groups less one.
    pub freedom: f64,
    /// Upper chi-square tail.
    pub p_value: f64,
}

/// Compares groups: at each age with `D` failures among `N` at risk, group `i` with `n_i` at risk expects `D n_i / N`,
/// with covariance `D (N-D)/(N-1) (delta_ij n_i/N - n_i n_j/N^2)`.
///
/// Late entries are handled as in [`survival`](crate::survival). Weights count units.
///
/// Source: N. Mantel, Cancer Chemotherapy Reports 50 (1966); R. Peto and J. Peto, J. R. Statist. Soc. A 135 (1972).
///
/// ```
/// use stats::lifetimes::{Life, Lifetimes};
/// // Remission in weeks under 6-MP and placebo, E. J. Freireich et al., Blood 21 (1963).
/// let ended = [6.0, 6.0, 6.0, 7.0, 10.0, 13.0, 16.0, 22.0, 23.0].map(Life::failed);
/// let going = [6.0, 9.0, 10.0, 11.0, 17.0, 19.0, 20.0, 25.0, 32.0, 32.0, 34.0, 35.0].map(Life::survived);
/// let treated = Lifetimes::new(ended.into_iter().chain(going)).unwrap();
/// let placebo = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23];
/// let placebo = Lifetimes::new(placebo.map(|weeks| Life::failed(f64::from(weeks)))).unwrap();
/// let test = stats::log_rank::compare(&[&treated, &placebo]).unwrap();
/// assert!((test.chi_square - 16.793).abs() < 5e-4 && (test.p_value - 4.17e-5).abs() < 5e-8);
/// ```
///
/// # Errors
/// [`StatsError::TooFew`] for fewer than two groups; [`StatsError::NoEstimate`] where a failure is known to an interval
/// only, or where the groups were never at risk together at a failure.
pub fn compare(groups: &[&Lifetimes]) -> Result<LogRank, StatsError> {
    let k = groups.len();
    if k < 2 {
        return Err(StatsError::TooFew { what: "groups", given: k, needed: 2 });
    }
    let mut descents: Vec<Descent> = groups.iter().map(|g| Descent::new(g)).collect::<Result<_, _>>()?;
    let mut sums = vec![Group { observed: 0.0, expected: 0.0, variance: 0.0 }; k];
    let mut shares = vec![0.0; k];
    let mut covariance = DMatrix::<f64>::zeros(k, k);
    loop {
        let age =
            descents.iter().map(Descent::next_age).fold(0.0, |most, age| if age > most { age } else { most });
        if age == 0.0 {
            break;
        }
        let (mut total, mut failed) = (0.0, 0.0);
        for ((descent, sum), share) in descents.iter_mut().zip(&mut sums).zip(&mut shares) {
            let (at_risk, of_these) = descent.go_to(age);
            *share = at_risk;
            sum.observed += of_these;
            total += at_risk;
            failed += of_these;
        }
        let spread = if total > 1.0 { failed * (total - failed) / (total - 1.0) } else { 0.0 };
        let of_total = total.recip();
        for i in 0..k {
            shares[i] *= of_total;
            sums[i].expected += failed * shares[i];
            for j in 0..i {
                covariance[(i, j)] -= spread * shares[i] * shares[j];
            }
            sums[i].variance += spread * shares[i] * (1.0 - shares[i]);
        }
    }
    for (i, sum) in sums.iter().enumerate() {
        covariance[(i, i)] = sum.variance;
    }
    let gap = DVector::from_fn(k - 1, |i, _| sums[i].observed - sums[i].expected);
    let apart = StatsError::NoEstimate {
        reason: "a group was never at risk together with another when something failed",
    };
    let solved = covariance.view((0, 0), (k - 1, k - 1)).into_owned().cholesky().ok_or(apart)?.solve(&gap);
    let chi_square = gap.dot(&solved).max(0.0);
    let freedom = (k - 1) as f64;
    Ok(LogRank {
        groups: sums,
        chi_square,
        freedom,
        p_value: student::chi_square_tails(chi_square, freedom).upper,
    })
}
