//! A ratio of two rates, after over before, whose limits stay valid however often one looks.

use crate::error::StatsError;
use crate::special::root;
use crate::stratified::{Stratum, informative};
use crate::value::{Confidence, Interval};

/// Spread of the mixture on the logarithm of the ratio: a doubling or halving is one standard deviation.
const SPREAD: f64 = std::f64::consts::LN_2;

/// Limits of the common ratio of the rate after to the rate before, valid at every look at once.
///
/// Limits such as those of [`crate::stratified::exact`] hold at one look fixed beforehand; who looks every week and
/// stops when they please is wrong far more often than the confidence says. These hold at all looks together, at the
/// price of being 1.5 to 1.7 times as wide on the logarithm.
///
/// Given a stratum's total `n`, its count after is binomial with chance `p(r) = a r / (a r + b)` for its own exposures
/// `a` after and `b` before. With `L(r)` the product of these binomial chances, a ratio `r` is kept while
/// `M(r) = integral of L(r e^d)/L(r) N(d; 0, ln 2) dd < 1 / (1 - confidence)`.
///
/// # When it is valid
/// * **A row a period (and stratum), each closed when it is handed in.** Counts of different periods are independent
///   and each row's split is known beforehand, so that `M` at the true ratio is a martingale that starts at 1; by
///   Ville's inequality it ever reaches `1/risk` with probability at most the risk. This is exact, for base rates that
///   change from period to period, and for any reason to stop.
/// * **A row an age stratum, with all of its history before and a growing part after.** Then `M` is the Bayes factor
///   under the scale-invariant prior on the stratum's base rate: a martingale on average over what the history leaves
///   open about that rate, not at each rate by a theorem. The crate's tests simulate it: with 2 to 400 events of
///   history, and with several strata, a true ratio of 0.5, 1 or 2 was left out at any of 60 looks in fewer of the
///   runs than the risk allows. The history must be closed, or grow for reasons that have nothing to do with its
///   counts.
///
/// It is not valid when rows are chosen, split or merged after seeing their counts, nor when failures come in
/// clusters (one event bringing others), which no Poisson method survives.
///
/// `low` is 0 without events after, `high` infinite without events before.
///
/// Source: M. Lindon & A. Malek, "Anytime-valid inference for multinomial count data", NeurIPS 35 (2022), for the
/// conditional construction; H. Robbins, Ann. Math. Stat. 41 (1970) 1397, for mixtures; A. Hendriksen, R. de Heide &
/// P. Grünwald, Bayesian Analysis 16 (2021) 961, for stopping with invariant priors. The mixture by log-normal instead
/// of Dirichlet lets strata with different splits share one ratio.
///
/// # Errors
/// As [`crate::stratified::exact`], without its limit on the number of events.
///
/// ```
/// use stats::{Confidence, anytime::ratio, stratified::{Stratum, exact}};
/// let rows = [Stratum { before_count: 40, before_exposure: 1000.0, after_count: 10, after_exposure: 500.0 }];
/// let (any, once) = (ratio(&rows, Confidence::NINETY_FIVE).unwrap(), exact(&rows, Confidence::NINETY_FIVE).unwrap());
/// assert!(any.low < once.low && any.high > once.high && any.contains(0.5));
/// ```
pub fn ratio(strata: &[Stratum], confidence: Confidence) -> Result<Interval, StatsError> {
    let rows = prepared(strata)?;
    let bar = -confidence.risk().ln();
    let centre = most_likely(&rows);
    let (after, before) = (rows.iter().any(|row| row.after > 0.0), rows.iter().any(|row| row.before > 0.0));
    let evidence = |log_ratio: f64| ln_mixture(&rows, log_ratio) - bar;
    // At the most likely ratio nothing speaks against it, so that each limit lies on its own side of the centre.
    let low = if after { (-root::widened(-centre, 0.5, |u| evidence(-u))).exp() } else { 0.0 };
    let high = if before { root::widened(centre, 0.5, evidence).exp() } else { f64::INFINITY };
    Ok(Interval { low, high })
}

/// Evidence against a ratio, `M(r)`: below `1/risk` at every look together with probability `1 - risk` if it is true.
///
/// # Errors
/// As [`ratio`], and [`StatsError::OutOfRange`] for a ratio that is not finite and above 0.
pub fn evidence_against(strata: &[Stratum], ratio: f64) -> Result<f64, StatsError> {
    let rows = prepared(strata)?;
    Ok(ln_mixture(&rows, crate::error::positive("supposed ratio", ratio)?.ln()).exp())
}

/// A row as the likelihood needs it: counts, and the logarithm of its exposure after over before.
struct Row {
    after: f64,
    before: f64,
    ln_split: f64,
}

fn prepared(strata: &[Stratum]) -> Result<Vec<Row>, StatsError> {
    let rows = informative(strata)?;
    Ok(rows
        .iter()
        .map(|s| Row {
            after: s.after_count as f64,
            before: s.before_count as f64,
            ln_split: s.after_exposure.ln() - s.before_exposure.ln(),
        })
        .collect())
}

/// Logarithm of the likelihood at a logarithm of the ratio (up to a constant), its slope and its bend.
fn likelihood(rows: &[Row], log_ratio: f64) -> (f64, f64, f64) {
    let (mut value, mut slope, mut bend) = (0.0, 0.0, 0.0);
    for row in rows {
        // With the logit of the share expected after, ln(1 - p) = -ln(1 + e^logit), and ln p = logit + ln(1 - p).
        let logit = log_ratio + row.ln_split;
        let small = (-logit.abs()).exp();
        let ln_rest = -(logit.max(0.0) + small.ln_1p());
        let minor = small / (1.0 + small);
        let share = if logit > 0.0 { 1.0 - minor } else { minor };
        let total = row.after + row.before;
        value += row.after * logit + total * ln_rest;
        slope += row.after - total * share;
        bend -= total * minor * (1.0 - minor);
    }
    (value, slope, bend)
}

/// Logarithm of the most likely ratio, with half an event added to a side that has none.
fn most_likely(rows: &[Row]) -> f64 {
    let sum = |part: fn(&Row) -> f64| rows.iter().map(part).sum::<f64>();
    let (after, before, total) = (sum(|r| r.after), sum(|r| r.before), sum(|r| r.after + r.before));
    let split = sum(|r| (r.after + r.before) * r.ln_split) / total;
    let log = (after.max(0.5) / before.max(0.5)).ln() - split;
    if after == 0.0 || before == 0.0 {
        return log;
    }
    // The slope falls throughout, however unequal the splits.
    root::widened(log, 0.5, |u| -likelihood(rows, u).1)
}

/// `ln M(r)`: the likelihood ratio averaged over a normal spread of the logarithm of the ratio.
///
/// The integrand is log-concave; its peak is found by Newton and the rest summed in steps of half its width,
/// which for so smooth a function is exact to rounding.
fn ln_mixture(rows: &[Row], log_ratio: f64) -> f64 {
    let precision = 1.0 / (SPREAD * SPREAD);
    let mut peak = 0.0;
    for _ in 0..100 {
        let (_, slope, bend) = likelihood(rows, log_ratio + peak);
        let step = ((slope - peak * precision) / (precision - bend)).clamp(-1.0, 1.0);
        peak += step;
        if step.abs() < 1e-9 {
            break;
        }
    }
    let (base, _, _) = likelihood(rows, log_ratio);
    let ln_integrand = |d: f64| likelihood(rows, log_ratio + d).0 - base - 0.5 * d * d * precision;
    let (top, _, bend) = likelihood(rows, log_ratio + peak);
    let top = top - base - 0.5 * peak * peak * precision;
    let width = 1.0 / (precision - bend).sqrt();
    let step = width / 2.0;
    let mut sum = 1.0;
    for side in [1.0, -1.0] {
        let mut d = peak + side * step;
        // A dozen or two steps reach rounding; the bound is for exposures so extreme that nothing can be summed.
        for _ in 0..1000 {
            let part = (ln_integrand(d) - top).exp();
            sum += part;
            if part < 1e-14 {
                break;
            }
            d += side * step;
        }
    }
    top + (sum * step / SPREAD).ln() - crate::special::LN_SQRT_TAU
}
