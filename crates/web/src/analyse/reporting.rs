//! How many failures get reported, and rates corrected for it, as JSON.

use domain::analysis::{CorrectedRate, Reporting, ReportingFraction};
use domain::field::Field;
use serde::Serialize;
use utoipa::ToSchema;

/// The share of failures that get reported, with the counts it rests on.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Share)]
pub struct FractionView {
    /// The share.
    #[schema(minimum = 0, maximum = 1)]
    pub estimate: f64,
    /// Lower limit.
    #[schema(minimum = 0, maximum = 1)]
    pub low: f64,
    /// Upper limit.
    #[schema(minimum = 0, maximum = 1)]
    pub high: f64,
    /// Confidence of the two limits together.
    #[schema(exclusive_minimum = 0, exclusive_maximum = 1, examples(0.95))]
    pub confidence: f64,
    /// Reports held against the inspections; prompted ones and faults found on unpacking are left out.
    pub reports: u32,
    /// Inspections.
    pub inspections: u32,
    /// Items looked at; one looked at twice counts twice.
    pub inspected: u64,
    /// Of these, showing the mode.
    pub found: u64,
}

/// A rate corrected for what is not reported, to stand beside the reported one.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = CorrectedRate)]
pub struct CorrectedRateView {
    /// The unit of the rate, in words.
    #[schema(examples("1000 item-years"))]
    pub per: &'static str,
    /// Chargeable occasions per 1,000 item-years, reported or not.
    #[schema(minimum = 0)]
    pub estimate: f64,
    /// Lower limit at 95 %.
    #[schema(minimum = 0)]
    pub low: f64,
    /// Upper limit at 95 %.
    #[schema(minimum = 0)]
    pub high: f64,
}

/// What inspections say of reporting, over all modes.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Reporting)]
pub struct ReportingView {
    /// Over all units; `null` without an inspection.
    pub all: Option<FractionView>,
    /// Each unit that inspected.
    pub units: Vec<UnitFractionView>,
}

/// One unit's reporting fraction.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = UnitShare)]
pub struct UnitFractionView {
    /// The unit.
    pub unit: String,
    /// Its fraction.
    pub fraction: FractionView,
}

impl ReportingView {
    /// The view of what inspections say.
    pub(super) fn new(field: &Field, reporting: &Reporting) -> Self {
        let unit = |&(unit, fraction): &(_, ReportingFraction)| UnitFractionView {
            unit: field.unit_names[unit].to_owned(),
            fraction: fraction.into(),
        };
        Self { all: reporting.all.map(FractionView::from), units: reporting.units.iter().map(unit).collect() }
    }
}

impl From<ReportingFraction> for FractionView {
    fn from(fraction: ReportingFraction) -> Self {
        Self {
            estimate: fraction.estimate,
            low: fraction.low,
            high: fraction.high,
            confidence: domain::analysis::CONFIDENCE.value(),
            reports: fraction.reports,
            inspections: fraction.inspections,
            inspected: fraction.inspected,
            found: fraction.found,
        }
    }
}

impl From<CorrectedRate> for CorrectedRateView {
    fn from(rate: CorrectedRate) -> Self {
        Self { per: "1000 item-years", estimate: rate.estimate, low: rate.low, high: rate.high }
    }
}
