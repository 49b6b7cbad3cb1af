//! How far a change reaches month by month, small enough for a cell.

use std::fmt::Write as _;

use super::drawing::{Drawing, Pen, at};

const WIDTH: f64 = 168.0;
const HEIGHT: f64 = 44.0;
const MARGIN: f64 = 8.0;

/// Draws shares, 0 to 1, at the ends of so many months; `said` is the picture in words.
pub fn reach(id: &str, said: &str, shares: &[f64]) -> Drawing {
    let mut pen = Pen::new(id, "c-reach", WIDTH, HEIGHT, said, "Share with the change by months from now.");
    let (base, top) = (HEIGHT - 4.0, 4.0);
    let x = |month: usize| MARGIN + month as f64 / shares.len().max(1) as f64 * (WIDTH - 2.0 * MARGIN);
    let y = |share: f64| base - share.clamp(0.0, 1.0) * (base - top);
    pen.line("c-grid", (MARGIN, top), (WIDTH - MARGIN, top));
    pen.line("c-rule", (MARGIN, base), (WIDTH - MARGIN, base));
    for month in (0..=shares.len()).step_by(12) {
        pen.line("c-rule", (x(month), base), (x(month), base + 3.0));
    }
    let mut line = format!("M{} {}", at(x(0)), at(base));
    for (month, share) in shares.iter().enumerate() {
        let _ = write!(line, " L{} {}", at(x(month + 1)), at(y(*share)));
    }
    let band = format!("{line} L{} {} Z", at(x(shares.len())), at(base));
    pen.area("c-band", &band);
    pen.path("c-curve", &line);
    pen.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_rises_with_the_share_and_stays_in_the_frame() {
        let drawn = reach("r", "all by month 2", &[0.0, 1.0]);
        // From the foot at 40 to the top at 4.
        assert!(drawn.as_str().contains("L84 40 L160 4"), "{}", drawn.as_str());
        let beyond = reach("r", "more than all", &[7.0]);
        assert!(beyond.as_str().contains("L160 4"), "{}", beyond.as_str());
    }
}
