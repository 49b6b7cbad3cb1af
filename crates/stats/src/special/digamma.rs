//! First and second derivative of the logarithm of the gamma function.

/// Digamma, `d/da ln gamma(a)`, for `a > 0`; NaN elsewhere.
///
/// Recurrence up to 12, then the asymptotic series (Abramowitz & Stegun 6.3.5 and 6.3.18).
///
/// ```
/// let euler = 0.577_215_664_901_532_9;
/// assert!((stats::special::digamma::digamma(1.0) + euler).abs() < 1e-15);
/// ```
pub fn digamma(a: f64) -> f64 {
    if a.is_nan() || a <= 0.0 {
        return f64::NAN;
    }
    let (mut a, mut below) = (a, 0.0);
    while a < 12.0 {
        below += 1.0 / a;
        a += 1.0;
    }
    let r = 1.0 / (a * a);
    let series = r
        * (1.0 / 12.0
            - r * (1.0 / 120.0
                - r * (1.0 / 252.0
                    - r * (1.0 / 240.0 - r * (1.0 / 132.0 - r * (691.0 / 32_760.0 - r / 12.0))))));
    a.ln() - 0.5 / a - series - below
}

/// Trigamma, the derivative of [`digamma`], for `a > 0`; NaN elsewhere.
///
/// Source: Abramowitz & Stegun 6.4.6 and 6.4.12.
pub fn trigamma(a: f64) -> f64 {
    if a.is_nan() || a <= 0.0 {
        return f64::NAN;
    }
    let (mut a, mut below) = (a, 0.0);
    while a < 12.0 {
        below += 1.0 / (a * a);
        a += 1.0;
    }
    let r = 1.0 / (a * a);
    let series = r
        * (1.0 / 6.0
            - r * (1.0 / 30.0
                - r * (1.0 / 42.0
                    - r * (1.0 / 30.0 - r * (5.0 / 66.0 - r * (691.0 / 2730.0 - r * 7.0 / 6.0))))));
    (1.0 + 0.5 / a + series) / a + below
}
