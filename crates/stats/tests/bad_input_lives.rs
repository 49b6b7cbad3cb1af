//! Bad input to methods of lives, repairs, forecasts and the rest: a refusal that names the value and what is accepted, or
//! the stated limiting answer.

use crate::draws::seeded;
use stats::bench::Comparison;
use stats::cusum::{
    Alarm, Cusum, Lattice, Side, average_run_length, log_weight, reference_rate, simulated_run_length,
};
use stats::forecast::{
    Cohort, Count, Group, bootstrap, failure_probabilities, normal_approximation, plug_in,
};
use stats::history::History;
use stats::life::fixed_shape::FixedShape;
use stats::life::two_samples::TwoSamples;
use stats::life::{Covariance, Distribution, Model, fit};
use stats::lifetimes::{Life, Lifetimes};
use stats::load_carriage::Walk;
use stats::power_law::{self, laplace, laplace_failure_terminated};
use stats::reporting_delay::{chain_ladder, nowcast};
use stats::reporting_fraction::{ReportingFraction, Survey, Weighted};
use stats::scan::{Series, simulated_p_value};
use stats::shrinkage::{Cell, fit_one_gamma, fit_two_gammas, pooled_ratio};
use stats::stratified::{self, Stratum};
use stats::{
    Confidence, Exposure, Probability, StatsError, agreement, anytime, binomial, false_discovery, funnel,
    grouping, log_rank, mean_cumulative, poisson_rate, rate_ratio, strength, success_run, survival,
};

const NAN: f64 = f64::NAN;
const INFINITE: f64 = f64::INFINITY;
const MANY: u64 = 1_000_000_000_000;

/// The refusal says all of these words.
#[track_caller]
fn refused<T>(result: Result<T, impl ToString>, words: &[&str]) {
    let said = result.map(|_| ()).expect_err("a refusal").to_string();
    assert!(words.iter().all(|word| said.contains(word)), "{said:?} lacks one of {words:?}");
}

fn lives(all: &[Life]) -> Lifetimes {
    Lifetimes::new(all.iter().copied()).expect("lives")
}

fn share(p: f64) -> Probability {
    Probability::new(p).expect("a share")
}

fn weibull() -> Distribution {
    Distribution::weibull(100.0, 2.0).expect("a distribution")
}

#[test]
fn values_out_of_range_are_named() {
    for bad in [0.0, -1.0, NAN, INFINITE] {
        let said = bad.to_string();
        refused(Exposure::new(bad), &["exposure", &said, "above 0"]);
        refused(Distribution::exponential(bad), &["mean life", &said, "above 0"]);
        refused(Distribution::weibull(bad, 1.0), &["scale", &said, "above 0"]);
        refused(Distribution::weibull(1.0, bad), &["shape", &said, "1e-300 to 1e300"]);
        refused(Distribution::lognormal(1.0, bad), &["spread", &said, "1e-300 to 1e300"]);
        refused(FixedShape::new(&lives(&[Life::failed(3.0)]), bad), &["shape", &said, "above 0"]);
    }
    for bad in [-0.1, 1.1, NAN, INFINITE] {
        refused(Probability::new(bad), &["probability", &bad.to_string(), "from 0 to 1"]);
        refused(Confidence::new(bad), &["confidence", &bad.to_string(), "below 1"]);
        refused(false_discovery::benjamini_hochberg(&[0.5, bad]), &["p-value number 2", &bad.to_string()]);
        refused(false_discovery::called(&[0.5], bad), &["rate", &bad.to_string()]);
        refused(false_discovery::bonferroni_called(&[bad], 0.1), &["p-value number 1", &bad.to_string()]);
    }
    refused(Distribution::lognormal(NAN, 1.0), &["mean of log life", "NaN", "finite"]);
}

#[test]
fn repairs_that_cannot_be_are_named() {
    refused(History::new(-1.0, 5.0, []), &["start", "-1", "0 or more"]);
    refused(History::new(5.0, 5.0, []), &["end", "5", "above the age at its start"]);
    refused(History::new(0.0, NAN, []), &["end", "NaN"]);
    refused(History::new(0.0, 5.0, [1.0, 6.0]), &["repair number 2", "6", "not beyond its end"]);
    refused(mean_cumulative::mean_cumulative(&[]), &["0 units", "at least 1"]);
    refused(power_law::fit(&[]), &["0 units", "at least 1"]);
    let idle = History::new(0.0, 5.0, []).expect("a history");
    assert!(mean_cumulative::mean_cumulative(std::slice::from_ref(&idle)).expect("points").is_empty());
    refused(power_law::fit(std::slice::from_ref(&idle)), &["nothing was repaired"]);
    refused(laplace(&[idle]), &["nothing was repaired"]);
    refused(laplace_failure_terminated(&[3.0]), &["1 repairs", "at least 2"]);
    refused(laplace_failure_terminated(&[3.0, -1.0]), &["repair", "-1"]);
    refused(power_law::fit_failure_terminated(&[]), &["nothing was repaired"]);
    refused(power_law::fit_failure_terminated(&[1.0, NAN]), &["repair number 2", "NaN", "above 0"]);
    refused(power_law::fit_failure_terminated(&[4.0]), &["very end"]);
    let at_end = History::new(0.0, 5.0, [5.0, 5.0]).expect("a history");
    refused(power_law::fit(&[at_end]), &["very end"]);
    let one = power_law::fit(&[History::new(0.0, 5.0, [2.0]).expect("a history")]).expect("a fit of one");
    assert_eq!((one.shape_unbiased(), one.intensity_at_end_unbiased()), (Some(0.0), None));
    refused(power_law::grouped(&[0.0, 1.0], &[1, 2]), &["edges", "counts"]);
    refused(
        power_law::grouped(&[1.0, 2.0, 3.0], &[1, 2]),
        &["edge of interval number 1", "1", "0 for the first"],
    );
    refused(
        power_law::grouped(&[0.0, 2.0, 2.0], &[1, 2]),
        &["edge of interval number 3", "2", "above the one before"],
    );
    refused(power_law::grouped(&[0.0, 2.0, 3.0], &[0, 0]), &["nothing was repaired"]);
    refused(power_law::grouped(&[0.0, 2.0, 3.0], &[u64::MAX, 1]), &["total of the counts", "below"]);
    assert!(power_law::grouped(&[0.0, 2.0, 3.0], &[MANY, MANY]).is_ok_and(|f| f.shape.is_finite()));
}

#[test]
fn lives_without_an_answer_say_why() {
    let tied = lives(&[Life::failed(5.0).times(8.0)]);
    refused(fit(&tied, Model::Weibull).map_err(StatsError::from), &["no estimate exists"]);
    let last = survival::curve(&tied).expect("a curve").steps()[0];
    assert_eq!((last.survival, last.limits(Confidence::NINETY), last.standard_error()), (0.0, None, None));
    assert_eq!(last.hazard, 1.0);
    let unseen = lives(&[Life::failed_between(2.0, 3.0)]);
    refused(survival::curve(&unseen), &["each failure's own age"]);
    refused(FixedShape::new(&unseen, 2.0), &["each failure's own age"]);
    refused(log_rank::compare(&[&unseen, &tied]), &["each failure's own age"]);
    refused(log_rank::compare(&[&tied]), &["1", "at least 2"]);
    let survivors = lives(&[Life::survived(5.0).times(1e12)]);
    assert!(survival::curve(&survivors).expect("a curve").steps().is_empty());
    refused(log_rank::compare(&[&survivors, &survivors]), &["no estimate exists"]);
    assert!(TwoSamples::new(&survivors, &tied).is_err());
    let none = FixedShape::new(&survivors, 2.0).expect("a sum");
    assert!(none.scale().is_none() && none.scale_lower(Confidence::NINETY) > 5.0);
    let one = lives(&[Life::failed(4.0), Life::survived(5.0).times(1e12)]);
    let found = fit(&one, Model::Exponential).expect("one failure is enough for a mean");
    assert!((found.distribution().scale() / 5e12 - 1.0).abs() < 1e-9);
}

#[test]
fn forecasts_name_what_they_cannot_use() {
    let cohort = |age, ahead| [Cohort { age, units: 3, ahead }];
    for bad in [-1.0, NAN, INFINITE] {
        let said = bad.to_string();
        refused(failure_probabilities(&weibull(), &cohort(bad, 1.0)), &["age of cohort number 1", &said]);
        refused(plug_in(&weibull(), &cohort(1.0, bad)), &["time ahead of cohort number 1", &said]);
        refused(Count::poisson(bad), &["expected count", &said, "0 or more"]);
    }
    let empty = plug_in(&weibull(), &[]).expect("nobody fails");
    assert_eq!((empty.mean(), empty.upper(0.95), empty.none()), (0.0, 0, 1.0));
    let mut draw = seeded(1);
    let group = |age, started, alive| [Group { age, started, alive }];
    let mut tried =
        |groups: &[Group], ahead, samples| bootstrap(&weibull(), groups, ahead, samples, &mut draw);
    refused(tried(&group(10.0, 5, 5), NAN, 10), &["time ahead", "NaN"]);
    refused(tried(&group(10.0, 5, 5), 1.0, 0), &["samples", "at least 1"]);
    refused(tried(&[], 1.0, 10), &["groups with units", "at least 1"]);
    refused(tried(&group(0.0, 5, 5), 1.0, 10), &["age of group number 1", "0"]);
    refused(tried(&group(10.0, 5, 6), 1.0, 10), &["units alive", "6", "5"]);
    refused(tried(&group(1e-9, 5, 5), 1.0, 10), &["nine in ten samples"]);
    let spread = Covariance { mu: -1.0, ln_sigma: 1.0, both: 0.0 };
    refused(
        normal_approximation(&weibull(), spread, &cohort(1.0, 1.0), 9, 5, &mut draw),
        &["variance", "-1"],
    );
}

#[test]
fn watches_name_what_they_cannot_use() {
    let chart = Cusum {
        reference_rate: 1.0,
        threshold: 3.0,
        head_start: 0.0,
        side: Side::Upper,
        alarm: Alarm::Above,
    };
    refused(chart.path(&[1], &[1.0, 2.0]), &["1 counts", "2 exposures"]);
    refused(chart.path(&[1, 1], &[1.0, -2.0]), &["exposure number 2", "-2"]);
    refused(Cusum { threshold: NAN, ..chart }.path(&[1], &[1.0]), &["threshold", "NaN"]);
    refused(reference_rate(-1.0, 2.0), &["rate in control", "-1"]);
    refused(log_weight(2.0, 2.0), &["rate out of control", "2", "different"]);
    let lattice = Lattice {
        parts: 0,
        reference: 1,
        threshold: 5,
        head_start: 0,
        side: Side::Upper,
        alarm: Alarm::AtLeast,
    };
    refused(average_run_length(1.0, &lattice), &["parts", "0", "1 or more"]);
    refused(average_run_length(NAN, &Lattice { parts: 1, ..lattice }), &["mean count", "NaN"]);
    let mut draw = seeded(2);
    refused(simulated_run_length(&chart, NAN, &[1.0], 5, 5, &mut draw), &["NaN"]);
    assert!(chart.path(&[MANY], &[1.0]).expect("steps")[0].alarm);
    assert!(chart.path(&[], &[]).expect("no steps").is_empty());
    refused(Series::new(&[], &[], 1), &["0 periods", "at least 1"]);
    refused(Series::new(&[1], &[0.0], 1), &["exposure number 1", "0", "above 0 where events were counted"]);
    refused(Series::new(&[1, 1], &[1.0, 1e-300], 1), &["exposure number 2", "billionth"]);
    refused(Series::new(&[u64::MAX, 1], &[1.0, 1.0], 1), &["total count", "below"]);
    refused(Series::new(&[1], &[1.0], 0), &["longest window", "0"]);
    let quiet = Series::new(&[0, 0], &[1.0, 1.0], 2).expect("a series");
    assert!(quiet.most_unusual().is_none());
    refused(simulated_p_value(&quiet, 0, &mut draw), &["replicates", "at least 1"]);
    let busy = Series::new(&[MANY, 3 * MANY], &[1.0, 1.0], 1).expect("a series");
    assert!(busy.most_unusual().is_some_and(|w| w.start == 1 && w.log_likelihood_ratio.is_finite()));
    let years = Exposure::new(3.0).expect("an exposure");
    refused(funnel::limit(NAN, years, share(0.9)), &["target rate", "NaN"]);
    refused(funnel::limit(1.0, years, share(1.0)), &["probability of a funnel limit", "1"]);
    refused(funnel::score(3, -1.0, years), &["target rate", "-1"]);
}

#[test]
fn counts_beyond_their_totals_and_huge_ones_are_met() {
    let c = Confidence::NINETY_FIVE;
    for method in [binomial::clopper_pearson, binomial::mid_p, binomial::wilson, binomial::jeffreys] {
        refused(method(6, 5, c), &["6", "must not exceed its total, 5"]);
        assert!(method(0, 0, c).is_err());
        let limits = method(MANY, 2 * MANY, c).expect("limits");
        assert!(limits.contains(0.5) && limits.high - limits.low < 1e-5);
    }
    refused(success_run::demonstrated(5, 6, c), &["failures", "6", "5"]);
    refused(success_run::trials_needed(share(1.0), c, 0), &["reliability", "1"]);
    refused(success_run::trials_for_longer_test(share(0.9), c, NAN, 2.0), &["life multiple", "NaN"]);
    let years = Exposure::new(1.0).expect("an exposure");
    let limits = poisson_rate::exact(MANY, years, c);
    assert!((limits.low / 1e12 - 1.0).abs() < 1e-5 && limits.high > 1e12);
    let group = |count| rate_ratio::Group { count, exposure: years };
    let seen = rate_ratio::ratio(group(MANY), group(MANY), c);
    assert!(seen.low < 1.0 && seen.high > 1.0 && seen.high < 1.00001);
    let seen = rate_ratio::test(group(MANY), group(MANY), 1.0).expect("a test");
    assert!(seen.doubled > 0.999 && seen.minlike > 0.999);
    refused(rate_ratio::test(group(1), group(1), NAN), &["supposed ratio", "NaN"]);
    let row = Stratum { before_count: 3, before_exposure: -1.0, after_count: 2, after_exposure: 5.0 };
    for method in [stratified::exact, stratified::mid_p, stratified::mantel_haenszel] {
        refused(method(&[row], c), &["exposure", "-1"]);
        assert!(method(&[], c).is_err());
    }
    refused(anytime::ratio(&[row], c), &["exposure", "-1"]);
    assert!(anytime::ratio(&[], c).is_err());
    let survey = Survey { items: 10, reports: 3, inspected: 5, found: 6 };
    refused(ReportingFraction::new(survey), &["found failed", "6", "5"]);
    refused(ReportingFraction::new(Survey { inspected: 11, ..survey }), &["inspected", "11", "10"]);
    refused(
        ReportingFraction::new(Survey { inspected: 0, found: 0, ..survey }),
        &["items inspected", "at least 1"],
    );
    let weighted = Weighted { items: 10.0, reports: NAN, inspected: 5.0, found: 1.0 };
    refused(ReportingFraction::weighted(weighted), &["reports", "NaN"]);
    let huge = Survey { items: 4 * MANY, reports: MANY, inspected: 2 * MANY, found: MANY };
    let limits = ReportingFraction::new(huge).expect("a survey").posterior(c).interval;
    assert!(limits.contains(0.5) && limits.high - limits.low < 1e-5, "{limits:?}");
    let cell = |count, expected| Cell { count, expected };
    for bad in [0.0, -1.0, NAN, INFINITE] {
        refused(fit_one_gamma(&[cell(1, 1.0), cell(1, bad)]), &["expected count number 2", &bad.to_string()]);
        refused(fit_two_gammas(&[cell(1, bad)]), &["expected count number 1", &bad.to_string()]);
        refused(pooled_ratio(&[cell(1, bad)]), &["expected count number 1", &bad.to_string()]);
    }
    refused(fit_one_gamma(&[]), &["0 cells", "at least 1"]);
}

#[test]
fn the_rest_names_what_it_cannot_use() {
    refused(Comparison::new(&[1.0], &[1.0, 2.0]), &["old design", "at least 2"]);
    refused(Comparison::new(&[1.0, 2.0], &[1.0, NAN]), &["new design number 2", "NaN"]);
    refused(Comparison::new(&[1.0, 1.0], &[2.0, 2.0]), &["all the same"]);
    refused(Comparison::new(&[1e200, -1e200], &[2.0, 2.0]), &["too large"]);
    refused(strength::normal((NAN, 1.0), (1.0, 1.0)), &["mean strength", "NaN"]);
    refused(strength::normal((2.0, 0.0), (1.0, 0.0)), &["combined standard deviation", "0"]);
    refused(strength::lognormal((2.0, -0.1), (1.0, 0.1)), &["coefficient of variation of strength", "-0.1"]);
    refused(strength::ln_median_margin((0.0, 0.1), (1.0, 0.1)), &["mean strength", "0"]);
    refused(strength::weibull_normal((100.0, NAN), (1.0, 0.1)), &["shape of strength", "NaN"]);
    refused(Walk::new(80.0, -1.0, 1.0, 0.0, 1.0), &["load", "-1", "0 or more"]);
    refused(Walk::new(80.0, 1.0, NAN, 0.0, 1.0), &["speed", "NaN"]);
    refused(agreement::kappa(&["a"], &["a", "b"]), &["1 names", "2 by the second"]);
    refused(agreement::kappa::<u8>(&[], &[]), &["at least"]);
    refused(grouping::score(&[1], &[1, 2]), &["1 true labels", "2"]);
    refused(grouping::score::<u8, u8>(&[], &[]), &["at least"]);
    refused(nowcast(&[], Confidence::NINETY), &["at least 1"]);
    refused(nowcast(&[vec![1, 2], vec![1, 2]], Confidence::NINETY), &["row of the triangle"]);
    refused(nowcast(&[vec![u64::MAX, 2], vec![1]], Confidence::NINETY), &["total of the counts", "below"]);
    refused(chain_ladder(&[vec![1.0]]), &["1 periods", "at least 4"]);
    let mut triangle = vec![vec![4.0, 3.0, 2.0, 1.0], vec![4.0, 3.0, 2.0], vec![4.0, 3.0], vec![4.0]];
    triangle[1][1] = NAN;
    refused(chain_ladder(&triangle), &["amount in row number 2", "NaN"]);
    assert!(false_discovery::benjamini_hochberg(&[]).expect("none").is_empty());
}

#[test]
fn weights_at_the_ends_of_their_range_are_fitted_or_answered_as_no_fit() {
    let weights = [1e-100, 1e-12, 1.0, 1e12];
    for (one, two) in weights.iter().flat_map(|&one| weights.map(|two| (one, two))) {
        let sample = |longer: f64, weight: f64| {
            lives(&[
                Life::failed(3.0 * longer).times(weight),
                Life::failed(5.0 * longer).times(two),
                Life::failed_between(6.0 * longer, 9.0 * longer),
                Life::survived(10.0 * longer).times(one),
            ])
        };
        for longer in [1.0, 1e-3, 40.0] {
            let Ok(both) = TwoSamples::new(&sample(1.0, one), &sample(longer, two)) else { continue };
            let limits = both.ratio_limits(Confidence::NINETY);
            assert!(limits.low <= both.ratio() && both.ratio() <= limits.high, "{one:e} {two:e}: {limits:?}");
        }
    }
}
