//! Failures before and after in words and whiskers, the bench beside the prediction, and the proof.

use serde::Serialize;

use crate::charts::{Drawing, Scale, axis, whisker};
use crate::format;
use crate::pages::changes::side::ends;
use crate::pages::changes::view::{BenchLine, BenchSideView, ProofLine, RateLine, RecordView};
use crate::view::{Figure, Sureness};

/// Failures before and after on one scale.
#[derive(Serialize)]
pub(in crate::pages::changes) struct FailureRows {
    pub(in crate::pages::changes) axis: Option<Drawing>,
    pub(in crate::pages::changes) rows: Vec<FailureRow>,
    pub(in crate::pages::changes) ratio: Option<String>,
}

#[derive(Serialize)]
pub(in crate::pages::changes) struct FailureRow {
    pub(in crate::pages::changes) word: &'static str,
    pub(in crate::pages::changes) said: String,
    pub(in crate::pages::changes) drawn: Drawing,
}

/// The rows; `place` tells drawings of one page apart.
pub(in crate::pages::changes) fn rows(view: &RecordView, place: &str) -> FailureRows {
    let failures = &view.failures;
    let highest = [
        failures.before.map(|rate| rate.high),
        failures.predicted.map(|rate| rate.high),
        failures.after.map(|rate| rate.high),
    ];
    let scale = Scale::from_nought(highest.into_iter().flatten().fold(0.0, f64::max));
    let reference = failures.before.map(|rate| rate.estimate);
    let draw = |id: &str, said: &str, estimate, low, high| {
        whisker(&format!("{place}-{id}"), said, scale, estimate, ends(low, high), reference)
    };
    let observed = |word, id: &str, rate: RateLine| {
        let said = format::rate(rate.estimate, ends(rate.low, rate.high), rate.occasions, rate.item_years);
        FailureRow { word, drawn: draw(id, &said, rate.estimate, rate.low, rate.high), said }
    };
    let mut rows: Vec<FailureRow> = Vec::new();
    rows.extend(failures.before.map(|rate| observed("Before, observed", "before", rate)));
    rows.extend(failures.predicted.map(|rate| {
        let said = format!(
            "{} per 1,000 item-years ({})",
            format::significant(rate.estimate, 2),
            format::interval(ends(rate.low, rate.high))
        );
        let drawn = draw("predicted", &said, rate.estimate, rate.low, rate.high);
        FailureRow { word: "After, predicted", said, drawn }
    }));
    rows.extend(failures.after.map(|rate| observed("After, observed", "after", rate)));
    FailureRows {
        axis: (!rows.is_empty())
            .then(|| axis(&format!("{place}-axis"), "Failures per 1,000 item-years", scale)),
        rows,
        ratio: failures.prediction.as_ref().map(|prediction| {
            format!(
                "Predicted to leave {} of the failures ({}), on {} evidence.",
                format::significant(prediction.ratio_best, 2),
                format::interval(ends(prediction.ratio_low, prediction.ratio_high)),
                match prediction.basis {
                    "bench" => "bench",
                    "strength" => "strength",
                    "cycles" => "cycles-to-failure",
                    "retained" => "retained-strength",
                    "pilot" => "pilot-lot",
                    _ => "judged",
                }
            )
        }),
    }
}

/// One method on the bench.
#[derive(Serialize)]
pub(in crate::pages::changes) struct BenchRow {
    pub(in crate::pages::changes) method: String,
    pub(in crate::pages::changes) measure: String,
    pub(in crate::pages::changes) before: String,
    pub(in crate::pages::changes) after: String,
    pub(in crate::pages::changes) laboratories: String,
}

/// Both revisions under each method.
pub(in crate::pages::changes) fn bench(lines: &[BenchLine]) -> Vec<BenchRow> {
    let row = |line: &BenchLine| BenchRow {
        method: line.method.clone(),
        measure: line.measure.clone(),
        before: bench_side(&line.before, &line.unit),
        after: bench_side(&line.after, &line.unit),
        laboratories: line.laboratories.join(", "),
    };
    lines.iter().map(row).collect()
}

/// The mean with its scatter; without a failure only what specimens were stopped at.
fn bench_side(side: &BenchSideView, unit: &str) -> String {
    let stopped = side.stopped_at.map(|(lowest, highest)| {
        let (from, to) = (format::significant(lowest, 3), format::significant(highest, 3));
        let at = if from == to { from } else { format!("{from} to {to}") };
        format!("{} stopped before failure, at {at} {unit}", format::count(side.stopped as u64))
    });
    let Some(mean) = side.mean else { return stopped.unwrap_or_default() };
    let deviation = side.deviation.map_or_else(
        || "scatter not known".to_owned(),
        |deviation| format!("s = {}", format::significant(deviation, 2)),
    );
    format!(
        "{} {unit} ({deviation}, {}{})",
        format::significant(mean, 3),
        format::counted(side.specimens as u64, "specimen", "specimens"),
        stopped.map(|stopped| format!(", {stopped}")).unwrap_or_default(),
    )
}

/// The comparison, said with the fixed words.
pub(in crate::pages::changes) fn proof(line: &ProofLine) -> Figure {
    let (lead, rest) = compared(line);
    match line.verdict {
        "worked" => Figure::new(lead, format!("{rest}; it worked")).sure(Sureness::Shown),
        "worse" => Figure::new(lead, format!("{rest}; it got worse")).sure(Sureness::Shown),
        "not shown" => Figure::new(lead, rest).sure(Sureness::NotShown),
        _ => Figure::new(lead, rest).sure(Sureness::TooEarly),
    }
}

/// The ratio, and what it rests on; the verdict is for others to add.
pub(in crate::pages::changes) fn compared(line: &ProofLine) -> (String, String) {
    let counts = format!(
        "{} after against {} expected at equal age, {} item-years after; before: {} in {} item-years",
        format::counted(line.failures_after, "failure", "failures"),
        format::significant(line.expected_after, 2),
        format::decimals(line.item_years_after, 0),
        format::count(line.failures_before),
        format::decimals(line.item_years_before, 0),
    );
    let limits = match (line.anytime_low, line.anytime_high) {
        (Some(low), Some(high)) => format::interval(ends(low, high)),
        (Some(low), None) => format!("{} to no limit", format::significant(low, 2)),
        _ => "no limits yet".to_owned(),
    };
    match line.ratio {
        Some(ratio) => (
            format::significant(ratio, 2),
            format!("times the failures of before ({limits}, however often one looks); {counts}"),
        ),
        None => ("No ratio yet".to_owned(), format!("; {counts}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn side(specimens: usize, mean: Option<f64>, stopped: usize, at: Option<(f64, f64)>) -> BenchSideView {
        BenchSideView { specimens, mean, deviation: mean.map(|_| 210.0), stopped, stopped_at: at }
    }

    #[test]
    fn a_revision_none_of_which_failed_is_told_by_what_its_specimens_stood() {
        let line = BenchLine {
            method: "hex bar".into(),
            measure: "cycles to failure".into(),
            unit: "cycles".into(),
            before: side(10, Some(2000.0), 0, None),
            after: side(0, None, 10, Some((5000.0, 5000.0))),
            laboratories: Vec::new(),
        };
        let rows = bench(&[line]);
        assert_eq!(rows[0].before, "2,000 cycles (s = 210, 10 specimens)");
        assert_eq!(rows[0].after, "10 stopped before failure, at 5,000 cycles");
        let some = side(3, Some(4100.0), 2, Some((4000.0, 5000.0)));
        assert_eq!(
            bench_side(&some, "cycles"),
            "4,100 cycles (s = 210, 3 specimens, 2 stopped before failure, at 4,000 to 5,000 cycles)"
        );
    }
}
