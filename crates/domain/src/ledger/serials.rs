//! Items known by number: of which lot they were when, and their age in service from their own record, which beats the
//! ages of their lot.

use rustc_hash::{FxHashMap, FxHashSet};

use super::conversion::changed;
use super::replacement::with_inside;
use crate::event::EventKind;
use crate::field::{Day, Field, LotId, PartId, ReportFacts, RevisionId, SerialId};

/// One span of an item's record.
#[derive(Clone, Copy, Debug)]
struct Stay {
    from: Option<Day>,
    to: Option<Day>,
    lot: LotId,
    /// What the lot is of.
    item: PartId,
    /// `None` where nobody knows at which unit it was.
    in_service: Option<bool>,
}

/// The rows of each numbered item, the earliest first.
#[derive(Clone, Debug, Default)]
pub(crate) struct Stays(FxHashMap<SerialId, Vec<Stay>>);

impl Stays {
    pub(crate) fn new(field: &Field) -> Self {
        let mut rows: FxHashMap<SerialId, Vec<Stay>> = FxHashMap::default();
        for facts in &field.serials {
            let in_service = facts.unit.map(|unit| field.units[unit].kind.in_service());
            let item = field.part_of_lot(facts.lot);
            let stay = Stay { from: facts.from, to: facts.to, lot: facts.lot, item, in_service };
            rows.entry(facts.serial).or_default().push(stay);
        }
        for stays in rows.values_mut() {
            stays.sort_unstable_by_key(|stay| {
                (stay.from, stay.to.is_none(), stay.to, stay.lot, stay.in_service)
            });
        }
        Self(rows)
    }

    /// The lot that an item is of at the end of a day: of the last row that had begun, or of the first row before any had.
    /// Of rows that begin together the first that isn't over. `None` for a number without a row.
    pub(crate) fn lot_on(&self, serial: SerialId, day: Day) -> Option<LotId> {
        self.stay_on(serial, day).map(|stay| stay.lot)
    }

    /// The lot of what a report names by number, where that is a lot of the item reported: the number of another item was misread,
    /// or two items have it. The lot it had when the day began, for what failed on the day of a conversion was the item as it was.
    pub(crate) fn lot_reported(&self, report: &ReportFacts) -> Option<LotId> {
        let stay = self.stay_on(report.serial?, Day(report.found_on.0 - 1))?;
        (stay.item == report.item).then_some(stay.lot)
    }

    fn stay_on(&self, serial: SerialId, day: Day) -> Option<&Stay> {
        let stays = self.0.get(&serial)?;
        let begun = &stays[..stays.partition_point(|stay| stay.from <= Some(day))];
        let Some(last) = begun.last() else { return stays.first() };
        let together = begun.iter().filter(|stay| stay.from == last.from);
        let mut lasting = together.filter(|stay| stay.to.is_none_or(|to| to > day));
        Some(lasting.next().unwrap_or(last))
    }
}

/// Which one of a part an item has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum OwnPart {
    /// The one that items of its lot were made with.
    AsMade,
    /// One of this lot, or one in an assembly of it.
    Of(LotId),
    /// Another, and nobody wrote down of which lot.
    OfUnknownLot,
}

/// A part that started anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Anew {
    day: Day,
    part: PartId,
    since: OwnPart,
}

/// Where each numbered item was, and when parts of it were replaced.
#[derive(Clone, Debug, Default)]
pub struct Serials {
    stays: Stays,
    /// Parts that started anew, those inside the named one among them, earliest first.
    replaced: FxHashMap<SerialId, Vec<Anew>>,
    /// Parts that were replaced in items of a lot that are known by number.
    in_lots: FxHashSet<(LotId, PartId)>,
}

impl Serials {
    pub(super) fn new(field: &Field, stays: Stays, as_of: Day) -> Self {
        let mut replaced: FxHashMap<SerialId, Vec<Anew>> = FxHashMap::default();
        let mut in_lots = FxHashSet::default();
        let mut inside: FxHashMap<PartId, Vec<PartId>> = FxHashMap::default();
        for event in field.events.iter().filter(|e| e.kind == EventKind::PartReplaced && e.day <= as_of) {
            let (Some(serial), Some(part)) = (event.serial, event.part) else { continue };
            let parts = inside.entry(part).or_insert_with(|| with_inside(field, part));
            let since = event.new_lot.map_or(OwnPart::OfUnknownLot, OwnPart::Of);
            let anew = parts.iter().map(|&part| Anew { day: event.day, part, since });
            replaced.entry(serial).or_default().extend(anew);
            if let Some(lot) = event.lot.or_else(|| stays.lot_on(serial, event.day)) {
                in_lots.extend(parts.iter().map(|&part| (lot, part)));
            }
        }
        // An item that became one of another lot got the parts that differ on that day, and no event need say so.
        let mut differing: FxHashMap<(RevisionId, RevisionId), Vec<PartId>> = FxHashMap::default();
        for (&serial, stays) in &stays.0 {
            for (before, after) in stays.iter().zip(stays.iter().skip(1)).filter(|(a, b)| a.lot != b.lot) {
                let day = if before.from == after.from { before.to } else { after.from };
                let Some(day) = day.filter(|&day| day <= as_of) else { continue };
                let revisions = (field.lots[before.lot].revision, field.lots[after.lot].revision);
                let parts =
                    differing.entry(revisions).or_insert_with(|| changed(field, revisions.0, revisions.1));
                if !parts.is_empty() {
                    let anew = parts.iter().map(|&part| Anew { day, part, since: OwnPart::AsMade });
                    replaced.entry(serial).or_default().extend(anew);
                }
            }
        }
        for replaced in replaced.values_mut() {
            replaced.sort_unstable();
        }
        Self { stays, replaced, in_lots }
    }

    /// Age in service of a part of what a report names by number, on the day it was found. `None` as with [`Self::age_days`],
    /// and where the number is that of another item than the one reported.
    pub fn age_of(&self, report: &ReportFacts, part: PartId) -> Option<i32> {
        self.stays.lot_reported(report)?;
        self.age_days(report.serial?, part, report.found_on)
    }

    /// Which part a report's item had when the day it was found began, by its number. `None` as with [`Self::age_of`] where
    /// the number tells nothing.
    pub(crate) fn own_part(&self, report: &ReportFacts, part: PartId) -> Option<OwnPart> {
        self.stays.lot_reported(report)?;
        let anew = self.last_anew(report.serial?, part, report.found_on);
        Some(anew.map_or(OwnPart::AsMade, |anew| anew.since))
    }

    /// Whether a part was replaced in items of a lot that are known by number.
    pub(crate) fn tell_of(&self, lot: LotId, part: PartId) -> bool {
        self.in_lots.contains(&(lot, part))
    }

    /// When a part last started anew before a day.
    fn last_anew(&self, serial: SerialId, part: PartId, on: Day) -> Option<&Anew> {
        let replaced = self.replaced.get(&serial)?;
        replaced.iter().rev().find(|anew| anew.part == part && anew.day < on)
    }

    /// Age in service of a part of a numbered item on a day, in days: the days of its record at units in service, since
    /// the part was last replaced, by an event or by conversion to another lot. What fails on the day of a replacement is the
    /// part that was taken out. `None` where its record has no beginning, was never in service by then, or doesn't say at which
    /// unit the item was since: those days may be service or not.
    pub fn age_days(&self, serial: SerialId, part: PartId, on: Day) -> Option<i32> {
        let stays = self.stays.0.get(&serial)?;
        let serves = |stay: &Stay| stay.in_service == Some(true) && stay.from <= Some(on);
        if stays.iter().any(|stay| stay.from.is_none()) || !stays.iter().any(serves) {
            return None;
        }
        let since = self.last_anew(serial, part, on).map(|anew| anew.day);
        let mut days = 0;
        let mut counted_to = since.unwrap_or(Day(i32::MIN));
        for stay in stays.iter().filter(|stay| stay.in_service != Some(false)) {
            let Some(from) = stay.from else { continue };
            let (from, to) = (from.max(counted_to), stay.to.unwrap_or(on).min(on));
            if from < to {
                stay.in_service?;
                days += to.0 - from.0;
                counted_to = to;
            }
        }
        Some(days)
    }
}
