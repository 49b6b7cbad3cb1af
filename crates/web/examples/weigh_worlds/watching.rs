//! The watch beside a scan of raw monthly counts: false signals, and how soon each tells of a bad lot.

use chrono::{Datelike as _, Months, NaiveDate};
use domain::analysis::{Analysis, FALSE_SIGNALS_PER_YEAR, Recurrence};
use domain::field::{Day, Field, Stock};
use domain::movement::MovementKind;
use serde_json::Value;

/// Reports a year from which a recurrence counts as often seen.
const OFTEN: f64 = 10.0;
/// Months before a month that say what is usual in it.
const MONTHS_BEFORE: usize = 12;
/// Excess from which a bad lot counts.
const WORTH_A_SIGNAL: f64 = 10.0;

/// A month of a scan: its last day, and the chance of at least so many reports received in it.
type Scanned = (NaiveDate, f64);

/// One bad lot: the day it first went out, the watch's first signal after it, and the scan.
struct Bad {
    out_on: NaiveDate,
    watch: Option<NaiveDate>,
    scan: Vec<Scanned>,
}

/// What was seen in all worlds.
#[derive(Default)]
pub(super) struct Watching {
    /// Years of worlds without a bad lot.
    years: f64,
    /// Recurrences signalled on there, of all and of those often seen.
    signalled: u32,
    signalled_often: u32,
    /// Series signalled, where a recurrence has several.
    series: u32,
    /// Signals asked for on recurrences often seen.
    asked_often: f64,
    /// The least chance that the scan found in each recurrence there.
    least: Vec<f64>,
    bad: Vec<Bad>,
}

impl Watching {
    /// Takes in a world without a bad lot.
    pub(super) fn add_good(&mut self, field: &Field, analysis: &Analysis, years: f64) {
        self.years += years;
        let all: u32 = analysis.recurrences.iter().map(|r| r.reports).sum();
        for recurrence in &analysis.recurrences {
            let signalled = u32::from(recurrence.first_signal_on.is_some());
            self.signalled += signalled;
            self.series += u32::try_from(recurrence.watch.signals.len()).unwrap_or(u32::MAX);
            let reports = f64::from(recurrence.reports);
            if reports >= OFTEN * years {
                self.signalled_often += signalled;
                self.asked_often += FALSE_SIGNALS_PER_YEAR * years * reports / f64::from(all);
            }
            let least = scan(field, analysis.as_of, recurrence).into_iter().map(|month| month.1);
            self.least.push(least.fold(1.0, f64::min));
        }
    }

    /// Takes in a bad lot and the recurrence of its mode.
    pub(super) fn add_bad(
        &mut self,
        field: &Field,
        analysis: &Analysis,
        recurrence: &Recurrence,
        bad: &Value,
    ) {
        let excess = bad["expected_excess_reports"].as_f64().unwrap_or(0.0);
        let empty = Vec::new();
        let into = bad["item_lots"].as_array().unwrap_or(&empty);
        let is_of = |stock: Stock| match stock {
            Stock::Lot(lot) => into.iter().any(|l| l["lot_no"] == field.lots[lot].lot_no.as_ref()),
            Stock::Unknown(..) => false,
        };
        let issues = field.movements.iter().filter(|m| m.kind == MovementKind::Issue && is_of(m.stock));
        let Some(out_on) = issues.map(|m| m.day).min().map(Day::date) else { return };
        if excess < WORTH_A_SIGNAL {
            return;
        }
        let signals = recurrence.watch.signals.iter().map(|signal| signal.first_on);
        self.bad.push(Bad {
            out_on,
            watch: signals.filter(|on| *on >= out_on).min(),
            scan: scan(field, analysis.as_of, recurrence),
        });
    }

    pub(super) fn print(&self) {
        println!("| the watch in {:.0} years without a bad lot | signals | asked | share |", self.years);
        println!("|---|---|---|---|");
        let asked = FALSE_SIGNALS_PER_YEAR * self.years;
        let line = |what: &str, signals: u32, asked: f64| {
            println!("| {what} | {signals} | {asked:.1} | {:.2} |", f64::from(signals) / asked.max(1e-9));
        };
        line("recurrences signalled on", self.signalled, asked);
        line("of these, recurrences of 10 or more reports a year", self.signalled_often, self.asked_often);
        line("series signalled on, where a recurrence has several", self.series, asked);
        println!();
        let limit = self.limit();
        println!(
            "| bad lots with 10 or more reports on top: {} | signalled on | median delay in days |",
            self.bad.len()
        );
        println!("|---|---|---|");
        let delays = |signal: &dyn Fn(&Bad) -> Option<NaiveDate>| {
            let days = |bad: &Bad| signal(bad).map(|on| (on - bad.out_on).num_days());
            self.bad.iter().map(days).collect::<Vec<_>>()
        };
        let scanned = |bad: &Bad| {
            bad.scan
                .iter()
                .filter(|month| month.0 >= bad.out_on && month.1 <= limit)
                .map(|month| month.0)
                .min()
        };
        let (watch, scan) = (delays(&|bad| bad.watch), delays(&scanned));
        let both = |of: &[Option<i64>]| {
            let pairs = of.iter().zip(watch.iter().zip(&scan));
            pairs.filter(|(_, (a, b))| a.is_some() && b.is_some()).map(|(day, _)| *day).collect::<Vec<_>>()
        };
        for (what, of) in [("the watch", &watch), ("the scan of monthly counts", &scan)] {
            let signalled = of.iter().flatten().count();
            println!("| {what}, all of them | {signalled} | {} |", median(of));
        }
        for (what, of) in [("the watch", both(&watch)), ("the scan of monthly counts", both(&scan))] {
            println!("| {what}, those that both signalled on | {} | {} |", of.len(), median(&of));
        }
        println!();
        println!(
            "The scan signals where at least so many reports in a month had a chance of {limit:.1e} or less, which gives it as many recurrences signalled on without a bad lot as the watch."
        );
    }

    /// The chance at which the scan signals on as many recurrences without a bad lot as the watch does.
    fn limit(&self) -> f64 {
        let mut least = self.least.clone();
        least.sort_unstable_by(f64::total_cmp);
        self.signalled.checked_sub(1).and_then(|at| least.get(at as usize).copied()).unwrap_or(0.0)
    }
}

/// The median; those that never come are later than all others.
fn median(days: &[Option<i64>]) -> String {
    let mut days: Vec<i64> = days.iter().map(|day| day.unwrap_or(i64::MAX)).collect();
    days.sort_unstable();
    match days.get(days.len() / 2) {
        Some(&day) if day < i64::MAX => day.to_string(),
        _ => "never".to_owned(),
    }
}

/// Looks at the end of each month at the reports received in it, against the mean of the twelve months before.
fn scan(field: &Field, as_of: NaiveDate, recurrence: &Recurrence) -> Vec<Scanned> {
    let month = |day: NaiveDate| day.year() * 12 + day.month0().cast_signed();
    let unasked = recurrence.report_ids.iter().map(|&id| &field.reports[id]);
    let received: Vec<i32> =
        unasked.filter(|r| r.prompted_by.is_none()).map(|r| month(r.received_on.date())).collect();
    let Some(first) = received.iter().copied().min() else { return vec![] };
    let last = month(as_of);
    let mut counts = vec![0_u64; usize::try_from(last - first + 1).unwrap_or(0)];
    for at in received.into_iter().filter_map(|at| usize::try_from(at - first).ok()) {
        counts[at] += 1;
    }
    let looked = MONTHS_BEFORE.min(counts.len())..counts.len();
    looked
        .filter_map(|at| {
            let before: u64 = counts[at - MONTHS_BEFORE..at].iter().sum();
            let mean = (before as f64 + 0.5) / MONTHS_BEFORE as f64;
            let month = first + i32::try_from(at).ok()?;
            let begin = NaiveDate::from_ymd_opt(month.div_euclid(12), 1, 1)?;
            let next = begin + Months::new(month.rem_euclid(12) as u32 + 1);
            Some((next.pred_opt()?, stats::poisson_rate::upper_tail(counts[at], mean)))
        })
        .collect()
}
