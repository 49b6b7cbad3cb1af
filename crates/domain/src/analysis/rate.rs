//! Rates per 1,000 item-years with exact limits.

use stats::{Exposure, poisson_rate};

use super::CONFIDENCE;

/// A failure rate per 1,000 item-years.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// Estimate.
    pub estimate: f64,
    /// Lower limit (exact, Garwood 1936).
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Confidence of the two limits.
    pub confidence: f64,
    /// Chargeable occasions counted; a report of several items is one.
    pub occasions: u64,
    /// Item-years.
    pub item_years: f64,
}

impl Rate {
    /// The rate of a count; `None` without exposure.
    pub fn new(occasions: u64, item_years: f64) -> Option<Self> {
        let exposure = Exposure::new(item_years).ok()?;
        let limits = poisson_rate::exact(occasions, exposure, CONFIDENCE).scaled(1000.0);
        Some(Self {
            estimate: 1000.0 * occasions as f64 / item_years,
            low: limits.low,
            high: limits.high,
            confidence: CONFIDENCE.value(),
            occasions,
            item_years,
        })
    }
}

/// Failures found on unpacking new items: a rate of their own, by items issued.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnReceipt {
    /// Reports.
    pub reports: u64,
    /// New items issued.
    pub issued: u64,
    /// Reports per 1,000 new items; `None` where no issue is on record.
    pub per_1000_issued: Option<f64>,
    /// Its exact lower limit.
    pub low: Option<f64>,
    /// Its exact upper limit.
    pub high: Option<f64>,
}

impl OnReceipt {
    pub(super) fn new(reports: u64, issued: u64) -> Self {
        let exposure = Exposure::new(issued as f64).ok();
        let limits = exposure.map(|e| poisson_rate::exact(reports, e, CONFIDENCE).scaled(1000.0));
        Self {
            reports,
            issued,
            per_1000_issued: exposure.map(|e| 1000.0 * reports as f64 / e.value()),
            low: limits.map(|l| l.low),
            high: limits.map(|l| l.high),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 7 failures in 1,200 fielded items: 5.833 per 1,000; the 95 % limits by the factors 2.8144 and 14.4227 of
    /// Garwood's table (from memory).
    #[test]
    fn a_rate_has_exact_limits() {
        let rate = Rate::new(7, 1200.0).expect("exposure");
        assert!((rate.estimate - 5.8333).abs() < 1e-4);
        assert!(
            (rate.low - 2.8144 / 1.2).abs() < 1e-3 && (rate.high - 14.4227 / 1.2).abs() < 1e-3,
            "{rate:?}"
        );
        assert_eq!(Rate::new(1, 0.0), None);
    }
}
