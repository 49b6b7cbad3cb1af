//! The forecast: reports to come on the items now in service, at the ages they will have.
//!
//! Reports found in the window, over all the use that items had in it, give the level; the fitted shape carries it to the
//! ages ahead, drawn towards what is usual of soft goods as far as few failures leave it open; without a fitted life the
//! rate is taken as steady, and said to be. Items leave at the rate at which they
//! left so far, and no new ones come. Lots and units are given the share that their own reports show, shrunk to the
//! fleet's. Prompted reports and faults on unpacking are not forecast.

use std::fmt;

use stats::forecast::{MixedCount, Use, power_sum, repeated};
use stats::shrinkage::{Cell, Fit};

use super::age_profile::{STEP_YEARS, step_of};
use super::fit_prior::fit_prior;
use super::life::Life;
use super::seen::{Seen, comparable};
use super::service::{Service, Stay};
use super::window::Window;
use crate::field::{DAYS_PER_YEAR, Day, Field, Id, LotId, ReportId, Stock, UnitId};

/// How far ahead, in months.
pub const MONTHS_AHEAD: [u32; 3] = [3, 6, 12];

/// Risk on either side of the bounds: 90 % between them.
const RISK: f64 = 0.05;

/// Oldest age told apart when the total is shared out.
const OLDEST_DAYS: i32 = 365 * 41;

/// Lots and units that are told, those with most to come.
const TOLD: usize = 20;

/// A judged middle of the shapes of worn soft goods, mild wear-out, and the standard deviation of the shape's logarithm from
/// one mode to another. No published source: held against invented worlds only (`tests/bench/worlds.md`); many failures of a
/// mode outweigh it.
const USUAL_SHAPE: f64 = 1.75;
const SHAPES_DIFFER: f64 = 0.4;

/// Standard deviation of the shape's logarithm where none could be fitted and 1 is assumed.
const UNKNOWN_SHAPE: f64 = 0.5;

/// Reports to come within some months.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ahead {
    /// Months ahead.
    pub months: u32,
    /// Reports expected.
    pub expected: f64,
    /// 5 % bound.
    pub low: f64,
    /// 95 % bound.
    pub high: f64,
}

/// Reports to come in 12 months from one lot or unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Portion<I> {
    /// The lot or unit.
    pub of: I,
    /// Its items in service.
    pub in_service: u64,
    /// Its reports so far, within the time looked at.
    pub reports: u32,
    /// Reports expected.
    pub expected: f64,
    /// 5 % bound.
    pub low: f64,
    /// 95 % bound.
    pub high: f64,
}

/// Reports to come.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// In 3, 6 and 12 months.
    pub ahead: [Ahead; 3],
    /// Whether the rate was taken as steady, for want of a fitted life.
    pub assumed_steady: bool,
    /// Reports it rests on.
    pub reports: u32,
    /// Items in service.
    pub in_service: u64,
    /// Share of them that leaves in a year.
    pub leaving_per_year: f64,
    /// Lots with most to come; unread labels are shared out as the read ones.
    pub lots: Vec<Portion<LotId>>,
    /// Units with most to come.
    pub units: Vec<Portion<UnitId>>,
}

impl Forecast {
    /// The 12 months ahead.
    pub fn year(&self) -> Ahead {
        self.ahead[2]
    }
}

/// Why nothing is forecast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoForecast {
    /// No item that contains the part is in service.
    NobodyHasIt,
    /// No service on record to set the reports against.
    NoService,
}

impl fmt::Display for NoForecast {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NobodyHasIt => "no forecast: no item that contains the part is on record as in service",
            Self::NoService => "no forecast: no service is on record to set the reports against",
        })
    }
}

/// Use of a part by age: in the window, and ahead.
pub(super) struct Fleet {
    past: Vec<Use>,
    ahead: [Vec<Use>; 3],
    in_service: u64,
}

impl Fleet {
    pub(super) fn new(service: &Service, window: Window, as_of: Day) -> Self {
        // What each week of age begins with and ends; a span of ages is then the weeks in it, each weighed alike.
        let mut change: Vec<f64> = Vec::new();
        let mut now: Vec<f64> = Vec::new();
        let mut in_service = 0;
        for stay in service.stays() {
            if let Some((from, to)) = ages_within(stay, window) {
                // Spans of weeks, so that there are few of them.
                let (begin, end) = (from / 7, (to + 6) / 7);
                let share = f64::from(to - from) / f64::from(7 * (end - begin));
                if change.len() <= end as usize {
                    change.resize(end as usize + 1, 0.0);
                }
                change[begin as usize] += share * f64::from(stay.quantity);
                change[end as usize] -= share * f64::from(stay.quantity);
            }
            if stay.open {
                let step = step_of(stay.age_on(as_of));
                if now.len() <= step {
                    now.resize(step + 1, 0.0);
                }
                now[step] += f64::from(stay.quantity);
                in_service += u64::from(stay.quantity);
            }
        }
        let mut there = 0.0;
        let past = change.iter().enumerate().filter_map(|(week, change)| {
            there += change;
            // Rounding leaves dust where all have gone.
            (there > 1e-9).then(|| Use {
                from: week as f64 * STEP_YEARS,
                to: (week + 1) as f64 * STEP_YEARS,
                items: there,
            })
        });
        let ahead =
            MONTHS_AHEAD.map(|months| ahead(&now, f64::from(months) / 12.0, service.leaving_per_year));
        Self { past: past.collect(), ahead, in_service }
    }
}

/// The ages a stay passed within the window, in days.
fn ages_within(stay: &Stay, window: Window) -> Option<(i32, i32)> {
    let (from, to) = (stay.from.max(window.from), stay.to.min(window.to));
    (from < to).then(|| (stay.age_on(from), stay.age_on(to))).filter(|(from, to)| from < to)
}

/// Use ahead by steps of age, thinned as items leave.
fn ahead(now: &[f64], years: f64, leaving_per_year: f64) -> Vec<Use> {
    let steps = (years / STEP_YEARS).ceil() as usize;
    let mut items = vec![0.0; now.len() + steps];
    for step in 0..steps {
        let (begin, end) = (step as f64 * STEP_YEARS, ((step + 1) as f64 * STEP_YEARS).min(years));
        let share = (-leaving_per_year * begin.midpoint(end)).exp() * (end - begin) / STEP_YEARS;
        for (age, &there) in now.iter().enumerate().filter(|(_, there)| **there > 0.0) {
            items[age + step] += there * share;
        }
    }
    let used = items.into_iter().enumerate().filter(|(_, items)| *items > 0.0);
    used.map(|(age, items)| Use { from: age as f64 * STEP_YEARS, to: (age + 1) as f64 * STEP_YEARS, items })
        .collect()
}

impl Forecast {
    pub(super) fn new(
        field: &Field,
        seen: &Seen,
        service: &Service,
        fleet: &Fleet,
        life: Option<&Life>,
        reports: impl Iterator<Item = ReportId>,
        window: Window,
    ) -> Result<Self, NoForecast> {
        if fleet.in_service == 0 {
            return Err(NoForecast::NobodyHasIt);
        }
        let (mut by_unit, mut by_lot, mut count) =
            (vec![0_u32; field.units.len()], vec![0_u32; field.lots.len()], 0_u32);
        for id in reports {
            let report = &field.reports[id];
            if comparable(report) && window.has(report.found_on) {
                count += 1;
                by_unit[report.unit.index()] += 1;
                if let Some(lot) = seen.lot(id).lot {
                    by_lot[lot.index()] += 1;
                }
            }
        }
        let (shape, variance) = life.map_or((1.0, UNKNOWN_SHAPE * UNKNOWN_SHAPE), |life| {
            drawn_to_usual(life.shape, life.variance_of_log_shape)
        });
        let mut found = Vec::with_capacity(3);
        for (months, ahead) in MONTHS_AHEAD.into_iter().zip(&fleet.ahead) {
            let repeated = repeated(f64::from(count), shape, variance, &fleet.past, ahead)
                .map_err(|_| NoForecast::NoService)?;
            let (low, high) = bounds(&repeated.count);
            found.push(Ahead { months, expected: repeated.expected, low, high });
        }
        let per_use = power_sum(&fleet.ahead[2], shape) / power_sum(&fleet.past, shape);
        let powers = (0..=OLDEST_DAYS).map(|days| (f64::from(days) / DAYS_PER_YEAR).powf(shape)).collect();
        let portions =
            Portions { service, window, powers, as_of: seen.as_of, total: f64::from(count), per_use };
        Ok(Self {
            ahead: [found[0], found[1], found[2]],
            assumed_steady: life.is_none(),
            reports: count,
            in_service: fleet.in_service,
            leaving_per_year: service.leaving_per_year,
            lots: portions.told(&by_lot, |stay| match stay.stock {
                Stock::Lot(lot) => Some(lot),
                Stock::Unknown(..) => None,
            }),
            units: portions.told(&by_unit, |stay| Some(stay.unit)),
        })
    }
}

/// A shape and the variance of its logarithm, given what is usual: means weighed by their precision on the logarithm.
fn drawn_to_usual(shape: f64, variance: f64) -> (f64, f64) {
    let usual = (SHAPES_DIFFER * SHAPES_DIFFER).recip();
    let own = variance.max(f64::MIN_POSITIVE).recip();
    let log = (own * shape.ln() + usual * USUAL_SHAPE.ln()) / (own + usual);
    (log.exp(), (own + usual).recip())
}

fn bounds(count: &MixedCount) -> (f64, f64) {
    (count.lower(RISK) as f64, count.upper(1.0 - RISK) as f64)
}

/// Shares out a forecast.
struct Portions<'a> {
    service: &'a Service,
    window: Window,
    /// Each day of age to the power of the shape, looked up: there are far fewer ages than stays.
    powers: Vec<f64>,
    as_of: Day,
    total: f64,
    per_use: f64,
}

#[derive(Clone, Copy, Default)]
struct Share {
    past: f64,
    ahead: f64,
    in_service: u64,
}

impl Portions<'_> {
    fn told<I: Id + Ord>(&self, counts: &[u32], of: impl Fn(&Stay) -> Option<I>) -> Vec<Portion<I>> {
        let power = |days: i32| self.powers[days.clamp(0, OLDEST_DAYS) as usize];
        let year = DAYS_PER_YEAR as i32;
        let mut shares: Vec<Option<Share>> = vec![None; counts.len()];
        for stay in self.service.stays() {
            let Some(of) = of(stay) else { continue };
            let share = shares[of.index()].get_or_insert_default();
            let items = f64::from(stay.quantity);
            if let Some((from, to)) = ages_within(stay, self.window) {
                share.past += items * (power(to) - power(from));
            }
            if stay.open {
                let age = stay.age_on(self.as_of);
                share.ahead += items * (power(age + year) - power(age));
                share.in_service += u64::from(stay.quantity);
            }
        }
        let mut rows: Vec<(I, Share, u32)> = shares
            .into_iter()
            .zip(counts)
            .enumerate()
            .filter_map(|(at, (share, &n))| Some((I::from_index(at), share?, n)))
            .collect();
        let (past, ahead) =
            rows.iter().fold((0.0, 0.0), |sum, (_, share, _)| (sum.0 + share.past, sum.1 + share.ahead));
        let counted: f64 = rows.iter().map(|row| f64::from(row.2)).sum();
        if past <= 0.0 || ahead <= 0.0 || counted <= 0.0 {
            return Vec::new();
        }
        rows.retain(|(_, share, _)| share.past > 0.0);
        let cell =
            |share: &Share, n: u32| Cell { count: u64::from(n), expected: counted * share.past / past };
        let prior = fit_prior(&rows.iter().map(|(_, share, n)| cell(share, *n)).collect::<Vec<_>>());
        let mut told: Vec<Portion<I>> = rows
            .iter()
            .filter(|(_, share, _)| share.in_service > 0)
            .filter_map(|&(of, share, reports)| {
                let own = cell(&share, reports);
                let (mean, shape) = match prior {
                    Fit::OneGamma { shape, rate, .. } => {
                        let known = shape + f64::from(reports);
                        (known / (rate + own.expected), known)
                    }
                    Fit::NoSignal | Fit::TwoGammas { .. } => (1.0, counted + 0.5),
                };
                let expected = mean * self.total * self.per_use * share.ahead / ahead;
                let (low, high) = bounds(&MixedCount::new(expected, shape).ok()?);
                Some(Portion { of, in_service: share.in_service, reports, expected, low, high })
            })
            .collect();
        told.sort_by(|a, b| b.expected.total_cmp(&a.expected).then(a.of.cmp(&b.of)));
        told.truncate(TOLD);
        told
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a shape of 0.5 known as badly as shapes differ lies halfway on the logarithm, at the root of 0.5 x 1.75.
    #[test]
    fn a_shape_that_few_failures_tell_is_drawn_halfway_to_the_usual_one() {
        let (shape, variance) = drawn_to_usual(0.5, SHAPES_DIFFER * SHAPES_DIFFER);
        assert!((shape - 0.875_f64.sqrt()).abs() < 1e-12 && (variance - 0.08).abs() < 1e-12);
        let (shape, _) = drawn_to_usual(0.5, 1e-4);
        assert!((shape - 0.5).abs() < 0.001, "many failures speak for themselves: {shape}");
    }
}
