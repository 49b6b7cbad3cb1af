//! The standard normal distribution: density, both tails, logarithm of a tail, and its inverse.

use super::{LN_SQRT_TAU, Tails};

/// Density `e^(-z^2/2) / sqrt(2 pi)`.
pub fn density(z: f64) -> f64 {
    (-0.5 * z * z - LN_SQRT_TAU).exp()
}

/// Both tails at `z`.
///
/// ```
/// assert!((stats::special::normal::tails(-1.96).lower - 0.024_997_895_148_220_435).abs() < 1e-17);
/// ```
pub fn tails(z: f64) -> Tails {
    let y = z * std::f64::consts::FRAC_1_SQRT_2;
    Tails { lower: 0.5 * libm::erfc(-y), upper: 0.5 * libm::erfc(y) }
}

/// Natural logarithm of the upper tail, also where the tail itself is too small for a number.
pub fn ln_upper(z: f64) -> f64 {
    if z < -1.0 {
        return (-tails(-z).upper).ln_1p();
    }
    if z < 30.0 {
        return tails(z).upper.ln();
    }
    let r = 1.0 / (z * z);
    -0.5 * z * z - LN_SQRT_TAU - z.ln() + (-r * (1.0 - r * (3.0 - r * (15.0 - r * 105.0)))).ln_1p()
}

/// The `z` whose tails are `wanted`; the smaller tail is the one that counts.
///
/// ```
/// use stats::special::{Tails, normal};
/// assert!((normal::quantile(Tails::from_upper(0.025)) - 1.959_963_984_540_054).abs() < 1e-15);
/// ```
pub fn quantile(wanted: Tails) -> f64 {
    if !wanted.valid() {
        f64::NAN
    } else if wanted.lower <= wanted.upper {
        spec_math::cephes64::ndtri(wanted.lower)
    } else {
        -spec_math::cephes64::ndtri(wanted.upper)
    }
}
