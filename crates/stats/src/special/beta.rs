//! The regularised incomplete beta function, both tails, and its inverse.

use super::beta_density::{Density, difference_of_products, ln_front, ln_of_rest};
use super::root::{self, Shape};
use super::{Tails, beta_uniform, gamma, normal};

pub use super::beta_density::logit_density;

/// Where both halves of a convergent are made smaller again.
const LARGE: f64 = 1e100;

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
    tails_beside(|| logit_density(a, b, x, y), a, b, x, y)
}

/// [`tails`] for which the density is known, or asked for where it is needed.
fn tails_beside(density: impl FnOnce() -> f64, a: f64, b: f64, x: f64, y: f64) -> Tails {
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
        left(density, a, b, x, y)
    } else {
        left(density, b, a, y, x).swapped()
    }
}

/// [`tails`] left of the turning point.
fn left(density: impl FnOnce() -> f64, a: f64, b: f64, x: f64, y: f64) -> Tails {
    if a < 1.0 && x < 0.7 {
        return small(a, b, x);
    }
    Tails::from_lower(density() * fraction(a, b, x, y))
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
///
/// Its convergents are taken as they are, numerator over denominator, with one division that nothing waits for.
fn fraction(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let lead = 1.0 - difference_of_products(b, x, a, y);
    let square = x * x;
    // Convergence takes some multiple of the root of the smaller shape; rounding can keep it from ever being seen.
    let limit = 1000.0 + 20.0 * a.min(b).sqrt();
    let mut per_odd = 1.0 / (a + 1.0);
    let (mut over, mut under) = (1.0, a * lead * per_odd);
    let (mut over_before, mut under_before) = (0.0, 1.0);
    let mut value = over / under;
    let mut m = 1.0;
    while m < limit {
        let per_next = 1.0 / (a + 2.0 * m + 1.0);
        let rise = m * (b - m);
        let numerator = ((a + m - 1.0) * per_odd) * ((a + b + m - 1.0) * per_odd) * rise * square;
        let denominator = m + rise * x * per_odd + (a + m) * (lead + m * (1.0 + y)) * per_next;
        (over, over_before) = (denominator * over + numerator * over_before, over);
        (under, under_before) = (denominator * under + numerator * under_before, under);
        let next = over / under;
        if (next - value).abs() < 5e-16 * next.abs() {
            return next;
        }
        if under.abs() > LARGE {
            for part in [&mut over, &mut over_before, &mut under, &mut under_before] {
                *part /= LARGE;
            }
        }
        (value, per_odd) = (next, per_next);
        m += 1.0;
    }
    value
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
    let at = Density::new(a, b);
    let change = root::find(0.0, |change| {
        let Split { x, y } = Split::from_odds(odds * change.exp());
        let density = at.split(x, y);
        let tails = tails_beside(|| density, a, b, x, y);
        let scale = 1.0 / ((a + b) * x * y).sqrt().max(1.0);
        let drift = a * y - b * x;
        if left {
            let slope = density / tails.lower;
            Shape { value: (tails.lower / wanted.lower).ln(), slope, bend: drift - slope, scale }
        } else {
            let slope = density / tails.upper;
            Shape { value: (wanted.upper / tails.upper).ln(), slope, bend: drift + slope, scale }
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
