//! What the program knows by itself of a change, for the class check list.

use super::{Prediction, Retrofit};
use crate::analysis::{ChangeResult, ProofVerdict};
use crate::class::Known;
use crate::mass::MassChange;

/// Gathers it from figures, prediction and retrofit.
pub(super) fn known(
    result: Option<&ChangeResult>,
    prediction: Option<&Prediction>,
    retrofit: Option<Retrofit>,
) -> Known {
    Known {
        weight_changes: result.and_then(|result| weight_changes(&result.mass)),
        reliability_changes: reliability_changes(result, prediction),
        retrofit: retrofit.map(|retrofit| matches!(retrofit, Retrofit::OnReturn | Retrofit::RecallAll)),
    }
}

/// Whether the mass differs beyond its 95 % expanded uncertainty anywhere; `None` while a size without a clear
/// difference was not weighed, or weighed once only.
fn weight_changes(mass: &[MassChange]) -> Option<bool> {
    let beyond = |line: &MassChange| {
        let difference = line.difference?;
        Some(difference.grams.abs() > difference.reach_g()?)
    };
    let each: Vec<Option<bool>> = mass.iter().map(beyond).collect();
    if each.contains(&Some(true)) {
        Some(true)
    } else if each.is_empty() || each.contains(&None) {
        None
    } else {
        Some(false)
    }
}

/// A change of the rate counts as known where the interval, observed or predicted, is clear of no change. An interval
/// around no change does not show that nothing changes, so the engineer answers.
fn reliability_changes(result: Option<&ChangeResult>, prediction: Option<&Prediction>) -> Option<bool> {
    let seen = result.and_then(|result| result.proof).map(|proof| proof.verdict);
    let observed = matches!(seen, Some(ProofVerdict::Worked | ProofVerdict::Worse));
    let predicted = prediction.is_some_and(|p| p.ratio_high < 1.0 || p.ratio_low > 1.0);
    (observed || predicted).then_some(true)
}

#[cfg(test)]
mod tests {
    use stats::uncertainty::Combined;

    use super::*;
    use crate::field::{Id as _, PartId};
    use crate::mass::{Bill, Mass};

    fn line(grams: f64, standard: Option<f64>) -> MassChange {
        let uncertainty = standard.map(|standard| Combined { standard, freedom: f64::INFINITY });
        MassChange {
            item: PartId::from_index(0),
            size: None,
            configuration: None,
            before: None,
            after: None,
            difference: Some(Mass { grams, uncertainty }),
            differs: Bill::default(),
            unweighed: Vec::new(),
        }
    }

    /// With u = 1 g and a normal factor of 1.96, 1.9 g is within and 2.0 g beyond.
    #[test]
    fn a_difference_counts_only_beyond_its_uncertainty() {
        assert_eq!(weight_changes(&[line(1.9, Some(1.0))]), Some(false));
        assert_eq!(weight_changes(&[line(1.9, Some(1.0)), line(-2.0, Some(1.0))]), Some(true));
    }

    #[test]
    fn a_size_weighed_once_leaves_it_to_the_engineer() {
        assert_eq!(weight_changes(&[line(0.0, Some(0.0)), line(5.0, None)]), None);
        assert_eq!(weight_changes(&[]), None);
    }
}
