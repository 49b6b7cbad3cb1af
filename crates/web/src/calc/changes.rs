//! Before and after a change: one ratio over strata, limits that hold at every look, and a product of two estimates.

use serde::Deserialize;
use serde_json::Value;
use stats::product::{self, Estimate};
use stats::stratified::{self, StratifiedRatio, Stratum};
use stats::{Confidence, Interval, StatsError, anytime};

use super::answer::answer;
use super::input::{Count, Number, confidence, one, read};
use super::say::{at, limits, number};
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 3] = [
    Method {
        name: "stratified_ratio",
        says: "The rate after a change over the rate before, common to strata such as age bands: exact, mid-P and \
               Mantel-Haenszel (null where a side has no events).",
        example: r#"{"strata": [{"before_count": 12, "before_exposure": 900, "after_count": 3, "after_exposure": 500}, {"before_count": 20, "before_exposure": 700, "after_count": 4, "after_exposure": 350}], "conf": 0.95}"#,
        run: stratified_ratio,
    },
    Method {
        name: "anytime_ratio",
        says: "The same with limits that hold however often one looks, and the evidence against a supposed ratio0 (1 unless \
               given), which stays below 1/(1-conf) if ratio0 is true.",
        example: r#"{"strata": [{"before_count": 40, "before_exposure": 1000, "after_count": 10, "after_exposure": 500}], "conf": 0.95, "ratio0": 1}"#,
        run: anytime_ratio,
    },
    Method {
        name: "product",
        says: "Limits of the product of two independent estimates, such as a rate times a ratio, from the limits of each.",
        example: r#"{"a": {"value": 8, "lower": 4, "upper": 16}, "b": {"value": 0.5, "lower": 0.25, "upper": 1}}"#,
        run: product_limits,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StratumInput {
    before_count: Count,
    before_exposure: Number,
    after_count: Count,
    after_exposure: Number,
}

fn strata(rows: &[StratumInput]) -> Vec<Stratum> {
    rows.iter()
        .map(|row| Stratum {
            before_count: row.before_count.0,
            before_exposure: row.before_exposure.0,
            after_count: row.after_count.0,
            after_exposure: row.after_exposure.0,
        })
        .collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StratifiedInput {
    strata: Vec<StratumInput>,
    conf: Number,
}

fn stratified_ratio(input: &Value) -> Result<Answer, CalcError> {
    let i: StratifiedInput = read(input)?;
    let (strata, conf) = (strata(&i.strata), confidence(i.conf)?);
    let exact = stratified::exact(&strata, conf)?;
    let mut out = Answer::default();
    put(&mut out, "exact", Some(exact));
    put(&mut out, "midp", Some(stratified::mid_p(&strata, conf)?));
    put(&mut out, "mantel_haenszel", where_it_exists(stratified::mantel_haenszel(&strata, conf))?);
    Ok(out.saying(after_over_before(exact.estimate, Interval { low: exact.low, high: exact.high }, conf)))
}

fn where_it_exists(
    found: Result<StratifiedRatio, StatsError>,
) -> Result<Option<StratifiedRatio>, StatsError> {
    match found {
        Ok(ratio) => Ok(Some(ratio)),
        Err(StatsError::NoEstimate { .. }) => Ok(None),
        Err(refused) => Err(refused),
    }
}

fn put(out: &mut Answer, name: &str, found: Option<StratifiedRatio>) {
    out.put(format!("{name}_ratio"), found.map(|r| r.estimate));
    let around = found.map(|r| Interval { low: r.low, high: r.high });
    out.put_limits(name, around, ["_lower2", "_upper2"]);
    out.put(format!("{name}_p_two_sided"), found.map(|r| r.p_value));
}

fn after_over_before(ratio: f64, around: Interval, conf: Confidence) -> String {
    format!("The rate after is {} times the rate before ({}, {}).", number(ratio), limits(around), at(conf))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AnytimeInput {
    strata: Vec<StratumInput>,
    conf: Number,
    #[serde(default = "one")]
    ratio0: Number,
}

fn anytime_ratio(input: &Value) -> Result<Answer, CalcError> {
    let i: AnytimeInput = read(input)?;
    let (strata, conf) = (strata(&i.strata), confidence(i.conf)?);
    let around = anytime::ratio(&strata, conf)?;
    let evidence = anytime::evidence_against(&strata, i.ratio0.0)?;
    Ok(answer! { "lower": around.low, "upper": around.high, "evidence_against_ratio0": evidence }.saying(
        format!(
            "The rate after is {} times the rate before, {} at all looks together.",
            limits(around),
            at(conf)
        ),
    ))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EstimateInput {
    value: Number,
    lower: Number,
    upper: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ProductInput {
    a: EstimateInput,
    b: EstimateInput,
}

fn product_limits(input: &Value) -> Result<Answer, CalcError> {
    let i: ProductInput = read(input)?;
    let estimate = |e: &EstimateInput| Estimate {
        value: e.value.0,
        interval: Interval { low: e.lower.0, high: e.upper.0 },
    };
    let around = product::limits(estimate(&i.a), estimate(&i.b))?;
    let value = i.a.value.0 * i.b.value.0;
    Ok(answer! { "product": value, "lower": around.low, "upper": around.high }.saying(format!(
        "{} ({}).",
        number(value),
        limits(around)
    )))
}
