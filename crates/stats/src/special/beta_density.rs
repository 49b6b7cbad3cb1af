//! The density of the logit of a beta variable, and logarithms that keep their digits where a share is small.

use super::deviance::{deviance, stirling_error};
use super::gamma::ln_gamma_1p;

/// `x^a y^b / B(a, b)`, the density of the logit of a beta variable, for `a, b > 0` and `x + y = 1`; NaN elsewhere.
pub fn logit_density(a: f64, b: f64, x: f64, y: f64) -> f64 {
    if !(a > 0.0 && b > 0.0 && x >= 0.0 && y >= 0.0 && (a + b).is_finite()) {
        return f64::NAN;
    }
    Density::new(a, b).split(x, y)
}

/// [`logit_density`] for shapes above 0 that stay, at one split after another.
pub(super) struct Density {
    a: f64,
    b: f64,
    /// Logarithm of what does not depend on the split, less that of `factor`.
    exponent: f64,
    factor: f64,
}

impl Density {
    pub(super) fn new(a: f64, b: f64) -> Self {
        if a < 1.0 || b < 1.0 {
            return Self { a, b, exponent: 0.0, factor: 0.0 };
        }
        let n = a + b;
        Self {
            a,
            b,
            exponent: stirling_error(n) - (stirling_error(a) + stirling_error(b)),
            factor: (a.min(b) / n * a.max(b) / std::f64::consts::TAU).sqrt(),
        }
    }

    /// The density at `x + y = 1`.
    pub(super) fn split(&self, x: f64, y: f64) -> f64 {
        let Self { a, b, exponent, factor } = *self;
        if x == 0.0 || y == 0.0 {
            return 0.0;
        }
        if a < 1.0 || b < 1.0 {
            return uneven_density(a, b, x, y);
        }
        // The same of the two sides first, whichever way round they come, so that both ways agree to the last digit.
        let (a, b, x, y) = if a > b || (a == b && x > y) { (b, a, y, x) } else { (a, b, x, y) };
        let n = a + b;
        // a - n x computed as a y - b x, by products whose rounding errors are kept.
        let gap = difference_of_products(a, y, b, x);
        (exponent - (deviance(a, n * x, -gap) + deviance(b, n * y, gap))).exp() * factor
    }
}

/// [`logit_density`] with a shape below 1, where Stirling's form of that shape has nothing to offer.
fn uneven_density(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let (small, large, x, y) = if a < b { (a, b, x, y) } else { (b, a, y, x) };
    small * (ln_front(small, large, x) + large * ln_of_rest(x, y)).exp()
}

/// `ln(x^small / (small B(small, large)))`, with its digits kept for a small first and a large second shape.
pub(super) fn ln_front(small: f64, large: f64, x: f64) -> f64 {
    let n = small + large;
    let growth = (small / large).ln_1p();
    // ln gamma(n)/gamma(large), which is small where `small` is.
    let ln_ratio = if large < 10.0 {
        ln_gamma_1p(n) - ln_gamma_1p(large) - growth
    } else {
        stirling_error(n) - stirling_error(large) + (n - 0.5) * growth - small + small * large.ln()
    };
    small * x.ln() + ln_ratio - ln_gamma_1p(small)
}

/// `ln y` from whichever of the two shares holds its digits.
pub(super) fn ln_of_rest(x: f64, y: f64) -> f64 {
    if x < 0.5 { (-x).ln_1p() } else { y.ln() }
}

/// `a b - c d` with one rounding (Kahan).
pub(super) fn difference_of_products(a: f64, b: f64, c: f64, d: f64) -> f64 {
    let product = c * d;
    let error = (-c).mul_add(d, product);
    a.mul_add(b, -product) + error
}
