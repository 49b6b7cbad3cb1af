//! Items known by number: their age in service from their own record, which beats the ages of their lot.

use rustc_hash::FxHashMap;

use super::replacement::contents;
use crate::event::EventKind;
use crate::field::{Day, Field, PartId, SerialId};

/// Where each numbered item was, and when parts of it were replaced.
#[derive(Clone, Debug, Default)]
pub struct Serials {
    stays: FxHashMap<SerialId, Vec<Stay>>,
    /// Parts that started anew, those inside the named one among them, earliest first.
    replaced: FxHashMap<SerialId, Vec<(Day, PartId)>>,
}

/// One span of an item's record, in service or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Stay {
    from: Option<Day>,
    to: Option<Day>,
    in_service: bool,
}

impl Serials {
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let mut serials = Self::default();
        for facts in &field.serials {
            let in_service = facts.unit.is_some_and(|unit| field.units[unit].kind.in_service());
            let stay = Stay { from: facts.from, to: facts.to, in_service };
            serials.stays.entry(facts.serial).or_default().push(stay);
        }
        for stays in serials.stays.values_mut() {
            stays.sort_unstable();
        }
        for event in field.events.iter().filter(|e| e.kind == EventKind::PartReplaced && e.day <= as_of) {
            let (Some(serial), Some(part)) = (event.serial, event.part) else { continue };
            let inside = field.parts[part].revisions.iter().flat_map(|&revision| contents(field, revision));
            let parts = inside.map(|revision| field.revisions[revision].part).chain([part]);
            serials.replaced.entry(serial).or_default().extend(parts.map(|part| (event.day, part)));
        }
        for replaced in serials.replaced.values_mut() {
            replaced.sort_unstable();
        }
        serials
    }

    /// Age in service of a part of a numbered item on a day, in days: the days of its record at units in service, since
    /// the part was last replaced. What fails on the day of a replacement is the part that was taken out. `None` where its
    /// record has no beginning, or was never in service by then.
    pub fn age_days(&self, serial: SerialId, part: PartId, on: Day) -> Option<i32> {
        let stays = self.stays.get(&serial)?;
        if stays.iter().any(|stay| stay.from.is_none()) || !stays.iter().any(|stay| stay.from <= Some(on)) {
            return None;
        }
        let replaced = self.replaced.get(&serial).map_or(&[][..], Vec::as_slice);
        let since = replaced.iter().rev().find(|(day, which)| *which == part && *day < on).map(|r| r.0);
        let mut days = 0;
        let mut counted_to = since.unwrap_or(Day(i32::MIN));
        for stay in stays.iter().filter(|stay| stay.in_service) {
            let Some(from) = stay.from else { continue };
            let (from, to) = (from.max(counted_to), stay.to.unwrap_or(on).min(on));
            if from < to {
                days += to.0 - from.0;
                counted_to = to;
            }
        }
        Some(days)
    }
}
