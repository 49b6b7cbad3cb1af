//! The ground of an analysis: what hangs on the books and the date, and on no report.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::rounds::Rounds;
use super::service::Leaving;
use super::spread::Issues;
use super::unit_ratios::Served;
use super::warnings::lots_of_other_parts;
use super::watch::Weeks;
use super::wear::Worn;
use super::window::{Arrived, Window};
use crate::field::{Day, Field, InspectionFacts, ModeId, PartId};
use crate::label::Labels;
use crate::ledger::{Books, Ledger, TakeOrder, fold};

/// What every report of a date is held against.
pub(super) struct Ground {
    /// The date.
    pub(super) as_of: Day,
    pub(super) ledger: Arc<Ledger>,
    /// The check whether results hang on which items a movement takes.
    pub(super) newest_first: Ledger,
    pub(super) labels: Labels,
    pub(super) leaving: Leaving,
    weeks: Weeks,
    pub(super) rounds: Rounds,
    pub(super) worn: Worn,
    pub(super) issues: Issues,
    served: Arc<Served>,
    /// Days served by all items together before each day on which that changes its pace, and a day's from there on.
    item_days: Vec<(Day, f64, f64)>,
    /// Inspections up to the date, by part, mode, unit and day.
    inspections: Vec<InspectionFacts>,
    /// What a reader is told of the events, which are too many to go through with each report.
    pub(super) lots_of_other_parts: Option<String>,
}

impl Ground {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        // What takes long and needs no ledger is worked out while there is none.
        let ((ledger, newest_first), (labels, leaving, issues)) = rayon::join(
            || {
                rayon::join(
                    || fold(field, as_of, TakeOrder::OldestFirst),
                    || fold(field, as_of, TakeOrder::NewestFirst),
                )
            },
            || (Labels::new(field, as_of), Leaving::new(field, as_of), Issues::new(field, as_of)),
        );
        let (served, (weeks, item_days, worn)) = rayon::join(
            || Arc::new(Served::new(field, &ledger, Window::until(as_of).from)),
            || (Weeks::new(&ledger), item_days(&ledger), Worn::new(field, &ledger)),
        );
        let looked = field.inspections.iter().filter(|i| i.day <= as_of);
        let mut inspections: Vec<InspectionFacts> = looked.copied().collect();
        inspections.sort_by_key(|i| (i.part, i.mode, i.unit, i.day));
        Self {
            as_of,
            newest_first,
            labels,
            leaving,
            weeks,
            rounds: Rounds::new(field, as_of),
            lots_of_other_parts: lots_of_other_parts(field, as_of),
            worn,
            issues,
            served,
            item_days,
            inspections,
            ledger: Arc::new(ledger),
        }
    }

    /// The inspections of a part for a mode, by unit and day.
    pub(super) fn inspections_of(&self, part: PartId, mode: ModeId) -> &[InspectionFacts] {
        let from = self.inspections.partition_point(|i| (i.part, i.mode) < (part, mode));
        let to = self.inspections.partition_point(|i| (i.part, i.mode) <= (part, mode));
        &self.inspections[from..to]
    }

    /// What has been looked for by an inspection.
    pub(super) fn inspected(&self) -> impl Iterator<Item = (PartId, ModeId)> {
        self.inspections.chunk_by(|a, b| (a.part, a.mode) == (b.part, b.mode)).map(|i| (i[0].part, i[0].mode))
    }

    /// The weeks of a window in which the watch looks.
    pub(super) fn weeks(&self, window: Window) -> Weeks {
        self.weeks.since(window.from)
    }

    /// What the units' reports since a window's beginning are held against.
    pub(super) fn served(&self, field: &Field, window: Window) -> Arc<Served> {
        if window.from == self.served.from {
            return Arc::clone(&self.served);
        }
        Arc::new(Served::new(field, &self.ledger, window.from))
    }

    /// The span over which reports and service are set against each other.
    pub(super) fn window(&self, arrived: &Arrived) -> Window {
        let item_days_until = |day: Day| {
            let at = self.item_days.partition_point(|step| step.0 <= day);
            let step = at.checked_sub(1).and_then(|at| self.item_days.get(at));
            step.map_or(0.0, |(from, before, a_day)| before + a_day * f64::from(day.0 - from.0))
        };
        Window::new(arrived, item_days_until, self.as_of)
    }
}

/// Whole numbers, so that the order of the sums doesn't matter.
fn item_days(ledger: &Ledger) -> Vec<(Day, f64, f64)> {
    let mut changes: BTreeMap<Day, f64> = BTreeMap::new();
    for spell in ledger.spells.iter().filter(|spell| spell.books.has(Books::BEST)) {
        *changes.entry(spell.from).or_default() += f64::from(spell.quantity);
        *changes.entry(spell.to).or_default() -= f64::from(spell.quantity);
    }
    let (mut last, mut served, mut a_day) = (Day(0), 0.0, 0.0);
    let step = |(day, change): (Day, f64)| {
        served += a_day * f64::from(day.0 - last.0);
        (last, a_day) = (day, a_day + change);
        (day, served, a_day)
    };
    changes.into_iter().map(step).collect()
}
