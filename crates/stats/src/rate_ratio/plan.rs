//! Planning a comparison of two rates: exact power, and the exposure it takes.

use crate::error::{StatsError, positive};
use crate::special::beta::{self, Split};
use crate::special::{Tails, gamma, normal};
use crate::value::{Confidence, Exposure};

/// Exposure of the first group that a comparison needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExposureNeeded {
    /// By the usual formula on the logarithm of the ratio. Too small, badly so when the exposures differ much.
    pub log_form: f64,
    /// By the formula on the square roots of the rates: a fair start, a few points short of the wanted power.
    pub square_root_form: f64,
    /// Exact power at `log_form`.
    pub power_at_log_form: f64,
    /// Exact power at `square_root_form`.
    pub power_at_square_root_form: f64,
    /// Events expected in both groups at the exposure of the log form.
    pub events_at_log_form: f64,
    /// The first exposure, rising in steps of 1 %, from which the exact power meets the wanted one twice running.
    pub exact: f64,
}

/// Exact power of the one-sided conditional test that the first group's rate is the higher one.
///
/// `sum over n of Poisson(n; mu1 + mu2) P(Bin(n, q) >= c_n)` with `q = mu1/(mu1 + mu2)` and `c_n` the smallest count
/// whose chance under equal rates is at most the risk. Rates per unit of exposure, finite and above 0. Power rises
/// with exposure only on the whole: it is a saw-tooth.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a rate that is not finite and above 0, or more than 1e9 events expected.
///
/// ```
/// use stats::{Confidence, Exposure, rate_ratio::power};
/// let years = |t| Exposure::new(t).unwrap();
/// let chance = power(0.02, years(1000.0), 0.01, years(4000.0), Confidence::NINETY_FIVE).unwrap();
/// assert!((chance - 0.722_25).abs() < 5e-6);
/// ```
pub fn power(
    rate1: f64,
    exposure1: Exposure,
    rate2: f64,
    exposure2: Exposure,
    confidence: Confidence,
) -> Result<f64, StatsError> {
    let mean1 = positive("first rate", rate1)? * exposure1.value();
    let mean2 = positive("second rate", rate2)? * exposure2.value();
    if mean1 + mean2 > 1e9 {
        let (what, accepted) = ("expected number of events", "at most 1e9");
        return Err(StatsError::OutOfRange { what, value: mean1 + mean2, accepted });
    }
    let equal = Split::from_odds(exposure1.value() / exposure2.value());
    Ok(conditional_power(mean1, mean2, equal, confidence.risk()))
}

fn conditional_power(mean1: f64, mean2: f64, equal: Split, risk: f64) -> f64 {
    let mean = mean1 + mean2;
    let actual = Split::from_odds(mean1 / mean2);
    let reach = 9.0 * mean.sqrt();
    let first = (mean - reach).max(1.0).floor();
    let last = (mean + reach + 40.0).ceil();
    let tail = |c: f64, n: f64, at: Split| beta::tails(c, n - c + 1.0, at.x, at.y).lower;
    // The critical count rises with the total by 0 or 1 a step; it is looked for from the mean of the binomial on.
    let mut critical = (first * equal.x).floor().max(1.0);
    while critical > 1.0 && tail(critical - 1.0, first, equal) <= risk {
        critical -= 1.0;
    }
    let mut total = 0.0;
    let mut n = first;
    while n <= last {
        while critical <= n && tail(critical, n, equal) > risk {
            critical += 1.0;
        }
        if critical <= n {
            total += gamma::poisson_term(n, mean) * tail(critical, n, actual);
        }
        n += 1.0;
    }
    total.min(1.0)
}

/// Exposure of the first group needed to find that its rate is `ratio` times a base rate, with the wanted power.
///
/// `base_rate` is the second group's; `exposure_ratio` its exposure over the first group's. With `z` the normal
/// quantiles of risk and power, `k` the exposure ratio and `l` the base rate: log form
/// `(za + zb)^2 (1/(ratio l) + 1/(k l)) / ln(ratio)^2`; square-root form
/// `(za + zb)^2 (1 + 1/k) / (4 (sqrt(ratio l) - sqrt(l))^2)`. For a ratio below 1 the test is that the first group's
/// rate is the lower one.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a value not finite and above 0, a ratio of 1, a wanted power outside 0.01 to 0.999,
/// or a plan of more than 1e6 events by either form: near a ratio of 1 both are many, at an extreme one the log form's.
pub fn exposure_needed(
    base_rate: f64,
    ratio: f64,
    exposure_ratio: f64,
    confidence: Confidence,
    wanted_power: f64,
) -> Result<ExposureNeeded, StatsError> {
    let base = positive("base rate", base_rate)?;
    let times = positive("exposure ratio", exposure_ratio)?;
    if positive("ratio", ratio)? == 1.0 {
        return Err(StatsError::OutOfRange { what: "ratio", value: ratio, accepted: "other than 1" });
    }
    if !(0.01..=0.999).contains(&wanted_power) {
        let (what, accepted) = ("wanted power", "from 0.01 to 0.999");
        return Err(StatsError::OutOfRange { what, value: wanted_power, accepted });
    }
    let za = normal::quantile(Tails::from_upper(confidence.risk()));
    let zb = normal::quantile(Tails::from_lower(wanted_power));
    let square = (za + zb) * (za + zb);
    let logs = ratio.ln() * ratio.ln();
    let log_form = square * (1.0 / (ratio * base) + 1.0 / (times * base)) / logs;
    let roots = (ratio * base).sqrt() - base.sqrt();
    let square_root_form = square * (1.0 + 1.0 / times) / (4.0 * roots * roots);
    let per_exposure = base * (ratio + times);
    let events_at_log_form = log_form * per_exposure;
    for (events, accepted) in [
        (square_root_form * per_exposure, "at most 1e6; choose a ratio further from 1"),
        (events_at_log_form, "at most 1e6 by the log form too; choose a less extreme ratio"),
    ] {
        if events.is_nan() || events >= 1e6 {
            let what = "planned number of events";
            return Err(StatsError::OutOfRange { what, value: events, accepted });
        }
    }
    let at = |exposure: f64| {
        let (one, two) = (ratio * base * exposure, base * exposure * times);
        if ratio > 1.0 {
            conditional_power(one, two, Split::from_odds(1.0 / times), confidence.risk())
        } else {
            conditional_power(two, one, Split::from_odds(times), confidence.risk())
        }
    };
    Ok(ExposureNeeded {
        log_form,
        square_root_form,
        power_at_log_form: at(log_form),
        power_at_square_root_form: at(square_root_form),
        events_at_log_form,
        exact: first_sufficient(square_root_form, wanted_power, at),
    })
}

/// Exposure of a second group needed to find that its rate is only `ratio` times a base rate, beside a first group whose
/// exposure is there already and grows no more; with exact power.
///
/// The test is the one of [`power`], one-sided; the exposure is looked for in rising steps of 1 %. `None` where no exposure
/// up to a thousand times the first group's gives the wanted power: the first group has too few events.
///
/// # Errors
/// As [`power`], and [`StatsError::OutOfRange`] for a ratio not below 1 or a wanted power outside 0.01 to 0.999.
///
/// ```
/// use stats::{Confidence, Exposure, rate_ratio::{exposure_beside, power}};
/// let before = Exposure::new(4000.0).unwrap();
/// let needed = exposure_beside(0.012, before, 0.5, Confidence::NINETY_FIVE, 0.8).unwrap().unwrap();
/// let at = |years| power(0.012, before, 0.006, Exposure::new(years).unwrap(), Confidence::NINETY_FIVE).unwrap();
/// assert!(at(needed) >= 0.8 && at(0.9 * needed) < 0.8);
/// ```
pub fn exposure_beside(
    base_rate: f64,
    base_exposure: Exposure,
    ratio: f64,
    confidence: Confidence,
    wanted_power: f64,
) -> Result<Option<f64>, StatsError> {
    let mean = positive("base rate", base_rate)? * base_exposure.value();
    if positive("ratio", ratio)? >= 1.0 {
        return Err(StatsError::OutOfRange { what: "ratio", value: ratio, accepted: "below 1" });
    }
    if !(0.01..=0.999).contains(&wanted_power) {
        let (what, accepted) = ("wanted power", "from 0.01 to 0.999");
        return Err(StatsError::OutOfRange { what, value: wanted_power, accepted });
    }
    let (times, most) = (1e-3, 1e3);
    if mean * (1.0 + ratio * most) > 1e9 {
        let (what, accepted) = ("expected number of events", "at most 1e9");
        return Err(StatsError::OutOfRange { what, value: mean * (1.0 + ratio * most), accepted });
    }
    // Exposures are multiples of the first group's, so that means follow without units.
    let at = |multiple: f64| {
        conditional_power(mean, mean * ratio * multiple, Split::from_odds(1.0 / multiple), confidence.risk())
    };
    let mut multiple = times;
    while at(multiple) < wanted_power {
        if multiple > most {
            return Ok(None);
        }
        multiple *= 2.0;
    }
    Ok(Some(first_sufficient(multiple / 2.0, wanted_power, at) * base_exposure.value()))
}

/// The first exposure in rising steps of 1 % from which the power is met twice running.
fn first_sufficient(start: f64, wanted: f64, at: impl Fn(f64) -> f64) -> f64 {
    let mut exposure = start;
    // Go back while the start is already enough, then forward.
    while at(0.9 * exposure) >= wanted && exposure > start * 1e-3 {
        exposure *= 0.9;
    }
    let (mut last, mut met) = (exposure, false);
    for _ in 0..2000 {
        if at(exposure) >= wanted {
            if met {
                return last;
            }
            (last, met) = (exposure, true);
        } else {
            met = false;
        }
        exposure *= 1.01;
    }
    last
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By summing over every pair of counts, at confidences below a half too, where the critical count is below the mean.
    #[test]
    fn power_is_the_sum_over_all_pairs_of_counts() {
        let term = |n: u32, mean: f64| (1..=n).fold((-mean).exp(), |term, k| term * mean / f64::from(k));
        let at_least = |k: u32, n: u32, share: f64| -> f64 {
            let mut term = (1.0 - share).powi(n.cast_signed());
            let mut below = 0.0;
            for c in 0..k {
                below += term;
                term *= f64::from(n - c) / f64::from(c + 1) * share / (1.0 - share);
            }
            1.0 - below
        };
        for confidence in [0.1, 0.2, 0.45, 0.8, 0.95] {
            let (mean1, mean2) = (9.0, 5.0);
            let mut sum = 0.0;
            for a in 1..60_u32 {
                for b in 0..60_u32 {
                    let called = at_least(a, a + b, 0.4) <= 1.0 - confidence;
                    sum += f64::from(u8::from(called)) * term(a, mean1) * term(b, mean2);
                }
            }
            let exposure = |years: f64| Exposure::new(years).unwrap();
            let confidence = Confidence::new(confidence).unwrap();
            let found = power(mean1 / 2.0, exposure(2.0), mean2 / 3.0, exposure(3.0), confidence).unwrap();
            assert!((found - sum).abs() < 1e-9, "{confidence:?}: {found} {sum}");
        }
    }
}
