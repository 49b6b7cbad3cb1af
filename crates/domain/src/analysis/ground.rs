//! The ground of an analysis: what hangs on the books and the date, and on no report.

use std::sync::Arc;

use rayon::prelude::*;

use super::age_profile::Rounds;
use super::service::Leaving;
use super::spread::Issues;
use super::unit_ratios::{Served, UnitRatios};
use super::watch::Weeks;
use super::wear::Timetables;
use super::window::Window;
use crate::field::{Day, Field, InspectionFacts, ModeId, PartId};
use crate::label::Labels;
use crate::ledger::{Books, Ledger, Spell, TakeOrder, fold};

/// What every report of a date is held against.
pub(super) struct Ground {
    /// The date.
    pub(super) as_of: Day,
    pub(super) ledger: Arc<Ledger>,
    /// The check whether results hang on which items a movement takes.
    pub(super) newest_first: Ledger,
    pub(super) labels: Labels,
    pub(super) leaving: Leaving,
    pub(super) weeks: Weeks,
    pub(super) rounds: Rounds,
    pub(super) timetables: Timetables,
    pub(super) issues: Issues,
    served: Served,
    /// The places of the ledger's spells by unit, stock and days.
    by_unit: Vec<u32>,
    /// Inspections up to the date, by part, mode, unit and day.
    inspections: Vec<InspectionFacts>,
}

impl Ground {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let ((ledger, newest_first), labels) = rayon::join(
            || {
                rayon::join(
                    || fold(field, as_of, TakeOrder::OldestFirst),
                    || fold(field, as_of, TakeOrder::NewestFirst),
                )
            },
            || Labels::new(field, as_of),
        );
        let (by_unit, (served, weeks)) = rayon::join(
            || by_unit(&ledger.spells),
            || rayon::join(|| Served::new(field, &ledger), || Weeks::new(&ledger)),
        );
        let looked = field.inspections.iter().filter(|i| i.day <= as_of);
        let mut inspections: Vec<InspectionFacts> = looked.copied().collect();
        inspections.sort_by_key(|i| (i.part, i.mode, i.unit, i.day));
        Self {
            as_of,
            newest_first,
            labels,
            leaving: Leaving::new(field, as_of),
            weeks,
            rounds: Rounds::new(field, as_of),
            timetables: Timetables::new(field),
            issues: Issues::new(field, as_of),
            served,
            by_unit,
            inspections,
            ledger: Arc::new(ledger),
        }
    }

    /// The spells by unit, stock and days.
    pub(super) fn by_unit(&self) -> impl Iterator<Item = &Spell> {
        self.by_unit.iter().map(|&at| &self.ledger.spells[at as usize])
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

    /// How much more often than the field each unit reports.
    pub(super) fn unit_ratios(&self, field: &Field) -> UnitRatios {
        UnitRatios::new(field, &self.served, self.as_of)
    }

    /// The span over which reports and service are set against each other.
    pub(super) fn window(&self, field: &Field) -> Window {
        let item_days_until = |day: Day| -> f64 {
            let days = |spell: &Spell| (spell.to.min(day).0 - spell.from.0).max(0);
            let best = self.ledger.spells.iter().filter(|spell| spell.books.has(Books::BEST));
            best.map(|spell| f64::from(spell.quantity) * f64::from(days(spell))).sum()
        };
        Window::new(field, item_days_until, self.as_of)
    }
}

/// The places of spells by unit, stock and days.
fn by_unit(spells: &[Spell]) -> Vec<u32> {
    let mut places: Vec<u32> = (0..spells.len() as u32).collect();
    places.par_sort_unstable_by_key(|&at| {
        let spell = &spells[at as usize];
        (spell.unit, spell.stock, spell.from, spell.to)
    });
    places
}
