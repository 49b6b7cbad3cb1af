//! An estimate with its interval as a small whisker, and the axis that a column of them shares.

use stats::Interval;

use super::drawing::{Drawing, Pen};
use super::scale::Scale;

/// Wide enough for a table cell beside its figure.
const WIDTH: f64 = 168.0;
const HEIGHT: f64 = 22.0;
/// Room for half a dot and for the sign of a whisker that goes on.
const MARGIN: f64 = 8.0;

fn x(scale: Scale, number: f64) -> f64 {
    MARGIN + scale.place(number) * (WIDTH - 2.0 * MARGIN)
}

/// One whisker. `said` is the figure in words; an infinite estimate is none, and its limits are drawn alone.
/// `reference` is drawn as a thin upright (1 for ratios, a limit, the rate before).
pub fn whisker(
    id: &str,
    said: &str,
    scale: Scale,
    estimate: f64,
    ends: Interval,
    reference: Option<f64>,
) -> Drawing {
    let middle = HEIGHT / 2.0;
    let described = if estimate.is_finite() {
        "Estimate and interval on the column's scale."
    } else {
        "Interval on the column's scale, without an estimate."
    };
    let mut pen = Pen::new(id, "c-whisker", WIDTH, HEIGHT, said, described);
    if let Some(reference) = reference {
        let at = x(scale, reference);
        pen.line("c-reference", (at, 1.0), (at, HEIGHT - 1.0));
    }
    let (low, high) = (x(scale, ends.low), x(scale, ends.high));
    pen.line("c-range", (low, middle), (high, middle));
    if scale.is_below(ends.low) {
        pen.path("c-end", &format!("M{} {} l-5 4 l5 4", low, middle - 4.0));
    } else {
        pen.line("c-end", (low, middle - 4.0), (low, middle + 4.0));
    }
    if scale.is_beyond(ends.high) {
        pen.path("c-end", &format!("M{} {} l5 4 l-5 4", high, middle - 4.0));
    } else {
        pen.line("c-end", (high, middle - 4.0), (high, middle + 4.0));
    }
    if estimate.is_finite() {
        pen.dot("c-estimate", (x(scale, estimate), middle), 3.6);
    }
    pen.finish()
}

/// The scale of a column of whiskers, for the column's head.
pub fn axis(id: &str, said: &str, scale: Scale) -> Drawing {
    let mut pen = Pen::new(id, "c-axis", WIDTH, HEIGHT, said, "The scale that the rows below share.");
    pen.line("c-rule", (MARGIN, HEIGHT - 1.0), (WIDTH - MARGIN, HEIGHT - 1.0));
    for (number, word) in scale.ticks() {
        let at = x(scale, number);
        pen.line("c-rule", (at, HEIGHT - 5.0), (at, HEIGHT - 1.0));
        // The outer words begin and end at the edges, where half of them would be cut off.
        let (word_at, anchor) = match at {
            _ if at <= MARGIN => (0.0, "start"),
            _ if at >= WIDTH - MARGIN => (WIDTH, "end"),
            _ => (at, "middle"),
        };
        pen.text("c-tick", (word_at, HEIGHT - 8.0), anchor, &word);
    }
    pen.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_whisker_says_its_figure_and_draws_its_ends() {
        let ends = Interval { low: 1.1, high: 4.2 };
        let drawn = whisker("w1", "2.3 (1.1 to 4.2)", Scale::from_nought(5.0), 2.3, ends, None);
        let svg = drawn.as_str();
        assert!(svg.contains("2.3 (1.1 to 4.2)</title>"));
        // 8 + 1.1 / 5 * 152 and 8 + 4.2 / 5 * 152.
        assert!(svg.contains(r#"x1="41.4""#) && svg.contains(r#"x2="135.7""#), "{svg}");
        assert!(svg.contains("<circle") && svg.contains(">Estimate and interval on"), "{svg}");
    }

    #[test]
    fn without_an_estimate_no_dot_is_drawn_and_none_is_described() {
        let ends = Interval { low: 0.25, high: f64::INFINITY };
        let drawn = whisker("w1", "at least 0.25", Scale::of_ratios([0.25]), f64::INFINITY, ends, Some(1.0));
        let svg = drawn.as_str();
        assert!(!svg.contains("<circle") && svg.contains("without an estimate.</desc>"), "{svg}");
        assert_eq!(svg.matches("<path").count(), 1, "the upper end goes on: {svg}");
    }

    #[test]
    fn a_whisker_that_goes_on_beyond_the_scale_ends_in_an_arrow_head() {
        let ends = Interval { low: 0.5, high: 500.0 };
        let drawn = whisker("w1", "", Scale::of_ratios([500.0]), 20.0, ends, Some(1.0));
        assert_eq!(drawn.as_str().matches("<path").count(), 1, "{}", drawn.as_str());
        let both = whisker("w1", "", Scale::of_ratios([3.0]), 1.0, Interval { low: 0.01, high: 90.0 }, None);
        assert_eq!(both.as_str().matches("<path").count(), 2, "{}", both.as_str());
        let nought = whisker("w1", "", Scale::from_nought(5.0), 1.0, Interval { low: 0.0, high: 4.0 }, None);
        assert!(!nought.as_str().contains("<path"), "nought is the end of what can be: {}", nought.as_str());
    }
}
