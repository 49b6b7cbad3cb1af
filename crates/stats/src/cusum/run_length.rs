//! How long a CUSUM runs before it signals: exactly for equal periods, by simulation for varying exposure.

use super::{Alarm, Cusum, Side};
use crate::error::{StatsError, positive};
use crate::poisson_rate::{lower_tail, upper_tail};
use crate::special::Tails;
use crate::special::gamma::{self, poisson_term};

/// A CUSUM whose reference value, threshold and head start are whole multiples of one part of an event.
///
/// With `parts = 4` a reference of 1/4 is 1, a threshold of 10 is 40.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lattice {
    /// Parts an event has, above 0.
    pub parts: u32,
    /// What a period takes off the score, in parts.
    pub reference: u32,
    /// Threshold, in parts, above 0.
    pub threshold: u32,
    /// Score to start from, in parts, below the threshold.
    pub head_start: u32,
    /// The change watched for.
    pub side: Side,
    /// When it signals.
    pub alarm: Alarm,
}

const MOST_STATES: usize = 2000;

/// Average number of periods up to and including the one that signals, for equal periods of the given mean count.
///
/// The scores that do not signal are the states of a Markov chain with transitions `Q`; the run lengths are
/// `(I - Q)^-1 1`, exact to rounding. Infinite beyond 1e15 periods, which rounding cannot tell from never.
///
/// Source: D. Brook & D. A. Evans, Biometrika 59 (1972) 539; J. M. Lucas, Technometrics 27 (1985) 129.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a mean that is not finite and above 0, no parts, a threshold of 0 or above 2,000
/// states, or a head start that signals at once.
///
/// ```
/// use stats::cusum::{Alarm, Lattice, Side, average_run_length};
/// let chart = Lattice { parts: 4, reference: 1, threshold: 40, head_start: 0, side: Side::Upper, alarm: Alarm::AtLeast };
/// // Lucas (1985), table 2: 438, and 333 with a head start of half the threshold.
/// assert_eq!(average_run_length(0.25, &chart).unwrap().round(), 438.0);
/// assert_eq!(average_run_length(0.25, &Lattice { head_start: 20, ..chart }).unwrap().round(), 333.0);
/// ```
pub fn average_run_length(mean: f64, chart: &Lattice) -> Result<f64, StatsError> {
    let mean = positive("mean count", mean)?;
    let states = chart.threshold as usize + usize::from(chart.alarm == Alarm::Above);
    let out =
        |what, value: usize, accepted| Err(StatsError::OutOfRange { what, value: value as f64, accepted });
    if chart.parts == 0 {
        return out("parts of an event", 0, "1 or more");
    }
    if chart.threshold == 0 || states > MOST_STATES {
        return out("threshold in parts", chart.threshold as usize, "from 1 to 2,000");
    }
    if chart.head_start as usize >= states {
        return out("head start in parts", chart.head_start as usize, "below the threshold");
    }
    let mut system: Vec<Vec<f64>> = (0..states).map(|from| row(mean, chart, from, states)).collect();
    let length = solve(&mut system)[chart.head_start as usize];
    Ok(if (1.0..1e15).contains(&length) { length } else { f64::INFINITY })
}

/// One row of `I - Q`, with a last column of ones for the right-hand side.
fn row(mean: f64, chart: &Lattice, state: usize, states: usize) -> Vec<f64> {
    let (parts, reference) = (i64::from(chart.parts), i64::from(chart.reference));
    // At most 2,000 states, so that no number of parts is lost.
    let from = i64::try_from(state).unwrap_or(i64::MAX);
    let term = |events: i64| poisson_term(events as f64, mean);
    let mut row = vec![0.0; states + 1];
    match chart.side {
        Side::Upper => {
            // Down to 0 or below: events <= (reference - from) / parts.
            let most = (reference - from).div_euclid(parts);
            row[0] = if most < 0 { 0.0 } else { lower_tail(most as u64, mean) };
            let mut events = (most + 1).max(0);
            while let Some(to) =
                usize::try_from(from + parts * events - reference).ok().filter(|&to| to < states)
            {
                row[to] += term(events);
                events += 1;
            }
        }
        Side::Lower => {
            // Down to 0 or below: events >= (from + reference) / parts, rounded up.
            let least =
                (from + reference).div_euclid(parts) + i64::from((from + reference).rem_euclid(parts) != 0);
            row[0] = upper_tail(least as u64, mean);
            for events in 0..least {
                let to = (from + reference - parts * events) as usize;
                if to < states {
                    row[to] += term(events);
                }
            }
        }
    }
    for (to, chance) in row.iter_mut().take(states).enumerate() {
        *chance = f64::from(u8::from(to == state)) - *chance;
    }
    row[states] = 1.0;
    row
}

/// Solves the system by elimination with pivots.
fn solve(system: &mut [Vec<f64>]) -> Vec<f64> {
    let n = system.len();
    for column in 0..n {
        let pivot = (column..n)
            .max_by(|&i, &j| system[i][column].abs().total_cmp(&system[j][column].abs()))
            .unwrap_or(column);
        system.swap(column, pivot);
        let (above, below) = system.split_at_mut(column + 1);
        let top = &above[column];
        for line in below {
            let factor = line[column] / top[column];
            if factor != 0.0 {
                for (x, t) in line[column..].iter_mut().zip(&top[column..]) {
                    *x -= factor * t;
                }
            }
        }
    }
    let mut answer = vec![0.0; n];
    for line in (0..n).rev() {
        let known: f64 = (line + 1..n).map(|i| system[line][i] * answer[i]).sum();
        answer[line] = (system[line][n] - known) / system[line][line];
    }
    answer
}

/// Average run length by simulation, for periods whose exposures repeat in the order given.
///
/// Runs are cut at `longest` periods, which makes the answer a little too small where many reach it. Draws are uniform
/// 64-bit numbers.
///
/// # Errors
/// [`StatsError::TooFew`] for no exposures or runs, [`StatsError::OutOfRange`] for a value out of range.
pub fn simulated_run_length(
    chart: &Cusum,
    rate: f64,
    exposures: &[f64],
    runs: u32,
    longest: u32,
    draw: &mut impl FnMut() -> u64,
) -> Result<f64, StatsError> {
    chart.checked()?;
    let rate = positive("rate", rate)?;
    if exposures.is_empty() || runs == 0 {
        let (what, given) = if runs == 0 { ("runs", 0) } else { ("exposures", 0) };
        return Err(StatsError::TooFew { what, given, needed: 1 });
    }
    for &exposure in exposures {
        crate::error::not_negative("exposure", exposure)?;
    }
    let mut periods = 0_u64;
    for _ in 0..runs {
        let mut score = chart.head_start;
        for period in 0..longest {
            periods += 1;
            let exposure = exposures[period as usize % exposures.len()];
            score = chart.next(score, poisson_draw(rate * exposure, draw), exposure);
            if chart.alarm.signals(score, chart.threshold) {
                break;
            }
        }
    }
    Ok(periods as f64 / f64::from(runs))
}

/// A Poisson count from one uniform draw: by adding terms for a small mean, from the gamma quantile for a large one.
fn poisson_draw(mean: f64, draw: &mut impl FnMut() -> u64) -> f64 {
    let uniform = ((draw() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64;
    if mean == 0.0 {
        return 0.0;
    }
    let mut count = 0.0;
    if mean > 30.0 {
        // P(X < k) = Q(k, mean): the count is near the normal quantile, a few standard deviations below to be safe.
        count = (mean + crate::special::normal::quantile(Tails::from_lower(uniform)) * mean.sqrt() - 6.0)
            .max(0.0)
            .floor();
    }
    let mut below = gamma::tails(count + 1.0, mean).upper;
    while count > 0.0 && below - poisson_term(count, mean) > uniform {
        below -= poisson_term(count, mean);
        count -= 1.0;
    }
    let mut term = poisson_term(count, mean);
    while below < uniform && term > 0.0 {
        count += 1.0;
        term *= mean / count;
        below += term;
    }
    count
}
