//! Laws that count methods obey whatever the numbers are.

use proptest::prelude::*;
use stats::rate_ratio::{Group, ratio, ratio_mid_p, test};
use stats::reporting_fraction::{ReportingFraction, Weighted};
use stats::stratified::{self, Stratum};
use stats::{Confidence, Exposure, Interval, binomial, false_discovery, poisson_rate, shrinkage};

fn confidence() -> impl Strategy<Value = Confidence> {
    (0.5..0.999).prop_map(|c| Confidence::new(c).expect("a confidence"))
}

fn exposure() -> impl Strategy<Value = f64> {
    (-6.0..6.0_f64).prop_map(|x| 10_f64.powf(x))
}

fn at(amount: f64) -> Exposure {
    Exposure::new(amount).expect("an exposure")
}

fn near(one: f64, two: f64) -> bool {
    one == two || (one / two - 1.0).abs() < 1e-9
}

fn same(one: Interval, two: Interval) -> bool {
    near(one.low, two.low) && near(one.high, two.high)
}

proptest! {
    #[test]
    fn a_rate_scales_with_its_unit(k in 0_u64..5000, t in exposure(), by in exposure(), c in confidence()) {
        let there = poisson_rate::exact(k, at(t * by), c).scaled(by);
        prop_assert!(same(poisson_rate::exact(k, at(t), c), there));
    }

    #[test]
    fn mid_p_limits_lie_within_exact_ones(k in 0_u64..5000, c in confidence()) {
        let (exact, mid) = (poisson_rate::exact(k, at(1.0), c), poisson_rate::mid_p(k, at(1.0), c));
        prop_assert!(exact.low <= mid.low && mid.low <= k as f64);
        prop_assert!(k as f64 <= mid.high || k == 0);
        prop_assert!(mid.high <= exact.high);
    }

    #[test]
    fn exact_limits_have_their_tails(k in 1_u64..100_000, c in confidence()) {
        let limits = poisson_rate::exact(k, at(1.0), c);
        prop_assert!((poisson_rate::upper_tail(k, limits.low) / c.half_risk() - 1.0).abs() < 1e-10);
        prop_assert!((poisson_rate::lower_tail(k, limits.high) / c.half_risk() - 1.0).abs() < 1e-10);
    }

    #[test]
    fn more_events_move_limits_up(k in 0_u64..2000, c in confidence()) {
        let (one, two) = (poisson_rate::exact(k, at(1.0), c), poisson_rate::exact(k + 1, at(1.0), c));
        prop_assert!(one.low < two.low && one.high < two.high);
    }

    #[test]
    fn more_scatter_puts_more_events_beyond_any_count(k in 1_u64..50, mean in 0.1..10.0, spread in 1.0..5.0) {
        // Counts of equal mean are in convex order: the expected excess over any count grows with the scatter.
        let excess = |spread| (k..600).map(|j| poisson_rate::overdispersed_upper_tail(j, mean, spread)).sum::<f64>();
        prop_assert!(excess(spread) >= excess(1.0) * (1.0 - 1e-9));
    }

    #[test]
    fn counting_failures_mirrors_counting_successes(n in 1_u64..500, share in 0.0..=1.0, c in confidence()) {
        let x = (n as f64 * share) as u64;
        for method in [binomial::clopper_pearson, binomial::wilson, binomial::jeffreys, binomial::mid_p] {
            let (one, two) = (method(x, n, c).expect("limits"), method(n - x, n, c).expect("limits"));
            prop_assert!((one.low - (1.0 - two.high)).abs() < 1e-12 && (one.high - (1.0 - two.low)).abs() < 1e-12);
            prop_assert!(one.low <= x as f64 / n as f64 + 1e-15 && x as f64 / n as f64 <= one.high + 1e-15);
        }
    }

    #[test]
    fn swapping_groups_inverts_a_ratio(x in 1_u64..300, y in 1_u64..300, t in exposure(), u in exposure(), c in confidence()) {
        let (one, two) = (Group { count: x, exposure: at(t) }, Group { count: y, exposure: at(u) });
        for method in [ratio, ratio_mid_p] {
            let (there, back) = (method(one, two, c), method(two, one, c));
            prop_assert!(near(there.low, 1.0 / back.high) && near(there.high, 1.0 / back.low));
        }
    }

    #[test]
    fn limits_and_doubled_tests_agree(x in 0_u64..80, y in 0_u64..80, t in 0.1..10.0, c in confidence()) {
        let (one, two) = (Group { count: x, exposure: at(t) }, Group { count: y, exposure: at(1.0) });
        let (seen, p) = (ratio(one, two, c), test(one, two, 1.0).expect("a test").doubled);
        prop_assume!((p - c.risk()).abs() > 1e-9);
        prop_assert_eq!(seen.low > 1.0 || seen.high < 1.0, p < c.risk());
    }

    #[test]
    fn one_stratum_is_a_ratio_and_equal_splits_merge(
        x in 1_u64..60, y in 1_u64..60, v in 0_u64..60, w in 0_u64..60, t in exposure(), u in exposure(), c in confidence()
    ) {
        let row = |before_count, after_count, size: f64| Stratum {
            before_count, before_exposure: t * size, after_count, after_exposure: u * size,
        };
        let merged = [row(x + v, y + w, 1.0)];
        let apart = [row(x, y, 0.25), row(v, w, 0.75)];
        let plain = ratio(
            Group { count: y + w, exposure: at(u) }, Group { count: x + v, exposure: at(t) }, c,
        );
        let (one, two) = (stratified::exact(&merged, c).expect("limits"), stratified::exact(&apart, c).expect("limits"));
        prop_assert!(near(one.low, two.low) && near(one.high, two.high) && near(one.estimate, two.estimate));
        prop_assert!(near(one.low, plain.low) && near(one.high, plain.high) && near(one.estimate, plain.estimate));
        let mid = stratified::mid_p(&apart, c).expect("limits");
        let plain = ratio_mid_p(Group { count: y + w, exposure: at(u) }, Group { count: x + v, exposure: at(t) }, c);
        prop_assert!(near(mid.low, plain.low) && near(mid.high, plain.high));
    }

    #[test]
    fn an_uninformative_stratum_changes_nothing(x in 1_u64..60, y in 1_u64..60, extra in 1_u64..60) {
        let row = |before_count, before_exposure, after_count, after_exposure| Stratum {
            before_count, before_exposure, after_count, after_exposure,
        };
        let alone = [row(x, 3.0, y, 2.0)];
        let more = [row(x, 3.0, y, 2.0), row(extra, 5.0, 0, 0.0), row(0, 4.0, 0, 4.0)];
        for method in [stratified::exact, stratified::mid_p, stratified::mantel_haenszel] {
            let c = Confidence::NINETY_FIVE;
            prop_assert_eq!(method(&alone, c).expect("limits"), method(&more, c).expect("limits"));
        }
    }

    #[test]
    fn adjusted_p_values_keep_the_order_and_never_fall(p in prop::collection::vec(0.0..=1.0, 0..40)) {
        let adjusted = false_discovery::benjamini_hochberg(&p).expect("values");
        for i in 0..p.len() {
            prop_assert!(adjusted[i] >= p[i] && adjusted[i] <= 1.0);
            for j in 0..p.len() {
                prop_assert!(p[i] > p[j] || adjusted[i] <= adjusted[j]);
            }
        }
    }

    #[test]
    fn shrinkage_moves_a_ratio_towards_the_prior(n in 0_u64..200, e in 0.01..100.0, a in 0.1..50.0, b in 0.1..50.0) {
        let cell = shrinkage::Cell { count: n, expected: e };
        let fit = shrinkage::Fit::OneGamma { shape: a, rate: b, log_likelihood: 0.0 };
        let seen = shrinkage::posterior(cell, &fit, Confidence::NINETY);
        let (raw, prior) = (n as f64 / e, a / b);
        prop_assert!(seen.mean >= raw.min(prior) * (1.0 - 1e-12) && seen.mean <= raw.max(prior) * (1.0 + 1e-12));
        prop_assert!(seen.low <= seen.geometric_mean && seen.geometric_mean <= seen.high.max(seen.mean));
        let above = shrinkage::probability_above(cell, &fit, seen.low);
        prop_assert!((above - 0.95).abs() < 1e-10);
    }
}

#[test]
fn bad_input_is_named() {
    let text = |error: stats::StatsError| error.to_string();
    assert_eq!(text(Exposure::new(-1.0).unwrap_err()), "exposure is -1 but must be a finite number above 0");
    assert_eq!(
        text(Exposure::new(f64::NAN).unwrap_err()),
        "exposure is NaN but must be a finite number above 0"
    );
    assert_eq!(
        text(binomial::clopper_pearson(5, 3, Confidence::NINETY).unwrap_err()),
        "successes is 5 but must not exceed its total, 3"
    );
    assert_eq!(
        text(shrinkage::fit_one_gamma(&[]).unwrap_err()),
        "there are 0 cells but at least 1 are needed"
    );
    assert_eq!(
        text(false_discovery::benjamini_hochberg(&[0.5, 1.5]).unwrap_err()),
        "p-value number 2 is 1.5 but must be from 0 to 1"
    );
}

#[test]
fn a_million_million_events_have_their_limits() {
    let many = 1_000_000_000_000;
    let limits = poisson_rate::exact(many, at(1.0), Confidence::NINETY_FIVE);
    // k +- 1.96 sqrt(k) to the first order, and the second-order parts are below 3.
    assert!(
        (limits.high - 1e12 - 1_959_963.98).abs() < 3.0 && (1e12 - limits.low - 1_959_963.98).abs() < 3.0
    );
    let group = Group { count: many, exposure: at(1.0) };
    let seen = ratio(group, group, Confidence::NINETY_FIVE);
    assert!((seen.high.ln() - 1.959_963_98 * 2e-12_f64.sqrt()).abs() < 1e-11);
}

/// With ever more reports than an inspection finds, a share of at most 1 runs out of probability; its limits hold to the last.
#[test]
fn a_share_of_at_most_one_has_limits_as_long_as_it_has_any_probability() {
    let level = Confidence::new(0.999).expect("a confidence");
    for (inspected, found) in [(500.0, 3.0), (200.0, 40.0), (90.0, 90.0), (1e5, 2e4)] {
        let share = |reports: f64| {
            let survey = Weighted { items: 2e5, reports, inspected, found };
            ReportingFraction::weighted(survey).expect("a survey").posterior_at_most_one(level)
        };
        let (mut some, mut none) = (0.0, 1e8);
        for _ in 0..50 {
            let middle = 0.5 * (some + none);
            *if share(middle).is_ok() { &mut some } else { &mut none } = middle;
        }
        for step in 0..40 {
            let reports = some * (1.0 - 2e-6 * f64::from(step));
            let found = share(reports).expect("some probability");
            let (low, high) = (found.interval.low, found.interval.high);
            assert!(0.0 < low && low <= found.median && found.median <= high, "{reports}: {found:?}");
            assert!(high <= 1.0 + 1e-9, "{reports}: {found:?}");
        }
    }
}
