//! How often limits of lives and forecasts hold the truth, by simulation with seeded draws.

use crate::draws::{seeded, uniform};
use stats::forecast::{Count, Group, bootstrap};
use stats::life::fixed_shape::FixedShape;
use stats::life::{Distribution, Model, fit};
use stats::lifetimes::{Life, Lifetimes};
use stats::{Confidence, Probability, bench};

/// Thirty lives of a distribution, watched to ages between 0.5 and 1.5 times its scale.
fn sample(from: &Distribution, draw: &mut impl FnMut() -> u64) -> Lifetimes {
    let lives: Vec<Life> = (0..30)
        .map(|_| {
            let age = from.quantile(Probability::new(uniform(draw)).expect("a share"));
            let watched = from.scale() * (0.5 + uniform(draw));
            if age < watched { Life::failed(age) } else { Life::survived(watched) }
        })
        .collect();
    Lifetimes::new(lives).expect("lives")
}

#[test]
fn profile_limits_of_a_life_cover_nearly_as_stated() {
    let mut draw = seeded(11);
    let tenth = Probability::new(0.1).expect("a share");
    for (model, from) in [
        (Model::Weibull, Distribution::weibull(100.0, 2.0).expect("a distribution")),
        (Model::Lognormal, Distribution::lognormal(4.6, 0.6).expect("a distribution")),
    ] {
        let runs = 1500;
        let (mut early, mut shape) = (0, 0);
        for _ in 0..runs {
            let found = fit(&sample(&from, &mut draw), model).expect("a fit");
            let limits = found.quantile_limits(tenth, Confidence::NINETY_FIVE);
            early += u32::from(limits.contains(from.quantile(tenth)));
            shape += u32::from(found.shape_limits(Confidence::NINETY_FIVE).contains(from.shape()));
        }
        for (what, held) in [("B10", early), ("shape", shape)] {
            let share = f64::from(held) / f64::from(runs);
            println!("{model:?} {what}: {share:.4} for 0.95");
            // Likelihood limits are right for many failures; with some 20 they cover a point or two less.
            assert!((0.92..0.97).contains(&share), "{what} {share}");
        }
    }
}

#[test]
fn lower_limits_with_the_true_shape_are_at_least_as_sure_as_stated() {
    let mut draw = seeded(12);
    let from = Distribution::weibull(100.0, 2.0).expect("a distribution");
    let runs = 3000;
    let held = (0..runs)
        .filter(|_| {
            let found = FixedShape::new(&sample(&from, &mut draw), 2.0).expect("a sum");
            found.scale_lower(Confidence::NINETY) <= 100.0
        })
        .count();
    let share = held as f64 / f64::from(runs);
    println!("scale with the shape known: {share:.4} for 0.90");
    assert!((0.88..0.94).contains(&share), "{share}");
}

#[test]
fn calibrated_bounds_cover_where_plug_in_ones_fall_short() {
    let mut draw = seeded(13);
    let from = Distribution::weibull(10_000.0, 2.0).expect("a distribution");
    let (age, started, ahead) = (1000.0, 800, 1000.0);
    let rho = from.conditional_failure(age, ahead);
    let runs = 250;
    let (mut plain, mut calibrated, mut direct, mut lower, mut direct_lower, mut counted) =
        (0, 0, 0, 0, 0, 0);
    while counted < runs {
        let ages: Vec<f64> = (0..started)
            .map(|_| from.quantile(Probability::new(uniform(&mut draw)).expect("a share")))
            .filter(|a| *a < age)
            .collect();
        let alive = started - ages.len() as u64;
        let lives = ages.into_iter().map(Life::failed).chain([Life::survived(age).times(alive as f64)]);
        let Ok(found) = fit(&Lifetimes::new(lives).expect("lives"), Model::Weibull) else { continue };
        let came = (0..alive).filter(|_| uniform(&mut draw) < rho).count() as u64;
        let groups = [Group { age, started, alive }];
        let bounds = bootstrap(&found.distribution(), &groups, ahead, 200, &mut draw).expect("bounds");
        plain += u32::from(came <= bounds.plug_in().upper(0.95));
        calibrated += u32::from(came <= bounds.calibrated_upper(0.95));
        direct += u32::from(came <= bounds.direct_upper(0.95));
        lower += u32::from(came >= bounds.calibrated_lower(0.05));
        direct_lower += u32::from(came >= bounds.direct_lower(0.05));
        counted += 1;
    }
    let share = |held: u32| f64::from(held) / f64::from(runs);
    println!("upper bound ahead: plug-in {:.3}, calibrated {:.3} for 0.95", share(plain), share(calibrated));
    println!("the same by direct bootstrap {:.3}", share(direct));
    println!("lower bound ahead: calibrated {:.3}, direct {:.3} for 0.95", share(lower), share(direct_lower));
    assert!(share(calibrated) > 0.82 && share(plain) < share(calibrated) && share(direct) > share(plain));
    assert!(share(lower) > 0.9 && share(direct_lower) > 0.9);
}

#[test]
fn limits_of_two_means_cover_as_stated() {
    let mut draw = seeded(14);
    let runs = 3000;
    let (mut difference, mut ratio) = (0, 0);
    for _ in 0..runs {
        let mut normal = |mean: f64, sd: f64| {
            let p = uniform(&mut draw);
            mean + sd * stats::special::normal::quantile(stats::special::Tails::from_lower(p))
        };
        let old: Vec<f64> = (0..6).map(|_| normal(900.0, 90.0)).collect();
        let new: Vec<f64> = (0..9).map(|_| normal(1000.0, 40.0)).collect();
        let both = bench::Comparison::new(&old, &new).expect("a comparison");
        difference += u32::from(both.difference_limits(Confidence::NINETY_FIVE).contains(100.0));
        let limits = both.ratio_limits(Confidence::NINETY_FIVE).expect("limits");
        ratio += u32::from(limits.contains(1000.0 / 900.0));
    }
    for (what, held) in [("difference", difference), ("ratio", ratio)] {
        let share = f64::from(held) / f64::from(runs);
        println!("{what} of means: {share:.4} for 0.95");
        assert!((0.935..0.965).contains(&share), "{what} {share}");
    }
}

#[test]
fn bounds_of_a_known_distribution_cover_over_all_outcomes() {
    let parts =
        [(40, 0.02), (25, 0.1), (300, 0.004)].map(|(n, p)| (n, Probability::new(p).expect("a share")));
    let summed = Count::binomials(&parts);
    for (name, count) in [("binomials", summed), ("Poisson", Count::poisson(4.5).expect("a count"))] {
        for level in [0.9, 0.95] {
            let (lower, upper) = (count.lower(1.0 - level), count.upper(level));
            let up: f64 = (0..=upper).map(|k| count.exactly(k)).sum();
            let down = 1.0 - (0..lower).map(|k| count.exactly(k)).sum::<f64>();
            println!("known distribution, {name}, {level}: upper {up:.4}, lower {down:.4}");
            assert!(up >= level && up < 0.995 && down >= level && down < 0.995);
        }
    }
}
