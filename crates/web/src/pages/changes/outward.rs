//! The figures of a change that its documents carry out of the house, each with what it is counted from.

use domain::published::{Figure, Measure, of_change};
use stats::Interval;

use super::view::{RateLine, RecordView};
use crate::format::{self, MassUnit};

/// In the order of the record.
pub(crate) fn figures(view: &RecordView) -> Vec<Figure> {
    let one = |measure, value: Option<f64>, text: String| Figure {
        measure,
        filter: of_change(&view.change_no),
        value,
        text: if value.is_some() { text } else { "not known".into() },
    };
    let failures = &view.failures;
    let observed = |measure, rate: Option<RateLine>| {
        let text = rate.map(|rate| {
            format::rate(rate.estimate, ends(rate.low, rate.high), rate.occasions, rate.item_years)
        });
        one(measure, rate.map(|rate| rate.estimate), text.unwrap_or_default())
    };
    let predicted = failures.predicted.map(|rate| {
        format!("{} ({})", format::significant(rate.estimate, 2), format::interval(ends(rate.low, rate.high)))
    });
    let proof = failures.proof;
    let ratio = proof.and_then(|proof| proof.ratio);
    let compared = proof.map(|proof| {
        format!(
            "{} ({} after, {} expected), {}",
            ratio.map(|ratio| format::significant(ratio, 2)).unwrap_or_default(),
            format::count(proof.failures_after),
            format::significant(proof.expected_after, 2),
            proof.verdict
        )
    });
    let mass = view.mass_tariff_mean.map(|mean| mean.delta_g);
    vec![
        one(Measure::MassChange, mass, mass.map(|g| MassUnit::Gram.difference(g)).unwrap_or_default()),
        observed(Measure::RateBefore, failures.before),
        one(
            Measure::RatePredicted,
            failures.predicted.map(|rate| rate.estimate),
            predicted.unwrap_or_default(),
        ),
        observed(Measure::RateAfter, failures.after),
        one(Measure::Ratio, ratio, compared.unwrap_or_default()),
    ]
}

const fn ends(low: f64, high: f64) -> Interval {
    Interval { low, high }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::changes::sample;

    #[test]
    fn a_figure_that_is_not_known_is_written_as_such_and_each_names_its_change() {
        for loaded in sample::loaded() {
            let all = figures(&loaded.view());
            assert_eq!(all.len(), 5);
            for figure in all {
                assert_eq!(figure.filter, "change 2026-014");
                assert_eq!(figure.value.is_none(), figure.text == "not known", "{figure:?}");
            }
        }
    }
}
