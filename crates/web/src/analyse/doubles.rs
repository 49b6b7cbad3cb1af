//! Pairs of reports that may tell of the same failure, as JSON.

use chrono::NaiveDate;
use domain::doubles::{Double, possible_doubles};
use domain::field::Field;
use serde::Serialize;
use utoipa::ToSchema;

/// Two reports that may tell of the same failure. They are proposed; nothing is merged.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = PossibleDouble)]
pub struct DoubleView {
    /// The report that came first.
    #[schema(examples("R-000418"))]
    pub report_ref: String,
    /// The one that may tell of the same failure.
    #[schema(examples("R-000421"))]
    pub double_ref: String,
    /// How probable that is.
    #[schema(minimum = 0, maximum = 1)]
    pub probability: f64,
}

impl DoubleView {
    /// The pairs that are doubles rather than not, most probable first.
    pub fn list(field: &Field, as_of: NaiveDate) -> Vec<Self> {
        let view = |double: Double| Self {
            report_ref: field.report_ref(double.first).to_owned(),
            double_ref: field.report_ref(double.second).to_owned(),
            probability: double.probability(),
        };
        possible_doubles(field, as_of.into()).into_iter().map(view).collect()
    }
}
