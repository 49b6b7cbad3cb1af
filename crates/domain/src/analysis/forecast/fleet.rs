//! The use of a part by age: in the window looked at, and ahead.

use stats::forecast::Use;

use super::MONTHS_AHEAD;
use crate::analysis::age_profile::{STEP_YEARS, step_of};
use crate::analysis::service::{Service, Stay};
use crate::analysis::window::Window;
use crate::field::Day;

/// Use of a part by age: in the window, and ahead.
pub(in crate::analysis) struct Fleet {
    pub(super) past: Vec<Use>,
    pub(super) ahead: [Vec<Use>; 3],
    pub(super) in_service: u64,
    pub(super) as_of: Day,
}

impl Fleet {
    pub(in crate::analysis) fn new(service: &Service, window: Window, as_of: Day) -> Self {
        Self::of(service, window, as_of, |_| true)
    }

    /// Of the items that pass a test.
    pub(super) fn of(service: &Service, window: Window, as_of: Day, wanted: impl Fn(&Stay) -> bool) -> Self {
        // What each week of age begins with and ends; a span of ages is then the weeks in it, each weighed alike.
        let mut change: Vec<f64> = Vec::new();
        let mut now: Vec<f64> = Vec::new();
        let mut in_service = 0;
        for stay in service.stays().iter().filter(|stay| wanted(stay)) {
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
        Self { past: past.collect(), ahead, in_service, as_of }
    }
}

/// The ages a stay passed within the window, in days.
pub(super) fn ages_within(stay: &Stay, window: Window) -> Option<(i32, i32)> {
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
