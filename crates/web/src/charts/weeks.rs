//! Reports by week: columns, with what was issued under them and marks for cut-ins and signals.

use std::fmt::Write as _;

use chrono::NaiveDate;

use super::drawing::{Drawing, Pen, at};
use super::scale::Scale;
use crate::format;

const WIDTH: f64 = 860.0;
const LEFT: f64 = 44.0;
const RIGHT: f64 = 12.0;
/// Marks have their words above the plot.
const TOP: f64 = 40.0;
const PLOT: f64 = 120.0;
const GAP: f64 = 10.0;
const ISSUED: f64 = 34.0;
const FOOT: f64 = 22.0;

/// One week.
#[derive(Clone, Copy, Debug)]
pub struct Week {
    /// Its Monday.
    pub monday: NaiveDate,
    /// Reports that came.
    pub reports: u64,
    /// Items issued.
    pub issued: u64,
}

/// Something that happened in a week.
#[derive(Clone, Debug)]
pub struct Mark {
    /// When.
    pub day: NaiveDate,
    /// What kind.
    pub kind: MarkKind,
    /// What to call it: `cut-in, lot TB-0419`.
    pub word: String,
}

/// Kinds of marks, told apart by their stroke as well as their colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// The first lot built to a change.
    CutIn,
    /// The watch raised its signal.
    Signal,
}

/// Draws the weeks, oldest first. Weeks must follow each other without a gap.
pub fn weeks(id: &str, title: &str, weeks: &[Week], marks: &[Mark]) -> Drawing {
    let height = TOP + PLOT + GAP + ISSUED + FOOT;
    let mut pen = Pen::new(id, "c-weeks", WIDTH, height, title, &described(weeks, marks));
    let scale = Scale::from_nought(weeks.iter().map(|week| week.reports).max().unwrap_or(0).max(2) as f64);
    let most_issued = weeks.iter().map(|week| week.issued).max().unwrap_or(0).max(1) as f64;
    let step = (WIDTH - LEFT - RIGHT) / weeks.len().max(1) as f64;
    let base = TOP + PLOT;
    // Nobody counts half a report.
    for (number, word) in scale.ticks().into_iter().filter(|tick| tick.0.fract() == 0.0) {
        let y = base - scale.place(number) * PLOT;
        pen.line("c-grid", (LEFT, y), (WIDTH - RIGHT, y));
        pen.text("c-tick", (LEFT - 6.0, y + 4.0), "end", &word);
    }
    for (number, week) in weeks.iter().enumerate() {
        let x = LEFT + number as f64 * step;
        let tall = scale.place(week.reports as f64) * PLOT;
        pen.bar("c-observed", (x + step * 0.15, base - tall), step * 0.7, tall);
        let deep = week.issued as f64 / most_issued * ISSUED;
        pen.bar("c-issued", (x, base + GAP), step, deep);
    }
    pen.text("c-tick", (LEFT - 4.0, base + GAP + 10.0), "end", "issued");
    months(&mut pen, weeks, step, height);
    for (row, mark) in marks.iter().enumerate() {
        draw_mark(&mut pen, weeks, mark, step, row);
    }
    pen.finish()
}

/// The first week of every third month carries its name, more seldom where there are many.
fn months(pen: &mut Pen, weeks: &[Week], step: f64, height: f64) {
    use chrono::Datelike as _;
    let mut last = f64::NEG_INFINITY;
    for (number, week) in weeks.iter().enumerate() {
        let x = LEFT + number as f64 * step;
        let begins = week.monday.day() <= 7 && week.monday.month0().is_multiple_of(3);
        if begins && x - last > 64.0 && x < WIDTH - RIGHT - 50.0 {
            pen.line("c-rule", (x, TOP + PLOT), (x, TOP + PLOT + 5.0));
            pen.text("c-tick", (x, height - 6.0), "start", &format::month(week.monday));
            last = x;
        }
    }
}

fn draw_mark(pen: &mut Pen, weeks: &[Week], mark: &Mark, step: f64, row: usize) {
    let Some(first) = weeks.first() else { return };
    let days = (mark.day - first.monday).num_days() as f64;
    let share = days / 7.0;
    if share < 0.0 || share > weeks.len() as f64 {
        return;
    }
    let x = LEFT + share * step;
    let class = match mark.kind {
        MarkKind::CutIn => "c-cut-in",
        MarkKind::Signal => "c-signal",
    };
    let y = 12.0 + 14.0 * (row % 2) as f64;
    pen.line(class, (x, y + 4.0), (x, TOP + PLOT));
    if mark.kind == MarkKind::Signal {
        pen.path("c-signal", &format!("M{} {} l-5 -8 h10 z", at(x), at(TOP + PLOT)));
    }
    let near_the_end = x > WIDTH * 0.75;
    let (anchor, place) = if near_the_end { ("end", x - 4.0) } else { ("start", x + 4.0) };
    pen.text("c-mark", (place, y + 4.0), anchor, &mark.word);
}

fn described(weeks: &[Week], marks: &[Mark]) -> String {
    let (Some(first), Some(last)) = (weeks.first(), weeks.last()) else {
        return "No weeks to show.".to_owned();
    };
    let reports: u64 = weeks.iter().map(|week| week.reports).sum();
    let mut words = format!(
        "{} from the week of {} to the week of {}.",
        format::counted(reports, "report", "reports"),
        format::date(first.monday),
        format::date(last.monday),
    );
    for mark in marks {
        let _ = write!(words, " {}: {}.", format::date(mark.day), mark.word);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn the_description_counts_and_names_the_marks() {
        let two = [
            Week { monday: day("2026-03-02"), reports: 1, issued: 10 },
            Week { monday: day("2026-03-09"), reports: 3, issued: 0 },
        ];
        let mark = Mark { day: day("2026-03-10"), kind: MarkKind::Signal, word: "signal".into() };
        let svg = weeks("w", "Reports", &two, &[mark]);
        let wanted = "4 reports from the week of 2 Mar 2026 to the week of 9 Mar 2026. 10 Mar 2026: signal.";
        assert!(svg.as_str().contains(wanted), "{}", svg.as_str());
    }

    #[test]
    fn no_tick_stands_at_half_a_report() {
        let five = [Week { monday: day("2026-03-02"), reports: 5, issued: 0 }];
        let svg = weeks("w", "Reports", &five, &[]);
        assert!(
            svg.as_str().contains(">5</text>") && !svg.as_str().contains(">2.5</text>"),
            "{}",
            svg.as_str()
        );
    }

    #[test]
    fn no_weeks_draw_an_empty_frame() {
        assert!(weeks("w", "Reports", &[], &[]).as_str().contains("No weeks to show."));
    }
}
