//! Finding the stretch of time with too many events: Kulldorff's temporal scan.

mod significance;

pub use significance::{exact_p_value, simulated_p_value};

use crate::error::{StatsError, not_negative};

/// The most unusual stretch of a series of periods.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// First period, counted from 0.
    pub start: usize,
    /// Last period, counted from 0.
    pub end: usize,
    /// Events in it.
    pub observed: u64,
    /// Events expected in it if all periods shared one rate.
    pub expected: f64,
    /// Log-likelihood ratio against one common rate.
    pub log_likelihood_ratio: f64,
    /// Rate inside over rate outside; infinite when there are no events outside.
    pub relative_risk: f64,
}

/// A series of counts with their exposures, checked, and the longest window looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    counts: Vec<u64>,
    /// Share of all exposure that lies before each period, with a last entry for all of it.
    shares: Vec<f64>,
    longest: usize,
}

impl Series {
    /// Takes counts and exposures of periods in order, and the longest window in periods.
    ///
    /// # Errors
    /// [`StatsError::LengthsDiffer`] for lists that do not pair, [`StatsError::TooFew`] for no periods,
    /// [`StatsError::ItemOutOfRange`] for an exposure that is negative, not finite, or with events below a billionth of the
    /// total, and [`StatsError::OutOfRange`] for exposures that add up to 0 or to no number, counts that add up to 2^53, or
    /// a window of 0 periods.
    pub fn new(counts: &[u64], exposures: &[f64], longest: usize) -> Result<Self, StatsError> {
        if counts.len() != exposures.len() {
            let lengths = (counts.len(), exposures.len());
            return Err(StatsError::LengthsDiffer { first: "counts", second: "exposures", lengths });
        }
        if counts.is_empty() {
            return Err(StatsError::TooFew { what: "periods", given: 0, needed: 1 });
        }
        for (index, (&count, &value)) in counts.iter().zip(exposures).enumerate() {
            if not_negative("exposure", value).is_err() || (value == 0.0 && count > 0) {
                let accepted = "a finite number of 0 or more, and above 0 where events were counted";
                return Err(StatsError::ItemOutOfRange { what: "exposure", index, value, accepted });
            }
        }
        if longest == 0 {
            return Err(StatsError::OutOfRange {
                what: "longest window",
                value: 0.0,
                accepted: "1 period or more",
            });
        }
        crate::error::total("total count", counts)?;
        let total = crate::error::positive("total exposure", exposures.iter().sum())?;
        for (index, (&count, &value)) in counts.iter().zip(exposures).enumerate() {
            if count > 0 && value < 1e-9 * total {
                let accepted = "at least a billionth of the total where events were counted";
                return Err(StatsError::ItemOutOfRange { what: "exposure", index, value, accepted });
            }
        }
        let mut shares = vec![0.0];
        let mut sum = 0.0;
        for exposure in exposures {
            sum += exposure;
            shares.push(sum / total);
        }
        Ok(Self { counts: counts.to_vec(), shares, longest })
    }

    fn total(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// All windows, by start and then by end, as `(start, end)`.
    fn windows(&self) -> impl Iterator<Item = (usize, usize)> {
        let (periods, longest) = (self.counts.len(), self.longest);
        (0..periods).flat_map(move |start| {
            (start..periods.min(start.saturating_add(longest))).map(move |end| (start, end))
        })
    }

    /// Share of the exposure in a window.
    fn share(&self, (start, end): (usize, usize)) -> f64 {
        self.shares[end + 1] - self.shares[start]
    }

    /// The window with the largest log-likelihood ratio, the first of equals; `None` where no window has more events
    /// than its share.
    ///
    /// `LLR = c ln(c/e) + (C-c) ln((C-c)/(C-e))` for `c` of all `C` events in a window with `e` expected, 0 unless
    /// `c > e`.
    ///
    /// Source: M. Kulldorff, Communications in Statistics, Theory and Methods 26 (1997) 1481.
    ///
    /// ```
    /// use stats::scan::{Series, exact_p_value};
    /// let series = Series::new(&[0, 1, 3, 3, 0, 0], &[2.0, 2.0, 1.0, 1.0, 2.0, 2.0], 3).unwrap();
    /// let window = series.most_unusual().unwrap();
    /// assert_eq!((window.start, window.end, window.observed), (2, 3, 6));
    /// assert!((exact_p_value(&series).unwrap() - 0.002_427_2).abs() < 1e-12);
    /// ```
    pub fn most_unusual(&self) -> Option<Window> {
        let total = self.total();
        let mut best: Option<Window> = None;
        for (start, end) in self.windows() {
            let observed = self.counts[start..=end].iter().sum::<u64>();
            let expected = total as f64 * self.share((start, end));
            let ratio = log_likelihood_ratio(observed as f64, expected, total as f64);
            let least = best.map_or(0.0, |b| b.log_likelihood_ratio) * (1.0 + 1e-12);
            if ratio > least.max(1e-12) {
                let outside = (total - observed) as f64 / (total as f64 - expected);
                best = Some(Window {
                    start,
                    end,
                    observed,
                    expected,
                    log_likelihood_ratio: ratio,
                    relative_risk: observed as f64 / expected / outside,
                });
            }
        }
        best
    }
}

fn log_likelihood_ratio(observed: f64, expected: f64, total: f64) -> f64 {
    if observed <= expected {
        return 0.0;
    }
    let outside = total - observed;
    let rest = if outside == 0.0 { 0.0 } else { outside * (outside / (total - expected)).ln() };
    observed * (observed / expected).ln() + rest
}
