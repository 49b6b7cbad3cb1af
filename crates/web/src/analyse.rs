//! The analysis as JSON: the one view that the command line, the API and the pages share.

mod beside;
mod change;
mod doubles;
mod life;
mod lot;
mod rate;
mod recurrence;
mod reporting;
mod side_effects;

use chrono::NaiveDate;
use domain::analysis::Analysis;
use domain::field::Field;
use serde::Serialize;
use utoipa::ToSchema;

pub use change::{ChangeView, MassView, ProofView, TariffView};
pub use doubles::DoubleView;
pub use life::{AheadView, ForecastView, LifePointView, LifeView, PortionView};
pub use lot::{ConcentrationView, LotView};
pub use rate::RateView;
pub use recurrence::{RecurrenceView, RiskView};
pub use reporting::{CorrectedRateView, FractionView, ReportingView, UnitFractionView};
pub use side_effects::{
    OtherModeView, RatioView, SideEffectsView, SilentView, StillToldView, StoppedView, TellingView,
};

/// What `analyse --json` prints. Numbers are at full precision; `null` where a method does not apply.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Analysis)]
pub struct AnalysisView {
    /// The date; only what was received by then counts.
    pub as_of: NaiveDate,
    /// What there was to look at.
    pub counts: CountsView,
    /// Recurrences, by harm, then by evidence.
    pub recurrences: Vec<RecurrenceView>,
    /// Changes, in the order of the books.
    pub changes: Vec<ChangeView>,
    /// What inspections say of how many failures get reported.
    pub reporting: ReportingView,
    /// Pairs of reports that may tell of the same failure, most probable first.
    pub possible_doubles: Vec<DoubleView>,
    /// What a reader must know beside the figures.
    pub warnings: Vec<String>,
}

/// What there was to look at.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Counts)]
pub struct CountsView {
    /// Reports received by the date.
    pub reports: usize,
    /// Of these, relevant: they count as failures of the equipment.
    pub relevant: usize,
    /// Without part or mode, and not set aside.
    pub unsorted: usize,
    /// With a label that leads to no lot.
    pub lot_unresolved: usize,
    /// Lots on record.
    pub lots: usize,
    /// Movements on record.
    pub movements: usize,
    /// Lines of the books that do not agree with what was on record.
    pub discrepancies: usize,
}

impl AnalysisView {
    /// The view of an analysis of a field.
    pub fn new(field: &Field, analysis: &Analysis) -> Self {
        let counts = &analysis.counts;
        Self {
            as_of: analysis.as_of,
            counts: CountsView {
                reports: counts.reports,
                relevant: counts.relevant,
                unsorted: counts.unsorted,
                lot_unresolved: counts.lot_unresolved,
                lots: counts.lots,
                movements: counts.movements,
                discrepancies: counts.discrepancies,
            },
            recurrences: analysis.recurrences.iter().map(|r| RecurrenceView::new(field, r)).collect(),
            changes: analysis.changes.iter().map(|change| ChangeView::new(field, change)).collect(),
            reporting: ReportingView::new(field, &analysis.reporting),
            possible_doubles: DoubleView::list(field, analysis.as_of),
            warnings: warnings(field, analysis),
        }
    }
}

/// What a reader must know beside the figures: what of the books is in none of them, and what the analysis found.
pub fn warnings(field: &Field, analysis: &Analysis) -> Vec<String> {
    field.left_out.iter().map(ToString::to_string).chain(analysis.warnings.iter().cloned()).collect()
}
