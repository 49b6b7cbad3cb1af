//! What the figures say of a change: grams, failures, bench.

use domain::analysis::{ChangeResult, Proof, Rate};
use domain::change_record::{Assessment, BenchSide, bench_comparisons, mass_limit};
use domain::field::{ChangeFacts, Field};
use domain::mass::{MassChange, TariffChange};
use serde::Serialize;
use store::RecordBody;

use super::PredictionView;

/// Grams before and after in one item, size and configuration.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the mass change of the domain; a reach is a 95 % half width")]
pub struct MassLine {
    pub item: String,
    pub size: Option<String>,
    pub configuration: Option<String>,
    pub before_g: Option<f64>,
    pub before_reach_g: Option<f64>,
    pub after_g: Option<f64>,
    pub after_reach_g: Option<f64>,
    pub delta_g: Option<f64>,
    pub delta_reach_g: Option<f64>,
    pub delta_percent: Option<f64>,
    /// The limit that a requirement sets, and the requirement's number.
    pub limit: Option<(f64, String)>,
    /// Parts that would have to be weighed first: number, revision, size.
    pub unweighed: Vec<(String, String, Option<String>)>,
}

/// Means over the tariff of sizes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the tariff change of the domain, which says what each is")]
pub struct TariffLine {
    pub before_g: f64,
    pub after_g: f64,
    pub delta_g: f64,
    pub delta_standard_uncertainty_g: Option<f64>,
    pub delta_percent: f64,
}

/// Failures before and after.
#[derive(Clone, Debug, Serialize)]
pub struct Failures {
    /// Observed before; nothing without exposure.
    pub before: Option<RateLine>,
    /// Predicted after; nothing without a prediction or a rate before.
    pub predicted: Option<PredictedLine>,
    /// What is predicted of the ratio, even where there is no rate before.
    pub prediction: Option<PredictionView>,
    /// Observed after; nothing without exposure.
    pub after: Option<RateLine>,
    /// The comparison at equal age.
    pub proof: Option<ProofLine>,
    /// Failures whose label was not read and whose side no other record tells.
    pub unread: u64,
}

/// An observed rate with its count and exposure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the rate of the analysis, which says what each is")]
pub struct RateLine {
    pub estimate: f64,
    pub low: f64,
    pub high: f64,
    pub occasions: u64,
    pub item_years: f64,
}

/// A predicted rate.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PredictedLine {
    pub estimate: f64,
    pub low: f64,
    pub high: f64,
}

/// The comparison before and after at equal age.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the proof of the analysis, which says what each is")]
pub struct ProofLine {
    pub ratio: Option<f64>,
    pub anytime_low: Option<f64>,
    pub anytime_high: Option<f64>,
    pub failures_before: u64,
    pub failures_after: u64,
    pub item_years_before: f64,
    pub item_years_after: f64,
    pub expected_after: f64,
    pub verdict: &'static str,
}

/// Both revisions under one method and measure.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the bench comparison of the domain, which says what each is")]
pub struct BenchLine {
    pub method: String,
    pub measure: String,
    pub unit: String,
    pub before: BenchSideView,
    pub after: BenchSideView,
    pub laboratories: Vec<String>,
}

/// One revision on the bench.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[expect(missing_docs, reason = "named as the bench side of the domain, which says what each is")]
pub struct BenchSideView {
    pub specimens: usize,
    pub mean: Option<f64>,
    pub deviation: Option<f64>,
    pub stopped: usize,
    pub stopped_at: Option<(f64, f64)>,
}

pub(super) fn masses(field: &Field, result: &ChangeResult) -> Vec<MassLine> {
    result.mass.iter().map(|line| mass(field, line)).collect()
}

fn mass(field: &Field, line: &MassChange) -> MassLine {
    let size = |size: Option<_>| size.map(|size| field.sizes[size].to_owned());
    let (before, after) = (line.before.map(|mass| mass.grams), line.after.map(|mass| mass.grams));
    let limit = mass_limit(field, line);
    let missing = line.unweighed.iter().map(|one| {
        let revision = &field.revisions[one.revision];
        (field.part_names[revision.part].to_owned(), revision.revision.to_string(), size(one.size))
    });
    MassLine {
        item: field.part_names[line.item].to_owned(),
        size: size(line.size),
        configuration: line.configuration.map(|c| field.configurations[c].to_owned()),
        before_g: before,
        before_reach_g: line.before.and_then(domain::mass::Mass::reach_g),
        after_g: after,
        after_reach_g: line.after.and_then(domain::mass::Mass::reach_g),
        delta_g: line.difference.map(|mass| mass.grams),
        delta_reach_g: line.difference.and_then(domain::mass::Mass::reach_g),
        delta_percent: before.zip(after).map(|(before, after)| MassChange::percent(before, after)),
        limit: limit.and_then(|r| r.limit.map(|limit| (limit, r.requirement_no.clone()))),
        unweighed: missing.collect(),
    }
}

pub(super) fn bench(field: &Field, change: &ChangeFacts) -> Vec<BenchLine> {
    let line = |found: domain::change_record::BenchComparison| BenchLine {
        method: found.method,
        measure: found.measure,
        unit: found.measure_unit,
        before: found.before.into(),
        after: found.after.into(),
        laboratories: found.laboratories,
    };
    bench_comparisons(field, change.from, change.to).into_iter().map(line).collect()
}

impl Failures {
    pub(super) fn new(
        result: Option<&ChangeResult>,
        assessed: &Assessment<'_>,
        body: Option<&RecordBody>,
        ratio_worth_having: f64,
    ) -> Self {
        Self {
            before: result.and_then(|result| result.rate_before).map(RateLine::from),
            predicted: assessed.predicted.map(|rate| PredictedLine {
                estimate: rate.estimate,
                low: rate.low,
                high: rate.high,
            }),
            prediction: body.and_then(|body| body.prediction.as_ref()).map(PredictionView::from),
            after: result.and_then(|result| result.rate_after).map(RateLine::from),
            proof: result.and_then(|result| result.proof.as_ref()).map(|proof| {
                let verdict = proof.verdict_at(ratio_worth_having).word();
                ProofLine { verdict, ..ProofLine::from(proof) }
            }),
            unread: result.map_or(0, |result| result.unread),
        }
    }
}

impl From<TariffChange> for TariffLine {
    fn from(change: TariffChange) -> Self {
        Self {
            before_g: change.before_g,
            after_g: change.after_g,
            delta_g: change.difference_g,
            delta_standard_uncertainty_g: change.standard_g,
            delta_percent: MassChange::percent(change.before_g, change.after_g),
        }
    }
}

impl From<Rate> for RateLine {
    fn from(rate: Rate) -> Self {
        Self {
            estimate: rate.estimate,
            low: rate.low,
            high: rate.high,
            occasions: rate.occasions,
            item_years: rate.item_years,
        }
    }
}

impl From<&Proof> for ProofLine {
    fn from(proof: &Proof) -> Self {
        Self {
            ratio: proof.ratio,
            anytime_low: proof.anytime_low,
            anytime_high: proof.anytime_high,
            failures_before: proof.failures_before,
            failures_after: proof.failures_after,
            item_years_before: proof.item_years_before,
            item_years_after: proof.item_years_after,
            expected_after: proof.expected_after,
            verdict: proof.verdict.word(),
        }
    }
}

impl From<BenchSide> for BenchSideView {
    fn from(side: BenchSide) -> Self {
        let BenchSide { specimens, mean, deviation, stopped, stopped_at } = side;
        Self { specimens, mean, deviation, stopped, stopped_at }
    }
}
