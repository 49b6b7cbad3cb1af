//! Student's t and the chi-square distribution, written with the incomplete beta and gamma functions.

use super::{Tails, beta, gamma, normal};

/// Half of some degrees of freedom, which for the smallest number of all would be 0; NaN unless above 0.
fn half(freedom: f64) -> f64 {
    if freedom > 0.0 { (0.5 * freedom).max(f64::from_bits(1)) } else { f64::NAN }
}

/// Both tails of Student's t at `t` with `freedom > 0` degrees of freedom, infinity (the normal) included.
pub fn tails(t: f64, freedom: f64) -> Tails {
    if freedom == f64::INFINITY || t.is_nan() {
        return normal::tails(t);
    }
    let square = t * t;
    if square == f64::INFINITY {
        let beyond = if freedom > 0.0 { Tails { lower: 1.0, upper: 0.0 } } else { Tails::NAN };
        return if t > 0.0 { beyond } else { beyond.swapped() };
    }
    let x = freedom / (freedom + square);
    let both = beta::tails(half(freedom), 0.5, x, square / (freedom + square));
    let far = Tails { lower: 0.5 + 0.5 * both.upper, upper: 0.5 * both.lower };
    if t >= 0.0 { far } else { far.swapped() }
}

/// The `t` whose tails are `wanted`, for real `freedom > 0`, infinity (the normal) included.
///
/// ```
/// use stats::special::{Tails, student};
/// let t = student::quantile(Tails::from_upper(0.005), 16.0);
/// assert!((t - 2.920_781_622_425_1).abs() < 1e-12);
/// ```
pub fn quantile(wanted: Tails, freedom: f64) -> f64 {
    if !wanted.valid() {
        return f64::NAN;
    }
    if freedom > 1e12 {
        return normal::quantile(wanted);
    }
    let far = wanted.lower.min(wanted.upper);
    let sign = if wanted.lower < wanted.upper { -1.0 } else { 1.0 };
    let split = beta::quantile(half(freedom), 0.5, Tails::from_lower((2.0 * far).min(1.0)));
    sign * (freedom * split.y / split.x).sqrt()
}

/// Both tails of the chi-square distribution at `x >= 0` with `freedom > 0` degrees of freedom.
pub fn chi_square_tails(x: f64, freedom: f64) -> Tails {
    // Half of the smallest number below 0 is 0.
    if x < 0.0 { Tails::NAN } else { gamma::tails(half(freedom), 0.5 * x) }
}

/// The chi-square value whose tails are `wanted`.
///
/// ```
/// use stats::special::{Tails, student};
/// let x = student::chi_square_quantile(Tails::from_upper(0.05), 1.0);
/// assert!((x - 3.841_458_820_694_124).abs() < 1e-14);
/// ```
pub fn chi_square_quantile(wanted: Tails, freedom: f64) -> f64 {
    2.0 * gamma::quantile(half(freedom), wanted)
}
