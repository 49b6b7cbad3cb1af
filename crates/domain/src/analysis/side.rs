//! On which side of a change a lot stands: before, after, mixed, or on neither.

mod by_lineage;
mod records;

use by_lineage::ByLineage;
use records::{Records, day_alone};

use rustc_hash::FxHashSet;

use super::holders::Holders;
use super::part_exposure::FEW;
use crate::event::EventKind;
use crate::field::{ChangeFacts, Day, Field, LotId, ReportFacts, Stock, UnitId};
use crate::ledger::{Books, ClocksId, Ledger, OwnPart, Restart, Spell};
use crate::lot::LotPurpose;

/// The side of a lot or of items.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Side {
    Before,
    After,
    /// Share built to the change, between 0 and 1: on neither side, shown apart.
    Mixed(f64),
    /// Pilot and trial lots, other revisions, and what is not known.
    Neither,
}

impl Side {
    fn of_share(share: f64) -> Self {
        match share {
            s if s <= 0.0 => Self::Before,
            s if s >= 1.0 => Self::After,
            s => Self::Mixed(s),
        }
    }
}

/// The sides of all lots for one change.
pub(crate) struct Sides<'a> {
    field: &'a Field,
    change: &'a ChangeFacts,
    /// What contains the part in any revision.
    holders: Holders,
    by_lot: Vec<Side>,
    /// Lots and units where parts were replaced in items that nobody wrote the number of.
    unnumbered: FxHashSet<(LotId, UnitId)>,
    /// Lots whose side a day would tell, had they a day of make.
    undated: usize,
}

impl<'a> Sides<'a> {
    pub(crate) fn new(field: &'a Field, change: &'a ChangeFacts) -> Self {
        let (old, new) = (Holders::of_revision(field, change.from), Holders::of_revision(field, change.to));
        let records = Records::new(field, change, (&old, &new));
        let by_structure = |lot: LotId| {
            let facts = &field.lots[lot];
            match (old.has(facts.revision, facts.size), new.has(facts.revision, facts.size)) {
                (true, false) => Some(0.0),
                (false, true) => Some(1.0),
                _ => None,
            }
        };
        let of_part =
            |lot: LotId| records.told.get(&lot).map(|told| told.share).or_else(|| by_structure(lot));
        let mut lineage = ByLineage::new(field, change.part, of_part);
        let mut by_lot = Vec::with_capacity(field.lots.len());
        let mut undated = 0;
        for (lot, facts) in field.lots.iter() {
            let on_record = match records.told.get(&lot) {
                Some(told) if !told.by_day => Some(told.share),
                // What a lot was made from says more of it than the day it was made.
                told => lineage.share(lot).or_else(|| told.map(|told| told.share)),
            };
            let share = on_record.or_else(|| by_structure(lot));
            let counts = !matches!(facts.purpose, LotPurpose::Pilot | LotPurpose::Trial);
            let differs = |since: &f64| share != Some(*since);
            if counts && on_record.is_none() && records.undated.get(&lot).is_some_and(differs) {
                undated += 1;
            }
            by_lot.push(share.filter(|_| counts).map_or(Side::Neither, Side::of_share));
        }
        let replaced =
            field.events.iter().filter(|e| e.kind == EventKind::PartReplaced && e.serial.is_none());
        let unnumbered = replaced.filter_map(|event| Some((event.lot?, event.unit))).collect();
        Self { field, change, holders: Holders::of_part(field, change.part), by_lot, unnumbered, undated }
    }

    pub(super) fn of_lot(&self, lot: LotId) -> Side {
        self.by_lot[crate::field::Id::index(lot)]
    }

    /// The side of items: of their lot, or of the new part where the part was replaced, by itself or with an assembly that
    /// holds it. A new part of unknown lot in items that don't have the change by their own lot is on neither side.
    pub(crate) fn of_items(&self, ledger: &Ledger, stock: Stock, clocks: ClocksId) -> Side {
        let made = match stock {
            Stock::Lot(lot) => self.of_lot(lot),
            Stock::Unknown(..) => Side::Neither,
        };
        let Some(restart) =
            ledger.clocks.of(clocks, self.change.part).filter(|restart| !restart.by_conversion)
        else {
            return made;
        };
        let new_part = restart.new_lot.map(|lot| self.of_lot(lot));
        match new_part.or_else(|| self.of_exchanged(ledger.clocks.all(clocks), restart)) {
            Some(side) => side,
            None if made == Side::After => Side::After,
            None => Side::Neither,
        }
    }

    /// The side on which the time of a spell counts. Failures of items of unknown lot are on no side, so their time isn't
    /// either, whatever part they were given.
    pub(super) fn of_spell(&self, ledger: &Ledger, spell: &Spell) -> Side {
        match spell.stock {
            Stock::Lot(_) => self.of_items(ledger, spell.stock, spell.clocks),
            Stock::Unknown(..) => Side::Neither,
        }
    }

    /// The side of the assemblies that brought a new part, exchanged on the same day: on neither where they differ.
    fn of_exchanged(&self, restarts: &[Restart], part: Restart) -> Option<Side> {
        let same_day = restarts.iter().filter(|other| other.at_age_days == part.at_age_days);
        let lots = same_day.filter_map(|other| other.new_lot);
        let with_part = lots.filter(|&lot| self.holders.has_stock(self.field, Stock::Lot(lot)));
        let mut sides = with_part.map(|lot| self.of_lot(lot));
        let first = sides.next()?;
        Some(if sides.all(|side| side == first) { first } else { Side::Neither })
    }

    /// The side of what failed; `None` where the books can't tell which part the item had.
    ///
    /// An item known by number has its own record. Else it is the side of nearly all of the lot's items that were at the unit
    /// when the day began, for what failed on the day of a replacement is the part that was taken out; where none was there
    /// before, of those that were there on that day. Of a lot whose items have all become items of others only the label is
    /// left on these.
    pub(super) fn of_failure(&self, ledger: &Ledger, lot: LotId, report: &ReportFacts) -> Option<Side> {
        let made = self.of_lot(lot);
        let own = ledger.serials.own_part(report, self.change.part);
        match own {
            Some(OwnPart::Of(new_lot)) => return Some(self.of_new_lot(new_lot)),
            Some(OwnPart::OfUnknownLot) => return Some(made).filter(|made| *made == Side::After),
            Some(OwnPart::AsMade) if !self.unnumbered.contains(&(lot, report.unit)) => return Some(made),
            Some(OwnPart::AsMade) | None => {}
        }
        let day = report.found_on;
        let is_there = |spell: &&Spell| spell.books.has(Books::BEST) && spell.from <= day && day <= spell.to;
        let of_day = || ledger.of_lot_at(lot, report.unit).iter().filter(is_there);
        let any_before = of_day().any(|spell| spell.from < day);
        let there = || of_day().filter(|spell| spell.from < day || !any_before);
        if !there().any(|spell| ledger.clocks.of(spell.clocks, self.change.part).is_some()) {
            let is_gone = there().next().is_none() && !ledger.of_lot(lot).iter().any(|s| is_there(&s));
            return if is_gone { self.of_others(lot, day) } else { Some(made) };
        }
        let (mut before, mut after) = (0u64, 0u64);
        for spell in there() {
            match self.of_spell(ledger, spell) {
                Side::Before => before += u64::from(spell.quantity),
                Side::After => after += u64::from(spell.quantity),
                Side::Mixed(_) | Side::Neither => {}
            }
        }
        let (fewer, more) = (before.min(after), before.max(after));
        match more {
            0 => Some(made).filter(|made| *made == Side::Neither),
            _ if fewer as f64 > FEW * (fewer + more) as f64 => None,
            _ => Some(if before > after { Side::Before } else { Side::After }),
        }
    }

    /// The side of a part given to an item, by its lot or by that of the assembly it came with.
    fn of_new_lot(&self, new_lot: LotId) -> Side {
        let has_part = self.holders.has_stock(self.field, Stock::Lot(new_lot));
        if has_part { self.of_lot(new_lot) } else { Side::Neither }
    }

    /// The side of what the items of a lot that is no longer there have become before a day: that of the lots they were converted
    /// to, where it is one; of a lot that was never converted its own.
    fn of_others(&self, lot: LotId, day: Day) -> Option<Side> {
        let by_day = self.field.lots[lot].converted_into.iter();
        let mut sides =
            by_day.filter(|(_, days)| days.iter().any(|made| made.0 < day)).map(|of| self.of_lot(of.0));
        let first = sides.next().unwrap_or_else(|| self.of_lot(lot));
        sides.all(|side| side == first).then_some(first)
    }
}

/// What a reader is told of a change that takes effect from a day on, where lots of unknown day of make can't be placed by it.
pub(super) fn undated(field: &Field, change: &ChangeFacts) -> Option<String> {
    change.effectivity.iter().find_map(day_alone)?;
    let lots = Sides::new(field, change).undated;
    (lots > 0).then(|| {
        let [who, they] = if lots == 1 { ["1 lot doesn't".to_owned(), "it counts by its".to_owned()] } else { [format!("{lots} lots don't"), "they count by their".to_owned()] };
        format!(
            "{}: {who} say when made, so the day from which the change was built doesn't tell the side; {they} revision.",
            change.change_no
        )
    })
}
