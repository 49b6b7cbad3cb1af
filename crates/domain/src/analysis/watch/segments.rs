//! The exposure of one part as spans of days, and sums of spans by week.

use super::Weeks;
use crate::analysis::levels::{Levels, Stratum};
use crate::analysis::part_exposure::{Bands, Segment};
use crate::field::{DAYS_PER_YEAR, Day};
use crate::ledger::{AGE_BANDS, begins};

/// Failures expected in a week that rounding leaves where all items have gone: so few are none.
const DUST: f64 = 1e-11;

/// The exposure of one part as spans, by lot.
pub(in crate::analysis) struct Segments {
    pub(super) weeks: Weeks,
    all: Vec<Segment>,
    /// Where those of each lot begin.
    begins: Vec<u32>,
    /// Item-years of all lots of a stratum in an age band by week, where there are any: the same for every recurrence of the part.
    by_week: Vec<(Stratum, usize, Vec<f64>)>,
}

impl Segments {
    /// From all of a part's segments, lot by lot.
    pub(in crate::analysis) fn new(all: Vec<Segment>, levels: &Levels, weeks: Weeks) -> Self {
        let begins = begins(&all, levels.lots.len(), |segment| Some(segment.row as usize));
        let mut sums: Vec<Option<Sum>> = Vec::new();
        sums.resize_with(levels.strata.len() * AGE_BANDS.len(), || None);
        for segment in &all {
            let stratum = levels.lots[segment.row as usize].stratum;
            let sum = &mut sums[stratum * AGE_BANDS.len() + segment.band as usize];
            sum.get_or_insert_with(|| Sum::new(weeks.monday(0), weeks.len())).add(segment, 1.0);
        }
        let of_both = |(at, sum): (usize, Option<Sum>)| {
            Some((at / AGE_BANDS.len(), at % AGE_BANDS.len(), sum?.by_week()))
        };
        let by_week = sums.into_iter().enumerate().filter_map(of_both).collect();
        Self { weeks, all, begins, by_week }
    }

    /// Expected failures of all lots by week, at the rates of each stratum.
    pub(super) fn expected(&self, rates: &[Bands]) -> Vec<f64> {
        let mut expected = vec![0.0; self.weeks.len()];
        for (stratum, band, years) in &self.by_week {
            let rate = rates[*stratum][*band];
            expected.iter_mut().zip(years).for_each(|(sum, years)| *sum += rate * years);
        }
        expected
    }

    pub(super) fn of_lot(&self, lot: usize) -> &[Segment] {
        &self.all[self.begins[lot] as usize..self.begins[lot + 1] as usize]
    }
}

/// Sums segments by week, kept as what begins in each less what ends: a segment costs the same however long. Item-days are
/// summed, since whole numbers leave no dust.
pub(super) struct Sum {
    first: Day,
    /// By week: what that adds to the week itself, and to every later one.
    steps: Vec<(f64, f64)>,
}

impl Sum {
    /// Of so many weeks from a Monday on.
    pub(super) fn new(first: Day, weeks: usize) -> Self {
        Self { first, steps: vec![(0.0, 0.0); weeks] }
    }

    /// Adds a segment's items times a rate a year.
    pub(super) fn add(&mut self, segment: &Segment, rate: f64) {
        let a_day = segment.items * rate;
        self.step(segment.from, a_day);
        self.step(segment.to, -a_day);
    }

    /// From a day on each day has so much more. What begins behind the last week is in none.
    fn step(&mut self, from: i32, a_day: f64) {
        let day = (from - self.first.0).max(0);
        if let Some((here, later)) = self.steps.get_mut((day / 7) as usize) {
            *here += a_day * f64::from(7 - day % 7);
            *later += a_day * 7.0;
        }
    }

    /// By week, of item-years times their rates.
    pub(super) fn by_week(&self) -> Vec<f64> {
        let mut before = 0.0;
        let of_week = |(here, later): &(f64, f64)| {
            let sum = (before + here) / DAYS_PER_YEAR;
            before += later;
            if sum > DUST { sum } else { 0.0 }
        };
        self.steps.iter().map(of_week).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(from: i32, to: i32, items: f64) -> Segment {
        Segment { row: 0, band: 0, from, to, items }
    }

    /// Day by day: spans that begin before the first week, within one, and that end after the last whole week.
    #[test]
    fn weeks_have_the_days_of_their_spans() {
        let spans = [(-30, 3, 5.0), (2, 4, 7.0), (6, 16, 11.0), (13, 14, 3.0), (8, 40, 2.0), (28, 50, 9.0)];
        let mut sum = Sum::new(Day(0), 4);
        for (from, to, items) in spans {
            sum.add(&segment(from, to, items), 0.5);
        }
        for (week, found) in (0..).zip(sum.by_week()) {
            let days = 7 * week..7 * week + 7;
            let there = |day: i32| spans.iter().filter(move |(from, to, _)| (*from..*to).contains(&day));
            let by_hand: f64 = days.flat_map(there).map(|span| 0.5 * span.2 / DAYS_PER_YEAR).sum();
            assert!((found - by_hand).abs() < 1e-12, "week {week}: {found}, {by_hand}");
        }
    }

    /// Very many items that all have left are none, to the last digit; in item-years 2.7e-10 of a week would be left here.
    #[test]
    fn what_has_gone_leaves_nothing() {
        let mut sum = Sum::new(Day(0), 300);
        for n in 0..200_000 {
            let from = n * 7919 % 1000;
            sum.add(&segment(from, from + 1 + n % 900 * 7919 % 900, f64::from(1 + n % 400)), 1.0);
        }
        let by_week = sum.by_week();
        assert!(by_week[..200].iter().all(|years| *years > 0.0));
        assert_eq!(by_week[272..], [0.0; 28]);
    }
}
