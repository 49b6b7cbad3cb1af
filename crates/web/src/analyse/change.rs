//! What a change brings, as JSON: grams, rates before and after, and the proof.

use domain::analysis::{ChangeResult, Proof};
use domain::field::Field;
use domain::mass::{MassChange, TariffChange};
use serde::Serialize;
use utoipa::ToSchema;

use super::rate::RateView;
use super::side_effects::SideEffectsView;

/// What a change brings.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = ChangeFigures)]
pub struct ChangeView {
    /// Its number.
    #[schema(examples("2026-014"))]
    pub change_no: String,
    /// Grams before and after in each size and configuration.
    pub mass: Vec<MassView>,
    /// Mean grams over the tariff of sizes; `null` where a size was never weighed.
    pub mass_tariff_mean: Option<TariffView>,
    /// Failure rate of items before the change.
    pub rate_before: Option<RateView>,
    /// Failure rate of items built to the change.
    pub rate_after: Option<RateView>,
    /// The comparison at equal age; `null` where one side has no exposure.
    pub proof: Option<ProofView>,
    /// What else changed; `null` until the change is built. Nothing of it changes the proof.
    pub side_effects: Option<SideEffectsView>,
}

/// Grams before and after in one size and configuration.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = MassChange)]
pub struct MassView {
    /// The size; `null` for an item without sizes.
    pub size: Option<String>,
    /// The set-up it is worn in; `null` where there is only one.
    pub configuration: Option<String>,
    /// Mass before, in g; `null` where something was never weighed.
    #[schema(minimum = 0)]
    pub before_g: Option<f64>,
    /// Mass after, in g.
    #[schema(minimum = 0)]
    pub after_g: Option<f64>,
    /// After less before, in g.
    pub delta_g: Option<f64>,
    /// Standard uncertainty of the difference, in g.
    #[schema(minimum = 0)]
    pub delta_standard_uncertainty_g: Option<f64>,
    /// The difference in per cent of the mass before.
    pub delta_percent: Option<f64>,
}

/// Mean grams over the tariff of sizes.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = TariffChange)]
pub struct TariffView {
    /// Mean mass before, in g.
    #[schema(minimum = 0)]
    pub before_g: f64,
    /// Mean mass after, in g.
    #[schema(minimum = 0)]
    pub after_g: f64,
    /// After less before, in g.
    pub delta_g: f64,
    /// The difference in per cent of the mass before.
    pub delta_percent: f64,
}

/// The comparison before and after, at equal age in service.
#[derive(Clone, Copy, Debug, Serialize, ToSchema)]
#[schema(as = Proof)]
pub struct ProofView {
    /// Failure rate after against before, without unit.
    #[schema(minimum = 0)]
    pub ratio: Option<f64>,
    /// Lower limit of the ratio at 95 % for a date fixed beforehand: age-stratified mid-P, widened where units scatter more
    /// than by chance.
    #[schema(minimum = 0)]
    pub low: Option<f64>,
    /// Upper limit of the ratio at 95 % for a date fixed beforehand, likewise; `null` where there is none.
    #[schema(minimum = 0)]
    pub high: Option<f64>,
    /// Lower limit at 95 % that stays valid however often one looks, likewise.
    #[schema(minimum = 0)]
    pub anytime_low: Option<f64>,
    /// Upper limit at 95 % that stays valid however often one looks, likewise; `null` where there is none.
    #[schema(minimum = 0)]
    pub anytime_high: Option<f64>,
    /// Doubled mid-P of the fixed-date comparison, raised likewise.
    #[schema(minimum = 0, maximum = 1)]
    pub p_value: Option<f64>,
    /// What the limits that stay valid say: `worked`, `not shown`, `worse` or `too early`. It is held against half of before;
    /// a plan may have set another ratio, and what the plan comes to stands on the page of the change.
    #[schema(examples("worked"))]
    pub verdict: &'static str,
}

impl ChangeView {
    /// The view of what one change brings.
    pub fn new(field: &Field, result: &ChangeResult) -> Self {
        Self {
            change_no: field.changes[result.change].change_no.to_string(),
            mass: result.mass.iter().map(|line| MassView::new(field, line)).collect(),
            mass_tariff_mean: result.mass_tariff_mean.map(TariffView::from),
            rate_before: result.rate_before.map(RateView::from),
            rate_after: result.rate_after.map(RateView::from),
            proof: result.proof.as_ref().map(ProofView::from),
            side_effects: SideEffectsView::new(field, result),
        }
    }
}

impl MassView {
    fn new(field: &Field, line: &MassChange) -> Self {
        let (before, after) = (line.before.map(|mass| mass.grams), line.after.map(|mass| mass.grams));
        Self {
            size: line.size.map(|size| field.sizes[size].to_owned()),
            configuration: line.configuration.map(|c| field.configurations[c].to_owned()),
            before_g: before,
            after_g: after,
            delta_g: line.difference.map(|mass| mass.grams),
            delta_standard_uncertainty_g: line
                .difference
                .and_then(|mass| mass.uncertainty)
                .map(|u| u.standard),
            delta_percent: before.zip(after).map(|(before, after)| MassChange::percent(before, after)),
        }
    }
}

impl From<TariffChange> for TariffView {
    fn from(change: TariffChange) -> Self {
        Self {
            before_g: change.before_g,
            after_g: change.after_g,
            delta_g: change.difference_g,
            delta_percent: MassChange::percent(change.before_g, change.after_g),
        }
    }
}

impl From<&Proof> for ProofView {
    fn from(proof: &Proof) -> Self {
        Self {
            ratio: proof.ratio,
            low: proof.low,
            high: proof.high,
            anytime_low: proof.anytime_low,
            anytime_high: proof.anytime_high,
            p_value: proof.p_value,
            verdict: proof.verdict.word(),
        }
    }
}
