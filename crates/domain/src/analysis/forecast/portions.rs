//! Shares a forecast out: to each lot and unit what its own reports show, shrunk to the fleet's.

use stats::forecast::MixedCount;
use stats::shrinkage::{Cell, Fit};

use super::bounds;
use super::fleet::ages_within;
use crate::analysis::fit_prior::fit_prior;
use crate::analysis::service::{Service, Stay};
use crate::analysis::window::Window;
use crate::field::{DAYS_PER_YEAR, Day, Id};

/// Oldest age told apart when the total is shared out.
const OLDEST_DAYS: i32 = 365 * 41;

/// Lots and units that are told, those with most to come.
const TOLD: usize = 20;

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

/// Shares out a forecast.
pub(super) struct Portions<'a, L> {
    service: &'a Service,
    window: Window,
    /// Each day of age to the power of the shape, looked up: there are far fewer ages than stays.
    powers: Vec<f64>,
    /// The level at which items fail, over that of most.
    level: L,
    as_of: Day,
    /// Reports expected of all.
    total: f64,
}

#[derive(Clone, Copy, Default)]
struct Share {
    past: f64,
    ahead: f64,
    in_service: u64,
}

impl<'a, L: Fn(&Stay) -> f64> Portions<'a, L> {
    /// `total` reports are expected of all within a year, at ages whose use counts by this shape and level.
    pub(super) fn new(
        (service, window): (&'a Service, Window),
        shape: f64,
        level: L,
        (as_of, total): (Day, f64),
    ) -> Self {
        let powers = (0..=OLDEST_DAYS).map(|days| (f64::from(days) / DAYS_PER_YEAR).powf(shape)).collect();
        Self { service, window, powers, level, as_of, total }
    }

    /// Lots or units with most to come; none where nothing tells them apart.
    pub(super) fn told<I: Id + Ord>(
        &self,
        counts: &[u32],
        of: impl Fn(&Stay) -> Option<I>,
    ) -> Vec<Portion<I>> {
        let power = |days: i32| self.powers[days.clamp(0, OLDEST_DAYS) as usize];
        let year = DAYS_PER_YEAR as i32;
        let mut shares: Vec<Option<Share>> = vec![None; counts.len()];
        let mut ahead_of_all = 0.0;
        for stay in self.service.stays() {
            let items = f64::from(stay.quantity) * (self.level)(stay);
            let age = stay.age_on(self.as_of);
            let ahead = if stay.open { items * (power(age + year) - power(age)) } else { 0.0 };
            // Stock of no known lot is to bring its part of the total too, which is no lot's.
            ahead_of_all += ahead;
            let Some(of) = of(stay) else { continue };
            let share = shares[of.index()].get_or_insert_default();
            if let Some((from, to)) = ages_within(stay, self.window) {
                share.past += items * (power(to) - power(from));
            }
            if stay.open {
                share.ahead += ahead;
                share.in_service += u64::from(stay.quantity);
            }
        }
        let rows: Vec<(I, Share, u32)> = shares
            .into_iter()
            .zip(counts)
            .enumerate()
            .filter_map(|(at, (share, &n))| Some((I::from_index(at), share?, n)))
            .collect();
        let past: f64 = rows.iter().map(|row| row.1.past).sum();
        let counted: f64 = rows.iter().map(|row| f64::from(row.2)).sum();
        if past <= 0.0 || ahead_of_all <= 0.0 || counted <= 0.0 {
            return Vec::new();
        }
        let cell =
            |share: &Share, n: u32| Cell { count: u64::from(n), expected: counted * share.past / past };
        // What was issued too lately to have served in the window tells nothing of how lots differ, and has its failures
        // to come: nothing was expected of it, so that it gets the mean of the others.
        let served = rows.iter().filter(|row| row.1.past > 0.0);
        let prior = fit_prior(&served.map(|(_, share, n)| cell(share, *n)).collect::<Vec<_>>());
        let count = |(of, share, reports): (I, Share, u32)| {
            let own = cell(&share, reports);
            let (mean, shape) = match prior {
                Fit::OneGamma { shape, rate, .. } => {
                    let known = shape + f64::from(reports);
                    (known / (rate + own.expected), known)
                }
                Fit::NoSignal | Fit::TwoGammas { .. } => (1.0, counted + 0.5),
            };
            let expected = mean * self.total * share.ahead / ahead_of_all;
            Some((of, share.in_service, reports, MixedCount::new(expected, shape).ok()?))
        };
        let in_service = rows.into_iter().filter(|(_, share, _)| share.in_service > 0);
        let mut counts: Vec<(I, u64, u32, MixedCount)> = in_service.filter_map(count).collect();
        counts.sort_by(|a, b| b.3.mean().total_cmp(&a.3.mean()).then(a.0.cmp(&b.0)));
        // Bounds take long: of those that are told alone.
        counts.truncate(TOLD);
        let portion = |(of, in_service, reports, count): (I, u64, u32, MixedCount)| {
            let (low, high) = bounds(&count);
            Portion { of, in_service, reports, expected: count.mean(), low, high }
        };
        counts.into_iter().map(portion).collect()
    }
}
