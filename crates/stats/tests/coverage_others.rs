//! How often limits of bench tests, reported shares, late reports and two samples hold the truth.

use crate::draws::{poisson, seeded, uniform};
use stats::bench::Comparison;
use stats::life::Distribution;
use stats::life::two_samples::TwoSamples;
use stats::lifetimes::{Life, Lifetimes};
use stats::reporting_delay::nowcast;
use stats::reporting_fraction::{ReportingFraction, Survey};
use stats::special::{Tails, beta, gamma, normal};
use stats::{Confidence, Probability};

fn normals(n: u32, mean: f64, sd: f64, draw: &mut impl FnMut() -> u64) -> Vec<f64> {
    (0..n).map(|_| mean + sd * normal::quantile(Tails::from_lower(uniform(draw)))).collect()
}

#[test]
fn limits_of_two_means_cover_where_spreads_and_sizes_differ() {
    let mut draw = seeded(31);
    let confidence = Confidence::NINETY_FIVE;
    // Sizes and standard deviations of old and new; the means are 10 and 12.
    for (sizes, spreads) in
        [((5, 20), (3.0, 1.0)), ((5, 20), (1.0, 3.0)), ((4, 4), (1.0, 1.0)), ((12, 12), (4.0, 1.0))]
    {
        let runs = 12_000;
        let (mut difference, mut ratio, mut given, mut logs) = (0, 0, 0, 0);
        for _ in 0..runs {
            let old = normals(sizes.0, 10.0, spreads.0, &mut draw);
            let new = normals(sizes.1, 12.0, spreads.1, &mut draw);
            let both = Comparison::new(&old, &new).expect("a comparison");
            difference += u32::from(both.difference_limits(confidence).contains(2.0));
            if let Some(limits) = both.ratio_limits(confidence) {
                given += 1;
                ratio += u32::from(limits.contains(1.2));
            }
            logs += u32::from(both.ln_ratio_limits(confidence).is_some_and(|l| l.contains(1.2)));
        }
        let share = |held: u32, of: u32| f64::from(held) / f64::from(of);
        let (welch, fieller, log) = (share(difference, runs), share(ratio, given), share(logs, runs));
        println!(
            "means of {sizes:?} with spreads {spreads:?}, 0.95: Welch {welch:.4}, Fieller {fieller:.4} of {given}, by logarithm {log:.4}"
        );
        assert!(
            (0.94..0.965).contains(&welch)
                && (0.935..0.97).contains(&fieller)
                && (0.92..0.975).contains(&log)
        );
    }
}

#[test]
fn limits_of_the_reported_share_cover_over_all_outcomes() {
    let confidence = Confidence::NINETY;
    for (items, inspected, chance, share) in
        [(400_u64, 60_u64, 0.10, 0.5), (1000, 40, 0.05, 0.2), (300, 80, 0.02, 0.7)]
    {
        let mean = items as f64 * chance * share;
        let (mut posterior, mut delta, mut given, mut all) = (0.0, 0.0, 0.0, 0.0);
        for found in 0..=inspected {
            let of_found = beta::binomial_term(found as f64, inspected as f64, chance, 1.0 - chance);
            if of_found < 1e-5 {
                continue;
            }
            for reports in 0..(mean + 8.0 * mean.sqrt() + 8.0) as u64 {
                let weight = of_found * gamma::poisson_term(reports as f64, mean);
                if weight < 1e-6 {
                    continue;
                }
                let seen =
                    ReportingFraction::new(Survey { items, reports, inspected, found }).expect("a survey");
                all += weight;
                posterior +=
                    weight * f64::from(u8::from(seen.posterior(confidence).interval.contains(share)));
                if let Some(seen) = seen.delta(confidence, false) {
                    given += weight;
                    delta += weight * f64::from(u8::from(seen.interval.contains(share)));
                }
            }
        }
        let (posterior, delta) = (posterior / all, delta / given);
        println!(
            "share {share} of {items}, {inspected} inspected, chance {chance}, 0.90: posterior {posterior:.4}, delta {delta:.4} where given ({given:.3})"
        );
        assert!(all > 0.995 && (0.87..0.94).contains(&posterior) && delta > 0.86);
    }
}

#[test]
fn limits_of_what_is_still_to_be_reported_cover_nearly_as_stated() {
    let mut draw = seeded(32);
    let (delays, periods, runs) = (4, 16, 3000);
    let due = [0.4, 0.3, 0.2, 0.1];
    let (mut held, mut given) = (0, 0);
    for _ in 0..runs {
        let complete: Vec<Vec<u64>> =
            (0..periods).map(|_| due.iter().map(|p| poisson(40.0 * p, &mut draw)).collect()).collect();
        let seen: Vec<Vec<u64>> =
            complete.iter().enumerate().map(|(t, row)| row[..delays.min(periods - t)].to_vec()).collect();
        let found = nowcast(&seen, Confidence::NINETY).expect("a nowcast");
        let last = found.periods.last().and_then(|p| p.nowcast);
        if let (Some(last), Some(row)) = (last, complete.last()) {
            given += 1;
            held += u32::from(last.interval.contains(row.iter().sum::<u64>() as f64));
        }
    }
    let share = f64::from(held) / f64::from(given);
    println!("events of the newest period, some 16 of 40 reported, 0.90: {share:.4} of {given}");
    assert!((0.87..0.93).contains(&share), "{share}");
}

#[test]
fn profile_limits_of_a_ratio_of_lives_cover_nearly_as_stated() {
    let mut draw = seeded(33);
    let (runs, n) = (1500, 20);
    let mut held = 0;
    for _ in 0..runs {
        let mut sample = |scale: f64| {
            let from = Distribution::weibull(scale, 2.0).expect("a distribution");
            let one = |_| {
                let age = from.quantile(Probability::new(uniform(&mut draw)).expect("a share"));
                let watched = scale * (0.5 + uniform(&mut draw));
                if age < watched { Life::failed(age) } else { Life::survived(watched) }
            };
            Lifetimes::new((0..n).map(one)).expect("lives")
        };
        let both = TwoSamples::new(&sample(100.0), &sample(150.0)).expect("two fits");
        let ratio = both.ratio_limits(Confidence::NINETY);
        held += u32::from(ratio.contains(1.5));
    }
    let share = f64::from(held) / f64::from(runs);
    println!("ratio of two lives, some 12 failures of 20 each, 0.90: {share:.4}");
    assert!((0.86..0.92).contains(&share), "{share}");
}
