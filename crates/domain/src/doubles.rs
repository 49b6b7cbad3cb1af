//! Doubles: two reports of the same failure, proposed with their probability and never merged.
//!
//! Record linkage after Fellegi and Sunter ("A theory for record linkage", JASA 64, 1969) with weights by the frequency
//! of values (Winkler 1988): agreeing on a rare lot says more than agreeing on a common size. Only reports of one
//! unit on one item, found within a week of each other, are held against each other; how busy the unit is decides what a
//! near date is worth.

mod evidence;

use rayon::prelude::*;

use crate::field::{Day, Field, PartId, ReportFacts, ReportId, UnitId};
use evidence::Frequencies;
pub use evidence::{NEAR_DAYS, by_agreement, by_words};

/// Two reports that may tell of the same failure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Double {
    /// The one that came first.
    pub first: ReportId,
    /// The other.
    pub second: ReportId,
    /// Odds that they tell of the same failure.
    pub odds: f64,
    /// Whether their words were at hand and are in the odds.
    pub words_are_in: bool,
    /// Whether both have a mode; if so, it is in the odds.
    pub modes_are_in: bool,
}

impl Double {
    /// The probability that they tell of the same failure.
    pub fn probability(&self) -> f64 {
        self.odds / (1.0 + self.odds)
    }
}

/// From this probability on a double is proposed: four to one.
pub const PROPOSED: f64 = 0.8;

/// Reports that each is held against, the next in time: a unit that has more in a week is a name for many, and old books may
/// have very many on one day.
const MOST_NEAR: usize = 500;

/// Every pair of reports received by a day that is proposed as a double, most probable first. Of the reports of one unit on one
/// item each is held against the 500 next.
pub fn possible_doubles(field: &Field, as_of: Day) -> Vec<Double> {
    let mut reports: Vec<(UnitId, PartId, Day, ReportId)> = field
        .reports
        .iter()
        .filter(|one| one.1.received_on <= as_of)
        .map(|(id, report)| (report.unit, report.item, report.found_on, id))
        .collect();
    reports.sort_unstable();
    let frequencies = Frequencies::of(field, as_of);
    let of_bucket = |bucket: &[(UnitId, PartId, Day, ReportId)]| {
        let per_day = per_day(bucket.iter().map(|one| one.2));
        let mut doubles = Vec::new();
        for (at, &(_, _, day, a)) in bucket.iter().enumerate() {
            let near = bucket[at + 1..].iter().take_while(|other| other.2.0 - day.0 <= NEAR_DAYS);
            for &(_, _, _, b) in near.take(MOST_NEAR) {
                doubles.extend(
                    double(field, &frequencies, (a, b), per_day).filter(|d| d.probability() >= PROPOSED),
                );
            }
        }
        doubles
    };
    let buckets = reports.par_chunk_by(|a, b| (a.0, a.1) == (b.0, b.1));
    let mut doubles: Vec<Double> = buckets.flat_map_iter(of_bucket).collect();
    doubles.sort_by(|a, b| b.odds.total_cmp(&a.odds).then((a.first, a.second).cmp(&(b.first, b.second))));
    doubles
}

/// Reports that may tell of the same failure as one, most probable first, however improbable.
pub fn doubles_of(field: &Field, report_ref: &str) -> Vec<Double> {
    let Some(own) = field.reports.iter().map(|one| one.0).find(|&id| field.report_ref(id) == report_ref)
    else {
        return Vec::new();
    };
    let report = &field.reports[own];
    let same = |one: &(ReportId, &ReportFacts)| (one.1.unit, one.1.item) == (report.unit, report.item);
    let bucket: Vec<(ReportId, &ReportFacts)> = field.reports.iter().filter(same).collect();
    let frequencies = Frequencies::of(field, Day(i32::MAX));
    let per_day = per_day(bucket.iter().map(|one| one.1.found_on));
    let mut doubles: Vec<Double> = bucket
        .iter()
        .filter(|(id, other)| *id != own && (other.found_on.0 - report.found_on.0).abs() <= NEAR_DAYS)
        .filter_map(|(id, _)| double(field, &frequencies, (own, *id), per_day))
        .collect();
    doubles.sort_by(|a, b| b.odds.total_cmp(&a.odds).then((a.first, a.second).cmp(&(b.first, b.second))));
    doubles
}

/// Reports a day of one unit on one item, over the days from its first to its last and a season at least.
fn per_day(found: impl Iterator<Item = Day>) -> f64 {
    const SEASON_DAYS: i32 = 90;
    let (mut count, mut first, mut last) = (0_u32, i32::MAX, i32::MIN);
    for day in found {
        (count, first, last) = (count + 1, first.min(day.0), last.max(day.0));
    }
    f64::from(count) / f64::from(last.saturating_sub(first).max(SEASON_DAYS))
}

fn double(
    field: &Field,
    frequencies: &Frequencies,
    pair: (ReportId, ReportId),
    per_day: f64,
) -> Option<Double> {
    let (one, other) = (&field.reports[pair.0], &field.reports[pair.1]);
    let odds = evidence::odds(one, other, frequencies, per_day)?;
    let is_first = (one.received_on, pair.0) <= (other.received_on, pair.1);
    let (first, second) = if is_first { pair } else { (pair.1, pair.0) };
    let words_are_in = one.words.differs(other.words).is_some();
    let modes_are_in = one.mode.is_some() && other.mode.is_some();
    Some(Double { first, second, odds, words_are_in, modes_are_in })
}
