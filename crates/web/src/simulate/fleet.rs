//! Items one by one, the units that hold them, and the stock of the stores.

use std::collections::{HashMap, VecDeque};

use super::dice::Dice;

/// No unit: the item lies in a store or is gone.
pub(super) const NOWHERE: u16 = u16::MAX;
/// No scar.
pub(super) const UNSCARRED: u32 = u32::MAX;
/// The item has the change.
pub(super) const CHANGED: u8 = 4;
/// The item contains the first bad lot, or the second, whether or not it has done its worst.
pub(super) const CONTAINS: [u8; 2] = [8, 16];
/// The bad lots that make it worse.
const WORSE: u8 = 3;

/// One item. The two lowest flags say which bad lots make it worse.
pub(super) struct Item {
    /// Its lot.
    pub(super) lot: u32,
    /// Where it is in service.
    pub(super) unit: u16,
    /// Goes up at every move, so that events of an earlier stay are known as stale.
    pub(super) spell: u16,
    /// Since when it is there.
    pub(super) entered: i32,
    /// Since when the present stay counts; a renewal starts another.
    pub(super) since: i32,
    /// Years of mean use before that.
    pub(super) worn: f64,
    /// Days of service before that.
    pub(super) served: i32,
    /// Its first scar.
    pub(super) scars: u32,
    /// Bad lots and change.
    pub(super) flags: u8,
    /// Whether a part of it was renewed.
    pub(super) renewed: bool,
}

impl Item {
    /// Whether a bad lot makes it worse.
    pub(super) fn has_bad_lot(&self) -> bool {
        self.flags & WORSE != 0
    }
}

/// A failure that an item still shows.
pub(super) struct Scar {
    /// The mode.
    pub(super) hazard: u16,
    /// Worn on unmended: it can't fail so again.
    pub(super) open: bool,
    /// Whether a report was sent.
    pub(super) reported: bool,
    /// The next scar.
    pub(super) next: u32,
}

/// A part of an item that was renewed.
pub(super) struct Renewal {
    /// The component.
    pub(super) part: usize,
    /// Years of mean use the item had then.
    pub(super) worn: f64,
}

/// Items of one lot at one unit.
pub(super) struct Holding {
    /// The lot.
    pub(super) lot: u32,
    /// The items.
    pub(super) items: Vec<u32>,
    /// Items gone without a line in the books, since the last count.
    pub(super) missing: u32,
}

/// New stock of one size in a store, oldest lot first: lot and how many are left.
pub(super) type NewStock = VecDeque<(u32, u32)>;

/// All items and where they are.
#[derive(Default)]
pub(super) struct Fleet {
    /// The items.
    pub(super) items: Vec<Item>,
    /// Scars of all items.
    pub(super) scars: Vec<Scar>,
    /// Renewals by item; looked up, never walked through, so its order doesn't matter.
    pub(super) renewals: HashMap<u32, Vec<Renewal>>,
    /// Holdings by unit.
    pub(super) holdings: Vec<Vec<Holding>>,
    /// Items in service by unit and size.
    pub(super) held: Vec<Vec<u32>>,
    /// New stock by unit (a store) and size.
    pub(super) new_stock: Vec<Vec<NewStock>>,
    /// Used serviceable stock by unit (a store) and size.
    pub(super) used_stock: Vec<Vec<Vec<u32>>>,
}

impl Fleet {
    /// An empty fleet.
    pub(super) fn new(units: usize, sizes: usize) -> Self {
        Self {
            holdings: (0..units).map(|_| Vec::new()).collect(),
            held: vec![vec![0; sizes]; units],
            new_stock: vec![vec![NewStock::new(); sizes]; units],
            used_stock: vec![vec![Vec::new(); sizes]; units],
            ..Self::default()
        }
    }

    /// Puts an item among those of its lot at a unit.
    pub(super) fn place(&mut self, item: u32, unit: usize) {
        let lot = self.items[item as usize].lot;
        match self.holdings[unit].iter_mut().find(|holding| holding.lot == lot) {
            Some(holding) => holding.items.push(item),
            None => self.holdings[unit].push(Holding { lot, items: vec![item], missing: 0 }),
        }
    }

    /// Takes an item from its unit's holdings.
    pub(super) fn take(&mut self, item: u32) {
        let Item { lot, unit, .. } = self.items[item as usize];
        if unit == NOWHERE {
            return;
        }
        if let Some(holding) = self.holdings[unit as usize].iter_mut().find(|holding| holding.lot == lot)
            && let Some(place) = holding.items.iter().position(|&i| i == item)
        {
            holding.items.swap_remove(place);
        }
    }

    /// How many items of a unit pass a test of their lot.
    pub(super) fn count(&self, unit: usize, lot_passes: impl Fn(u32) -> bool) -> usize {
        self.holdings[unit].iter().filter(|h| lot_passes(h.lot)).map(|h| h.items.len()).sum()
    }

    /// Up to `most` items of one lot at a unit, drawn so that every item is as likely to be first.
    pub(super) fn draw(
        &mut self,
        dice: &mut Dice,
        unit: usize,
        most: usize,
        lot_passes: impl Fn(u32) -> bool,
    ) -> Vec<u32> {
        let count = self.count(unit, &lot_passes);
        let mut left = dice.below(count);
        for holding in self.holdings[unit].iter_mut().filter(|h| lot_passes(h.lot)) {
            if left < holding.items.len() {
                let drawn = most.min(holding.items.len());
                dice.bring_forward(&mut holding.items, drawn);
                return holding.items[..drawn].to_vec();
            }
            left -= holding.items.len();
        }
        Vec::new()
    }

    /// Scars of an item.
    pub(super) fn scars_of(&self, item: u32) -> impl Iterator<Item = &Scar> + '_ {
        let mut next = self.items[item as usize].scars;
        std::iter::from_fn(move || {
            let scar = self.scars.get(next as usize)?;
            next = scar.next;
            Some(scar)
        })
    }

    /// Remembers a failure on an item.
    pub(super) fn scar(&mut self, item: u32, hazard: usize, open: bool, reported: bool) {
        let next = self.items[item as usize].scars;
        self.items[item as usize].scars = self.scars.len() as u32;
        self.scars.push(Scar { hazard: hazard as u16, open, reported, next });
    }

    /// The last renewal of a part of an item.
    pub(super) fn renewal(&self, item: u32, part: usize) -> Option<&Renewal> {
        if !self.items[item as usize].renewed {
            return None;
        }
        self.renewals.get(&item)?.iter().rev().find(|renewal| renewal.part == part)
    }
}
