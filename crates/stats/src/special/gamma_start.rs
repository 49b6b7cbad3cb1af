//! Starting values for the inverse of the incomplete gamma function.

use super::gamma::ln_gamma_1p;
use super::{Tails, normal};

/// The Cornish-Fisher series of the gamma quantile, where it is exact to the last digits, which is for large shapes.
///
/// `x = a + sqrt(a) (z + p1 s + p2 s^2 + ...)` with `s = 1/sqrt(a)` and `z` the normal quantile. The polynomials
/// follow from `x'(z) = phi(z) / f(x)`; the first five are printed in Abramowitz & Stegun 26.2.49 and 26.4.
pub(super) fn cornish_fisher(a: f64, wanted: Tails) -> Option<f64> {
    if a < 300.0 {
        return None;
    }
    let z = normal::quantile(wanted);
    let (sum, last) = cornish_fisher_sum(a, z);
    // The first part left out is smaller than the last one kept by about z/sqrt(a).
    (last.abs() * z.abs().max(1.0) < 1e-15 * a).then_some(a + sum)
}

/// The series without its leading `a`, and its last part.
fn cornish_fisher_sum(a: f64, z: f64) -> (f64, f64) {
    let s = 1.0 / a.sqrt();
    let y = z * z;
    // The reciprocals are constants, which a division would not be.
    let p1 = (y - 1.0) * (1.0 / 3.0);
    let p2 = z * (y - 7.0) * (1.0 / 36.0);
    let p3 = -((3.0 * y + 7.0) * y - 16.0) * (1.0 / 810.0);
    let p4 = z * ((9.0 * y + 256.0) * y - 433.0) * (1.0 / 38_880.0);
    let p5 = (((12.0 * y - 243.0) * y - 923.0) * y + 1472.0) * (1.0 / 204_120.0);
    let p6 = -z * (((3753.0 * y + 4353.0) * y - 289_517.0) * y - 289_717.0) * (1.0 / 146_966_400.0);
    let p7 = ((((270.0 * y + 4614.0) * y - 9513.0) * y - 104_989.0) * y + 35_968.0) * (1.0 / 55_112_400.0);
    let p8 = -z
        * ((((5139.0 * y + 547_848.0) * y + 2_742_210.0) * y - 7_016_224.0) * y - 37_501_325.0)
        * (1.0 / 21_163_161_600.0);
    let sum = p2 + s * (p3 + s * (p4 + s * (p5 + s * (p6 + s * (p7 + s * p8)))));
    let last = p8 * s.powi(7);
    (z / s + p1 + s * sum, last)
}

/// `ln x` to start a search from, for any shape above 0.
pub(super) fn first_guess(a: f64, wanted: Tails) -> f64 {
    if a > 3.0 {
        let z = normal::quantile(wanted);
        if z > -0.9 * a.sqrt() && z < 1.5 * a.sqrt() {
            let (sum, _) = cornish_fisher_sum(a, z);
            let third = 1.0 - 1.0 / (9.0 * a) + z / (3.0 * a.sqrt());
            // Wilson and Hilferty's cube stays sane where the series is stretched.
            let cube = a * third * third * third;
            let x = if z.abs() < 0.5 * a.sqrt() { a + sum } else { cube };
            if x > 0.0 {
                return x.ln();
            }
        } else if z > 0.0 {
            let third = 1.0 - 1.0 / (9.0 * a) + z / (3.0 * a.sqrt());
            return (a * third * third * third).ln();
        }
    }
    // P(a, x) is close to x^a / gamma(a + 1) for small x.
    let ln_lower = if wanted.lower < 0.5 { wanted.lower.ln() } else { (-wanted.upper).ln_1p() };
    let power = (ln_lower + ln_gamma_1p(a)) / a;
    if power < -1.0 || a > 3.0 || wanted.lower < 0.5 {
        return power;
    }
    // Q(a, x) is close to x^(a-1) e^-x / gamma(a) for large x.
    let log = -(wanted.upper.ln() + ln_gamma_1p(a) - a.ln());
    (log + (a - 1.0) * log.max(1.0).ln()).max(0.3).ln()
}
