//! A rate with its limits, as JSON.

use domain::analysis::Rate;
use serde::Serialize;
use utoipa::ToSchema;

/// A rate with its exact interval.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Rate)]
pub struct RateView {
    /// The unit of the rate, in words.
    #[schema(examples("1000 item-years"))]
    pub per: &'static str,
    /// Chargeable occasions per 1,000 item-years.
    #[schema(minimum = 0)]
    pub estimate: f64,
    /// Lower limit, per 1,000 item-years.
    #[schema(minimum = 0)]
    pub low: f64,
    /// Upper limit, per 1,000 item-years.
    #[schema(minimum = 0)]
    pub high: f64,
    /// Confidence of the two limits together.
    #[schema(exclusive_minimum = 0, exclusive_maximum = 1, examples(0.95))]
    pub confidence: f64,
    /// Chargeable occasions counted; a report of several items is one.
    pub occasions: u64,
}

impl From<Rate> for RateView {
    fn from(rate: Rate) -> Self {
        Self {
            per: "1000 item-years",
            estimate: rate.estimate,
            low: rate.low,
            high: rate.high,
            confidence: rate.confidence,
            occasions: rate.occasions,
        }
    }
}
