//! The regularised incomplete beta function, both tails, and its inverse.

use super::deviance::{deviance, stirling_error};
use super::gamma::ln_gamma_1p;
use super::root::{self, Shape};
use super::{Tails, beta_uniform, gamma, normal};

const TINY: f64 = 1e-300;

/// Beside a shape above this, and another of at most 1e10, `-ln` of the share is gamma distributed to the last digit.
const LIMITING: f64 = 1e35;

/// The rate of that gamma distribution (M. E. Wise, Biometrika 37 (1950) 208).
fn rate(large: f64, small: f64) -> f64 {
    large + 0.5 * (small - 1.0)
}

/// A share of one and what is left of it, each accurate by itself: `x + y = 1`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    /// The share.
    pub x: f64,
    /// The rest.
    pub y: f64,
}

impl Split {
    /// The share with the given odds, `x / y = odds >= 0`; NaN for other odds.
    pub fn from_odds(odds: f64) -> Self {
        if odds.is_nan() || odds < 0.0 {
            Self { x: f64::NAN, y: f64::NAN }
        } else if odds <= 1.0 {
            Self { x: odds / (1.0 + odds), y: 1.0 / (1.0 + odds) }
        } else {
            let against = 1.0 / odds;
            Self { x: 1.0 / (1.0 + against), y: against / (1.0 + against) }
        }
    }
}

/// `x^a y^b / B(a, b)`, the density of the logit of a beta variable, for `a, b > 0` and `x + y = 1`; NaN elsewhere.
pub fn logit_density(a: f64, b: f64, x: f64, y: f64) -> f64 {
    if !(a > 0.0 && b > 0.0 && x >= 0.0 && y >= 0.0 && (a + b).is_finite()) {
        return f64::NAN;
    }
    if x == 0.0 || y == 0.0 {
        return 0.0;
    }
    let n = a + b;
    if a < 1.0 || b < 1.0 {
        return uneven_density(a, b, x, y);
    }
    // a - n x computed as a y - b x, by products whose rounding errors are kept.
    let gap = difference_of_products(a, y, b, x);
    let exponent = stirling_error(n)
        - stirling_error(a)
        - stirling_error(b)
        - deviance(a, n * x, -gap)
        - deviance(b, n * y, gap);
    exponent.exp() * (a / n * b / std::f64::consts::TAU).sqrt()
}

/// [`logit_density`] with a shape below 1, where Stirling's form of that shape has nothing to offer.
fn uneven_density(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let (small, large, x, y) = if a < b { (a, b, x, y) } else { (b, a, y, x) };
    small * (ln_front(small, large, x) + large * ln_of_rest(x, y)).exp()
}

/// `ln(x^small / (small B(small, large)))`, with its digits kept for a small first and a large second shape.
fn ln_front(small: f64, large: f64, x: f64) -> f64 {
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
fn ln_of_rest(x: f64, y: f64) -> f64 {
    if x < 0.5 { (-x).ln_1p() } else { y.ln() }
}

/// `a b - c d` with one rounding (Kahan).
pub(super) fn difference_of_products(a: f64, b: f64, c: f64, d: f64) -> f64 {
    let product = c * d;
    let error = (-c).mul_add(d, product);
    a.mul_add(b, -product) + error
}

/// Both tails of the beta distribution with shapes `a, b > 0` at the split `x + y = 1`: `I_x(a, b)` and `I_y(b, a)`.
///
/// Pass `y` computed by itself, not as `1 - x`, when `x` is close to 1. Lentz's continued fraction on the side
/// where it converges fast; a power series where one shape is small and the other large.
///
/// Source: A. R. DiDonato & A. H. Morris, ACM Trans. Math. Softw. 18 (1992) 360, equation 9 for the fraction.
///
/// ```
/// let tails = stats::special::beta::tails(3.0, 5.0, 0.5, 0.5);
/// assert!((tails.lower - 0.773_437_5).abs() < 1e-15);
/// ```
pub fn tails(a: f64, b: f64, x: f64, y: f64) -> Tails {
    if !(a > 0.0 && b > 0.0 && x >= 0.0 && y >= 0.0 && (a + b).is_finite()) {
        return Tails::NAN;
    }
    if x == 0.0 {
        return Tails { lower: 0.0, upper: 1.0 };
    }
    if y == 0.0 {
        return Tails { lower: 1.0, upper: 0.0 };
    }
    if a.min(b) > 1e10 {
        return beta_uniform::tails(a, b, x, y);
    }
    if a > LIMITING {
        return gamma::tails(b, rate(a, b) * -ln_of_rest(y, x)).swapped();
    }
    if b > LIMITING {
        return gamma::tails(a, rate(b, a) * -ln_of_rest(x, y));
    }
    // x (a + b + 2) < a + 1, in a form that large shapes do not round away.
    if difference_of_products(b, x, a, y) + 2.0 * x < 1.0 {
        left(a, b, x, y)
    } else {
        left(b, a, y, x).swapped()
    }
}

/// [`tails`] left of the turning point.
fn left(a: f64, b: f64, x: f64, y: f64) -> Tails {
    if a < 1.0 && x < 0.7 {
        return small(a, b, x);
    }
    Tails::from_lower(logit_density(a, b, x, y) * fraction(a, b, x, y))
}

/// A small first shape near 0, where the upper tail is the small difference of two parts kept apart here.
fn small(a: f64, b: f64, x: f64) -> Tails {
    // x^a / (a B(a, b)) * (1 + a * sum over n >= 1 of (1-b)(2-b)...(n-b) x^n / (n! (a+n)))
    let (mut power, mut sum, mut n) = (1.0, 0.0, 0.0);
    loop {
        n += 1.0;
        power *= (n - b) / n * x;
        let term = power / (a + n);
        sum += term;
        if term.abs() <= sum.abs() * 1e-17 || n > 2000.0 {
            break;
        }
    }
    let ln_front = ln_front(a, b, x);
    let front = ln_front.exp();
    Tails { lower: front * (1.0 + a * sum), upper: -ln_front.exp_m1() - front * a * sum }
}

/// The continued fraction of `I_x(a, b) B(a, b) / (x^a y^b)`, in the contracted form that stays exact for large shapes.
fn fraction(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let lead = 1.0 - difference_of_products(b, x, a, y);
    let part = |m: f64| {
        let odd = a + 2.0 * m;
        m * (1.0 + (b - m) * x / (odd - 1.0)) + (a + m) * (lead + m * (1.0 + y)) / (odd + 1.0)
    };
    let mut c = guard(a * lead / (a + 1.0));
    let mut d = 0.0;
    let mut h = 1.0 / c;
    // Convergence takes some multiple of the root of the smaller shape; rounding can keep it from ever being seen.
    let limit = 1000.0 + 20.0 * a.min(b).sqrt();
    let mut m = 1.0;
    while m < limit {
        let odd = a + 2.0 * m - 1.0;
        let numerator = (a + m - 1.0) / odd * ((a + b + m - 1.0) / odd) * m * (b - m) * x * x;
        let denominator = part(m);
        d = 1.0 / guard(denominator + numerator * d);
        c = guard(denominator + numerator / c);
        let change = c * d;
        h /= change;
        if (change - 1.0).abs() < 5e-16 {
            break;
        }
        m += 1.0;
    }
    h
}

fn guard(value: f64) -> f64 {
    if value.abs() < TINY { TINY } else { value }
}

/// The split whose tails are `wanted` for shapes `a, b > 0`: the inverse of [`tails`].
///
/// Give both tails so that a small one keeps its digits. Halley's method on the logarithm of the smaller tail in
/// the logit of `x`; a share below the smallest number comes out as 0.
///
/// ```
/// use stats::special::{Tails, beta};
/// let split = beta::quantile(4.0, 17.0, Tails::from_lower(0.05));
/// assert!((split.x - 0.071_353_884_308_618_19).abs() < 1e-15);
/// ```
pub fn quantile(a: f64, b: f64, wanted: Tails) -> Split {
    if !(wanted.valid() && a > 0.0 && b > 0.0 && (a + b).is_finite()) {
        return Split { x: f64::NAN, y: f64::NAN };
    }
    if wanted.lower == 0.0 {
        return Split { x: 0.0, y: 1.0 };
    }
    if wanted.upper == 0.0 {
        return Split { x: 1.0, y: 0.0 };
    }
    if a.max(b) > LIMITING && a.min(b) <= 1e10 {
        // The share beside the large shape is e^-w.
        let (large, small, tails) = if a > b { (a, b, wanted.swapped()) } else { (b, a, wanted) };
        let w = gamma::quantile(small, tails) / rate(large, small);
        let (near, rest) = ((-w).exp(), -(-w).exp_m1());
        return if a > b { Split { x: near, y: rest } } else { Split { x: rest, y: near } };
    }
    // The search runs over the change of the logit from its start, so that the odds keep all their digits.
    let odds = first_guess(a, b, wanted).exp();
    if odds == 0.0 || odds == f64::INFINITY {
        return Split::from_odds(odds);
    }
    let left = wanted.lower <= wanted.upper;
    let scale = |change: f64| {
        let Split { x, y } = Split::from_odds(odds * change.exp());
        1.0 / ((a + b) * x * y).sqrt().max(1.0)
    };
    let change = root::find(0.0, scale, |change| {
        let Split { x, y } = Split::from_odds(odds * change.exp());
        let tails = tails(a, b, x, y);
        let density = logit_density(a, b, x, y);
        let drift = a * y - b * x;
        if left {
            let slope = density / tails.lower;
            Shape { value: (tails.lower / wanted.lower).ln(), slope, bend: drift - slope }
        } else {
            let slope = density / tails.upper;
            Shape { value: (wanted.upper / tails.upper).ln(), slope, bend: drift + slope }
        }
    });
    Split::from_odds(odds * change.exp())
}

/// The logit to start a search from.
fn first_guess(a: f64, b: f64, wanted: Tails) -> f64 {
    if a > 1.0 && b > 1.0 {
        // Abramowitz & Stegun 26.5.22.
        let z = -normal::quantile(wanted);
        let (one, two) = (1.0 / (2.0 * a - 1.0), 1.0 / (2.0 * b - 1.0));
        let lambda = (z * z - 3.0) / 6.0;
        let h = 2.0 / (one + two);
        if h + lambda > 0.0 {
            let w = z * (h + lambda).sqrt() / h - (two - one) * (lambda + 5.0 / 6.0 - 2.0 / (3.0 * h));
            return (a / b).ln() - 2.0 * w;
        }
    }
    // Near an end I_x(a, b) is x^a/(a B(a, b)); which end holds more is judged at the mean.
    let (ln_x, ln_y) = ((a / (a + b)).ln(), (b / (a + b)).ln());
    let (low, high) = ((a * ln_x).exp() / a, (b * ln_y).exp() / b);
    let total = low + high;
    if wanted.lower < low / total {
        let ln_share = ((a * total).ln() + wanted.lower.ln()) / a;
        ln_share - (-ln_share.exp()).ln_1p().max(-1.0)
    } else {
        let ln_share = ((b * total).ln() + wanted.upper.ln()) / b;
        (-ln_share.exp()).ln_1p().max(-1.0) - ln_share
    }
}

/// The chance of `k` in `n` trials of chance `x = 1 - y` each, for whole `k <= n`.
///
/// ```
/// let chance = stats::special::beta::binomial_term(3.0, 8.0, 0.5, 0.5);
/// assert!((chance - 56.0 / 256.0).abs() < 1e-15);
/// ```
pub fn binomial_term(k: f64, n: f64, x: f64, y: f64) -> f64 {
    if k >= 0.0 && k <= n { split_term(k, n - k, x, y) } else { f64::NAN }
}

/// [`binomial_term`] from the count and the rest, each of which a large total would round.
pub(crate) fn split_term(k: f64, rest: f64, x: f64, y: f64) -> f64 {
    let n = k + rest;
    if !(k >= 0.0 && rest >= 0.0 && n.is_finite() && x >= 0.0 && y >= 0.0) {
        return f64::NAN;
    }
    let end = |ln: f64| if n == 0.0 { 1.0 } else { (n * ln).exp() };
    if k == 0.0 {
        end(ln_of_rest(x, y))
    } else if rest == 0.0 {
        end(ln_of_rest(y, x))
    } else {
        logit_density(k, rest, x, y) * (n / k) / rest
    }
}
