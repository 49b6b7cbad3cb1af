//! Events that have happened but are not reported yet: nowcasts from the delays seen so far, and the chain ladder.

mod chain_ladder;

pub use chain_ladder::{ChainLadder, Ladder, chain_ladder};

use crate::error::StatsError;
use crate::value::{Confidence, Interval};

/// What is known of one period's events.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Period {
    /// Events reported so far.
    pub reported: u64,
    /// Share of a period's events that is reported by now, from 0 to 1.
    pub completeness: f64,
    /// The nowcast; `None` for a period too fresh for any report to be expected.
    pub nowcast: Option<Nowcast>,
}

/// Events that a period will have had when all reports are in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nowcast {
    /// Expected number.
    pub events: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Limits, log-normal on the part not yet reported, so that `low` is never below what is reported.
    pub interval: Interval,
}

/// How fast events get reported, and what that means for each period.
#[derive(Clone, Debug, PartialEq)]
pub struct Delays {
    /// By delay: of the events reported up to that delay, the share reported just then; `None` at delay 0.
    pub reverse_hazard: Vec<Option<f64>>,
    /// By delay: share of a period's events reported up to it.
    pub cumulative: Vec<f64>,
    /// By delay: variance of the logarithm of that share.
    pub variance_of_log: Vec<f64>,
    /// By period, the oldest first.
    pub periods: Vec<Period>,
}

impl Delays {
    /// Sum of the nowcasts; `None` where a period has none.
    pub fn total(&self) -> Option<f64> {
        self.periods.iter().map(|p| p.nowcast.map(|n| n.events)).sum()
    }
}

/// Nowcasts from a triangle of counts: by period (the oldest first), then by delay 0, 1, 2, ...
///
/// The longest row gives the largest delay `D`; a period that is `j` periods old has its first `j + 1` delays. With the
/// reverse hazard `g_d = sum n_td / sum_(j<=d) n_tj` over the periods that have seen delay `d`: `F(D) = 1`,
/// `F(d-1) = F(d)(1 - g_d)`, nowcast `n / F`, variance `n (1-F)/F^2 + (n/F)^2 Var(ln F)` with
/// `Var(ln F(d)) = sum_(j>d) g_j / ((1 - g_j) N_j)`. The delays must not have changed over time, and none be longer than
/// `D`.
///
/// Source: J. D. Kalbfleisch & J. F. Lawless, Statistica Sinica 1 (1991) 19; the point estimate is the chain ladder's.
///
/// # Errors
/// [`StatsError::TooFew`] for no periods or an oldest period without counts; [`StatsError::LengthsDiffer`] for a row of
/// another length than its age gives it; [`StatsError::OutOfRange`] for counts that add up to 2^53.
///
/// ```
/// use stats::{Confidence, reporting_delay::nowcast};
/// let seen = nowcast(&[vec![9, 3], vec![9, 3], vec![9]], Confidence::NINETY).unwrap();
/// assert_eq!(seen.cumulative, [0.75, 1.0]);
/// assert_eq!(seen.periods[2].nowcast.unwrap().events, 12.0);
/// ```
pub fn nowcast(triangle: &[Vec<u64>], confidence: Confidence) -> Result<Delays, StatsError> {
    let delays = triangle.first().map_or(0, Vec::len);
    if delays == 0 {
        return Err(StatsError::TooFew { what: "counts of the oldest period", given: 0, needed: 1 });
    }
    for (t, row) in triangle.iter().enumerate() {
        let due = delays.min(triangle.len() - t);
        if row.len() != due {
            let (first, second) = ("counts in a row of the triangle", "delays its period has seen");
            return Err(StatsError::LengthsDiffer { first, second, lengths: (row.len(), due) });
        }
    }
    crate::error::total("total of the counts", triangle.iter().flatten())?;
    let mut cumulative = vec![1.0; delays];
    let mut variance_of_log = vec![0.0; delays];
    let mut reverse_hazard = vec![None; delays];
    for d in (1..delays).rev() {
        let seen = triangle.iter().filter(|row| row.len() > d);
        let (late, all) =
            seen.fold((0, 0), |(late, all), row| (late + row[d], all + row[..=d].iter().sum::<u64>()));
        // Where nothing was ever reported up to this delay there is no sign of anything late.
        let hazard = if all == 0 { 0.0 } else { late as f64 / all as f64 };
        reverse_hazard[d] = (all > 0).then_some(hazard);
        cumulative[d - 1] = if late == all && all > 0 { 0.0 } else { cumulative[d] * (1.0 - hazard) };
        let more = if late < all { hazard / ((1.0 - hazard) * all as f64) } else { 0.0 };
        variance_of_log[d - 1] = variance_of_log[d] + more;
    }
    let z = confidence.normal_reach();
    let periods = triangle
        .iter()
        .map(|row| {
            let (reported, completeness) = (row.iter().sum(), cumulative[row.len() - 1]);
            let spread = variance_of_log[row.len() - 1];
            Period { reported, completeness, nowcast: project(reported as f64, completeness, spread, z) }
        })
        .collect();
    Ok(Delays { reverse_hazard, cumulative, variance_of_log, periods })
}

fn project(reported: f64, completeness: f64, variance_of_log: f64, z: f64) -> Option<Nowcast> {
    if completeness == 0.0 {
        return None;
    }
    let events = reported / completeness;
    let missing = events - reported;
    let variance = missing / completeness + events * events * variance_of_log;
    let standard_error = variance.sqrt();
    let interval = if missing > 0.0 {
        let reach = (z * standard_error / missing).exp();
        Interval { low: reported + missing / reach, high: reported + missing * reach }
    } else {
        Interval { low: reported, high: reported }
    };
    Some(Nowcast { events, standard_error, interval })
}
