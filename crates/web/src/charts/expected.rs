//! Observed against expected: how many reports came, and how many the exposure explains.

use super::drawing::{Drawing, Pen};
use super::scale::Scale;

const WIDTH: f64 = 168.0;
const HEIGHT: f64 = 22.0;
const MARGIN: f64 = 8.0;

/// One row: the observed count as a bar from nought, the expected as an upright across it.
pub fn against_expected(id: &str, said: &str, scale: Scale, observed: u64, expected: f64) -> Drawing {
    let x = |number: f64| MARGIN + scale.place(number) * (WIDTH - 2.0 * MARGIN);
    let mut pen = Pen::new(
        id,
        "c-expected",
        WIDTH,
        HEIGHT,
        said,
        "The bar is what was reported, the upright what the exposure explains.",
    );
    pen.line("c-rule", (MARGIN, 2.0), (MARGIN, HEIGHT - 2.0));
    let observed = x(observed as f64);
    let expected = x(expected);
    pen.bar("c-observed", (MARGIN, 7.0), observed - MARGIN, 8.0);
    pen.bar("c-excess", (expected, 7.0), observed - expected, 8.0);
    pen.line("c-expect", (expected, 2.0), (expected, HEIGHT - 2.0));
    pen.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_more_than_expected_is_marked() {
        let scale = Scale::from_nought(10.0);
        assert!(against_expected("a", "", scale, 9, 3.9).as_str().contains("c-excess"));
        assert!(!against_expected("a", "", scale, 3, 3.9).as_str().contains("c-excess"));
    }
}
