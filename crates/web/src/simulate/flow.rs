//! Goods on their way: lots to arrive, condemned items, items that come back, and sizes exchanged.

use std::collections::BTreeMap;

use super::lots::Lots;

/// What is on its way.
pub(super) struct Flow {
    /// Lots of items, latest arrival first.
    arrivals: Vec<u32>,
    /// Items delivered so far by size.
    pub(super) delivered: Vec<f64>,
    /// By how much a unit's allotment of a size has moved through exchanges.
    pub(super) exchanged: BTreeMap<(usize, usize), i64>,
    /// Returned items that lie condemned, by lot.
    pub(super) condemned: BTreeMap<u32, usize>,
    /// Items that come back: day, item, unit, and whether they are in the mending loft (else mislaid).
    pub(super) away: Vec<(i32, u32, usize, bool)>,
}

impl Flow {
    /// Nothing has arrived yet.
    pub(super) fn new(sizes: usize, lots: &Lots) -> Self {
        let arrives = |lot: u32| lots.list[lot as usize].arrives;
        let mut arrivals: Vec<u32> =
            (0..lots.list.len() as u32).filter(|&lot| arrives(lot).is_some()).collect();
        arrivals.sort_by_key(|&lot| std::cmp::Reverse((arrives(lot), lot)));
        Self {
            arrivals,
            delivered: vec![0.0; sizes],
            exchanged: BTreeMap::new(),
            condemned: BTreeMap::new(),
            away: Vec::new(),
        }
    }

    /// The next lot that has arrived by a day.
    pub(super) fn next_arrival(&mut self, day: i32, lots: &Lots) -> Option<u32> {
        let next = *self.arrivals.last()?;
        let has_come = lots.list[next as usize].arrives.is_some_and(|arrives| arrives <= day);
        if has_come { self.arrivals.pop() } else { None }
    }
}
