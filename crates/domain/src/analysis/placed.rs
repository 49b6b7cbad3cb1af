//! The failures of a changed part, each placed once: on which side of the change it stands, and at what age it is compared.

use rustc_hash::FxHashMap;

use super::failed_ages::FailedAges;
use super::holders::Holders;
use super::seen::{Seen, comparable, in_service};
use super::side::{Side, Sides};
use super::window::Window;
use crate::field::{ChangeFacts, Day, Field, LotId, ModeId, PartId, ReportFacts, ReportId, UnitId};
use crate::ledger::Ledger;

/// A chargeable failure of the changed part in service.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub(super) mode: ModeId,
    pub(super) unit: UnitId,
    pub(super) day: Day,
    pub(super) harm: bool,
    /// Whether the unit sent it of its own accord: no notice called for it.
    pub(super) unprompted: bool,
    /// Whether it is of a mode that the change is to cure.
    pub(super) concerned: bool,
    /// The lot it was on, where known.
    pub(super) lot: Option<LotId>,
    /// Its side; `None` where neither the label nor the books tell which part the item had.
    pub(super) side: Option<Side>,
    /// Its age band where it may be compared: of its own accord, on a day whose reports have arrived, and with a read label,
    /// so that an era with fewer mix-ups does not look worse.
    pub(super) band: Option<usize>,
}

impl Placed {
    pub(super) fn is_on(&self, side: Side) -> bool {
        self.side == Some(side)
    }
}

/// The failures of some modes of a changed part.
pub(super) fn placed(
    field: &Field,
    ledger: &Ledger,
    (seen, window): (&Seen, Window),
    (change, sides): (&ChangeFacts, &Sides<'_>),
    ages: FailedAges<'_>,
    wanted: impl Fn(ModeId) -> bool,
) -> Vec<Placed> {
    let spans = UnitSpans::new(field, ledger, change.part, sides);
    let place = |mode: ModeId, id: ReportId, report: &ReportFacts| {
        let lot = seen.lot(id).lot;
        let may_compare = comparable(report) && window.has(report.found_on);
        Placed {
            mode,
            unit: report.unit,
            day: report.found_on,
            harm: report.is_harm(),
            unprompted: comparable(report),
            concerned: change.is_against(mode),
            lot,
            side: match lot {
                Some(lot) => sides.of_failure(ledger, lot, report),
                None => spans.side(report.unit, report.found_on),
            },
            band: seen.sure_lot(id).filter(|_| may_compare).and_then(|lot| ages.band_of(report, lot)),
        }
    };
    let of_part = seen.of_part(change.part).filter(|(mode, _)| wanted(*mode));
    of_part
        .flat_map(|(mode, group)| group.iter().map(move |&id| (mode, id)))
        .map(|(mode, id)| (mode, id, &field.reports[id]))
        .filter(|(.., report)| report.is_chargeable() && in_service(report))
        .map(|(mode, id, report)| place(mode, id, report))
        .collect()
}

/// When each unit first had items from after the change and last had some from before: where it never had both on
/// one day, an unread label's side is known all the same.
struct UnitSpans(FxHashMap<UnitId, (Option<Day>, Option<Day>)>);

impl UnitSpans {
    /// Items that don't hold the part can't have failed in it, and tell nothing.
    fn new(field: &Field, ledger: &Ledger, part: PartId, sides: &Sides<'_>) -> Self {
        let holders = Holders::of_part(field, part);
        let mut spans: FxHashMap<UnitId, (Option<Day>, Option<Day>)> = FxHashMap::default();
        // Items that only may have been there too: a side is told where it is sure.
        for spell in ledger.spells.iter().filter(|spell| holders.has_stock(field, spell.stock)) {
            let side = sides.of_spell(ledger, spell);
            let (last_before, first_after) = spans.entry(spell.unit).or_default();
            if side != Side::After {
                *last_before = (*last_before).max(Some(spell.to));
            }
            if side != Side::Before {
                *first_after = Some(first_after.map_or(spell.from, |day| day.min(spell.from)));
            }
        }
        Self(spans)
    }

    fn side(&self, unit: UnitId, day: Day) -> Option<Side> {
        let &(last_before, first_after) = self.0.get(&unit)?;
        match (last_before, first_after) {
            (Some(last), first) if day <= last && first.is_none_or(|first| day < first) => Some(Side::Before),
            (last, Some(first)) if day >= first && last.is_none_or(|last| last < day) => Some(Side::After),
            _ => None,
        }
    }
}
