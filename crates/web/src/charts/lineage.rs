//! Lineage: levels from left to right, each lot an upright with its name, joined by bands as wide as what went on.

use super::drawing::{Drawing, Pen, at};

/// Names stand right of their upright, over the bands; this is room for 26 letters.
const COLUMN: f64 = 208.0;
const UPRIGHT: f64 = 7.0;
/// Two lines of text.
const ROW: f64 = 40.0;
const HEAD: f64 = 30.0;
const MARGIN: f64 = 6.0;
/// The upright of the whole of a lot, and the tallest of what several parts together bring to it.
const WHOLE: f64 = 120.0;
const TALLEST: f64 = 300.0;
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
    let unit = unit(knots.len(), bands);
    let heights = uprights(knots.len(), bands, unit);
    let levels = heads.len().max(1);
    let pitch = |place: usize| heights[place].max(ROW - 8.0) + 8.0;
    let tall = |level: usize| (0..knots.len()).filter(|&k| knots[k].level == level).map(pitch).sum::<f64>();
    let tallest = (0..levels).map(tall).fold(ROW, f64::max);
    let (width, height) = (MARGIN * 2.0 + COLUMN * levels as f64, HEAD + tallest + MARGIN);
    let mut pen = Pen::new(id, "c-lineage", width, height, title, desc);
    let middles = middles(knots, bands, tallest, pitch);
    let tops: Vec<f64> =
        middles.iter().zip(&heights).map(|(middle, tall)| HEAD + middle - tall / 2.0).collect();
    let x = |place: usize| MARGIN + knots[place].level as f64 * COLUMN;
    draw_bands(&mut pen, bands, unit, (&heights, &tops), x);
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

/// What comes into each knot and goes out of it.
fn ends(knots: usize, bands: &[Band], of: impl Fn(&Band) -> f64) -> Vec<[f64; 2]> {
    let mut ends = vec![[0.0_f64; 2]; knots];
    for band in bands {
        ends[band.from][1] += of(band);
        ends[band.into][0] += of(band);
    }
    ends
}

/// How wide the whole of a lot is drawn.
fn unit(knots: usize, bands: &[Band]) -> f64 {
    let most = ends(knots, bands, |band| band.share).into_iter().flatten().fold(0.0, f64::max);
    if most * WHOLE > TALLEST { TALLEST / most } else { WHOLE }
}

/// How tall each upright is: as what comes in or goes out, whichever is more.
fn uprights(knots: usize, bands: &[Band], unit: f64) -> Vec<f64> {
    let ends = ends(knots, bands, |band| thickness(band, unit));
    ends.into_iter().map(|[into, out]| into.max(out).max(10.0)).collect()
}

fn thickness(band: &Band, unit: f64) -> f64 {
    (band.share * unit).max(THINNEST)
}

/// Where knots stand in their levels: from the lot in question outwards, each as near as can be to what it is joined to.
fn middles(knots: &[Knot], bands: &[Band], tallest: f64, pitch: impl Fn(usize) -> f64) -> Vec<f64> {
    let mut middles: Vec<Option<f64>> = vec![None; knots.len()];
    let own = knots.iter().find(|knot| knot.is_own).map_or(0, |knot| knot.level);
    let mut levels: Vec<usize> = knots.iter().map(|knot| knot.level).collect();
    levels.sort_by_key(|level| level.abs_diff(own));
    levels.dedup();
    for level in levels {
        let here: Vec<usize> = (0..knots.len()).filter(|&k| knots[k].level == level).collect();
        let all: f64 = here.iter().map(|&place| pitch(place)).sum();
        let (mut y, mut left) = (0.0, all);
        let mut tops = Vec::with_capacity(here.len());
        let mut too_low = 0.0;
        for &place in &here {
            let joined = bands.iter().filter_map(|band| match (band.from == place, band.into == place) {
                (true, _) => middles[band.into],
                (_, true) => middles[band.from],
                _ => None,
            });
            let (sum, count) = joined.fold((0.0, 0.0), |(sum, count), y| (sum + y, count + 1.0));
            let wanted = if count > 0.0 { sum / count } else { tallest / 2.0 } - pitch(place) / 2.0;
            // As high as what stands above allows, and as low as leaves room for what comes below.
            let top = wanted.min(tallest - left).max(y);
            too_low += top - wanted;
            tops.push(top);
            y = top + pitch(place);
            left -= pitch(place);
        }
        // Those that wanted the same place share what they had to give way.
        let up = (too_low / here.len().max(1) as f64).clamp(0.0, tops.first().copied().unwrap_or(0.0));
        for (place, top) in here.into_iter().zip(tops) {
            middles[place] = Some(top - up + pitch(place) / 2.0);
        }
    }
    middles.into_iter().map(|middle| middle.unwrap_or(tallest / 2.0)).collect()
}

/// Bands leave and arrive in the order of the uprights at their other ends, so that they cross as little as can be.
fn draw_bands(
    pen: &mut Pen,
    bands: &[Band],
    unit: f64,
    (heights, tops): (&[f64], &[f64]),
    x: impl Fn(usize) -> f64,
) {
    let middle = |place: usize| tops[place] + heights[place] / 2.0;
    let mut starts = vec![[0.0; 2]; bands.len()];
    for place in 0..tops.len() {
        for (end, other) in [(0, 1), (1, 0)] {
            let ends = |band: &Band| [band.from, band.into];
            let mut here: Vec<usize> = (0..bands.len()).filter(|&b| ends(&bands[b])[end] == place).collect();
            here.sort_by(|&a, &b| middle(ends(&bands[a])[other]).total_cmp(&middle(ends(&bands[b])[other])));
            let all: f64 = here.iter().map(|&band| thickness(&bands[band], unit)).sum();
            let mut y = middle(place) - all / 2.0;
            for band in here {
                starts[band][end] = y;
                y += thickness(&bands[band], unit);
            }
        }
    }
    for (band, [from, into]) in bands.iter().zip(starts) {
        let (left, right) = (x(band.from) + UPRIGHT, x(band.into));
        let bend = f64::midpoint(left, right);
        let thick = thickness(band, unit);
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
        assert_eq!(uprights(knots.len(), &bands, unit(3, &bands)), [90.0, 30.0, 120.0]);
        let svg = lineage("a", ("T", "D"), &["from".into(), "lot".into()], &knots, &bands);
        assert_eq!(svg.as_str().matches("c-flow").count(), 2);
        assert_eq!(svg.as_str().matches("c-own").count(), 1);
    }

    #[test]
    fn many_parts_stay_on_the_page_and_each_knot_stands_by_what_it_is_joined_to() {
        let mut knots: Vec<Knot> = (0..10).map(|n| knot(1, &n.to_string())).collect();
        knots.push(Knot { is_own: true, ..knot(2, "own") });
        knots.push(knot(0, "tape"));
        knots.iter_mut().take(10).for_each(|knot| knot.is_own = false);
        knots[11].is_own = false;
        let mut bands: Vec<Band> = (0..10).map(|from| Band { from, into: 10, share: 1.0 }).collect();
        bands.push(Band { from: 11, into: 9, share: 1.0 });
        assert!((unit(12, &bands) - 30.0).abs() < 1e-9);
        let middles = middles(&knots, &bands, 400.0, |_| 40.0);
        assert_eq!(middles[..3], [20.0, 60.0, 100.0], "no room to stand nearer");
        assert_eq!((middles[10], middles[11]), (200.0, 380.0));
    }

    #[test]
    fn long_names_are_cut_before_the_next_column() {
        assert_eq!(short(&"x".repeat(40)).chars().count(), MOST_LETTERS);
        assert_eq!(short("NT22-0143"), "NT22-0143");
    }
}
