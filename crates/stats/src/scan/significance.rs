//! How often chance alone gives a stretch as unusual as the one found.

use super::{Series, log_likelihood_ratio};
use crate::error::StatsError;
use crate::special::gamma::ln_gamma;

/// More arrangements than this are not worked out one by one.
const MOST_ARRANGEMENTS: f64 = 3e6;

/// A window and the fewest events in it that are as unusual as what was found.
struct Bar {
    start: usize,
    end: usize,
    fewest: u64,
}

/// The bars of all windows that could be as unusual; `None` when nothing unusual was found.
fn bars(series: &Series) -> Option<Vec<Bar>> {
    let found = series.most_unusual()?.log_likelihood_ratio * (1.0 - 1e-10);
    let total = series.total();
    let mut bars = Vec::new();
    for (start, end) in series.windows() {
        let expected = total as f64 * series.share((start, end));
        // The ratio rises with the count above what is expected: bisect for the first that reaches.
        let reaches = |count: u64| log_likelihood_ratio(count as f64, expected, total as f64) >= found;
        if !reaches(total) {
            continue;
        }
        let (mut low, mut high) = (0, total);
        while low < high {
            let middle = low + (high - low) / 2;
            if reaches(middle) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        bars.push(Bar { start, end, fewest: high });
    }
    Some(bars)
}

/// Exact probability of a stretch at least as unusual, by working through every way the events could have fallen.
///
/// `None` where there are more than 3 million ways; 1 where nothing unusual was found.
pub fn exact_p_value(series: &Series) -> Option<f64> {
    let (periods, total) = (series.counts.len() as f64, series.total() as f64);
    let ways = (ln_gamma(total + periods) - ln_gamma(total + 1.0) - ln_gamma(periods)).exp();
    if ways > MOST_ARRANGEMENTS {
        return None;
    }
    let Some(bars) = bars(series) else { return Some(1.0) };
    let mut arrangement = Arrangement {
        ln_shares: series.shares.windows(2).map(|pair| (pair[1] - pair[0]).ln()).collect(),
        bars: &bars,
        before: vec![0; series.counts.len() + 1],
        total: 0.0,
    };
    arrangement.place(0, series.total(), ln_gamma(total + 1.0));
    Some(arrangement.total.min(1.0))
}

/// A partly filled arrangement of the events over the periods.
struct Arrangement<'a> {
    ln_shares: Vec<f64>,
    bars: &'a [Bar],
    /// Events before each period.
    before: Vec<u64>,
    total: f64,
}

impl Arrangement<'_> {
    /// Fills the periods from one on in every way with what is left.
    fn place(&mut self, period: usize, left: u64, ln_chance: f64) {
        let last = period + 1 == self.ln_shares.len();
        for count in if last { left } else { 0 }..=left {
            let ln_share = self.ln_shares[period];
            if count > 0 && ln_share == f64::NEG_INFINITY {
                break;
            }
            let part = if count == 0 { 0.0 } else { count as f64 * ln_share - ln_gamma(count as f64 + 1.0) };
            self.before[period + 1] = self.before[period] + count;
            if !last {
                self.place(period + 1, left - count, ln_chance + part);
            } else if self.bars.iter().any(|b| self.before[b.end + 1] - self.before[b.start] >= b.fewest) {
                self.total += (ln_chance + part).exp();
            }
        }
    }
}

/// Monte Carlo probability of a stretch at least as unusual: `(1 + as unusual) / (1 + replicates)`.
///
/// Each replicate lets every event fall into a period by its share of the exposure. Draws are uniform 64-bit numbers.
/// 1 where nothing unusual was found.
///
/// # Errors
/// [`StatsError::TooFew`] for no replicates.
pub fn simulated_p_value(
    series: &Series,
    replicates: u32,
    draw: &mut impl FnMut() -> u64,
) -> Result<f64, StatsError> {
    if replicates == 0 {
        return Err(StatsError::TooFew { what: "replicates", given: 0, needed: 1 });
    }
    let Some(bars) = bars(series) else { return Ok(1.0) };
    let total = series.total();
    let ends = &series.shares[1..];
    let mut unusual = 1_u64;
    let mut before = vec![0_u64; series.counts.len() + 1];
    for _ in 0..replicates {
        before.fill(0);
        for _ in 0..total {
            let uniform = (draw() >> 11) as f64 / (1_u64 << 53) as f64;
            before[ends.partition_point(|&end| end <= uniform).min(ends.len() - 1) + 1] += 1;
        }
        for period in 1..before.len() {
            before[period] += before[period - 1];
        }
        unusual += u64::from(bars.iter().any(|b| before[b.end + 1] - before[b.start] >= b.fewest));
    }
    Ok(unusual as f64 / (f64::from(replicates) + 1.0))
}
