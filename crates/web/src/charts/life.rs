//! A fitted life: share failed by age, its band, and what was counted.

use std::fmt::Write as _;

use super::drawing::{Drawing, Pen, at};
use super::scale::Scale;
use crate::format;

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 256.0;
// Room for the larger words that a phone shows.
const LEFT: f64 = 64.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 30.0;
const FOOT: f64 = 46.0;

/// Share failed by one age.
#[derive(Clone, Copy, Debug)]
pub struct Failed {
    /// Age in years.
    pub age_years: f64,
    /// Share failed, as fitted.
    pub share: f64,
    /// Its lower limit.
    pub low: f64,
    /// Its upper limit.
    pub high: f64,
    /// Share failed, as counted.
    pub counted: f64,
}

/// Draws shares failed by rising ages.
pub fn life(id: &str, title: &str, points: &[Failed]) -> Drawing {
    let mut pen = Pen::new(id, "c-life", WIDTH, HEIGHT, title, &described(points));
    let base = HEIGHT - FOOT;
    let ages = Scale::from_nought(points.iter().map(|p| p.age_years).fold(0.0, f64::max));
    // A band that grows without bound must not press the curve flat.
    let tallest = points.iter().map(|p| p.high.min(3.0 * p.share).max(p.counted)).fold(0.0, f64::max);
    let shares = Scale::from_nought(100.0 * tallest);
    let x = |age: f64| LEFT + ages.place(age) * (WIDTH - LEFT - RIGHT);
    let y = |share: f64| base - shares.place(100.0 * share) * (base - TOP);
    for (number, word) in shares.ticks() {
        let height = y(number / 100.0);
        pen.line("c-grid", (LEFT, height), (WIDTH - RIGHT, height));
        pen.text("c-tick", (LEFT - 6.0, height + 4.0), "end", &format!("{word} %"));
    }
    for (number, word) in ages.ticks() {
        pen.line("c-rule", (x(number), base), (x(number), base + 5.0));
        let anchor = if number >= points.last().map_or(0.0, |p| p.age_years) { "end" } else { "middle" };
        pen.text("c-tick", (x(number), base + 20.0), anchor, &word);
    }
    pen.text("c-tick", (LEFT, HEIGHT - 5.0), "start", "years in service");
    pen.text("c-tick", (LEFT, 16.0), "start", "reported failed; line and band fitted, dots counted");
    if !points.is_empty() {
        let mut band = format!("M{} {}", at(x(0.0)), at(y(0.0)));
        let mut line = band.clone();
        for p in points {
            let _ = write!(band, " L{} {}", at(x(p.age_years)), at(y(p.high)));
            let _ = write!(line, " L{} {}", at(x(p.age_years)), at(y(p.share)));
        }
        for p in points.iter().rev() {
            let _ = write!(band, " L{} {}", at(x(p.age_years)), at(y(p.low)));
        }
        band.push_str(" Z");
        pen.area("c-band", &band);
        pen.path("c-curve", &line);
    }
    for p in points {
        pen.dot("c-excess", (x(p.age_years), y(p.counted)), 2.5);
    }
    pen.finish()
}

fn described(points: &[Failed]) -> String {
    let Some(last) = points.last() else { return "No ages to show.".to_owned() };
    format!(
        "By {} years {} are reported failed as fitted ({} to {}), {} as counted.",
        format::decimals(last.age_years, 1),
        format::percent(last.share, 1),
        format::percent(last.low, 1),
        format::percent(last.high, 1),
        format::percent(last.counted, 1),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_description_gives_the_last_age_with_its_limits() {
        let point = Failed { age_years: 4.0, share: 0.18, low: 0.15, high: 0.21, counted: 0.17 };
        let svg = life("l", "Age at failure", &[point]);
        let wanted = format!(
            "By 4.0 years {} are reported failed as fitted ({} to {})",
            format::percent(0.18, 1),
            format::percent(0.15, 1),
            format::percent(0.21, 1)
        );
        assert!(svg.as_str().contains(&wanted), "{}", svg.as_str());
    }

    #[test]
    fn without_ages_an_empty_frame_is_drawn() {
        assert!(life("l", "Age at failure", &[]).as_str().contains("No ages to show."));
    }
}
