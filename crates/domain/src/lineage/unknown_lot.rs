//! Items whose lot is not on record: where they are, and whether they can be of a lot.

use std::collections::{BTreeMap, BTreeSet};

use crate::field::{Field, LotId, PartId, SizeId, Stock, UnitId};
use crate::ledger::{self, Ledger};

/// Items at a unit whose lot is not on record, of a kind and size that can contain the lot in question.
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

/// Items of unknown lot of the items that the lot in question went into.
pub(super) fn unknown(field: &Field, ledger: &Ledger, of: LotId, below: &[LotId]) -> Vec<UnknownLot> {
    let can_be: BTreeSet<(PartId, Option<SizeId>)> =
        below.iter().chain([&of]).map(|&lot| (field.part_of_lot(lot), field.lots[lot].size)).collect();
    let fits = |part: PartId, size: Option<SizeId>| {
        let mut sizes = can_be.iter().filter(|(of, _)| *of == part).map(|(_, size)| size);
        sizes.any(|known| size.is_none() || known.is_none() || *known == size)
    };
    let mut rows: BTreeMap<(Place, PartId, Option<SizeId>), u64> = BTreeMap::new();
    for held in &ledger.held {
        if let Stock::Unknown(part, size) = held.stock
            && held.high > 0
            && fits(part, size)
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
