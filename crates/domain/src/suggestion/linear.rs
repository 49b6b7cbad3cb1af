//! Multinomial logistic regression whose classes share what their groups share.

use std::borrow::Borrow;

/// A text as the fit sees it.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// Features and their values.
    pub(super) features: Vec<(u32, f32)>,
    /// Its class.
    pub(super) class: usize,
    /// How much it counts.
    pub(super) weight: f32,
    /// Whether somebody told it, as against the catalogue.
    pub(super) is_example: bool,
}

/// What a fit is told.
#[derive(Clone, Copy, Debug)]
pub(super) struct Settings {
    /// The strength of the penalty.
    pub(super) penalty: f32,
    /// How much of the prior variance of a class's weights is shared with the other classes of its group, against
    /// a variance of 1 of its own.
    pub(super) shared: f32,
    /// Value of the constant feature that every row has.
    pub(super) constant: f32,
    /// How many looks at rows there are in all; every row is looked at [`FEWEST_ROUNDS`] times at least.
    pub(super) looks: usize,
}

/// Rounds over many rows.
const FEWEST_ROUNDS: usize = 4;

/// Fitted weights.
#[derive(Clone, Debug)]
pub(super) struct Linear {
    classes: usize,
    /// Feature by feature, each with its classes; the constant comes last.
    weights: Vec<f32>,
    constant: f32,
}

impl Linear {
    /// Fits by dual-free stochastic dual coordinate ascent.
    ///
    /// Minimises Σᵢ cᵢ · (−ln p(yᵢ | xᵢ)) + λ/2 · tr(W B⁻¹ Wᵀ), with p the softmax of xᵢW, cᵢ the row's weight, λ
    /// the penalty, and B = I + s·G, where G is 1 for two classes of one group and s the shared variance: a Gaussian
    /// prior under which classes of a group have correlated weights. At the minimum W = Σ xᵢ αᵢᵀ B with
    /// λ αᵢ = cᵢ (yᵢ − pᵢ); each look at a row moves αᵢ towards that by a step that can't overshoot
    /// (Shalev-Shwartz, "SDCA without duality, regularization, and individual convexity", ICML 2016). Rows are
    /// taken in an order that is fixed by their number, so that equal rows give equal weights.
    pub(super) fn fit(
        features: usize,
        groups: &[usize],
        rows: &[impl Borrow<Row>],
        settings: Settings,
    ) -> Self {
        let classes = groups.len();
        let mut model =
            Self { classes, weights: vec![0.0; (features + 1) * classes], constant: settings.constant };
        let group_count = groups.iter().max().map_or(0, |last| last + 1);
        let mut sizes = vec![0_usize; group_count];
        for &group in groups {
            sizes[group] += 1;
        }
        let widest = sizes.iter().max().copied().unwrap_or(0) as f32;
        let spread = 1.0 + settings.shared * widest;
        let mut duals = vec![0.0_f32; rows.len() * classes];
        let mut scores = vec![0.0_f32; classes];
        let mut sums = vec![0.0_f32; group_count];
        let rounds = FEWEST_ROUNDS.max(settings.looks / rows.len().max(1));
        let stride = stride_of(rows.len());
        for round in 0..rounds {
            let mut index = round * 7 % rows.len().max(1);
            for _ in 0..rows.len() {
                index = (index + stride) % rows.len();
                let row = rows[index].borrow();
                model.score(&row.features, &mut scores);
                softmax(&mut scores);
                let square: f32 = row.features.iter().map(|one| one.1 * one.1).sum::<f32>()
                    + model.constant * model.constant;
                let step = 1.0 / (settings.penalty + row.weight * square * spread / 2.0);
                let dual = &mut duals[index * classes..(index + 1) * classes];
                sums.fill(0.0);
                for class in 0..classes {
                    let target = if class == row.class { 1.0 } else { 0.0 };
                    let toward = row.weight * (target - scores[class]) - settings.penalty * dual[class];
                    scores[class] = step * toward;
                    dual[class] += scores[class];
                    sums[groups[class]] += scores[class];
                }
                for class in 0..classes {
                    scores[class] += settings.shared * sums[groups[class]];
                }
                model.add(&row.features, &scores);
            }
        }
        model
    }

    /// The score of each class before the softmax, into `scores`.
    pub(super) fn score(&self, features: &[(u32, f32)], scores: &mut [f32]) {
        scores.fill(0.0);
        for (id, value) in self.with_constant(features) {
            for (score, weight) in scores.iter_mut().zip(self.of(id)) {
                *score += value * weight;
            }
        }
    }

    /// The weights of a feature, class by class.
    pub(super) fn of(&self, id: u32) -> &[f32] {
        &self.weights[id as usize * self.classes..][..self.classes]
    }

    fn add(&mut self, features: &[(u32, f32)], change: &[f32]) {
        let classes = self.classes;
        let last = (self.weights.len() / classes - 1) as u32;
        for (id, value) in features.iter().copied().chain([(last, self.constant)]) {
            let weights = &mut self.weights[id as usize * classes..][..classes];
            for (weight, change) in weights.iter_mut().zip(change) {
                *weight += value * change;
            }
        }
    }

    fn with_constant<'a>(&self, features: &'a [(u32, f32)]) -> impl Iterator<Item = (u32, f32)> + use<'a> {
        let last = (self.weights.len() / self.classes - 1) as u32;
        features.iter().copied().chain([(last, self.constant)])
    }
}

/// Scores to probabilities, in place; where every score is lowest, nothing is probable.
pub(super) fn softmax(scores: &mut [f32]) {
    let top = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    if top == f32::NEG_INFINITY {
        return scores.fill(0.0);
    }
    let mut sum = 0.0;
    for score in scores.iter_mut() {
        *score = (*score - top).exp();
        sum += *score;
    }
    for score in scores {
        *score /= sum;
    }
}

/// A stride that visits every row once: prime to their number, near the golden section of it, so that neighbours
/// in the list, which are often of one class, are far apart in the order.
fn stride_of(rows: usize) -> usize {
    if rows < 2 {
        return 1;
    }
    let mut stride = (rows as f64 * 0.618) as usize;
    while gcd(stride, rows) != 1 {
        stride += 1;
    }
    stride
}

fn gcd(a: usize, b: usize) -> usize {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SETTINGS: Settings = Settings { penalty: 0.5, shared: 1.0, constant: 0.3, looks: 40_000 };

    fn row(features: &[(u32, f32)], class: usize) -> Row {
        Row { features: features.to_vec(), class, weight: 1.0, is_example: true }
    }

    fn chances(model: &Linear, features: &[(u32, f32)], classes: usize) -> Vec<f32> {
        let mut scores = vec![0.0; classes];
        model.score(features, &mut scores);
        softmax(&mut scores);
        scores
    }

    #[test]
    fn the_fit_stands_at_the_minimum() {
        let groups = [0, 0, 1];
        let rows = [
            row(&[(0, 1.0)], 0),
            row(&[(0, 0.6), (1, 0.8)], 1),
            row(&[(1, 1.0)], 2),
            row(&[(0, 0.8), (1, 0.6)], 0),
        ];
        let model = Linear::fit(2, &groups, &rows, SETTINGS);
        // There W = (1/penalty) * sum of x (y - p)' B: checked for each feature and class.
        let coupled = |class: usize, other: usize| {
            f32::from(u8::from(class == other))
                + SETTINGS.shared * f32::from(u8::from(groups[class] == groups[other]))
        };
        for feature in 0..2_u32 {
            for class in 0..3 {
                let mut expected = 0.0;
                for one in &rows {
                    let value: f32 = one.features.iter().filter(|f| f.0 == feature).map(|f| f.1).sum();
                    let p = chances(&model, &one.features, 3);
                    for (other, chance) in p.iter().enumerate() {
                        let target = f32::from(u8::from(one.class == other));
                        expected += value * (target - chance) * coupled(other, class) / SETTINGS.penalty;
                    }
                }
                let got = model.of(feature)[class];
                assert!((got - expected).abs() < 2e-3, "feature {feature} class {class}: {got} {expected}");
            }
        }
    }

    #[test]
    fn a_class_without_rows_of_its_own_is_nearer_where_its_group_is() {
        let model = Linear::fit(2, &[0, 0, 1, 1], &[row(&[(0, 1.0)], 0), row(&[(1, 1.0)], 2)], SETTINGS);
        let p = chances(&model, &[(0, 1.0)], 4);
        assert!(p[0] > p[1] && p[1] > p[3], "{p:?}");
    }

    #[test]
    fn without_rows_every_class_is_as_probable() {
        let p = chances(&Linear::fit(1, &[0, 1], &[] as &[Row], SETTINGS), &[(0, 1.0)], 2);
        assert_eq!(p, [0.5, 0.5]);
    }

    #[test]
    fn every_row_is_visited_in_a_round() {
        for rows in [2, 3, 10, 134, 1000] {
            let stride = stride_of(rows);
            let visited: std::collections::BTreeSet<usize> =
                (0..rows).map(|turn| turn * stride % rows).collect();
            assert_eq!(visited.len(), rows);
        }
    }
}
