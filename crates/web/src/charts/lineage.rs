//! Lineage: levels from left to right, each lot an upright with its name, joined by bands as wide as what went on.

use super::drawing::{Drawing, Pen, at};

/// Names stand right of their upright, over the bands; this is room for 26 letters.
const COLUMN: f64 = 208.0;
const UPRIGHT: f64 = 7.0;
/// Two lines of text.
const ROW: f64 = 40.0;
const HEAD: f64 = 30.0;
const MARGIN: f64 = 6.0;
/// The upright of the whole of a lot.
const WHOLE: f64 = 120.0;
/// What is thinner can't be seen.
const THINNEST: f64 = 1.5;
/// More letters than this run into the next column.
const MOST_LETTERS: usize = 27;

/// A lot, or several together.
#[derive(Clone, Debug)]
pub struct Knot {
    /// Its level, counted from the left.
    pub level: usize,
    /// Its number.
    pub name: String,
    /// What it is and how much.
    pub words: String,
    /// Whether it is the lot in question.
    pub is_own: bool,
}

/// What went from one knot into another.
#[derive(Clone, Copy, Debug)]
pub struct Band {
    /// Place of the knot it comes from.
    pub from: usize,
    /// Place of the knot it goes into.
    pub into: usize,
    /// Share of the whole, 0 to 1.
    pub share: f64,
}

/// Draws knots, in the order in which they stand in their levels, and the bands between them.
pub fn lineage(
    id: &str,
    (title, desc): (&str, &str),
    heads: &[String],
    knots: &[Knot],
    bands: &[Band],
) -> Drawing {
    let heights = uprights(knots, bands);
    let levels = heads.len().max(1);
    let pitch = |place: usize| heights[place].max(ROW - 8.0) + 8.0;
    let tall = |level: usize| (0..knots.len()).filter(|&k| knots[k].level == level).map(pitch).sum::<f64>();
    let tallest = (0..levels).map(tall).fold(ROW, f64::max);
    let (width, height) = (MARGIN * 2.0 + COLUMN * levels as f64, HEAD + tallest + MARGIN);
    let mut pen = Pen::new(id, "c-lineage", width, height, title, desc);
    let mut tops = vec![0.0; knots.len()];
    for level in 0..levels {
        let mut y = HEAD + (tallest - tall(level)) / 2.0;
        for place in (0..knots.len()).filter(|&k| knots[k].level == level) {
            tops[place] = y + (pitch(place) - heights[place]) / 2.0;
            y += pitch(place);
        }
    }
    let x = |place: usize| MARGIN + knots[place].level as f64 * COLUMN;
    draw_bands(&mut pen, knots, bands, &heights, &tops, x);
    for (level, head) in heads.iter().enumerate() {
        pen.text("c-tick", (MARGIN + level as f64 * COLUMN, 14.0), "start", head);
    }
    for (place, knot) in knots.iter().enumerate() {
        let class = if knot.is_own { "c-own" } else { "c-knot" };
        pen.bar(class, (x(place), tops[place]), UPRIGHT, heights[place]);
        let middle = tops[place] + heights[place] / 2.0;
        pen.text("c-mark c-name", (x(place) + UPRIGHT + 6.0, middle - 2.0), "start", &short(&knot.name));
        pen.text("c-tick c-name", (x(place) + UPRIGHT + 6.0, middle + 12.0), "start", &short(&knot.words));
    }
    pen.finish()
}

/// How tall each upright is: as what comes in or goes out, whichever is more.
fn uprights(knots: &[Knot], bands: &[Band]) -> Vec<f64> {
    let mut ends = vec![[0.0_f64; 2]; knots.len()];
    for band in bands {
        ends[band.from][1] += thickness(band);
        ends[band.into][0] += thickness(band);
    }
    ends.iter().map(|[into, out]| into.max(*out).max(10.0)).collect()
}

fn thickness(band: &Band) -> f64 {
    (band.share * WHOLE).max(THINNEST)
}

/// Bands leave and arrive in the order of the uprights at their other ends, so that they cross as little as can be.
fn draw_bands(
    pen: &mut Pen,
    knots: &[Knot],
    bands: &[Band],
    heights: &[f64],
    tops: &[f64],
    x: impl Fn(usize) -> f64,
) {
    let middle = |place: usize| tops[place] + heights[place] / 2.0;
    let mut starts = vec![[0.0; 2]; bands.len()];
    for place in 0..knots.len() {
        for (end, other) in [(0, 1), (1, 0)] {
            let ends = |band: &Band| [band.from, band.into];
            let mut here: Vec<usize> = (0..bands.len()).filter(|&b| ends(&bands[b])[end] == place).collect();
            here.sort_by(|&a, &b| middle(ends(&bands[a])[other]).total_cmp(&middle(ends(&bands[b])[other])));
            let all: f64 = here.iter().map(|&band| thickness(&bands[band])).sum();
            let mut y = middle(place) - all / 2.0;
            for band in here {
                starts[band][end] = y;
                y += thickness(&bands[band]);
            }
        }
    }
    for (band, [from, into]) in bands.iter().zip(starts) {
        let (left, right) = (x(band.from) + UPRIGHT, x(band.into));
        let bend = f64::midpoint(left, right);
        let thick = thickness(band);
        pen.area(
            "c-flow",
            &format!(
                "M{l} {a} C{m} {a} {m} {b} {r} {b} V{d} C{m} {d} {m} {c} {l} {c} Z",
                l = at(left),
                r = at(right),
                m = at(bend),
                a = at(from),
                b = at(into),
                c = at(from + thick),
                d = at(into + thick),
            ),
        );
    }
}

fn short(text: &str) -> String {
    if text.chars().count() <= MOST_LETTERS {
        return text.to_owned();
    }
    let start: String = text.chars().take(MOST_LETTERS - 1).collect();
    format!("{}\u{2026}", start.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn knot(level: usize, name: &str) -> Knot {
        Knot { level, name: name.into(), words: "tape".into(), is_own: level == 1 }
    }

    #[test]
    fn bands_are_as_wide_as_their_share_and_uprights_as_tall_as_their_bands() {
        let knots = [knot(0, "T1"), knot(0, "T2"), knot(1, "Z1")];
        let band = |from, share| Band { from, into: 2, share };
        let bands = [band(0, 0.75), band(1, 0.25)];
        assert_eq!(uprights(&knots, &bands), [90.0, 30.0, 120.0]);
        let svg = lineage("a", ("T", "D"), &["from".into(), "lot".into()], &knots, &bands);
        assert_eq!(svg.as_str().matches("c-flow").count(), 2);
        assert_eq!(svg.as_str().matches("c-own").count(), 1);
    }

    #[test]
    fn long_names_are_cut_before_the_next_column() {
        assert_eq!(short(&"x".repeat(40)).chars().count(), MOST_LETTERS);
        assert_eq!(short("NT22-0143"), "NT22-0143");
    }
}
