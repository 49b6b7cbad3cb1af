//! Before and after on one line, with the limit that a requirement sets drawn in.

use super::drawing::{Drawing, Pen, at};
use super::scale::Scale;

const WIDTH: f64 = 168.0;
const HEIGHT: f64 = 22.0;
const MARGIN: f64 = 8.0;

/// One row: an open ring for before, a dot for after, a line between, and an upright with a foot for the limit.
/// What isn't known is left out, never put at nought. `said` is the same in words.
pub fn before_after(
    id: &str,
    said: &str,
    scale: Scale,
    before: Option<f64>,
    after: Option<f64>,
    limit: Option<f64>,
) -> Drawing {
    let x = |number: f64| MARGIN + scale.place(number) * (WIDTH - 2.0 * MARGIN);
    let middle = HEIGHT / 2.0;
    let desc = "The ring is before, the dot after, the upright the limit.";
    let mut pen = Pen::new(id, "c-before-after", WIDTH, HEIGHT, said, desc);
    if let Some(limit) = limit {
        let (right, foot) = (at(x(limit)), at(HEIGHT - 1.0));
        pen.path("c-limit", &format!("M{right} 1 V{foot} h-6"));
    }
    if let (Some(before), Some(after)) = (before, after) {
        pen.line("c-range", (x(before), middle), (x(after), middle));
    }
    if let Some(before) = before {
        pen.ring("c-before", (x(before), middle), 3.6);
    }
    if let Some(after) = after {
        pen.dot("c-estimate", (x(after), middle), 3.6);
    }
    pen.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_never_weighed_is_not_drawn() {
        let scale = Scale::around([1200.0, 1260.0]);
        let none = before_after("a", "never weighed", scale, None, None, Some(1250.0));
        assert!(!none.as_str().contains("<circle") && none.as_str().contains("c-limit"));
        let both = before_after("a", "1,204 g, then 1,206 g", scale, Some(1204.0), Some(1206.0), None);
        assert_eq!(both.as_str().matches("<circle").count(), 2);
    }
}
