//! Watching a stream of counts for a change of rate: the Poisson CUSUM with varying exposure, and its run lengths.

mod run_length;

pub use run_length::{Lattice, average_run_length, simulated_run_length};

use crate::error::{StatsError, not_negative, positive};

/// Which change is watched for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// A rate that has risen.
    Upper,
    /// A rate that has fallen.
    Lower,
}

/// When a score signals. State it next to the threshold: it changes run lengths by up to half.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Alarm {
    /// At the threshold or above it (Lucas).
    AtLeast,
    /// Above the threshold only.
    Above,
}

impl Alarm {
    fn signals(self, score: f64, threshold: f64) -> bool {
        match self {
            Self::AtLeast => score >= threshold,
            Self::Above => score > threshold,
        }
    }
}

/// A CUSUM of counts: what a period takes off the score, and where it signals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cusum {
    /// Reference rate per unit of exposure, above 0; [`reference_rate`] gives the best for two rates.
    pub reference_rate: f64,
    /// Threshold, in events, above 0.
    pub threshold: f64,
    /// Score to start from: 0, or half the threshold for a fast first response.
    pub head_start: f64,
    /// The change watched for.
    pub side: Side,
    /// When it signals.
    pub alarm: Alarm,
}

/// One period's score.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Score after the period.
    pub score: f64,
    /// Whether it signals; the next period then starts from 0.
    pub alarm: bool,
}

/// The rate per unit of exposure at which a period of the two rates is told apart best.
///
/// `k = (rate1 - rate0) / ln(rate1 / rate0)`. The score times `ln(rate1 / rate0)` is then the log-likelihood ratio, so
/// that a threshold `h` in events is `h ln(rate1 / rate0)` in its units.
///
/// Source: J. M. Lucas, Technometrics 27 (1985) 129.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a rate that is not finite and above 0, or equal rates.
///
/// ```
/// let k = stats::cusum::reference_rate(0.25, 0.5).unwrap();
/// assert!((k - 0.360_673_760_222_240_85).abs() < 1e-15);
/// ```
pub fn reference_rate(rate0: f64, rate1: f64) -> Result<f64, StatsError> {
    Ok((positive("rate in control", rate0)? - positive("rate out of control", rate1)?).abs()
        / log_weight(rate0, rate1)?.abs())
}

/// `ln(rate1 / rate0)`, exact also for rates that nearly agree.
///
/// # Errors
/// As [`reference_rate`].
pub fn log_weight(rate0: f64, rate1: f64) -> Result<f64, StatsError> {
    let (rate0, rate1) = (positive("rate in control", rate0)?, positive("rate out of control", rate1)?);
    if rate0 == rate1 {
        let accepted = "different from the rate in control";
        return Err(StatsError::OutOfRange { what: "rate out of control", value: rate1, accepted });
    }
    let change = (rate1 - rate0) / rate0;
    Ok(if change.abs() < 0.5 { change.ln_1p() } else { (rate1 / rate0).ln() })
}

impl Cusum {
    /// Refuses settings that cannot be.
    fn checked(&self) -> Result<(), StatsError> {
        positive("reference rate", self.reference_rate)?;
        positive("threshold", self.threshold)?;
        not_negative("head start", self.head_start)?;
        Ok(())
    }

    /// The score after one more period.
    fn next(&self, score: f64, count: f64, exposure: f64) -> f64 {
        let gain = count - self.reference_rate * exposure;
        match self.side {
            Side::Upper => (score + gain).max(0.0),
            Side::Lower => (score - gain).max(0.0),
        }
    }

    /// Scores of periods in order: `S = max(0, S + count - k exposure)`, restarted at 0 after a signal.
    ///
    /// # Errors
    /// [`StatsError::LengthsDiffer`] for lists that do not pair, [`StatsError::ItemOutOfRange`] for an exposure that is
    /// negative or not finite, [`StatsError::OutOfRange`] for settings that are.
    pub fn path(&self, counts: &[u64], exposures: &[f64]) -> Result<Vec<Step>, StatsError> {
        self.checked()?;
        if counts.len() != exposures.len() {
            let lengths = (counts.len(), exposures.len());
            return Err(StatsError::LengthsDiffer { first: "counts", second: "exposures", lengths });
        }
        let mut score = self.head_start;
        let mut steps = Vec::with_capacity(counts.len());
        for (index, (&count, &exposure)) in counts.iter().zip(exposures).enumerate() {
            if not_negative("exposure", exposure).is_err() {
                let accepted = "a finite number of 0 or more";
                return Err(StatsError::ItemOutOfRange {
                    what: "exposure",
                    index,
                    value: exposure,
                    accepted,
                });
            }
            score = self.next(score, count as f64, exposure);
            let alarm = self.alarm.signals(score, self.threshold);
            steps.push(Step { score, alarm });
            if alarm {
                score = 0.0;
            }
        }
        Ok(steps)
    }
}
