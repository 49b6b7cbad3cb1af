//! The regularised incomplete gamma function, both tails, and its inverse.

use super::deviance::{deviance, stirling_error};
use super::gamma_start::{cornish_fisher, first_guess};
use super::root::{self, Shape};
use super::{Tails, gamma_uniform};

const TINY: f64 = 1e-300;
const PRECISION: f64 = 1e-17;

/// Natural logarithm of the gamma function of `a > 0`; NaN elsewhere.
pub fn ln_gamma(a: f64) -> f64 {
    if a > 0.0 { libm::lgamma(a) } else { f64::NAN }
}

/// `ln(gamma(a + n) / gamma(a))` for `a > 0` and a whole `n >= 0`, without the cancellation of two large logarithms; NaN
/// elsewhere.
pub fn ln_rising(a: f64, n: f64) -> f64 {
    if !(a > 0.0 && n >= 0.0 && n.trunc() == n) {
        return f64::NAN;
    }
    if a == f64::INFINITY || n == f64::INFINITY {
        return if n == 0.0 { 0.0 } else { f64::INFINITY };
    }
    if n < 16.0 {
        // Counted by step, since a large `a` doesn't change when 1 is added.
        let product: f64 = (0..n as u8).map(|step| a + f64::from(step)).product();
        if product > 1e-300 && product < 1e300 {
            return product.ln();
        }
    }
    if a < 10.0 {
        return ln_gamma(a + n) - ln_gamma(a);
    }
    // gamma(a) = gamma(a + 1) / a, and Stirling's form of both.
    let sum = a + n;
    stirling_error(sum) - stirling_error(a) + (sum - 0.5) * (n / a).ln_1p() + n * (a.ln() - 1.0)
}

/// The Poisson term extended to real counts, `x^a e^-x / gamma(a + 1)`, for `a >= 0` and `x >= 0`.
///
/// For a whole `a` this is the chance of exactly `a` events where `x` are expected.
///
/// ```
/// let chance = stats::special::gamma::poisson_term(3.0, 2.0);
/// assert!((chance - 0.180_447_044_315_483_6).abs() < 1e-16);
/// ```
pub fn poisson_term(a: f64, x: f64) -> f64 {
    if !(a >= 0.0 && x >= 0.0) {
        return f64::NAN;
    }
    if a == 0.0 {
        return (-x).exp();
    }
    if x == 0.0 || x == f64::INFINITY || a == f64::INFINITY {
        return 0.0;
    }
    if a < 10.0 {
        return (a * x.ln() - x - ln_gamma_1p(a)).exp();
    }
    (-stirling_error(a) - deviance(a, x, x - a)).exp() / (std::f64::consts::TAU * a).sqrt()
}

/// Both tails of the gamma distribution with shape `a` and scale 1 at `x`: `P(a, x)` and `Q(a, x)`.
///
/// `P(a, x) = 1/gamma(a) * integral from 0 to x of t^(a-1) e^-t dt`, for `a > 0` and `x >= 0`. A power series left
/// of the mean, Lentz's continued fraction right of it, and for `a >= 20` near the mean Temme's uniform expansion.
///
/// Source: Abramowitz & Stegun 6.5.29 and 6.5.31; Gil, Segura & Temme, SIAM J. Sci. Comput. 34 (2012) A2965.
///
/// ```
/// let tails = stats::special::gamma::tails(1.0, 30.0);
/// assert!((tails.upper / (-30.0_f64).exp() - 1.0).abs() < 1e-14);
/// ```
pub fn tails(a: f64, x: f64) -> Tails {
    if !(a > 0.0 && x >= 0.0 && a.is_finite()) {
        return Tails::NAN;
    }
    if x == 0.0 {
        return Tails { lower: 0.0, upper: 1.0 };
    }
    if x == f64::INFINITY {
        return Tails { lower: 1.0, upper: 0.0 };
    }
    if a < 1.0 && x < 1.0 { small(a, x) } else { tails_and_term(a, x).0 }
}

/// [`tails`] inside its domain and [`poisson_term`], which have most of their work in common.
fn tails_and_term(a: f64, x: f64) -> (Tails, f64) {
    if a >= 20.0 && x > 0.4 * a && x < 2.2 * a {
        return gamma_uniform::tails_and_term(a, x);
    }
    let term = poisson_term(a, x);
    let tails = if a < 1.0 && x < 1.0 {
        small(a, x)
    } else if x < a + 1.0 {
        Tails::from_lower(term * series(a, x))
    } else {
        Tails::from_upper(term * a * fraction(a, x))
    };
    (tails, term)
}

/// `sum over n >= 0 of x^n / ((a+1) ... (a+n))`.
fn series(a: f64, x: f64) -> f64 {
    let (mut term, mut sum, mut n) = (1.0, 1.0, a);
    while term > sum * PRECISION {
        n += 1.0;
        term *= x / n;
        sum += term;
    }
    sum
}

/// `gamma(a, x) e^x x^-a` by Lentz's method, for `x >= 1`.
fn fraction(a: f64, x: f64) -> f64 {
    let mut b = x + 1.0 - a;
    let mut c = 1.0 / TINY;
    let mut d = 1.0 / if b.abs() < TINY { TINY } else { b };
    let mut h = d;
    for i in 1..100_000 {
        let i = f64::from(i);
        let an = -i * (i - a);
        b += 2.0;
        d = 1.0 / guard(an * d + b);
        c = guard(b + an / c);
        h *= d * c;
        if (d * c - 1.0).abs() < 5e-16 {
            break;
        }
    }
    h
}

fn guard(value: f64) -> f64 {
    if value.abs() < TINY { TINY } else { value }
}

/// Shape and argument both below 1, where the upper tail is the small difference of two parts kept apart here.
fn small(a: f64, x: f64) -> Tails {
    let ln_front = a * x.ln() - ln_gamma_1p(a);
    // x^a/gamma(a+1) * (1 + a * sum over n >= 1 of (-x)^n / (n! (a+n)))
    let (mut power, mut sum) = (1.0, 0.0);
    for n in 1..30 {
        let n = f64::from(n);
        power *= -x / n;
        let term = power / (a + n);
        sum += term;
        if term.abs() < 1e-18 {
            break;
        }
    }
    let front = ln_front.exp();
    Tails { lower: front * (1.0 + a * sum), upper: -ln_front.exp_m1() - front * a * sum }
}

/// `ln gamma(1 + a)` for `a >= 0`, exact to the last digits also where `1 + a` would round.
pub(crate) fn ln_gamma_1p(a: f64) -> f64 {
    // Taylor at 0: -euler a + sum of zeta(k) (-a)^k / k.
    const ZETA_OVER_K: [f64; 6] = [
        0.822_467_033_424_113_2,
        0.400_685_634_386_531_4,
        0.270_580_808_427_784_55,
        0.207_385_551_028_673_98,
        0.169_557_176_997_408_2,
        0.144_049_896_768_846_13,
    ];
    const EULER: f64 = 0.577_215_664_901_532_9;
    if a > 0.003 {
        return libm::lgamma(a + 1.0);
    }
    let sum = ZETA_OVER_K.iter().rev().fold(0.0, |sum, c| c - a * sum);
    a * (a * sum - EULER)
}

/// The `x` whose tails are `wanted` for shape `a > 0`: the inverse of [`tails`].
///
/// Give both tails so that a small one keeps its digits. Answers 0 where the true value is below the smallest
/// number, and infinity for an upper tail of 0. Halley's method on the logarithm of the smaller tail in `ln x`,
/// from a Cornish-Fisher start which for large shapes is already exact.
///
/// ```
/// use stats::special::{Tails, gamma};
/// let x = gamma::quantile(3.0, Tails::from_upper(0.025));
/// assert!((x - 7.224_687_667_723_96).abs() < 1e-14);
/// ```
pub fn quantile(a: f64, wanted: Tails) -> f64 {
    if !(wanted.valid() && a > 0.0 && a.is_finite()) {
        return f64::NAN;
    }
    if wanted.lower == 0.0 {
        return 0.0;
    }
    if wanted.upper == 0.0 {
        return f64::INFINITY;
    }
    if let Some(x) = cornish_fisher(a, wanted) {
        return x;
    }
    // The search runs over the change of ln x from its start, so that x keeps all its digits.
    let start = first_guess(a, wanted).exp();
    if start == 0.0 {
        return 0.0;
    }
    let left = wanted.lower <= wanted.upper;
    let scale = 1.0 / a.sqrt().max(1.0);
    let change = root::find(0.0, |change| {
        let x = start * change.exp();
        let (tails, term) = if x > 0.0 && x.is_finite() { tails_and_term(a, x) } else { (tails(a, x), 0.0) };
        let density = a * term;
        if left {
            let slope = density / tails.lower;
            Shape { value: (tails.lower / wanted.lower).ln(), slope, bend: a - x - slope, scale }
        } else {
            let slope = density / tails.upper;
            Shape { value: (wanted.upper / tails.upper).ln(), slope, bend: a - x + slope, scale }
        }
    });
    start * change.exp()
}
