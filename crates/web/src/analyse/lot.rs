//! Where a recurrence sits, as JSON: its lots and every other factor.

use domain::analysis::{Concentration, LotLine};
use domain::field::Field;
use serde::Serialize;
use utoipa::ToSchema;

/// One end-item lot in a recurrence.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = RecurrenceLot)]
pub struct LotView {
    /// The lot's number as marked.
    #[schema(examples("TB-0418"))]
    pub lot_no: String,
    /// Relevant reports on it.
    pub reports: u32,
    /// Reports its exposure would explain; `null` where the comparison can't be made.
    #[schema(minimum = 0)]
    pub expected: Option<f64>,
    /// Item-years in service.
    #[schema(minimum = 0)]
    pub item_years: f64,
    /// Reports over expected; `null` where the comparison can't be made, and where the others have no report: then
    /// `ratio_low` alone says how many times it is at least.
    #[schema(minimum = 0)]
    pub ratio: Option<f64>,
    /// Lower limit of the ratio at 95 %.
    #[schema(minimum = 0)]
    pub ratio_low: Option<f64>,
    /// Upper limit of the ratio at 95 %.
    #[schema(minimum = 0)]
    pub ratio_high: Option<f64>,
    /// Probability that the lot is worse than its peers.
    #[schema(minimum = 0, maximum = 1)]
    pub probability_worse: Option<f64>,
    /// Whether it stands out: 3 reports or more, a ratio above 1.5, and kept after correction for many comparisons.
    pub flagged: bool,
}

/// A factor on which reports sit.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Concentration)]
pub struct ConcentrationView {
    /// What is compared.
    #[schema(examples("maker", "size", "used_lot"))]
    pub factor: &'static str,
    /// The value that stands out, such as a lot number or a unit.
    pub level: String,
    /// What a lot or a revision is of: numbers and letters may stand for several; `null` for other factors.
    pub part_no: Option<String>,
    /// Relevant reports.
    pub reports: u32,
    /// Reports its exposure would explain.
    #[schema(minimum = 0)]
    pub expected: f64,
    /// Reports over expected; `null` where the others have no report: then `ratio_low` alone says how many times it is at least.
    #[schema(minimum = 0)]
    pub ratio: Option<f64>,
    /// Lower limit of the ratio at 95 %.
    #[schema(minimum = 0)]
    pub ratio_low: f64,
    /// Upper limit of the ratio at 95 %; `null` where there is none.
    #[schema(minimum = 0)]
    pub ratio_high: Option<f64>,
    /// Probability that the true ratio is above 1.5, shrunk over all levels of the factor.
    #[schema(minimum = 0, maximum = 1)]
    pub probability_worse: f64,
    /// Whether it stands out.
    pub flagged: bool,
    /// The factor and level, with a colon between, that explain it; `null` where none does.
    pub explained_by: Option<String>,
}

impl LotView {
    /// The view of one lot in one recurrence.
    pub fn new(field: &Field, line: &LotLine) -> Self {
        Self {
            lot_no: field.lots[line.lot].lot_no.to_string(),
            reports: line.reports,
            expected: line.expected,
            item_years: line.item_years,
            ratio: line.ratio,
            ratio_low: line.ratio_low,
            ratio_high: line.ratio_high,
            probability_worse: line.probability_worse,
            flagged: line.flagged,
        }
    }
}

impl ConcentrationView {
    pub(super) fn new(field: &Field, found: &Concentration) -> Self {
        Self {
            factor: found.level.factor(),
            level: found.level.value(field),
            part_no: found.level.part(field).map(|part| field.part_names[part].to_owned()),
            reports: found.reports,
            expected: found.expected,
            ratio: found.ratio,
            ratio_low: found.ratio_low,
            ratio_high: found.ratio_high.is_finite().then_some(found.ratio_high),
            probability_worse: found.probability_worse,
            flagged: found.flagged,
            explained_by: found.explained_by.map(|level| level.key(field)),
        }
    }
}
