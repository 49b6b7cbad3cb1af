//! Special functions against 25-digit tables, at the accuracy the crate promises, and over their whole domain.

use proptest::num::f64::ANY;
use proptest::prelude::*;
use stats::special::{Tails, beta, gamma, normal, student};

const GAMMA: &str = include_str!("reference/special/gamma.csv");
const BETA: &str = include_str!("reference/special/beta.csv");
const NORMAL: &str = include_str!("reference/special/normal.csv");

fn rows(table: &str) -> impl Iterator<Item = Vec<f64>> {
    table.lines().map(|line| line.split(',').map(|cell| cell.parse().expect("a number")).collect())
}

fn relative(got: f64, want: f64) -> f64 {
    if want.abs() < 1e-300 { (got - want).abs() } else { (got / want - 1.0).abs() }
}

#[derive(Default)]
struct Worst(f64, String);

impl Worst {
    fn see(&mut self, error: f64, what: impl FnOnce() -> String) {
        assert!(!error.is_nan(), "NaN at {}", what());
        if error > self.0 {
            *self = Self(error, what());
        }
    }
}

#[test]
fn gamma_quantiles_meet_the_table() {
    let mut worst = Worst::default();
    for row in rows(GAMMA) {
        let (a, p, want) = (row[0], row[1], row[2]);
        worst.see(relative(gamma::quantile(a, Tails::from_lower(p)), want), || {
            format!("a={a} p={p} x={want}")
        });
    }
    println!("gamma quantile: worst {:e} at {}", worst.0, worst.1);
    assert!(worst.0 < 1e-12);
}

#[test]
fn gamma_tails_meet_the_table() {
    let (mut lower, mut upper) = (Worst::default(), Worst::default());
    for row in rows(GAMMA) {
        let (a, p, x) = (row[0], row[1], row[2]);
        if x < 1e-300 {
            continue;
        }
        let tails = gamma::tails(a, x);
        // The table's x is rounded once; that alone moves the tail by its slope.
        let slope = a * gamma::poisson_term(a, x) * f64::EPSILON;
        lower.see((tails.lower - p).abs() - slope, || format!("a={a} p={p}"));
        upper.see(((tails.upper - (1.0 - p)).abs() - slope - 1e-16).max(0.0) / (1.0 - p), || {
            format!("a={a} p={p}")
        });
    }
    println!("gamma lower: worst {:e} at {}; upper: {:e} at {}", lower.0, lower.1, upper.0, upper.1);
    assert!(lower.0 < 1e-12 && upper.0 < 1e-12);
}

#[test]
fn beta_quantiles_meet_the_table() {
    let (mut all, mut usual) = (Worst::default(), Worst::default());
    for row in rows(BETA) {
        let (a, b, p, want) = (row[0], row[1], row[2], row[3]);
        let error = relative(beta::quantile(a, b, Tails::from_lower(p)).x, want);
        let what = || format!("a={a} b={b} p={p} x={want}");
        all.see(error, what);
        if (0.5..=1e4).contains(&a) && (0.5..=1e4).contains(&b) {
            usual.see(error, what);
        }
    }
    println!("beta quantile: worst {:e} at {}; usual {:e} at {}", all.0, all.1, usual.0, usual.1);
    assert!(all.0 < 5e-11 && usual.0 < 1e-12);
}

#[test]
fn normal_quantiles_meet_the_table() {
    for row in rows(NORMAL) {
        let z = normal::quantile(Tails::from_lower(row[0]));
        assert!((z - row[1]).abs() <= 1e-15 * row[1].abs().max(1e-15), "p={} z={z} not {}", row[0], row[1]);
    }
}

/// A shape or probability spread evenly over its logarithm.
fn log_uniform(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

fn any_tails() -> impl Strategy<Value = Tails> {
    (log_uniform(1e-300, 0.5), any::<bool>())
        .prop_map(|(p, low)| if low { Tails::from_lower(p) } else { Tails::from_upper(p) })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_gamma_quantile_has_the_wanted_tails(a in log_uniform(1e-3, 1e9), wanted in any_tails()) {
        let x = gamma::quantile(a, wanted);
        prop_assert!(!x.is_nan());
        if x > 1e-290 {
            let got = gamma::tails(a, x);
            let tail = if wanted.lower < wanted.upper { got.lower / wanted.lower } else { got.upper / wanted.upper };
            // One rounding of x moves the logarithm of the tail by this much.
            let slope = a * gamma::poisson_term(a, x) / wanted.lower.min(wanted.upper) * f64::EPSILON;
            prop_assert!((tail - 1.0).abs() < 1e-11 + slope, "x={x} ratio={tail}");
        }
    }

    #[test]
    fn a_beta_quantile_has_the_wanted_tails(
        a in log_uniform(1e-3, 1e7), b in log_uniform(1e-3, 1e7), wanted in any_tails()
    ) {
        let split = beta::quantile(a, b, wanted);
        prop_assert!((split.x + split.y - 1.0).abs() < 1e-15);
        if split.x > 1e-290 && split.y > 1e-290 {
            let got = beta::tails(a, b, split.x, split.y);
            let tail = if wanted.lower < wanted.upper { got.lower / wanted.lower } else { got.upper / wanted.upper };
            let slope = beta::logit_density(a, b, split.x, split.y) / wanted.lower.min(wanted.upper)
                / split.x.min(split.y) * f64::EPSILON;
            prop_assert!((tail - 1.0).abs() < 1e-10 + slope, "{split:?} ratio={tail}");
        }
    }

    #[test]
    fn both_tails_make_one_and_rise(a in log_uniform(1e-3, 1e7), at in log_uniform(1e-5, 1e5), step in 1e-6..1.0) {
        let (one, two) = (gamma::tails(a, a * at), gamma::tails(a, a * at * (1.0 + step)));
        prop_assert!((one.lower + one.upper - 1.0).abs() < 1e-14);
        prop_assert!(one.lower <= two.lower * (1.0 + 1e-12) && one.upper * (1.0 + 1e-12) >= two.upper);
    }

    #[test]
    fn nothing_panics_or_hangs(a in ANY, b in ANY, x in ANY, p in ANY) {
        let inside = a > 0.0 && b > 0.0 && a < 1e15 && b < 1e15;
        let g = gamma::tails(a, x);
        prop_assert_eq!(g.lower.is_nan(), !(a > 0.0 && a.is_finite() && x >= 0.0));
        gamma::quantile(a, Tails::from_lower(p));
        if inside {
            beta::tails(a, b, p, 1.0 - p);
            beta::quantile(a, b, Tails::from_lower(p));
            student::quantile(Tails::from_upper(p), a);
        }
    }

    #[test]
    fn swapping_the_shapes_swaps_the_tails(a in log_uniform(1e-2, 1e5), b in log_uniform(1e-2, 1e5), x in 0.0..1.0) {
        let (one, two) = (beta::tails(a, b, x, 1.0 - x), beta::tails(b, a, 1.0 - x, x));
        prop_assert_eq!(one.lower, two.upper);
        prop_assert_eq!(one.upper, two.lower);
    }

    #[test]
    fn a_student_quantile_has_the_wanted_tails(freedom in log_uniform(0.1, 1e9), p in log_uniform(1e-12, 0.5)) {
        let t = student::quantile(Tails::from_upper(p), freedom);
        prop_assert!((student::tails(t, freedom).upper / p - 1.0).abs() < 1e-11, "t={}", t);
    }
}
