//! What constructors promise of any numbers at all: shared by the drawn tests and the fuzz target.
//!
//! Each function panics where a promise is broken.

use stats::bench::Comparison;
use stats::history::History;
use stats::life::Distribution;
use stats::lifetimes::{Life, Lifetimes};
use stats::reporting_fraction::{ReportingFraction, Survey};
use stats::scan::Series;
use stats::{Confidence, Exposure, Probability, power_law};

/// Values that can't hold nonsense: what is accepted is inside the range, and what is refused is named in the refusal.
pub(crate) fn values(value: f64, other: f64) {
    let said = |refusal: String| {
        let names = refusal.contains(&value.to_string()) || refusal.contains(&other.to_string());
        assert!(names && refusal.contains("must be"), "{refusal}");
    };
    match Confidence::new(value) {
        Ok(level) => assert!(level.half_risk() >= 0.0 && level.value() < 1.0),
        Err(refusal) => said(refusal.to_string()),
    }
    match Exposure::new(value) {
        Ok(amount) => assert!(amount.value() > 0.0 && amount.value().is_finite()),
        Err(refusal) => said(refusal.to_string()),
    }
    match Probability::new(value) {
        Ok(p) => assert!((0.0..=1.0).contains(&p.complement())),
        Err(refusal) => said(refusal.to_string()),
    }
    for made in [
        Distribution::exponential(value),
        Distribution::weibull(value, other),
        Distribution::lognormal(value, other),
    ] {
        match made {
            Ok(life) => {
                for age in [0.0, 1e-300, 1.0, 1e300] {
                    let tails = life.tails(age);
                    assert!((tails.lower + tails.upper - 1.0).abs() < 1e-9, "{life:?} at {age:e}: {tails:?}");
                    assert!(life.ln_survival(age) <= 0.0, "{life:?} at {age:e}: {:e}", life.ln_survival(age));
                    for more in [0.0, 1e-300, 1.0, 1e300] {
                        let failed = life.conditional_failure(age, more);
                        assert!(
                            (0.0..=1.0).contains(&failed),
                            "{life:?} at {age:e} for {more:e}: {failed:e}"
                        );
                    }
                }
                for p in [0.0, 1e-300, 0.1, 0.9, 1.0] {
                    let p = Probability::new(p).expect("a probability");
                    assert!(life.quantile(p) >= 0.0, "{life:?} {p:?}: {:e}", life.quantile(p));
                }
                assert!(life.mean() >= 0.0, "{life:?}: {:e}", life.mean());
            }
            Err(refusal) => said(refusal.to_string()),
        }
    }
}

/// Lists of anything: lives, histories, bench tests, series and surveys are taken or refused, and what is taken is sound.
pub(crate) fn lists(numbers: &[f64], counts: &[u64]) {
    let number = |i: usize| numbers.get(i).copied().unwrap_or(1.0);
    let lives = (0..numbers.len()).map(|i| {
        let life = match counts.get(i).copied().unwrap_or(0) % 4 {
            0 => Life::failed(number(i)),
            1 => Life::survived(number(i)),
            2 => Life::failed_before(number(i)),
            _ => Life::failed_between(number(i), number(i + 1)),
        };
        let life = if number(i + 2) > 1.0 { life.watched_from(number(i + 3)) } else { life };
        if number(i + 4) > 2.0 { life.times(number(i + 5)) } else { life }
    });
    if let Ok(lives) = Lifetimes::new(lives) {
        assert!(!lives.lives().is_empty() && lives.longest() > 0.0 && lives.failures() >= 0.0, "{lives:?}");
    }
    if let Ok(history) = History::new(number(0), number(1), numbers.iter().skip(2).copied()) {
        let rises = history.repairs().windows(2).all(|pair| pair[0] <= pair[1]);
        assert!(rises && history.start() < history.end(), "{history:?}");
    }
    let (old, new) = numbers.split_at(numbers.len() / 2);
    if let Ok(both) = Comparison::new(old, new) {
        assert!(both.standard_error() > 0.0 && both.freedom() > 0.0, "{old:?} {new:?}: {both:?}");
        assert!((0.0..=1.0).contains(&both.p_value()), "{old:?} {new:?}: {both:?}");
        let limits = both.difference_limits(Confidence::NINETY);
        assert!(limits.low <= limits.high, "{old:?} {new:?}: {limits:?}");
    }
    if let Ok(series) = Series::new(counts, numbers, counts.first().copied().unwrap_or(1) as usize) {
        let sound = |ratio: f64| ratio > 0.0 && ratio.is_finite();
        assert!(series.most_unusual().is_none_or(|w| sound(w.log_likelihood_ratio)), "{series:?}");
    }
    if let Ok(fitted) = power_law::grouped(numbers, counts) {
        assert!(fitted.shape > 0.0, "{numbers:?} {counts:?}: {fitted:?}");
    }
    if let [items, reports, inspected, found, ..] = *counts
        && let Ok(share) = ReportingFraction::new(Survey { items, reports, inspected, found })
    {
        let limits = share.posterior(Confidence::NINETY).interval;
        assert!(limits.low <= limits.high, "{items} {reports} {inspected} {found}: {limits:?}");
    }
}
