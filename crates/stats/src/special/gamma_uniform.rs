//! Temme's uniform expansion of the incomplete gamma function, for large shapes near the mean.
//!
//! A. Gil, J. Segura, N. M. Temme, "Efficient and accurate algorithms for the computation and inversion of the
//! incomplete gamma function ratios", SIAM J. Sci. Comput. 34 (2012) A2965, section 2.5.

use super::Tails;
use super::deviance::{log_gap, stirling_error};

/// Taylor coefficients of `eta / (lambda - 1)`, where `eta^2/2 = lambda - 1 - ln lambda`.
const SERIES: [f64; 30] = [
    1.0,
    -0.3333333333333333,
    0.08333333333333333,
    -0.014814814814814815,
    0.0011574074074074073,
    0.0003527336860670194,
    -0.0001787551440329218,
    3.919263178522438e-05,
    -2.185448510679992e-06,
    -1.85406221071516e-06,
    8.296711340953087e-07,
    -1.7665952736826078e-07,
    6.707853543401498e-09,
    1.0261809784240309e-08,
    -4.382036018453353e-09,
    9.14769958223679e-10,
    -2.5514193994946248e-11,
    -5.830772132550426e-11,
    2.4361948020667415e-11,
    -5.0276692801141755e-12,
    1.1004392031956135e-13,
    3.371763262400985e-13,
    -1.392388722418162e-13,
    2.8534893807047445e-14,
    -5.139111834242572e-16,
    -1.9752288294349442e-15,
    8.099521156704561e-16,
    -1.6522531216398162e-16,
    2.5305430097478883e-18,
    1.1686939738559576e-17,
];

/// Both tails at `x` near `a`: `Q = erfc(eta sqrt(a/2))/2 + R` with `R = e^(-a eta^2/2)/sqrt(2 pi a) * S(eta)`.
///
/// Beside them the Poisson term of both, which shares its exponential.
pub(super) fn tails_and_term(a: f64, x: f64) -> (Tails, f64) {
    let gap = (x - a) / a;
    let half_square = log_gap(gap);
    let eta = (2.0 * half_square).sqrt().copysign(gap);
    let y = (a * half_square).sqrt();
    let bell = (-a * half_square).exp() / (std::f64::consts::TAU * a).sqrt();
    let rest = bell * sum(a, eta);
    let near = 0.5 * libm::erfc(y);
    let tails = if eta > 0.0 { Tails::from_upper(near + rest) } else { Tails::from_lower(near - rest) };
    (tails, bell * (-stirling_error(a)).exp())
}

/// `S(eta)` by the backward recurrence of its Taylor coefficients.
fn sum(a: f64, eta: f64) -> f64 {
    let last = SERIES.len() - 1;
    let per_a = 1.0 / a;
    let mut above = [SERIES[last - 1], SERIES[last]];
    let mut total = above[1] * eta + above[0];
    for n in (1..last - 1).rev() {
        // b[n-1] = f[n] + (n+1) b[n+1] / a
        let next = SERIES[n] + (n as f64 + 1.0) * per_a * above[1];
        total = total * eta + next;
        above = [next, above[0]];
    }
    total / (1.0 + above[1] * per_a)
}
