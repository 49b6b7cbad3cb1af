//! What the evidence on record comes to as a share of failures left: cycles to failure, strength, strength retained after
//! wear, pilot lots. It suggests; the engineer takes it or states another.

use stats::bench::Comparison;
use stats::life::two_samples::TwoSamples;
use stats::lifetimes::{Life as Lived, Lifetimes};
use stats::product::Estimate;
use stats::special::{Tails, normal, student};
use stats::{Confidence, Exposure, Interval, poisson_rate};

use super::PredictionBasis;

/// Scatter of loads in use as a coefficient of variation: low, best, high. Judged; nobody measured it.
pub const LOAD_SCATTER: [f64; 3] = [0.2, 0.3, 0.45];

/// Nodes over the ratio of strengths and over the scatter of loads.
const NODES: (usize, usize) = (61, 15);

/// A share of failures left, with what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggested {
    /// What it rests on.
    pub basis: PredictionBasis,
    /// The share left, with its limits.
    pub ratio: Estimate,
    /// What it was worked out from: what, and the figure in words.
    pub given: Vec<(&'static str, String)>,
}

/// From cycles to failure on the bench, old and new, and the power of age that field failures follow.
///
/// Where the new design lasts `k` times as long at every level of use, its field failures by any age are the old ones by
/// that age over `k`: with failures as a power `b` of age, `k^-b` of them are left. `ln k` is the profile estimate under a
/// common Weibull shape; its variance and that of `b` are carried by the delta method, with the product of both. For `n`
/// failures the spread of `ln k` is widened by `sqrt(n/(n-2))` and by Student's factor over the normal one, so that few
/// specimens don't look surer than they are.
pub fn by_cycles(
    (old, new): (&[Lived], &[Lived]),
    shape: Estimate,
    confidence: Confidence,
) -> Option<Suggested> {
    let (old, new) = (Lifetimes::new(old.to_vec()).ok()?, Lifetimes::new(new.to_vec()).ok()?);
    let both = TwoSamples::new(&old, &new).ok()?;
    let limits = both.ratio_limits(Confidence::NINETY_FIVE);
    if limits.low <= 0.0 || !limits.high.is_finite() {
        return None;
    }
    let spread = |interval: Interval| {
        (interval.high / interval.low).ln() / (2.0 * Confidence::NINETY_FIVE.normal_reach())
    };
    let failures = old.failures() + new.failures();
    if failures < 4.0 {
        return None;
    }
    let student = student::quantile(Tails::from_upper(confidence.half_risk()), failures - 2.0);
    let few = (failures / (failures - 2.0)).sqrt() * student / factor(confidence);
    let (ln_k, of_k) = (both.ratio().ln(), few * spread(limits));
    let of_shape = shape.value * spread(shape.interval);
    let variance = (shape.value * of_k).powi(2) + (ln_k * of_shape).powi(2) + (of_k * of_shape).powi(2);
    let reach = factor(confidence) * variance.sqrt();
    let ln_left = -shape.value * ln_k;
    let interval = Interval { low: (ln_left - reach).exp(), high: (ln_left + reach).exp() };
    Some(Suggested {
        basis: PredictionBasis::Cycles,
        ratio: Estimate { value: ln_left.exp(), interval },
        given: vec![
            ("Specimens", format!("{} before, {} after", old.lives().len(), new.lives().len())),
            (
                "Life after over before",
                format!("{:.2} times ({:.2} to {:.2})", both.ratio(), limits.low, limits.high),
            ),
            (
                "Field failures follow age to the power",
                format!("{:.2} ({:.2} to {:.2})", shape.value, shape.interval.low, shape.interval.high),
            ),
            ("Taken for granted", "the bench wears as the field does, in the same order".into()),
        ],
    })
}

/// From strength on the bench, old and new, against loads that overcome the old one as often as the field shows.
///
/// Strength and the largest load of a year are taken as lognormal. `failing` is the share of items whose load of a year
/// exceeds the old strength; with it and the scatter of loads, [`LOAD_SCATTER`], the load is known, and so is the share
/// that exceeds the new strength. The ratio of strengths is spread by Welch's limits of its logarithm, with what the scatter's
/// own error adds.
pub fn by_strength(
    basis: PredictionBasis,
    (old, new): (&[f64], &[f64]),
    failing: f64,
    confidence: Confidence,
) -> Option<Suggested> {
    let both = Comparison::new(old, new).ok()?;
    let limits = both.ln_ratio_limits(confidence)?;
    if !(failing > 0.0 && failing < 0.5) {
        return None;
    }
    let scatter = |values: &[f64], mean: f64| -> f64 {
        let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        (squares / (values.len() as f64 - 1.0)).sqrt() / mean
    };
    let (cv_old, cv_new) = (scatter(old, both.old_mean()), scatter(new, both.new_mean()));
    let z_old = -normal::quantile(Tails::from_lower(failing));
    let left = |ln_ratio: f64, cv_load: f64| {
        let ln_square = |cv: f64| (cv * cv).ln_1p();
        let of = |cv: f64| (ln_square(cv) + ln_square(cv_load)).sqrt();
        let medians = ln_ratio + 0.5 * (ln_square(cv_old) - ln_square(cv_new));
        let z_new = z_old.mul_add(of(cv_old), medians) / of(cv_new);
        normal::tails(z_new).upper / failing
    };
    let ln_best = both.ratio().ln();
    let [low, best, high] = LOAD_SCATTER;
    let of_means = (limits.high / limits.low).ln() / (2.0 * factor(confidence));
    // The scatter of strength is an estimate too: what its error moves, in units of the ratio's logarithm.
    let of_scatter = |z: f64, cv: f64, n: usize| {
        let all = ((cv * cv).ln_1p() + (best * best).ln_1p()).sqrt();
        z * cv * cv / (all * (2.0 * (n as f64 - 1.0)).sqrt())
    };
    let z_new = -normal::quantile(Tails::from_lower(left(ln_best, best) * failing));
    let spread =
        of_means.hypot(of_scatter(z_old, cv_old, old.len())).hypot(of_scatter(z_new, cv_new, new.len()));
    let node = |at: usize, of: usize| normal::quantile(Tails::from_lower((at as f64 + 0.5) / of as f64));
    let mut likely: Vec<f64> = Vec::with_capacity(NODES.0 * NODES.1);
    for at in 0..NODES.0 {
        for load in 0..NODES.1 {
            let z = node(load, NODES.1);
            let end: f64 = if z < 0.0 { low } else { high };
            let cv_load = best * ((end / best).ln().abs() / Confidence::NINETY_FIVE.normal_reach() * z).exp();
            likely.push(left(spread.mul_add(node(at, NODES.0), ln_best), cv_load));
        }
    }
    likely.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| likely[(share * (likely.len() - 1) as f64).round() as usize];
    let value = left(ln_best, best);
    let interval = Interval {
        low: at(confidence.half_risk()).min(value),
        high: at(1.0 - confidence.half_risk()).max(value),
    };
    Some(Suggested {
        basis,
        ratio: Estimate { value, interval },
        given: vec![
            ("Specimens", format!("{} before, {} after", old.len(), new.len())),
            (
                "Strength after over before",
                format!("{:.2} times ({:.2} to {:.2})", both.ratio(), limits.low, limits.high),
            ),
            ("Scatter of strength", format!("{:.0} % before, {:.0} % after", 100.0 * cv_old, 100.0 * cv_new)),
            ("Items overcome in a year, before", format!("{:.2} %", 100.0 * failing)),
            (
                "Scatter of loads in use, judged",
                format!("{:.0} % ({:.0} to {:.0} %)", 100.0 * best, 100.0 * low, 100.0 * high),
            ),
            ("Taken for granted", "parts fail when one load exceeds their strength".into()),
        ],
    })
}

/// From pilot lots in the field: failures seen against those expected of the old design at the same ages.
///
/// Exact Poisson limits; the expected number is taken as known. `None` where less than one is expected, for then nothing
/// is shown either way.
pub fn by_pilot(seen: u64, expected: f64, confidence: Confidence) -> Option<Suggested> {
    if expected < 1.0 {
        return None;
    }
    let limits = poisson_rate::exact(seen, Exposure::new(expected).ok()?, confidence);
    // A share of nought can't be taken further: the middle of what none in so many allows stands in, and is said to.
    let value = if seen == 0 { 0.5 * limits.high } else { seen as f64 / expected };
    let low = if seen == 0 { value / 10.0 } else { limits.low };
    let mut given = vec![(
        "Failures of pilot lots",
        format!("{seen} seen, {expected:.1} expected of the old design at the same ages"),
    )];
    if seen == 0 {
        given.push((
            "None seen",
            "half of the upper limit stands in for the share, a tenth of that for the low end".into(),
        ));
    }
    let ratio = Estimate { value, interval: Interval { low, high: limits.high } };
    Some(Suggested { basis: PredictionBasis::Pilot, ratio, given })
}

fn factor(confidence: Confidence) -> f64 {
    -normal::quantile(Tails::from_lower(confidence.half_risk()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEADY: Estimate = Estimate { value: 1.0, interval: Interval { low: 1.0, high: 1.0 } };

    /// Motor insulation at 190 and 220 degrees (W. Nelson and G. J. Hahn 1972; R's MASS::motors): under a common Weibull
    /// shape the logarithm of the ratio of scales is -1.071027. At a steady rate exp(1.071027) times the failures are left.
    #[test]
    fn a_part_that_lasts_a_third_as_long_fails_three_times_as_often() {
        let lived = |failed: &[f64], stopped: f64| -> Vec<Lived> {
            let failed = failed.iter().map(|&age| Lived::failed(age));
            failed.chain((0..5).map(|_| Lived::survived(stopped))).collect()
        };
        let mild = lived(&[408.0, 408.0, 1344.0, 1344.0, 1440.0], 1680.0);
        let harsh = lived(&[408.0, 408.0, 504.0, 504.0, 504.0], 528.0);
        let worse = by_cycles((&mild, &harsh), STEADY, Confidence::NINETY_FIVE).expect("fits").ratio;
        assert!((worse.value.ln() - 1.071_027).abs() < 1e-5, "{worse:?}");
        assert!(worse.interval.low > 1.0 && worse.interval.high < 10.0, "{worse:?}");
    }

    #[test]
    fn an_unsure_power_of_age_widens_the_share() {
        let lived = |of: f64| (1..=10).map(|i| Lived::failed(of * f64::from(i).sqrt())).collect::<Vec<_>>();
        let of = |low, high| {
            let shape = Estimate { value: 2.0, interval: Interval { low, high } };
            let found = by_cycles((&lived(100.0), &lived(200.0)), shape, Confidence::NINETY_FIVE);
            found.expect("fits").ratio
        };
        let (sure, unsure) = (of(2.0, 2.0), of(1.0, 4.0));
        // Twice the life at the power 2 leaves a quarter (by hand).
        assert!((sure.value - 0.25).abs() < 1e-6, "{sure:?}");
        assert!(unsure.interval.low < sure.interval.low && unsure.interval.high > sure.interval.high);
    }

    /// By hand: strengths without scatter to speak of, 1 % overcome in a year, z = 2.3263; loads scatter by 30 %, whose
    /// logarithm has a standard deviation of 0.29356. Strength up by 20 % moves z by ln 1.2 / 0.29356 = 0.62107 to
    /// 2.9474, which 0.1602 % exceed: 0.160 of the failures are left.
    #[test]
    fn a_fifth_more_strength_leaves_a_sixth_of_overloads_at_thirty_per_cent_scatter() {
        let values = |of: f64| [0.999, 1.0, 1.001, 0.999, 1.0, 1.001].map(|x| of * x);
        let found = by_strength(
            PredictionBasis::Strength,
            (&values(100.0), &values(120.0)),
            0.01,
            Confidence::NINETY_FIVE,
        );
        let ratio = found.expect("scatter").ratio;
        assert!((ratio.value - 0.160).abs() < 0.002, "{ratio:?}");
        assert!(
            ratio.interval.low < 0.07 && ratio.interval.high > 0.28,
            "the judged scatter counts: {ratio:?}"
        );
    }

    /// Exact Poisson limits (Garwood): 3 seen have 0.6187 and 8.7673.
    #[test]
    fn pilot_lots_count_against_what_was_expected_of_them() {
        let found = by_pilot(3, 10.0, Confidence::NINETY_FIVE).expect("enough").ratio;
        assert!((found.value - 0.3).abs() < 1e-12);
        assert!((found.interval.low - 0.06187).abs() < 1e-5 && (found.interval.high - 0.87673).abs() < 1e-5);
        assert!(by_pilot(0, 0.5, Confidence::NINETY_FIVE).is_none(), "too little was expected");
        let none = by_pilot(0, 5.0, Confidence::NINETY_FIVE).expect("enough");
        assert!(none.ratio.interval.low > 0.0 && none.given.len() == 2);
    }
}
