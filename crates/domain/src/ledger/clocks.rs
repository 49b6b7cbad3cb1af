//! Clocks of parts: where a part of an item was replaced, its age is not the item's.

use rustc_hash::FxHashMap;

use super::OwnPart;
use crate::field::{LotId, PartId};

/// A part that started anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Restart {
    /// The part.
    pub part: PartId,
    /// The item's age in service on that day, in days.
    pub at_age_days: i32,
    /// The lot of the new part, where known.
    pub new_lot: Option<LotId>,
    /// Whether the item got it by becoming one of another lot; what that was made from says where the part came from.
    pub by_conversion: bool,
}

/// A set of restarts; equal sets have the same id.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClocksId(u32);

impl ClocksId {
    /// No restart.
    pub(super) const ZERO: Self = Self(0);
}

/// Every distinct set of restarts. The first is empty.
#[derive(Clone, Debug)]
pub struct Clocks {
    sets: Vec<Vec<Restart>>,
    ids: FxHashMap<Vec<Restart>, ClocksId>,
}

impl Default for Clocks {
    fn default() -> Self {
        Self { sets: vec![Vec::new()], ids: FxHashMap::from_iter([(Vec::new(), ClocksId(0))]) }
    }
}

impl Clocks {
    /// The set with one part started anew.
    pub fn restart(&mut self, clocks: ClocksId, restart: Restart) -> ClocksId {
        let mut set: Vec<Restart> =
            self.sets[clocks.0 as usize].iter().filter(|r| r.part != restart.part).copied().collect();
        set.push(restart);
        set.sort_unstable();
        self.id_of(set)
    }

    /// The set without what conversion replaced.
    pub(super) fn by_events(&mut self, clocks: ClocksId) -> ClocksId {
        self.id_of(self.all(clocks).iter().filter(|restart| !restart.by_conversion).copied().collect())
    }

    fn id_of(&mut self, set: Vec<Restart>) -> ClocksId {
        if let Some(&id) = self.ids.get(&set) {
            return id;
        }
        let id = ClocksId(u32::try_from(self.sets.len()).expect("fewer restarts than movements"));
        self.sets.push(set.clone());
        self.ids.insert(set, id);
        id
    }

    /// The restart of a part, if it had one.
    pub fn of(&self, clocks: ClocksId, part: PartId) -> Option<Restart> {
        self.sets[clocks.0 as usize].iter().find(|r| r.part == part).copied()
    }

    /// Which one of a part items with a set of restarts have; `holds` says in which lots there is one.
    pub(crate) fn own_part(&self, clocks: ClocksId, part: PartId, holds: impl Fn(LotId) -> bool) -> OwnPart {
        let restart = if clocks == ClocksId::ZERO { None } else { self.of(clocks, part) };
        let Some(restart) = restart.filter(|restart| !restart.by_conversion) else { return OwnPart::AsMade };
        // By itself, or with an assembly exchanged on the same day.
        let same_day = self.all(clocks).iter().filter(|other| other.at_age_days == restart.at_age_days);
        let mut lots = restart.new_lot.into_iter().chain(same_day.filter_map(|other| other.new_lot));
        lots.find(|&lot| holds(lot)).map_or(OwnPart::OfUnknownLot, OwnPart::Of)
    }

    /// The sets in which some part was replaced by one of a lot that passes a test, in order.
    pub fn with_new_lot(&self, wanted: impl Fn(LotId) -> bool) -> Vec<ClocksId> {
        let has = |set: &[Restart]| set.iter().filter_map(|restart| restart.new_lot).any(&wanted);
        let with = self.ids.iter().filter(|(set, _)| has(set));
        let mut found: Vec<ClocksId> = with.map(|(_, &id)| id).collect();
        found.sort_unstable();
        found
    }

    /// Every restart of a set.
    pub fn all(&self, clocks: ClocksId) -> &[Restart] {
        &self.sets[clocks.0 as usize]
    }
}
