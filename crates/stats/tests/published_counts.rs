//! Published examples of count methods, each with its source; figures as printed there.

use stats::rate_ratio::{Group, ratio, test};
use stats::shrinkage::{Cell, Fit, fit_one_gamma};
use stats::{Confidence, Exposure, Probability, binomial, false_discovery, poisson_rate, success_run};

/// Whether a value rounds to a printed figure of so many decimals.
fn prints(value: f64, printed: f64, decimals: i32) -> bool {
    (value - printed).abs() <= 0.5000001 * 10_f64.powi(-decimals)
}

fn exposure(amount: f64) -> Exposure {
    Exposure::new(amount).expect("an exposure")
}

fn group(count: u64, amount: f64) -> Group {
    Group { count, exposure: exposure(amount) }
}

/// Help page of R's poisson.test: 137 in 24.19893.
#[test]
fn one_rate_of_a_help_page() {
    let seen = poisson_rate::exact(137, exposure(24.19893), Confidence::NINETY_FIVE);
    assert!(prints(seen.low, 4.753125, 6) && prints(seen.high, 6.692709, 6));
}

/// The rule of three and the usual table of Poisson limits (from memory, recomputed).
#[test]
fn limits_of_no_events_and_of_ten() {
    let none = poisson_rate::exact(0, exposure(1.0), Confidence::NINETY_FIVE);
    assert!(none.low == 0.0 && prints(none.high, 3.6889, 4));
    assert!(prints(poisson_rate::exact_upper(0, exposure(1.0), Confidence::NINETY_FIVE), 2.9957, 4));
    let ten = poisson_rate::exact(10, exposure(1.0), Confidence::NINETY_FIVE);
    assert!(prints(ten.low, 4.795, 3) && prints(ten.high, 18.390, 3));
}

/// NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1: factors .3177 and 5.6281 on an MTBF of 400 h.
#[test]
fn mean_time_between_failures_of_the_handbook() {
    let seen = poisson_rate::mtbf_time_terminated(2, exposure(800.0), Confidence::NINETY);
    assert!(prints(seen.low / 400.0, 0.3177, 4) && prints(seen.high / 400.0, 5.6281, 4));
}

/// R. G. Newcombe, Statistics in Medicine 17 (1998) 857 (from memory, recomputed).
#[test]
fn chances_of_newcombe() {
    for (x, n, exact, wilson) in [
        (81, 263, [0.2527, 0.3676], [0.2553, 0.3662]),
        (15, 148, [0.0578, 0.1617], [0.0624, 0.1605]),
        (0, 20, [0.0, 0.1684], [0.0, 0.1611]),
        (1, 29, [0.0009, 0.1776], [0.0061, 0.1718]),
    ] {
        let cp = binomial::clopper_pearson(x, n, Confidence::NINETY_FIVE).expect("limits");
        let score = binomial::wilson(x, n, Confidence::NINETY_FIVE).expect("limits");
        assert!(prints(cp.low, exact[0], 4) && prints(cp.high, exact[1], 4), "{x}/{n} {cp:?}");
        assert!(prints(score.low, wilson[0], 4) && prints(score.high, wilson[1], 4), "{x}/{n} {score:?}");
    }
}

/// Binomial demonstration tables in common use (from memory, recomputed).
#[test]
fn units_of_a_demonstration() {
    for (allowed, reliability, confidence, units) in [
        (0, 0.90, 0.90, 22),
        (0, 0.90, 0.95, 29),
        (0, 0.95, 0.90, 45),
        (0, 0.95, 0.95, 59),
        (0, 0.99, 0.90, 230),
        (0, 0.99, 0.95, 299),
        (0, 0.999, 0.95, 2995),
        (1, 0.90, 0.90, 38),
        (1, 0.90, 0.95, 46),
        (1, 0.95, 0.95, 93),
        (1, 0.99, 0.95, 473),
        (2, 0.90, 0.90, 52),
        (2, 0.90, 0.95, 61),
        (2, 0.95, 0.95, 124),
        (2, 0.99, 0.95, 628),
    ] {
        let reliability = Probability::new(reliability).expect("a probability");
        let confidence = Confidence::new(confidence).expect("a confidence");
        assert_eq!(success_run::trials_needed(reliability, confidence, allowed), Ok(units));
    }
}

/// Help page of R's poisson.test: 11 in 800 against 21 in 3011; the limits agree with the doubled p-value.
#[test]
fn two_rates_of_a_help_page() {
    let (one, two) = (group(11, 800.0), group(21, 3011.0));
    let seen = ratio(one, two, Confidence::NINETY_FIVE);
    assert!(prints(seen.estimate, 1.971488, 6));
    assert!(prints(seen.low, 0.8584264, 7) && prints(seen.high, 4.2772659, 7));
    let tested = test(one, two, 1.0).expect("a test");
    assert!(prints(tested.minlike, 0.07967, 5) && prints(tested.doubled, 0.1120, 4));
}

/// K. J. Rothman & S. Greenland, Modern Epidemiology: breast cancer after fluoroscopy (from memory, recomputed).
#[test]
fn fluoroscopy() {
    let seen = ratio(group(41, 28_010.0), group(15, 19_017.0), Confidence::NINETY_FIVE);
    assert!(prints(seen.estimate, 1.86, 2) && prints(seen.low, 1.01, 2) && prints(seen.high, 3.61, 2));
}

/// Y. Benjamini & Y. Hochberg, J. R. Stat. Soc. B 57 (1995) 289: four called at 5 %, three by Bonferroni's rule.
#[test]
fn thrombolysis_comparisons() {
    let p = [
        0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719,
        0.6528, 0.7590, 1.0,
    ];
    let called = false_discovery::called(&p, 0.05).expect("calls");
    assert_eq!(called.iter().filter(|&&c| c).count(), 4);
    assert_eq!(p.iter().filter(|&&p| p <= 0.05 / 15.0).count(), 3);
}

/// D. P. Gaver & I. G. O'Muircheartaigh, Technometrics 29 (1987) 1: ten pumps, thousand hours; shape .82 and rate 1.26.
#[test]
fn pumps() {
    let hours = [94.320, 15.720, 62.880, 125.760, 5.240, 31.440, 1.048, 1.048, 2.096, 10.480];
    let failures = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22];
    let cells: Vec<_> =
        failures.iter().zip(hours).map(|(&count, expected)| Cell { count, expected }).collect();
    let Ok(Fit::OneGamma { shape, rate, log_likelihood }) = fit_one_gamma(&cells) else { panic!("no fit") };
    assert!(prints(shape, 0.8223, 4) && prints(rate, 1.2590, 4) && prints(log_likelihood, -32.26307, 5));
}
