//! The two pieces of Loader's saddle-point form, which keep Poisson and binomial terms exact where factorials cancel.
//!
//! C. Loader, "Fast and accurate computation of binomial probabilities" (2000).

/// `ln sqrt(2 pi)`.
pub(crate) const LN_SQRT_TAU: f64 = 0.918_938_533_204_672_8;

/// Error of Stirling's formula, `ln gamma(a + 1) - (a + 1/2) ln a + a - ln sqrt(2 pi)`, for `a > 0`.
pub(crate) fn stirling_error(a: f64) -> f64 {
    if a < 10.0 {
        return libm::lgamma(a + 1.0) - (a + 0.5) * a.ln() + a - LN_SQRT_TAU;
    }
    let r = 1.0 / (a * a);
    let tail = 1.0 / 1188.0 + r * (-691.0 / 360_360.0 + r / 156.0);
    (1.0 / 12.0 + r * (-1.0 / 360.0 + r * (1.0 / 1260.0 + r * (-1.0 / 1680.0 + r * tail)))) / a
}

/// `u - ln(1 + u)` for `u > -1`, without the cancellation near 0.
pub(crate) fn log_gap(u: f64) -> f64 {
    if !(-0.4..=0.5).contains(&u) {
        return u - u.ln_1p();
    }
    // ln(1 + u) = 2 atanh(v) with v = u / (2 + u), so the gap is u v - 2 v (v^2/3 + v^4/5 + ...).
    let v = u / (2.0 + u);
    let square = v * v;
    let (mut power, mut sum) = (square, 0.0);
    for per_odd in PER_ODD {
        let term = power * per_odd;
        sum += term;
        if term <= sum * 1e-17 {
            break;
        }
        power *= square;
    }
    v * (u - 2.0 * sum)
}

/// 1/3, 1/5, ..., as many as the widest gap needs.
const PER_ODD: [f64; 16] = {
    let mut all = [0.0; 16];
    let mut at = 0;
    while at < 16 {
        all[at] = 1.0 / (2 * at + 3) as f64;
        at += 1;
    }
    all
};

/// Loader's deviance `a ln(a / m) + m - a` from `a > 0`, `m > 0` and their difference `m - a`.
///
/// The difference is asked for because a caller often knows it more exactly than subtraction would give it.
pub(crate) fn deviance(a: f64, m: f64, difference: f64) -> f64 {
    let u = difference / a;
    if u < -0.5 { a * (a / m).ln() + difference } else { a * log_gap(u) }
}
