//! What came about week by week, counted once for every page that draws it.

use std::collections::BTreeMap;

use super::holders::Holders;
use crate::field::{Day, Field, PartId, Stock};
use crate::movement::MovementKind;

/// Counts by the week, as [`Day::week`] numbers it, Monday to Sunday.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ByWeek(BTreeMap<i32, u64>);

impl ByWeek {
    /// Counts `n` more on a day.
    pub(super) fn add(&mut self, day: Day, n: u64) {
        *self.0.entry(day.week()).or_default() += n;
    }

    /// Counts `n` less on a day.
    pub(super) fn take_off(&mut self, day: Day, n: u64) {
        if let Some(count) = self.0.get_mut(&day.week()) {
            *count = count.saturating_sub(n);
        }
        self.0.retain(|_, count| *count > 0);
    }

    /// The first week with a count; `None` without any.
    pub fn first(&self) -> Option<i32> {
        self.0.keys().next().copied()
    }

    /// The count of a week.
    pub fn on(&self, week: i32) -> u64 {
        self.0.get(&week).copied().unwrap_or(0)
    }
}

/// Items of each stock issued, new or used, by week.
pub(super) struct Issues(Vec<(Stock, i32, u64)>);

impl Issues {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let issues = field.movements.iter().filter(|m| m.kind == MovementKind::Issue && m.day <= as_of);
        let mut rows: Vec<(Stock, i32, u64)> =
            issues.map(|m| (m.stock, m.day.week(), u64::from(m.quantity))).collect();
        rows.sort_unstable();
        rows.dedup_by(|next, first| {
            let is_same = (next.0, next.1) == (first.0, first.1);
            first.2 += if is_same { next.2 } else { 0 };
            is_same
        });
        Self(rows)
    }

    /// Issues of every item that contains a part.
    pub(super) fn of_part(&self, field: &Field, part: PartId) -> ByWeek {
        let holders = Holders::of_part(field, part);
        let mut issued = ByWeek::default();
        for rows in self.0.chunk_by(|a, b| a.0 == b.0).filter(|rows| holders.has_stock(field, rows[0].0)) {
            for &(_, week, n) in rows {
                *issued.0.entry(week).or_default() += n;
            }
        }
        issued
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_week_runs_from_monday_to_sunday_and_counts_go_both_ways() {
        let monday = Day::monday(105_000);
        let mut counts = ByWeek::default();
        counts.add(monday, 1);
        counts.add(Day(monday.0 + 6), 2);
        counts.add(Day(monday.0 + 7), 4);
        assert_eq!((counts.on(105_000), counts.on(105_001), counts.on(104_999)), (3, 4, 0));
        counts.take_off(monday, 3);
        assert_eq!(counts.first(), Some(105_001), "a week without a count is no first week");
    }
}
