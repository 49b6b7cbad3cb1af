//! Temme's uniform expansion of the incomplete beta function, for shapes so large that its first term is exact.
//!
//! N. M. Temme, SIAM J. Math. Anal. 23 (1992) 1363: the terms left out are of order `n^(-3/2)`.

use super::Tails;
use super::beta_density::difference_of_products;
use super::deviance::deviance;

/// Both tails at the split `x + y = 1`, for shapes above 1e10.
pub(super) fn tails(a: f64, b: f64, x: f64, y: f64) -> Tails {
    let n = a + b;
    let gap = difference_of_products(b, x, a, y);
    let exponent = deviance(a, n * x, gap) + deviance(b, n * y, -gap);
    let eta = (2.0 * exponent / n).sqrt().copysign(gap);
    let root = (a / n * (b / n)).sqrt();
    // 1/eta - sqrt(x0 y0)/(x - x0), whose two parts cancel near the mean.
    let first = if eta.abs() < 1e-6 { (b - a) / n / (3.0 * root) } else { eta.recip() - root / (gap / n) };
    let rest = (-exponent).exp() / (std::f64::consts::TAU * n).sqrt() * first;
    let near = 0.5 * libm::erfc(exponent.sqrt());
    if eta > 0.0 { Tails::from_upper(near - rest) } else { Tails::from_lower(near + rest) }
}
