//! The watch: looks once a week whether a recurrence, or one upstream lot in it, has begun to come more often.
//!
//! Each series is a Poisson CUSUM of reports by the week they were received, against what is expected to be received
//! then: exposure at the age, month and delay rates of the field. A recurrence is measured by its own past, a lot by
//! the other lots. All series together may raise so many false signals a year; each has its part of that in proportion
//! to the reports expected of it, so that one run of reports is as rare in all of them.
//!
//! What is approximate: rates by age, month of the year and delay are those of the whole record, and lots that item
//! lots used for less than half of their items are not watched there.

mod calendar;
mod expected;
mod path;
mod segments;
mod threshold;
mod unit_shares;

use chrono::NaiveDate;
use rayon::prelude::*;

use self::calendar::Season;
pub(super) use self::calendar::{Delays, Weeks};
pub(super) use self::expected::raw;
use self::path::{Line, signal};
pub(super) use self::segments::Segments;
use self::threshold::Thresholds;
use crate::field::{Day, LotId};

/// False signals a year over everything watched, where nobody asks for another figure: one in two years.
pub const FALSE_SIGNALS_PER_YEAR: f64 = 0.5;
/// A rate twice its past is what the watch of a recurrence looks for.
const RISE: f64 = 2.0;
/// A lot three times as bad as the others is what the watch of lots looks for.
const BAD_LOT: f64 = 3.0;
/// Other allowances shown beside the one asked for, as multiples of it.
const OTHER_ALLOWANCES: [f64; 2] = [4.0, 0.25];
const WEEKS_PER_YEAR: f64 = 365.25 / 7.0;

/// What is watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Watched {
    /// All reports of the recurrence.
    Recurrence,
    /// Those on items with an upstream lot.
    UsedLot(LotId),
}

/// A signal of the watch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signal {
    /// Of what.
    pub of: Watched,
    /// The day of the look that first raised it.
    pub first_on: NaiveDate,
    /// Whether the score has not fallen back to nothing since it last signalled.
    pub on_now: bool,
    /// Weeks of the run that raised it.
    pub weeks: u32,
    /// Reports received in that run.
    pub reports: u64,
    /// Expected in it.
    pub expected: f64,
    /// Reports in excess at which it signals (a score at the threshold signals).
    pub threshold: f64,
}

/// The watch over one recurrence.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Watch {
    /// Signals, the earliest first; one a series.
    pub signals: Vec<Signal>,
    /// Series looked at: the recurrence and its upstream lots with reports enough to signal.
    pub series: usize,
    /// Weekly looks.
    pub looks: usize,
    /// When the first signal would have come, had four times as many false signals been allowed, and a quarter as many.
    pub otherwise: Vec<Otherwise>,
}

/// The first signal under another allowance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Otherwise {
    /// False signals a year over everything watched.
    pub false_signals_per_year: f64,
    /// The first signal; `None` without one.
    pub first_on: Option<NaiveDate>,
}

impl Watch {
    /// Whether any signal is on.
    pub fn on_now(&self) -> bool {
        self.signals.iter().any(|signal| signal.on_now)
    }
}

/// One series before season, delay and threshold are known.
#[derive(Clone, Debug)]
pub(super) struct Series {
    of: Watched,
    /// Expected failures by the week they are found.
    expected: Vec<f64>,
    /// Reports by the week they were received.
    received: Vec<u32>,
    /// By how much the expectation is raised for what is not known well.
    doubt: f64,
}

/// The series of one recurrence.
#[derive(Clone, Debug, Default)]
pub(super) struct Raw {
    /// The recurrence itself, then its upstream lots; none where nothing can be watched.
    series: Vec<Series>,
    /// Reports of the recurrence by the week they were found.
    found: Vec<u32>,
    /// Reports expected of all upstream lots, with or without reports.
    on_lots: f64,
    /// Days on which changes to it cut in.
    cut_ins: Vec<Day>,
}

impl Raw {
    /// The recurrence itself.
    fn own(&self) -> Option<&Series> {
        self.series.first()
    }
}

/// The thresholds of every series under one allowance of false signals: half of it goes to the recurrences, half to the
/// lots.
struct Allowance {
    rising: Thresholds,
    bad: Thresholds,
}

impl Allowance {
    fn new(false_signals_per_year: f64, years: f64, on_recurrences: f64, on_lots: f64) -> Self {
        let half = false_signals_per_year / 2.0 * years;
        Self {
            rising: Thresholds::new(RISE, on_recurrences / half),
            bad: Thresholds::new(BAD_LOT, on_lots / half),
        }
    }

    fn of(&self, watched: Watched) -> &Thresholds {
        match watched {
            Watched::Recurrence => &self.rising,
            Watched::UsedLot(_) => &self.bad,
        }
    }
}

/// The watch over every recurrence, in their order.
pub(super) fn watch(
    weeks: &Weeks,
    delays: &Delays,
    raws: &[&Raw],
    false_signals_per_year: f64,
) -> Vec<Watch> {
    let years = weeks.len() as f64 / WEEKS_PER_YEAR;
    if years <= 0.0 || false_signals_per_year <= 0.0 {
        return vec![Watch::default(); raws.len()];
    }
    let season = Season::new(weeks, raws);
    let own = raws.iter().filter_map(|raw| raw.own());
    let all: f64 = own.flat_map(|series| &series.received).map(|&n| f64::from(n)).sum();
    let on_lots: f64 = raws.iter().map(|raw| raw.on_lots).sum();
    let allowing = |per_year: f64| Allowance::new(per_year, years, all, on_lots);
    let asked = allowing(false_signals_per_year);
    let others = OTHER_ALLOWANCES.map(|times| allowing(times * false_signals_per_year));
    let of_raw = |raw: &&Raw| {
        let mut signals = Vec::new();
        let mut firsts: [Option<NaiveDate>; OTHER_ALLOWANCES.len()] = Default::default();
        for series in &raw.series {
            let of_lot = series.of != Watched::Recurrence;
            let expected = delays.received(&season.applied(&series.expected));
            let received: Vec<u64> = series.received.iter().map(|&n| u64::from(n)).collect();
            let line = Line {
                expected: if of_lot {
                    expected.iter().map(|e| e * series.doubt).collect()
                } else {
                    path::by_its_past(&received, &expected)
                },
                received,
                cut_ins: if of_lot { vec![] } else { weeks.of_days(&raw.cut_ins) },
            };
            signals.extend(signal(weeks, series.of, &line, asked.of(series.of)));
            for (first, other) in firsts.iter_mut().zip(&others) {
                let on = signal(weeks, series.of, &line, other.of(series.of)).map(|signal| signal.first_on);
                *first = first.iter().copied().chain(on).min();
            }
        }
        signals.sort_by_key(|signal| (signal.first_on, signal.of));
        let otherwise = OTHER_ALLOWANCES.iter().zip(firsts).map(|(times, first_on)| Otherwise {
            false_signals_per_year: times * false_signals_per_year,
            first_on,
        });
        let otherwise = otherwise.collect();
        Watch { signals, series: raw.series.len(), looks: weeks.len(), otherwise }
    };
    raws.par_iter().map(of_raw).collect()
}
