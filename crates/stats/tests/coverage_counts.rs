//! Coverage of the limits, summed over every outcome where that is possible, else simulated with seeded draws.

use crate::draws::{poisson, seeded};
use stats::rate_ratio::{self, Group};
use stats::special::{beta, gamma};
use stats::stratified::{self, StratifiedRatio, Stratum};
use stats::{Confidence, Exposure, Interval, StatsError, binomial, poisson_rate};

fn one() -> Exposure {
    Exposure::new(1.0).expect("an exposure")
}

/// Chance that limits for a count hold the mean it came from, over means from 0.5 to 40: the least and the average.
fn rate_coverage(limits: fn(u64, Exposure, Confidence) -> Interval, confidence: Confidence) -> (f64, f64) {
    let all: Vec<Interval> = (0..150).map(|k| limits(k, one(), confidence)).collect();
    let (mut least, mut sum) = (1.0_f64, 0.0);
    let means = 800;
    for step in 0..means {
        let mean = 0.5 + 39.5 * f64::from(step) / f64::from(means);
        let covered: f64 =
            (0..150).filter(|&k| all[k].contains(mean)).map(|k| gamma::poisson_term(k as f64, mean)).sum();
        least = least.min(covered);
        sum += covered;
    }
    (least, sum / f64::from(means))
}

#[test]
fn limits_of_a_rate_cover_as_their_documentation_says() {
    for confidence in [Confidence::NINETY, Confidence::NINETY_FIVE] {
        let level = confidence.value();
        let (least, average) = rate_coverage(poisson_rate::exact, confidence);
        println!("rate, exact {level}: least {least:.4}, average {average:.4}");
        assert!(least >= level && average < level + 0.035);
        let (least, average) = rate_coverage(poisson_rate::mid_p, confidence);
        println!("rate, mid-P {level}: least {least:.4}, average {average:.4}");
        assert!(least > level - 0.05 && (average - level).abs() < 0.012);
    }
}

type BinomialLimits = fn(u64, u64, Confidence) -> Result<Interval, StatsError>;

#[test]
fn limits_of_a_chance_cover_as_their_documentation_says() {
    // At worst as binomial.rs tells it; worked out beside it with sums of binomial terms and limits by bisection.
    let methods: [(&str, BinomialLimits, f64); 4] = [
        ("Clopper-Pearson", binomial::clopper_pearson, 0.9505),
        ("mid-P", binomial::mid_p, 0.9245),
        ("Wilson", binomial::wilson, 0.8371),
        ("Jeffreys", binomial::jeffreys, 0.8884),
    ];
    let n = 30;
    for (name, method, worst) in methods {
        let all: Vec<_> = (0..=n).map(|x| method(x, n, Confidence::NINETY_FIVE).expect("limits")).collect();
        let covered = |p: f64| -> f64 {
            let term = |x: u64| beta::binomial_term(x as f64, n as f64, p, 1.0 - p);
            (0..=n).filter(|&x| all[x as usize].contains(p)).map(term).sum()
        };
        let average = (1..500).map(|step| covered(f64::from(step) / 500.0)).sum::<f64>() / 499.0;
        // Between two neighbouring limits the coverage has no dip of its own: it is least on one side of one of them.
        let limits = all.iter().flat_map(|limits| [limits.low, limits.high]);
        let sides = limits.flat_map(|p| [p * (1.0 - 1e-9), p * (1.0 + 1e-9)]);
        let least = sides.filter(|p| (1e-12..1.0 - 1e-8).contains(p)).map(covered).fold(1.0, f64::min);
        println!("chance of {n}, {name} 0.95: least {least:.4}, average {average:.4}");
        assert!((least - worst).abs() < 1e-4, "{name}: {least}");
        assert!((average - 0.95).abs() < if worst >= 0.95 { 0.025 } else { 0.015 }, "{name}: {average}");
    }
}

/// By hand: Wilson's lower limit of 1 in 30 is 0.0059; a chance just below it is in the limits of none alone, and of 30 none is
/// seen with 0.9941^30 = 0.837.
#[test]
fn wilsons_limits_cover_least_just_below_the_lower_limit_of_one() {
    let limits = |x| binomial::wilson(x, 30, Confidence::NINETY_FIVE).expect("limits");
    let just_below = limits(1).low * (1.0 - 1e-9);
    assert!((just_below - 0.0059).abs() < 5e-5);
    let holding: Vec<u64> = (0..=30).filter(|&x| limits(x).contains(just_below)).collect();
    assert_eq!(holding, [0]);
    assert!(((1.0 - just_below).powi(30) - 0.837).abs() < 5e-4);
}

#[test]
fn exact_limits_of_a_ratio_cover_at_least_their_confidence() {
    // Every pair of counts that has a chance worth naming.
    let (mean1, mean2) = (9.0, 5.0);
    let group = |count| Group { count, exposure: one() };
    let coverage = |method: fn(Group, Group, Confidence) -> rate_ratio::RatioInterval| -> f64 {
        let mut covered = 0.0;
        for x in 0..45 {
            for y in 0..35 {
                let seen = method(group(x), group(y), Confidence::NINETY);
                if x + y == 0 || (seen.low <= mean1 / mean2 && mean1 / mean2 <= seen.high) {
                    covered += gamma::poisson_term(x as f64, mean1) * gamma::poisson_term(y as f64, mean2);
                }
            }
        }
        covered
    };
    let (exact, mid) = (coverage(rate_ratio::ratio), coverage(rate_ratio::ratio_mid_p));
    println!("ratio of 9 to 5 expected, 0.9: exact {exact:.4}, mid-P {mid:.4}");
    assert!((0.9..0.96).contains(&exact) && (mid - 0.9).abs() < 0.02);
}

type StratifiedLimits = fn(&[Stratum], Confidence) -> Result<StratifiedRatio, StatsError>;

#[test]
fn limits_of_a_common_ratio_cover() {
    let mut draw = seeded(11);
    let truth = 0.6;
    let runs = 1500;
    let methods: [(&str, StratifiedLimits); 3] = [
        ("exact", stratified::exact),
        ("mid-P", stratified::mid_p),
        ("Mantel-Haenszel", stratified::mantel_haenszel),
    ];
    let mut covered = [0_u32; 3];
    for _ in 0..runs {
        let rows: Vec<_> = [(2.0, 40.0, 10.0), (5.0, 20.0, 15.0), (9.0, 5.0, 12.0), (14.0, 1.0, 6.0)]
            .iter()
            .map(|&(rate, before, after)| Stratum {
                before_count: poisson(0.1 * rate * before, &mut draw),
                before_exposure: before,
                after_count: poisson(0.1 * rate * after * truth, &mut draw),
                after_exposure: after,
            })
            .collect();
        for (tally, (_, method)) in covered.iter_mut().zip(methods) {
            let seen = method(&rows, Confidence::NINETY);
            *tally += u32::from(seen.is_ok_and(|s| s.low <= truth && truth <= s.high));
        }
    }
    for (tally, (name, _)) in covered.iter().zip(methods) {
        let share = f64::from(*tally) / f64::from(runs);
        println!("common ratio, {name} 0.9: {share:.4} of {runs} runs");
        // Three standard deviations of the simulation are 0.023.
        assert!(share > 0.9 - 0.023 && share < 0.95);
    }
}
