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
    let methods: [(&str, BinomialLimits, bool); 4] = [
        ("Clopper-Pearson", binomial::clopper_pearson, true),
        ("mid-P", binomial::mid_p, false),
        ("Wilson", binomial::wilson, false),
        ("Jeffreys", binomial::jeffreys, false),
    ];
    let n = 30;
    for (name, method, guaranteed) in methods {
        let all: Vec<_> = (0..=n).map(|x| method(x, n, Confidence::NINETY_FIVE).expect("limits")).collect();
        let (mut least, mut sum) = (1.0_f64, 0.0);
        for step in 1..500 {
            let p = f64::from(step) / 500.0;
            let term = |x: u64| beta::binomial_term(x as f64, n as f64, p, 1.0 - p);
            let covered: f64 = (0..=n).filter(|&x| all[x as usize].contains(p)).map(term).sum();
            least = least.min(covered);
            sum += covered / 499.0;
        }
        println!("chance of {n}, {name} 0.95: least {least:.4}, average {sum:.4}");
        assert!(if guaranteed { least >= 0.95 } else { (sum - 0.95).abs() < 0.015 });
    }
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
