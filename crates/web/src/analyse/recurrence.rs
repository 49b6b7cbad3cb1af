//! A recurrence as JSON.

use chrono::NaiveDate;
use domain::analysis::Recurrence;
use domain::field::Field;
use serde::Serialize;
use utoipa::ToSchema;

use super::beside::{DrawnView, LookedView, WearView};
use super::life::{ForecastView, LifeView};
use super::lot::{ConcentrationView, LotView};
use super::rate::RateView;
use super::reporting::{CorrectedRateView, FractionView};

/// A recurrence: two or more relevant reports of one mode on one part, or one with harm.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Recurrence)]
pub struct RecurrenceView {
    /// The part that fails.
    #[schema(examples("RC-131"))]
    pub part_no: String,
    /// How it fails, a code of the catalogue.
    #[schema(examples("ZIP-1"))]
    pub mode: String,
    /// Relevant reports.
    pub reports: u32,
    /// Items they tell of.
    pub items: u64,
    /// Item-years of every item that contains the part.
    #[schema(minimum = 0)]
    pub item_years: f64,
    /// The fewest item-years the books allow.
    #[schema(minimum = 0)]
    pub item_years_low: f64,
    /// The most item-years the books allow.
    #[schema(minimum = 0)]
    pub item_years_high: f64,
    /// Failures per exposure; `null` where no issue is on record.
    pub rate: Option<RateView>,
    /// Risk with the catalogue's severity, before a person has judged it; `null` without exposure.
    pub risk: Option<RiskView>,
    /// End-item lots, those that stand out first.
    pub lots: Vec<LotView>,
    /// Other factors; `null` where too little is known to compare.
    pub concentrations: Option<Vec<ConcentrationView>>,
    /// The fitted life, of failures as reported; `null` where no estimate exists.
    pub life: Option<LifeView>,
    /// Why there is no fitted life.
    pub no_life: Option<String>,
    /// Reports to come in 12 months; `null` where there is nothing to forecast.
    pub forecast: Option<ForecastView>,
    /// Why there is no forecast.
    pub no_forecast: Option<String>,
    /// Share of failures that are reported, from inspections against reports; `null` without an inspection for it.
    pub reporting_fraction: Option<FractionView>,
    /// The rate corrected for what is not reported, to stand beside the reported one.
    pub corrected_rate: Option<CorrectedRateView>,
    /// Failures by use; `null` where no unit's use is on record.
    pub wear: Option<WearView>,
    /// What inspections found, lot by lot.
    pub looked: Vec<LookedView>,
    /// Spare parts drawn beside reports; `null` without demand on record for the part.
    pub drawn: Option<DrawnView>,
    /// When the watch first raised its signal.
    pub first_signal_on: Option<NaiveDate>,
}

/// Risk by the tables of MIL-STD-882E.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = Risk)]
pub struct RiskView {
    /// Severity category: 1 catastrophic to 4 negligible.
    #[schema(minimum = 1, maximum = 4)]
    pub severity: u8,
    /// Probability level of the mishap: A frequent to E improbable, F eliminated.
    #[schema(examples("C"), pattern = "^[A-F]$")]
    pub probability: &'static str,
    /// Risk level.
    #[schema(examples("Serious"))]
    pub level: &'static str,
    /// How the probability was found.
    pub basis: String,
}

impl RecurrenceView {
    /// The view of one recurrence.
    pub fn new(field: &Field, recurrence: &Recurrence) -> Self {
        let years = &recurrence.item_years;
        Self {
            part_no: field.part_names[recurrence.part].to_owned(),
            mode: field.modes[recurrence.mode].code.to_string(),
            reports: recurrence.reports,
            items: recurrence.items,
            item_years: years.best,
            item_years_low: years.low,
            item_years_high: years.high,
            rate: recurrence.rate.map(RateView::from),
            risk: recurrence.risk.as_ref().map(|risk| RiskView {
                severity: risk.severity.number(),
                probability: risk.probability.word(),
                level: risk.level.word(),
                basis: risk.basis.clone(),
            }),
            lots: recurrence.lots.iter().map(|line| LotView::new(field, line)).collect(),
            concentrations: recurrence
                .concentrations
                .as_ref()
                .map(|all| all.iter().map(|found| ConcentrationView::new(field, found)).collect()),
            life: recurrence.life.as_ref().ok().map(LifeView::from),
            no_life: recurrence.life.as_ref().err().map(ToString::to_string),
            forecast: recurrence.forecast.as_ref().ok().map(|forecast| ForecastView::new(field, forecast)),
            no_forecast: recurrence.forecast.as_ref().err().map(ToString::to_string),
            reporting_fraction: recurrence.reporting_fraction.map(FractionView::from),
            corrected_rate: recurrence.corrected_rate.map(CorrectedRateView::from),
            wear: recurrence.wear.as_ref().map(|wear| WearView::new(field, wear)),
            looked: recurrence.looked.iter().map(|looked| LookedView::new(field, looked)).collect(),
            drawn: recurrence.drawn.map(DrawnView::from),
            first_signal_on: recurrence.first_signal_on,
        }
    }
}
