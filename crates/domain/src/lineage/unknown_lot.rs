//! Items whose lot is not on record: where they are, and whether they can be of a lot.

use std::collections::{BTreeMap, BTreeSet};

use crate::field::{Field, LotId, PartId, SizeId, Stock, UnitId};
use crate::ledger::{self, ClocksId, Ledger};

/// Items at a unit whose lot is not on record, of a kind and size that can contain the lot in question for all the books say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct UnknownLot {
    /// Where; `None` for what was returned and not issued again.
    pub unit: Option<UnitId>,
    /// What they are.
    pub item: PartId,
    /// Their size, where known.
    pub size: Option<SizeId>,
    /// Whether they are in service there.
    pub in_service: bool,
    /// How many.
    pub items: u64,
}

/// Where items are, in the order of the list.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    pub(super) is_returned: bool,
    pub(super) unit: Option<UnitId>,
    pub(super) is_stored: bool,
}

impl Place {
    pub(super) const fn of(held: &ledger::Held) -> Self {
        Self { is_returned: held.unit.is_none(), unit: held.unit, is_stored: !held.in_service }
    }
}

/// What items of unknown lot can be, to be of the lot in question or of one that it went into.
pub(super) struct Possible(BTreeSet<(PartId, Option<SizeId>)>);

impl Possible {
    pub(super) fn new(field: &Field, lots: impl IntoIterator<Item = LotId>) -> Self {
        Self(lots.into_iter().map(|lot| (field.part_of_lot(lot), field.lots[lot].size)).collect())
    }

    /// Whether items of a part and size can be.
    pub(super) fn has(&self, part: PartId, size: Option<SizeId>) -> bool {
        let mut sizes = self.0.iter().filter(|(of, _)| *of == part).map(|(_, size)| size);
        sizes.any(|known| size.is_none() || known.is_none() || *known == size)
    }
}

/// Items of unknown lot of the items that the lot in question went into. Those that were given a part of it aren't among
/// them: they are told with the holders.
pub(super) fn unknown(ledger: &Ledger, possible: &Possible, repaired: &[ClocksId]) -> Vec<UnknownLot> {
    let mut rows: BTreeMap<(Place, PartId, Option<SizeId>), u64> = BTreeMap::new();
    for held in &ledger.held {
        if let Stock::Unknown(part, size) = held.stock
            && held.high > 0
            && possible.has(part, size)
            && repaired.binary_search(&held.clocks).is_err()
        {
            *rows.entry((Place::of(held), part, size)).or_default() += u64::from(held.high);
        }
    }
    rows.into_iter()
        .map(|((place, item, size), items)| UnknownLot {
            unit: place.unit,
            item,
            size,
            in_service: !place.is_stored,
            items,
        })
        .collect()
}
