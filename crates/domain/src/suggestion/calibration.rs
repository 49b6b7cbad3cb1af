//! How sure the model may be: its scores made sharper or blunter so that probabilities hold on texts it didn't learn.

use super::linear::{Linear, Row, Settings, softmax};

/// Into how many parts examples are dealt, one of them foretold from the others.
const FOLDS: usize = 4;
/// With more examples than this one part is enough.
const MANY: usize = 2000;

/// A row that was foretold: its scores, its class, its weight.
type Foretold = (Vec<f32>, usize, f32);

/// The factor for scores under which examples that were left out of the fit are foretold best.
///
/// Temperature scaling (Guo, Pleiss, Sun, Weinberger, "On calibration of modern neural networks", ICML 2017): the
/// factor that minimises the log loss over examples foretold by fits without them. What the catalogue says is in every
/// fit; without examples there is nothing to hold the scores against, and they stay as they are.
pub(super) fn best_sharpness(features: usize, groups: &[usize], rows: &[Row], settings: Settings) -> f32 {
    let examples: Vec<usize> = (0..rows.len()).filter(|&index| rows[index].is_example).collect();
    let folds = if examples.len() > MANY { 1 } else { FOLDS };
    let mut foretold: Vec<Foretold> = Vec::new();
    for fold in 0..folds {
        let mut left_out = vec![false; rows.len()];
        for &index in examples.iter().skip(fold).step_by(FOLDS) {
            left_out[index] = true;
        }
        let kept = |index: &usize| !left_out[*index];
        let rest: Vec<&Row> = (0..rows.len()).filter(kept).map(|index| &rows[index]).collect();
        let model = Linear::fit(features, groups, &rest, settings);
        for row in rows.iter().zip(&left_out).filter(|one| *one.1).map(|one| one.0) {
            let mut scores = vec![0.0; groups.len()];
            model.score(&row.features, &mut scores);
            foretold.push((scores, row.class, row.weight));
        }
    }
    if foretold.is_empty() { 1.0 } else { lowest(|log| loss(&foretold, log.exp())).exp() }
}

/// The mean log loss of scores times a factor.
fn loss(foretold: &[Foretold], factor: f32) -> f32 {
    let (mut sum, mut weights) = (0.0, 0.0);
    for (scores, class, weight) in foretold {
        let mut scaled: Vec<f32> = scores.iter().map(|score| score * factor).collect();
        softmax(&mut scaled);
        sum -= weight * scaled[*class].max(1e-12).ln();
        weights += weight;
    }
    sum / weights
}

/// Where a function with one valley between -2 and 3 is lowest, by golden section.
fn lowest(of: impl Fn(f32) -> f32) -> f32 {
    const SECTION: f32 = 0.618_034;
    let (mut low, mut high) = (-2.0_f32, 3.0_f32);
    for _ in 0..24 {
        let width = SECTION * (high - low);
        if of(high - width) < of(low + width) {
            high = low + width;
        } else {
            low = high - width;
        }
    }
    f32::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_valley_is_found() {
        assert!((lowest(|x| (x - 0.7).powi(2)) - 0.7).abs() < 1e-3);
    }

    #[test]
    fn scores_that_boast_are_made_blunter() {
        // Sure of class 0 every time, right in three of four: ln 3 is the score that says so.
        let foretold: Vec<Foretold> =
            [0, 0, 0, 1].into_iter().map(|class| (vec![4.0, 0.0], class, 1.0)).collect();
        let factor = lowest(|log| loss(&foretold, log.exp())).exp();
        assert!((factor * 4.0 - 3.0_f32.ln()).abs() < 1e-2, "{factor}");
    }

    #[test]
    fn without_examples_scores_stay_as_they_are() {
        let settings = Settings { penalty: 1.0, shared: 0.0, constant: 0.0, looks: 1 };
        assert_eq!(best_sharpness(1, &[0, 1], &[], settings), 1.0);
    }
}
