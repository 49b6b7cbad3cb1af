//! Whatever comes in, count methods answer or refuse: no panic, no hang, and no NaN where an answer was given.

use proptest::num::f64::ANY;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stats::cusum::{Alarm, Cusum, Lattice, Side, average_run_length, reference_rate};
use stats::rate_ratio::{Group, exposure_needed, power, ratio, ratio_mid_p, test};
use stats::reporting_fraction::{ReportingFraction, Survey};
use stats::scan::Series;
use stats::shrinkage::{Cell, Fit, Gamma, fit_one_gamma, fit_two_gammas, log_likelihood, posterior};
use stats::stratified::{Stratum, exact, mantel_haenszel, mid_p};
use stats::uncertainty::{Contribution, Part, Size, combine, roll_up, tariff_mean};
use stats::{
    Confidence, Exposure, Interval, Probability, anytime, binomial, funnel, poisson_rate, reporting_delay,
    success_run,
};

/// Counts of every size, small ones often.
fn count() -> impl Strategy<Value = u64> {
    prop_oneof![4 => 0_u64..30, 2 => 0_u64..100_000, 1 => any::<u64>()]
}

/// Amounts of every size, plain ones often, and whatever else a number can be.
fn amount() -> impl Strategy<Value = f64> {
    prop_oneof![4 => 0.01..1000.0, 1 => (-300.0..300.0).prop_map(|x: f64| 10_f64.powf(x)), 1 => ANY]
}

fn confidence() -> impl Strategy<Value = Confidence> {
    prop_oneof![Just(1e-9), 0.001..0.999, Just(1.0 - 1e-15)]
        .prop_map(|c| Confidence::new(c).expect("a confidence"))
}

fn exposure() -> impl Strategy<Value = Exposure> {
    amount().prop_filter_map("an exposure", |t| Exposure::new(t).ok())
}

fn ordered(limits: Interval) -> bool {
    // At a confidence of next to nothing the two meet, and rounding may cross them.
    limits.low <= limits.high * (1.0 + 1e-12)
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: RngSeed::Fixed(1), ..ProptestConfig::with_cases(250) })]

    #[test]
    fn rates_and_chances(k in count(), n in count(), t in exposure(), c in confidence(), mean in amount()) {
        prop_assert!(ordered(poisson_rate::exact(k, t, c)));
        prop_assert!(ordered(poisson_rate::mid_p(k, t, c)));
        prop_assert!(ordered(poisson_rate::mtbf_time_terminated(k, t, c)));
        poisson_rate::mtbf_failure_terminated(k, t, c);
        prop_assert_eq!(poisson_rate::upper_tail(k, mean).is_nan(), mean.is_nan() || mean < 0.0);
        poisson_rate::overdispersed_upper_tail(k, mean, t.value());
        for method in [binomial::clopper_pearson, binomial::mid_p, binomial::wilson, binomial::jeffreys] {
            prop_assert!(method(k, n, c).map_or(k > n || n == 0, ordered), "{:?}", method(k, n, c));
        }
    }

    #[test]
    fn ratios(x in count(), y in count(), t in exposure(), u in exposure(), c in confidence(), r in amount()) {
        let (one, two) = (Group { count: x, exposure: t }, Group { count: y, exposure: u });
        for method in [ratio, ratio_mid_p] {
            let seen = method(one, two, c);
            prop_assert!(seen.low <= seen.high * (1.0 + 1e-12), "{:?}", seen);
        }
        if let Ok(seen) = test(one, two, r) {
            for p in [seen.greater, seen.less, seen.doubled, seen.minlike, seen.mid_p] {
                prop_assert!((0.0..=1.0).contains(&p), "{:?}", seen);
            }
        }
    }

    #[test]
    fn strata(rows in prop::collection::vec((count(), amount(), count(), amount()), 0..5), c in confidence()) {
        let rows: Vec<_> = rows
            .into_iter()
            .map(|(before_count, before_exposure, after_count, after_exposure)| Stratum {
                before_count: before_count % 150, before_exposure, after_count: after_count % 150, after_exposure,
            })
            .collect();
        for method in [exact, mid_p, mantel_haenszel] {
            if let Ok(seen) = method(&rows, c) {
                prop_assert!(seen.low <= seen.high && (0.0..=1.0).contains(&seen.p_value), "{:?}", seen);
            }
        }
        if let Ok(seen) = anytime::ratio(&rows, c) {
            prop_assert!(ordered(seen), "{:?}", seen);
        }
    }

    #[test]
    fn plans(a in amount(), b in amount(), c in confidence(), t in exposure(), u in exposure(), p in ANY) {
        if a * t.value() + b * u.value() < 1e4 {
            prop_assert!(power(a, t, b, u, c).is_ok_and(|p| (0.0..=1.0).contains(&p)) || !(a > 0.0 && b > 0.0));
        }
        if let Ok(p) = Probability::new(p) {
            prop_assert!(success_run::acceptance_risk(p, 5, 2) <= 1.0);
        }
        for reliability in [0.5, 0.99, 1.0 - 1e-9] {
            let reliability = Probability::new(reliability).expect("a probability");
            prop_assert!(success_run::trials_needed(reliability, c, 2).is_ok());
        }
    }

    #[test]
    fn tables(cells in prop::collection::vec((count(), amount()), 0..60), c in confidence()) {
        let cells: Vec<_> = cells.into_iter().map(|(count, expected)| Cell { count, expected }).collect();
        for fit in [fit_one_gamma(&cells), fit_two_gammas(&cells)].into_iter().flatten() {
            let seen = posterior(cells[0], &fit, c);
            prop_assert!(seen.low <= seen.high && !seen.mean.is_nan(), "{:?} {:?}", fit, seen);
        }
    }

    #[test]
    fn watching(
        rows in prop::collection::vec((count(), amount()), 0..12), h in amount(), k in amount(), e in exposure(), p in ANY
    ) {
        let (counts, exposures): (Vec<_>, Vec<_>) = rows.into_iter().map(|(n, e)| (n % 1_000_000, e)).unzip();
        let chart =
            Cusum { reference_rate: k, threshold: h, head_start: 0.0, side: Side::Lower, alarm: Alarm::Above };
        if let Ok(steps) = chart.path(&counts, &exposures) {
            prop_assert_eq!(steps.len(), counts.len());
        }
        reference_rate(h, k).ok();
        if let Ok(series) = Series::new(&counts, &exposures, 3) {
            prop_assert!(series.most_unusual().is_none_or(|w| w.log_likelihood_ratio > 0.0));
        }
        if let Ok(p) = Probability::new(p) {
            funnel::limit(h, e, p).ok();
        }
        if h < 20.0 && h > 0.0 {
            let chart = Lattice {
                parts: 2, reference: 3, threshold: 9, head_start: 2, side: Side::Upper, alarm: Alarm::AtLeast,
            };
            prop_assert!(average_run_length(h, &chart).is_ok_and(|length| length >= 1.0));
        }
    }

    #[test]
    fn reporting(items in count(), reports in 0_u64..2000, inspected in count(), found in count(), c in confidence()) {
        if let Ok(share) = ReportingFraction::new(Survey { items, reports, inspected, found }) {
            prop_assert!(ordered(share.posterior(c).interval));
            share.posterior_at_most_one(c).ok();
            share.delta(c, true);
        }
        let triangle = vec![vec![items % 50, reports, found % 9], vec![inspected % 5, 1], vec![reports]];
        let seen = reporting_delay::nowcast(&triangle, c).expect("a nowcast");
        prop_assert!(seen.periods.iter().all(|p| p.nowcast.is_none_or(|n| n.interval.low >= p.reported as f64 * 0.999)));
    }

    #[test]
    fn masses(rows in prop::collection::vec((amount(), amount(), amount()), 0..6), c in confidence()) {
        let parts: Vec<_> = rows
            .iter()
            .map(|&(quantity, value, standard)| Part { quantity, value, standard, group: None })
            .collect();
        roll_up(&parts).ok();
        let parts: Vec<_> =
            rows.iter().map(|&(standard, freedom, _)| Contribution { standard, freedom }).collect();
        if let Ok(all) = combine(&parts) {
            prop_assert!(!all.expanded(c).factor.is_nan(), "{:?}", all);
        }
        let sizes: Vec<_> = rows.iter().map(|&(share, value, standard)| Size { share, value, standard }).collect();
        tariff_mean(&sizes, Some(50.0)).ok();
    }
}

#[test]
fn a_plan_that_cannot_be_is_refused() {
    let need =
        |base, ratio, times, power| exposure_needed(base, ratio, times, Confidence::NINETY_FIVE, power);
    assert!(need(0.1, 1.0, 1.0, 0.8).is_err());
    assert!(need(0.1, 1.000_01, 1.0, 0.8).is_err());
    assert!(need(0.1, 2.0, f64::NAN, 0.8).is_err());
    assert!(need(0.1, 2.0, 1.0, 1.0).is_err());
    assert!(need(0.1, 2.0, 1.0, 0.8).is_ok_and(|plan| plan.exact >= plan.square_root_form * 0.9));
}

#[test]
fn an_extreme_ratio_is_refused_before_it_takes_a_plan_of_millions() {
    let plan = |ratio, times| {
        exposure_needed(0.01, ratio, times, Confidence::NINETY_FIVE, 0.8)
            .map_err(|refusal| refusal.to_string())
    };
    for (ratio, times) in [(1e12, 4.0), (1e300, 4.0), (1e-12, 4.0), (1e-300, 1.0), (3.0, 1e-8), (1e6, 1e-3)] {
        let refusal = plan(ratio, times).expect_err("too many events");
        assert!(
            refusal.contains("planned number of events is") && refusal.contains("at most 1e6"),
            "{refusal}"
        );
    }
    // At a thousandth and a thousandfold a plan is still made.
    assert!([1e-3, 1e3].map(|ratio| plan(ratio, 4.0)).iter().all(Result::is_ok));
}

#[test]
fn a_gamma_of_any_size_gives_ordered_limits_and_one_beyond_its_range_gives_nan() {
    let sizes = [1e-300, 1e-12, 0.5, 1e6, 1e12];
    let pairs = sizes.iter().flat_map(|&shape| sizes.map(|rate| Gamma { shape, rate }));
    for (first, second) in pairs.clone().flat_map(|one| pairs.clone().map(move |two| (one, two))) {
        for (count, expected) in [(0, 1e-300), (5, 0.8), (1000, 1e12), (u64::MAX, 1e-9)] {
            let (cell, fit) = (Cell { count, expected }, two_gammas(first, second));
            let seen = posterior(cell, &fit, Confidence::NINETY);
            assert!(seen.low <= seen.high && !seen.mean.is_nan(), "{cell:?} {fit:?}: {seen:?}");
            assert!(
                !seen.geometric_mean.is_nan() && !log_likelihood(cell, &fit).is_nan(),
                "{cell:?} {fit:?}"
            );
        }
    }
    let plain = Gamma { shape: 1.4, rate: 1.8 };
    for bad in [0.0, -1.0, 9e15, 1e300, f64::INFINITY, f64::NAN] {
        for fit in [
            Fit::OneGamma { shape: bad, rate: 1.5, log_likelihood: 0.0 },
            Fit::OneGamma { shape: 1.5, rate: bad, log_likelihood: 0.0 },
            two_gammas(Gamma { shape: bad, rate: 1.5 }, plain),
            two_gammas(plain, Gamma { shape: 1.5, rate: bad }),
        ] {
            let cell = Cell { count: 5, expected: 0.8 };
            let seen = posterior(cell, &fit, Confidence::NINETY);
            assert!(
                [seen.mean, seen.geometric_mean, seen.low, seen.high].iter().all(|v| v.is_nan()),
                "{seen:?}"
            );
            assert!(log_likelihood(cell, &fit).is_nan());
        }
    }
}

fn two_gammas(first: Gamma, second: Gamma) -> Fit {
    Fit::TwoGammas { first, second, weight: 0.1, log_likelihood: 0.0 }
}
