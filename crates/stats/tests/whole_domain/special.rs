//! What the special functions promise of any numbers at all: shared by the drawn tests and the fuzz target.
//!
//! Each function panics where a promise is broken.

use stats::special::beta::{self, Split};
use stats::special::{Tails, digamma, gamma, normal, student};

/// Both are numbers from 0 to 1 and make 1 together.
fn probabilities(tails: Tails) -> bool {
    let inside = |p: f64| (-1e-12..=1.0 + 1e-12).contains(&p);
    inside(tails.lower) && inside(tails.upper) && (tails.lower + tails.upper - 1.0).abs() < 1e-9
}

/// Both are NaN, as outside the domain.
fn unknown(tails: Tails) -> bool {
    tails.lower.is_nan() && tails.upper.is_nan()
}

fn shape(a: f64) -> bool {
    a > 0.0 && a.is_finite()
}

/// The incomplete gamma function and its kin for any shape, argument and probability.
pub(crate) fn gamma_family(a: f64, x: f64, p: f64) {
    let tails = gamma::tails(a, x);
    if shape(a) && x >= 0.0 {
        assert!(probabilities(tails), "gamma::tails({a:e}, {x:e}) = {tails:?}");
    } else {
        assert!(unknown(tails), "gamma::tails({a:e}, {x:e}) = {tails:?}");
    }
    for wanted in [Tails::from_lower(p), Tails::from_upper(p)] {
        let quantile = gamma::quantile(a, wanted);
        if shape(a) && (0.0..=1.0).contains(&p) {
            assert!(quantile >= 0.0, "gamma::quantile({a:e}, {wanted:?}) = {quantile:e}");
        } else {
            assert!(quantile.is_nan(), "gamma::quantile({a:e}, {wanted:?}) = {quantile:e}");
        }
    }
    let term = gamma::poisson_term(a, x);
    assert_eq!(term.is_nan(), !(a >= 0.0 && x >= 0.0), "gamma::poisson_term({a:e}, {x:e}) = {term:e}");
    let rising = gamma::ln_rising(a, x.trunc());
    assert_eq!(
        rising.is_nan(),
        !(a > 0.0 && x.trunc() >= 0.0),
        "gamma::ln_rising({a:e}, {x:e}) = {rising:e}"
    );
    for (name, value) in [
        ("ln_gamma", gamma::ln_gamma(a)),
        ("digamma", digamma::digamma(a)),
        ("trigamma", digamma::trigamma(a)),
    ] {
        assert_eq!(value.is_nan(), a.is_nan() || a <= 0.0, "{name}({a:e}) = {value:e}");
    }
}

/// The incomplete beta function and its kin for any two shapes, odds and probability.
pub(crate) fn beta_family(a: f64, b: f64, odds: f64, p: f64) {
    let Split { x, y } = Split::from_odds(odds);
    assert_eq!(x.is_nan(), odds.is_nan() || odds < 0.0, "Split::from_odds({odds:e}) = {x:e}");
    let inside = shape(a) && shape(b) && (a + b).is_finite();
    let tails = beta::tails(a, b, x, y);
    let density = beta::logit_density(a, b, x, y);
    if inside && odds >= 0.0 {
        assert!(probabilities(tails), "beta::tails({a:e}, {b:e}, {x:e}, {y:e}) = {tails:?}");
        assert!(density >= 0.0, "beta::logit_density({a:e}, {b:e}, {x:e}, {y:e}) = {density:e}");
    } else {
        assert!(unknown(tails), "beta::tails({a:e}, {b:e}, {x:e}, {y:e}) = {tails:?}");
        assert!(density.is_nan(), "beta::logit_density({a:e}, {b:e}, {x:e}, {y:e}) = {density:e}");
    }
    for wanted in [Tails::from_lower(p), Tails::from_upper(p)] {
        let split = beta::quantile(a, b, wanted);
        if inside && (0.0..=1.0).contains(&p) {
            let sound = split.x >= 0.0 && split.y >= 0.0 && (split.x + split.y - 1.0).abs() < 1e-12;
            assert!(sound, "beta::quantile({a:e}, {b:e}, {wanted:?}) = {split:?}");
        } else {
            assert!(split.x.is_nan(), "beta::quantile({a:e}, {b:e}, {wanted:?}) = {split:?}");
        }
    }
    let (k, n) = (a.trunc(), b.trunc());
    let term = beta::binomial_term(k, n, x, y);
    let counts = k >= 0.0 && k <= n && n.is_finite() && odds >= 0.0;
    assert_eq!(term.is_nan(), !counts, "beta::binomial_term({k:e}, {n:e}, {x:e}, {y:e}) = {term:e}");
}

/// The normal, Student's t and chi-square for any argument, degrees of freedom and probability.
pub(crate) fn normal_family(t: f64, freedom: f64, p: f64) {
    let tails = normal::tails(t);
    assert!(
        if t.is_nan() { unknown(tails) } else { probabilities(tails) },
        "normal::tails({t:e}) = {tails:?}"
    );
    assert_eq!(normal::density(t).is_nan(), t.is_nan(), "normal::density({t:e})");
    assert_eq!(normal::ln_upper(t).is_nan(), t.is_nan(), "normal::ln_upper({t:e})");
    let known = freedom > 0.0 && !t.is_nan();
    let tails = student::tails(t, freedom);
    let right = if known { probabilities(tails) } else { unknown(tails) };
    assert!(right, "student::tails({t:e}, {freedom:e}) = {tails:?}");
    let tails = student::chi_square_tails(t, freedom);
    let right = if shape(freedom) && t >= 0.0 { probabilities(tails) } else { unknown(tails) };
    assert!(right, "student::chi_square_tails({t:e}, {freedom:e}) = {tails:?}");
    for wanted in [Tails::from_lower(p), Tails::from_upper(p)] {
        let inside = (0.0..=1.0).contains(&p);
        assert_eq!(normal::quantile(wanted).is_nan(), !inside, "normal::quantile({wanted:?})");
        let quantile = student::quantile(wanted, freedom);
        let known = inside && freedom > 0.0;
        assert_eq!(quantile.is_nan(), !known, "student::quantile({wanted:?}, {freedom:e}) = {quantile:e}");
    }
}
