//! The options of retrofit side by side, and what the evidence comes to as a share of failures left.

use domain::analysis::{Analysis, ChangeResult, FleetGround, fleet_ground};
use domain::change_record::{Prediction, PredictionBasis, suggestions};
use domain::field::Field;
use domain::retrofit::{Bounds, Costs, DEFAULT_RECALL_MONTHS, Outcome, compare};
use serde::Serialize;

use crate::calc::Draws;

/// The seed of every comparison, so that a page says the same each time it is looked at.
const SEED: u64 = 1;

/// The options, or why there are none.
#[derive(Clone, Debug, Default, Serialize)]
pub struct OptionsView {
    /// Each option.
    pub options: Vec<OptionView>,
    /// What they rest on.
    pub ground: Option<GroundView>,
    /// Why they can't be compared.
    pub why_not: Option<String>,
}

/// One option.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the outcome of the domain, which says what each is")]
pub struct OptionView {
    pub option: &'static str,
    pub avoided: BoundsView,
    pub left: BoundsView,
    pub converted: f64,
    pub set_aside: f64,
    pub issued: f64,
    pub grams: Option<f64>,
    pub cost: Option<f64>,
    pub reach: Vec<f64>,
    pub full_after_months: Option<u32>,
}

/// A number of failures with 90 % bounds.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the bounds of the domain, which says what each is")]
pub struct BoundsView {
    pub best: f64,
    pub low: f64,
    pub high: f64,
}

/// What the options rest on.
#[derive(Clone, Copy, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the ground of the domain, which says what each is")]
pub struct GroundView {
    pub fleet: f64,
    pub in_store: f64,
    pub failures: u32,
    pub shape: f64,
    pub assumed_steady: bool,
    pub leaving_per_year: f64,
    pub returning_per_year: f64,
    pub months_to_cut_in: u32,
    pub months: u32,
    pub recall_months: f64,
    pub not_told: u64,
}

/// What one kind of evidence comes to.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the suggested share of the domain, which says what each is")]
pub struct SuggestedView {
    pub from: String,
    #[serde(skip)]
    pub basis: PredictionBasis,
    pub ratio: f64,
    pub low: f64,
    pub high: f64,
    pub given: Vec<(&'static str, String)>,
}

impl OptionsView {
    /// Compares the options for a change; without a prediction or a rate before there is nothing to compare by.
    pub fn new(
        field: &Field,
        analysis: &Analysis,
        result: Option<&ChangeResult>,
        prediction: Option<&Prediction>,
        costs: &Costs,
    ) -> Self {
        let no = |why: &str| Self { why_not: Some(why.to_owned()), ..Self::default() };
        let Some(prediction) = prediction else {
            return no("no failure rate after the change is predicted yet");
        };
        let Some(found) = result.and_then(|result| fleet_ground(field, analysis, result)) else {
            return no("no failure rate before the change is on record");
        };
        let mut draws = Draws::seeded(SEED);
        match compare(&found.ground, prediction, costs, &mut || draws.next()) {
            Ok(outcomes) => Self {
                options: outcomes.into_iter().map(OptionView::from).collect(),
                ground: Some(ground(&found, costs)),
                why_not: None,
            },
            Err(why) => no(&why.to_string()),
        }
    }
}

/// What the evidence in the books comes to.
pub(super) fn suggested(
    field: &Field,
    analysis: &Analysis,
    result: Option<&ChangeResult>,
) -> Vec<SuggestedView> {
    let found = result.map(|result| suggestions(field, analysis, result)).unwrap_or_default();
    found
        .into_iter()
        .map(|(from, one)| SuggestedView {
            from,
            basis: one.basis,
            ratio: one.ratio.value,
            low: one.ratio.interval.low,
            high: one.ratio.interval.high,
            given: one.given,
        })
        .collect()
}

fn ground(found: &FleetGround, costs: &Costs) -> GroundView {
    let ground = &found.ground;
    GroundView {
        fleet: ground.fleet(),
        in_store: ground.in_store,
        failures: ground.failures,
        shape: ground.shape,
        assumed_steady: found.assumed_steady,
        leaving_per_year: ground.leaving_per_year,
        returning_per_year: ground.returning_per_year,
        months_to_cut_in: ground.months_to_cut_in,
        months: ground.months,
        recall_months: costs.recall_months.unwrap_or(DEFAULT_RECALL_MONTHS),
        not_told: found.not_told,
    }
}

impl From<Outcome> for OptionView {
    fn from(outcome: Outcome) -> Self {
        Self {
            option: outcome.option.word(),
            avoided: outcome.avoided.into(),
            left: outcome.left.into(),
            converted: outcome.converted,
            set_aside: outcome.set_aside,
            issued: outcome.issued,
            grams: outcome.grams,
            cost: outcome.cost,
            reach: outcome.reach,
            full_after_months: outcome.full_after_months,
        }
    }
}

impl From<Bounds> for BoundsView {
    fn from(bounds: Bounds) -> Self {
        Self { best: bounds.best, low: bounds.low, high: bounds.high }
    }
}
