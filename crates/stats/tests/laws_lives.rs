//! Laws that lifetime and repair methods obey whatever the data are.

use proptest::prelude::*;
use stats::forecast::Count;
use stats::history::History;
use stats::life::two_samples::TwoSamples;
use stats::life::{Distribution, Model, NoFit, fit};
use stats::lifetimes::{End, Life, Lifetimes};
use stats::load_carriage::Walk;
use stats::mean_cumulative::mean_cumulative;
use stats::{Confidence, Probability, agreement, bench, grouping, log_rank, power_law, strength, survival};

/// Lives with at least three distinct failures, and some survivors, some watched late.
fn lives() -> impl Strategy<Value = Vec<Life>> {
    let failed = prop::collection::vec(1.0..100.0_f64, 3..20);
    let survived = prop::collection::vec((1.0..100.0_f64, 0.0..0.9_f64), 0..20);
    (failed, survived).prop_map(|(failed, survived)| {
        let late = |(age, part): (f64, f64)| {
            Life::survived(age).watched_from(if part > 0.5 { age * part } else { 0.0 })
        };
        failed.into_iter().map(Life::failed).chain(survived.into_iter().map(late)).collect()
    })
}

fn kept(lives: &[Life]) -> Lifetimes {
    Lifetimes::new(lives.iter().copied()).expect("lives")
}

fn scaled(life: &Life, by: f64) -> Life {
    let end = match life.end {
        End::Failed(age) => End::Failed(age * by),
        End::Survived(age) => End::Survived(age * by),
        End::FailedBefore(age) => End::FailedBefore(age * by),
        End::FailedBetween(low, high) => End::FailedBetween(low * by, high * by),
    };
    Life { end, entry: life.entry * by, weight: life.weight }
}

fn near(one: f64, two: f64, tolerance: f64) -> bool {
    one == two || (one / two - 1.0).abs() < tolerance
}

fn share(p: f64) -> Probability {
    Probability::new(p).expect("a share")
}

const MODELS: [Model; 3] = [Model::Exponential, Model::Weibull, Model::Lognormal];

proptest! {
    #[test]
    fn another_unit_of_age_scales_the_scale_and_keeps_the_shape(lives in lives(), by in -8.0..8.0_f64) {
        let by = 10_f64.powf(by);
        let other: Vec<Life> = lives.iter().map(|l| scaled(l, by)).collect();
        for model in MODELS {
            let (Ok(one), Ok(two)) = (fit(&kept(&lives), model), fit(&kept(&other), model)) else { continue };
            let (d, e) = (one.distribution(), two.distribution());
            prop_assert!(near(d.scale() * by, e.scale(), 1e-6), "{} {}", d.scale() * by, e.scale());
            prop_assert!(near(d.shape(), e.shape(), 1e-6));
            let c = Confidence::NINETY;
            let (there, here) = (one.quantile_limits(share(0.1), c).scaled(by), two.quantile_limits(share(0.1), c));
            prop_assert!(near(there.low, here.low, 1e-5) && near(there.high, here.high, 1e-5));
        }
    }

    #[test]
    fn a_weight_of_two_is_the_row_twice(lives in lives()) {
        let double: Vec<Life> = lives.iter().map(|l| l.times(2.0)).collect();
        let twice: Vec<Life> = lives.iter().chain(&lives).copied().collect();
        prop_assert_eq!(kept(&double), kept(&twice));
    }

    #[test]
    fn the_summit_is_one(lives in lives(), a in -0.3..0.3_f64, b in -0.3..0.3_f64) {
        for model in [Model::Weibull, Model::Lognormal] {
            let Ok(found) = fit(&kept(&lives), model) else { continue };
            let d = found.distribution();
            let (mu, sigma) = (d.mu() + a, d.sigma() * b.exp());
            let other = match model {
                Model::Lognormal => Distribution::lognormal(mu, sigma),
                _ => Distribution::weibull(mu.exp(), sigma.recip()),
            }
            .expect("a distribution");
            let value: f64 = kept(&lives).lives().iter().map(|l| l.weight * term(&other, l)).sum();
            prop_assert!(value <= found.log_likelihood() + 1e-9 * value.abs());
        }
    }

    #[test]
    fn limits_hold_the_estimate_and_widen_with_confidence(lives in lives()) {
        for model in MODELS {
            let Ok(found) = fit(&kept(&lives), model) else { continue };
            let estimate = found.distribution().quantile(share(0.1));
            let (narrow, wide) = (Confidence::NINETY, Confidence::NINETY_FIVE);
            let (inner, outer) = (found.quantile_limits(share(0.1), narrow), found.quantile_limits(share(0.1), wide));
            prop_assert!(outer.low < inner.low && inner.low < estimate);
            prop_assert!(estimate < inner.high && inner.high < outer.high);
            let band = found.failed_by_wald(estimate, narrow);
            prop_assert!(band.contains(0.1));
        }
    }

    #[test]
    fn survival_falls_and_more_censoring_never_lowers_it(lives in lives(), at in 0_usize..3) {
        let all = survival::curve(&kept(&lives)).expect("a curve");
        let falls = all.steps().windows(2).all(|s| s[1].survival <= s[0].survival && s[1].hazard > s[0].hazard);
        prop_assert!(falls);
        let mut spared = lives.clone();
        if let End::Failed(age) = spared[at].end {
            spared[at] = Life::survived(age);
        }
        let other = survival::curve(&kept(&spared)).expect("a curve");
        for age in 0..100 {
            let age = f64::from(age);
            prop_assert!(other.survival(age) >= all.survival(age) - 1e-12);
        }
    }

    #[test]
    fn quantile_inverts_and_tails_add_to_one(mu in -5.0..15.0_f64, sigma in 0.05..5.0_f64, p in 1e-9..0.999_999_f64) {
        for d in [Distribution::weibull(mu.exp(), sigma.recip()), Distribution::lognormal(mu, sigma)] {
            let d = d.expect("a distribution");
            let tails = d.tails(d.quantile(share(p)));
            prop_assert!(near(tails.lower, p, 1e-9) && (tails.lower + tails.upper - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn swapping_samples_inverts_the_ratio(one in lives(), two in lives()) {
        let (Ok(there), Ok(back)) = (
            TwoSamples::new(&kept(&one), &kept(&two)), TwoSamples::new(&kept(&two), &kept(&one)),
        ) else { return Ok(()) };
        let c = Confidence::NINETY;
        prop_assert!(near(there.ratio(), back.ratio().recip(), 1e-6));
        prop_assert!(near(there.ratio_limits(c).low, back.ratio_limits(c).high.recip(), 1e-5));
        prop_assert!((there.shape_test().statistic - back.shape_test().statistic).abs() < 1e-6);
    }

    #[test]
    fn the_order_of_groups_does_not_matter(one in lives(), two in lives(), three in lives()) {
        let [a, b, c] = [&one, &two, &three].map(|l| kept(l));
        let [first, second] = [[&a, &b, &c], [&c, &a, &b]].map(|groups| log_rank::compare(&groups).expect("a comparison"));
        prop_assert!((first.chi_square - second.chi_square).abs() < 1e-7 * (1.0 + first.chi_square));
    }

    #[test]
    fn counts_are_distributions(parts in prop::collection::vec((0_u64..300, 0.0..1.0_f64), 0..12), level in 0.01..0.99_f64) {
        let parts: Vec<_> = parts.into_iter().map(|(n, p)| (n, share(p))).collect();
        let count = Count::binomials(&parts);
        let most: u64 = parts.iter().map(|p| p.0).sum();
        prop_assert!((count.at_most(most) - 1.0).abs() < 1e-12);
        let mean: f64 = (0..=most).map(|k| k as f64 * count.exactly(k)).sum();
        prop_assert!((mean - count.mean()).abs() < 1e-9 * (1.0 + mean));
        let upper = count.upper(level);
        prop_assert!(count.at_most(upper) >= level - 1e-12);
        prop_assert!(upper == 0 || count.at_most(upper - 1) < level + 1e-12);
    }

    #[test]
    fn mean_repairs_rise_and_do_not_depend_on_order(units in prop::collection::vec(
        (0.0..5.0_f64, prop::collection::vec(0.001..1.0_f64, 0..6)), 1..10,
    )) {
        let units: Vec<History> = units
            .into_iter()
            .map(|(start, parts)| History::new(start, start + 10.0, parts.into_iter().map(|p| start + 10.0 * p)).expect("a history"))
            .collect();
        let points = mean_cumulative(&units).expect("points");
        prop_assert!(points.windows(2).all(|p| p[1].mean > p[0].mean));
        let reversed: Vec<History> = units.into_iter().rev().collect();
        let again = mean_cumulative(&reversed).expect("points");
        prop_assert_eq!(points.len(), again.len());
        prop_assert!(points.iter().zip(&again).all(|(p, q)| near(p.mean, q.mean, 1e-12)));
    }

    #[test]
    fn the_power_law_keeps_its_shape_in_another_unit(ages in prop::collection::vec(0.01..0.99_f64, 2..20), by in -5.0..5.0_f64) {
        let by = 10_f64.powf(by);
        let at = |unit: f64| {
            power_law::fit(&[History::new(0.0, unit, ages.iter().map(|a| a * unit)).expect("a history")]).expect("a fit")
        };
        prop_assert!(near(at(1.0).shape(), at(by).shape(), 1e-9));
        let expected = at(by).scale() * by.powf(at(by).shape());
        prop_assert!(near(expected, ages.len() as f64, 1e-9));
    }

    #[test]
    fn more_load_costs_more_on_the_level(body in 50.0..110.0_f64, load in 0.0..60.0_f64, more in 0.1..10.0_f64, speed in 0.0..1.9_f64) {
        let walk = Walk::new(body, load, speed, 0.0, 1.0).expect("a walk");
        let heavier = walk.with_load(load + more).expect("a walk");
        prop_assert!(heavier.pandolf_w() > walk.pandolf_w() && heavier.lcda_w() > walk.lcda_w());
        let slope = (walk.with_load(load + 1e-4).expect("a walk").pandolf_w() - walk.pandolf_w()) / 1e-4;
        prop_assert!((slope - walk.pandolf_per_kg_of_load()).abs() < 1e-4 * (1.0 + slope));
    }

    #[test]
    fn labels_may_be_renamed(truth in prop::collection::vec(0_u8..5, 2..60), by in 1_u8..100) {
        let renamed: Vec<u8> = truth.iter().map(|l| l + by).collect();
        prop_assert!((grouping::score(&truth, &renamed).expect("scores").adjusted_rand() - 1.0).abs() < 1e-15);
        let kappa = agreement::kappa(&truth, &truth).expect("an agreement").kappa;
        prop_assert!(kappa.is_none_or(|k| (k - 1.0).abs() < 1e-15));
    }

    #[test]
    fn holding_and_failing_make_the_whole(scale in 1.0..1e3_f64, shape in 0.5..30.0_f64, mean in 0.0..1e3_f64, sd in 0.1..300.0_f64) {
        let r = strength::weibull_normal((scale, shape), (mean, sd)).expect("a reliability");
        prop_assert!((r.holds + r.fails - 1.0).abs() < 1e-9, "{r:?}");
    }

    #[test]
    fn swapping_designs_turns_the_difference(x in prop::collection::vec(1.0..9.0_f64, 2..9), y in prop::collection::vec(1.0..9.0_f64, 2..9)) {
        let (one, two) = (bench::Comparison::new(&x, &y), bench::Comparison::new(&y, &x));
        let (one, two) = (one.expect("a comparison"), two.expect("a comparison"));
        prop_assert!((one.difference() + two.difference()).abs() < 1e-12);
        prop_assert!(near(one.p_value(), two.p_value(), 1e-9));
    }
}

/// What one exact or right-censored life adds to the log likelihood, by the definition.
fn term(d: &Distribution, life: &Life) -> f64 {
    let z = |age: f64| (age.ln() - d.mu()) / d.sigma();
    let end = match life.end {
        End::Failed(age) => {
            let z = z(age);
            let standard = match d.model() {
                Model::Lognormal => -0.5 * z * z - 0.5 * std::f64::consts::TAU.ln(),
                _ => z - z.exp(),
            };
            standard - d.sigma().ln() - age.ln()
        }
        End::Survived(age) => d.ln_survival(age),
        End::FailedBefore(_) | End::FailedBetween(..) => unreachable!("the strategy makes none"),
    };
    end - d.ln_survival(life.entry)
}

#[test]
fn where_no_estimate_exists_the_reason_is_said() {
    let why = |lives: &[Life], model| fit(&kept(lives), model).map(|_| ()).expect_err("no fit");
    let survivors = [Life::survived(5.0).times(20.0)];
    for model in MODELS {
        assert_eq!(why(&survivors, model), NoFit::NoFailures);
        assert_eq!(why(&[Life::failed_before(3.0).times(4.0)], model), NoFit::AllFailedUnseen);
    }
    assert_eq!(why(&[Life::failed(6.0), Life::survived(5.0)], Model::Weibull), NoFit::NoSpread);
    assert_eq!(why(&[Life::failed(6.0).times(3.0), Life::survived(6.0)], Model::Lognormal), NoFit::NoSpread);
    assert_eq!(why(&[Life::failed_between(2.0, 6.0), Life::survived(3.0)], Model::Weibull), NoFit::NoSpread);
    assert!(fit(&kept(&[Life::failed(6.0), Life::survived(7.0)]), Model::Weibull).is_ok());
    let falling = [(1.0, 9.0, 1.0), (2.0, 1.0, 9.0)]
        .map(|(age, failed, left)| [Life::failed_before(age).times(failed), Life::survived(age).times(left)])
        .concat();
    assert_eq!(why(&falling, Model::Weibull), NoFit::NoShape);
    assert_eq!(why(&falling, Model::Lognormal), NoFit::NoShape);
    // Watched from a share of its age on, a life tells shares of ages only, and those fit ever more spread.
    let shares = [
        0.001,
        0.05394154279343334,
        0.27967789596070963,
        0.3552406289521259,
        31.704433328786195,
        35.157167151851276,
    ]
    .map(|age| Life::failed(age).watched_from(0.5 * age));
    let longer = [0.12331277213107333, 80.59489123830546, 136.02290380311086]
        .map(|age| Life::survived(age).watched_from(0.3 * age));
    assert_eq!(why(&[&shares[..], &longer].concat(), Model::Lognormal), NoFit::NoShape);
}

#[test]
fn bad_lives_are_named() {
    let say = |life: Life| Lifetimes::new([Life::failed(1.0), life]).expect_err("refused").to_string();
    assert!(say(Life::failed(-1.0)).starts_with("age at failure of life number 2 is -1"));
    assert!(say(Life::failed(f64::NAN)).contains("NaN"));
    assert!(say(Life::survived(f64::INFINITY)).contains("inf"));
    assert!(say(Life::failed(3.0).watched_from(3.0)).contains("above the age at entry"));
    assert!(say(Life::failed_between(3.0, 3.0)).contains("above the age last seen alive"));
    assert!(say(Life::failed(3.0).times(0.0)).starts_with("weight of life number 2 is 0"));
    for weight in [-1.0, 1e-300, 1e13, 1e300, f64::INFINITY, f64::NAN] {
        assert!(say(Life::failed(3.0).times(weight)).contains("must be from 1e-100 to 1e12"));
    }
    assert!(Lifetimes::new([]).is_err() && Lifetimes::new([Life::survived(0.0)]).is_err());
}
