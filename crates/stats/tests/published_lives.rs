//! Published results of life, repair and bench methods, each with its source.

use stats::forecast::{Cohort, Count, plug_in};
use stats::history::History;
use stats::life::{Distribution, Model, fit};
use stats::lifetimes::{Life, Lifetimes};
use stats::load_carriage::{Walk, kcal_per_hour};
use stats::{Confidence, Probability, power_law};

/// Bearing cages: R. B. Abernethy et al., Weibull Analysis Handbook (1983): hours and how many, failed ones apart.
const SURVIVED: [(f64, u64); 19] = [
    (50.0, 288),
    (150.0, 148),
    (250.0, 124),
    (350.0, 111),
    (450.0, 106),
    (550.0, 99),
    (650.0, 110),
    (750.0, 114),
    (850.0, 119),
    (950.0, 127),
    (1050.0, 123),
    (1150.0, 93),
    (1250.0, 47),
    (1350.0, 41),
    (1450.0, 27),
    (1550.0, 11),
    (1650.0, 6),
    (1850.0, 1),
    (2050.0, 2),
];
const FAILED: [f64; 6] = [230.0, 334.0, 423.0, 990.0, 1009.0, 1510.0];

fn cages() -> Lifetimes {
    let survived = SURVIVED.map(|(hours, n)| Life::survived(hours).times(n as f64));
    Lifetimes::new(FAILED.map(Life::failed).into_iter().chain(survived)).expect("lives")
}

/// W. Q. Meeker and L. A. Escobar, Statistical Methods for Reliability Data (1998), chapter 8: B10 3903 h, by the
/// likelihood ratio about 2093 to 22144 h.
#[test]
fn bearing_cages_by_the_weibull() {
    let found = fit(&cages(), Model::Weibull).expect("a fit");
    let tenth = Probability::new(0.1).expect("a share");
    assert!((found.distribution().scale() - 11_792.178_173).abs() < 1e-4);
    assert!((found.distribution().shape() - 2.035_319).abs() < 1e-6);
    assert!((found.log_likelihood() + 76.436_896).abs() < 1e-6);
    assert!((found.distribution().quantile(tenth) - 3903.0).abs() < 0.5);
    let limits = found.quantile_limits(tenth, Confidence::NINETY_FIVE);
    assert!((limits.low - 2093.0).abs() < 2.0 && (limits.high - 22_144.0).abs() < 1.0);
    assert_eq!(found.useful_upper(limits), Some(limits.high));
}

/// The same, chapter 12: 5.057 failures expected in 300 h more (from rounded parameters), plug-in bounds 2 and 9.
#[test]
fn bearing_cages_ahead() {
    let fitted = fit(&cages(), Model::Weibull).expect("a fit").distribution();
    let cohorts = SURVIVED.map(|(age, units)| Cohort { age, units, ahead: 300.0 });
    let count = plug_in(&fitted, &cohorts).expect("a count");
    assert!((count.mean() - 5.057).abs() < 2e-3 && (count.none() - 0.00629).abs() < 5e-6);
    assert_eq!((count.lower(0.05), count.upper(0.95)), (2, 9));
    let poisson = Count::poisson(count.mean()).expect("a mean");
    assert_eq!((poisson.lower(0.05), poisson.upper(0.95)), (2, 9));
}

/// NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5: MTBF 310.234 h, 80 % limits 157.7139 and 548.5565 (limits from
/// memory).
#[test]
fn a_growing_system_of_the_handbook() {
    let ages = [5.0, 40.0, 43.0, 175.0, 389.0, 712.0, 747.0, 795.0, 1299.0, 1478.0];
    let found = power_law::fit(&[History::new(0.0, 1500.0, ages).expect("a history")]).expect("a fit");
    let mean = found.intensity_at_end_unbiased().expect("a rate").recip();
    assert!((mean - 310.234).abs() < 5e-4);
    let limits = found.mtbf_at_end_handbook(Confidence::new(0.8).expect("a level")).expect("limits");
    assert!((limits.low - 157.7139).abs() < 5e-4 && (limits.high - 548.5565).abs() < 5e-4, "{limits:?}");
}

/// K. B. Pandolf et al. (1977) as worked on a public page: 180 lb with 30 lb at 3.5 mph costs roughly 410 kcal/h.
#[test]
fn a_worked_march() {
    let pound = 0.453_592_37;
    let walk = Walk::new(180.0 * pound, 30.0 * pound, 3.5 * 0.447_04, 0.0, 1.0).expect("a walk");
    assert!((kcal_per_hour(walk.pandolf_w()) - 410.9).abs() < 0.1);
}

/// The least power downhill lies near 9 %, where measured oxygen uptake has its least at 8 %; from memory of the paper.
#[test]
fn downhill_has_its_least_near_nine_percent() {
    let at = |g: i32| Walk::new(75.0, 25.0, 1.34, f64::from(g), 1.0).expect("a walk").corrected_w();
    let least = (-20..0).min_by(|a, b| at(*a).total_cmp(&at(*b))).expect("a grade");
    assert_eq!(least, -9);
    assert!((at(-9) - 315.3).abs() < 0.05 && (at(-12) - 325.5).abs() < 0.05);
}

/// Two failures in a small lot leave no useful upper limit, and the answer says so.
#[test]
fn one_failure_has_no_useful_upper_limit() {
    let lives = Lifetimes::new([Life::failed(10.0), Life::survived(12.0).times(40.0)]).expect("lives");
    let found = fit(&lives, Model::Weibull).expect("a fit");
    let half = Probability::new(0.5).expect("a share");
    let limits = found.quantile_limits(half, Confidence::NINETY_FIVE);
    assert!(limits.low > 0.0 && limits.high > 1e4);
    assert_eq!(found.useful_upper(limits), None);
    let sure = Distribution::weibull(10.0, 2.0).expect("a distribution");
    assert!((sure.conditional_failure(0.0, 10.0) - 0.632_120_558_828_557_7).abs() < 1e-15);
}
