//! What isn't reported yet, and what never will be.

use serde::Deserialize;
use serde_json::Value;
use stats::reporting_delay::{Period, chain_ladder, nowcast};
use stats::reporting_fraction::{ReportingFraction, Survey};

use super::answer::answer;
use super::input::{Count, Number, confidence, names, plain, read, whole, within};
use super::say::{at, limits, number};
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 2] = [
    Method {
        name: "reporting_delay",
        says: "How many events of each period have happened once late reports are in: a nowcast of counts by delay (triangle), \
               or the chain ladder with its errors (incremental).",
        example: r#"{"triangle": [[5, 3, 1], [6, 4, 2], [4, 3], [7]], "conf": 0.9}"#,
        run: delay,
    },
    Method {
        name: "under_reporting",
        says: "Which share of failures gets reported, from voluntary reports and an inspection of some of the items.",
        example: r#"{"items_in_service": 2000, "voluntary_reports": 30, "inspected": 150, "found_failed": 6, "conf": 0.9}"#,
        run: fraction,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TriangleInput {
    triangle: Vec<Vec<Count>>,
    conf: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LadderInput {
    incremental: Vec<Vec<Number>>,
}

fn delay(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "incremental") {
        let i: LadderInput = read(input)?;
        return ladder(&i.incremental.iter().map(|row| plain(row)).collect::<Vec<_>>());
    }
    let i: TriangleInput = read(input)?;
    let rows: Vec<Vec<u64>> = i.triangle.iter().map(|row| whole(row)).collect();
    let seen = nowcast(&rows, confidence(i.conf)?)?;
    let (total, periods) = (seen.total(), seen.periods.iter().map(period).collect::<Vec<_>>());
    let sentence = total.map_or_else(
        || "A period without any reports has no estimate, and so has the total.".to_owned(),
        |total| format!("{} events have happened, those not reported yet counted.", number(total)),
    );
    Ok(answer! {
        "reverse_hazard": seen.reverse_hazard, "delay_cdf": seen.cumulative, "var_log_delay_cdf": seen.variance_of_log,
        "periods": periods, "total_nowcast": total,
    }
    .saying(sentence))
}

fn period(period: &Period) -> Answer {
    let now = period.nowcast;
    answer! {
        "reported": period.reported, "completeness": period.completeness,
        "nowcast": now.map(|n| n.events), "se": now.map(|n| n.standard_error),
        "lower": now.map(|n| n.interval.low), "upper": now.map(|n| n.interval.high),
    }
}

fn ladder(rows: &[Vec<f64>]) -> Result<Answer, CalcError> {
    let seen = chain_ladder(rows)?;
    let (total, error) = (seen.total_outstanding, seen.total_standard_error);
    let sentence = format!("{} are outstanding, with a standard error of {}.", number(total), number(error));
    Ok(answer! {
        "ultimate": seen.periods.iter().map(|p| p.ultimate).collect::<Vec<_>>(),
        "reserve": seen.periods.iter().map(|p| p.outstanding).collect::<Vec<_>>(),
        "reserve_se": seen.periods.iter().map(|p| p.standard_error).collect::<Vec<_>>(),
        "factors": seen.factors, "sigma2": seen.variances, "total_reserve": total, "total_se": error,
    }
    .saying(sentence))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SurveyInput {
    items_in_service: Count,
    voluntary_reports: Count,
    inspected: Count,
    found_failed: Count,
    conf: Number,
}

fn fraction(input: &Value) -> Result<Answer, CalcError> {
    let i: SurveyInput = read(input)?;
    within("voluntary_reports", i.voluntary_reports.0 as f64, 0.0, 1e5)?;
    let survey = Survey {
        items: i.items_in_service.0,
        reports: i.voluntary_reports.0,
        inspected: i.inspected.0,
        found: i.found_failed.0,
    };
    let conf = confidence(i.conf)?;
    let share = ReportingFraction::new(survey)?;
    let (delta, finite) = (share.delta(conf, false), share.delta(conf, true));
    let (all, inside) = (share.posterior(conf), share.posterior_at_most_one(conf).ok());
    let chance = survey.found as f64 / survey.inspected as f64;
    let mut out = answer! {
        "p_hat": chance, "failures_hat": chance * survey.items as f64,
        "reporting_fraction_hat": delta.map(|d| d.fraction), "var_log": delta.map(|d| d.variance_of_log),
    };
    out.put_limits("delta", delta.map(|d| d.interval), ["_lower", "_upper"]);
    out.put("var_log_fpc", finite.map(|d| d.variance_of_log));
    out.put_limits("delta_fpc", finite.map(|d| d.interval), ["_lower", "_upper"]);
    out.put("under_ascertainment_multiplier", delta.map(|d| d.fraction.recip()));
    out.put("bayes_median", all.median);
    out.put_limits("bayes", Some(all.interval), ["_lower", "_upper"]);
    out.put("prob_phi_le_1", share.probability_at_most_one());
    out.put("bayes_trunc_median", inside.map(|p| p.median));
    out.put_limits("bayes_trunc", inside.map(|p| p.interval), ["_lower", "_upper"]);
    // Counts of the same failures leave room for a share of at most 1, and for what it comes to then.
    let told = inside.filter(|_| all.interval.low <= 1.0);
    let Some(told) = told else {
        return Ok(out.saying(format!(
            "About {} reports came for each failure that the inspection speaks for ({}, {}): reports and inspection can't count \
             the same failures.",
            number(all.median),
            limits(all.interval),
            at(conf)
        )));
    };
    Ok(out.saying(format!(
        "Of 100 failures about {} are reported ({}, {}).",
        number(100.0 * told.median),
        limits(told.interval.scaled(100.0)),
        at(conf)
    )))
}
