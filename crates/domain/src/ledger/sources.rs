//! Where the items of a movement may come from, in which order.

use super::fold::{Fold, Place};
use super::holding::{Cohort, TakeOrder, on_books};
use crate::field::{Day, Field, MovementFacts, Stock, UnitId};
use crate::movement::{Condition, MovementKind as K};

/// The order within a day: arrivals, then what a store converts, then issues, then what moves on, then what leaves, then
/// counts.
pub(super) fn phase(field: &Field, movement: &MovementFacts) -> u8 {
    match movement.kind {
        K::Opening => 0,
        K::Receive => 1,
        K::Found => 2,
        K::Convert if !field.units[movement.unit].kind.in_service() => 3,
        K::Issue => 4,
        K::Transfer => 5,
        K::Convert => 6,
        K::Return => 7,
        K::Loss => 8,
        K::Retire => 9,
        K::Count => 10,
    }
}

/// One place that items may come from.
#[derive(Clone, Copy, Debug)]
pub(super) enum Source {
    /// Items of the best account at a place.
    Place(Place, Which),
    /// New stock that no arrival records.
    Unrecorded(Stock),
}

/// Items that were taken from somewhere.
#[derive(Clone, Copy, Debug)]
pub(super) struct Drawn {
    /// What they go on as.
    pub(super) stock: Stock,
    /// Where they were; `None` where no book had them yet.
    pub(super) from: Option<Place>,
    pub(super) cohort: Cohort,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Which {
    Any,
    New,
    Used,
}

impl Which {
    pub(super) fn wants(self, cohort: &Cohort) -> bool {
        on_books(cohort)
            && match self {
                Self::Any => true,
                Self::New => !cohort.issued,
                Self::Used => cohort.issued,
            }
    }
}

impl Fold<'_> {
    /// Where a movement may take from; empty for arrivals.
    pub(super) fn sources(&self, movement: &MovementFacts) -> Vec<Source> {
        let stock = movement.stock;
        match movement.kind {
            K::Opening | K::Receive | K::Found | K::Count => Vec::new(),
            K::Issue => {
                let mut sources = Vec::new();
                let (new, used) =
                    (movement.condition != Some(Condition::Used), movement.condition != Some(Condition::New));
                let unseen_last = used && self.may_be_converted_alone(stock, movement.day);
                let unrecorded =
                    Some(Source::Unrecorded(stock)).filter(|_| new && self.has_unrecorded(stock));
                if new {
                    self.stores_of(stock, Which::New, &mut sources);
                }
                sources.extend(unrecorded.filter(|_| !unseen_last));
                if used {
                    sources.push(Source::Place((stock, None), Which::Any));
                    self.stores_of(stock, Which::Used, &mut sources);
                }
                sources.extend(unrecorded.filter(|_| unseen_last));
                // There may be very many others, and mostly nobody has to look at them.
                if used && self.available(&sources) < u64::from(movement.quantity) {
                    self.look_further(stock, None, &mut sources);
                }
                sources
            }
            K::Return | K::Transfer | K::Convert | K::Loss | K::Retire => {
                self.held(movement.kind, stock, movement.unit)
            }
        }
    }

    /// The new or the used of a stock in every store.
    fn stores_of(&self, stock: Stock, which: Which, sources: &mut Vec<Source>) {
        let stores = self.stores.get(&stock).map_or(&[][..], Vec::as_slice);
        sources.extend(stores.iter().map(|&unit| Source::Place((stock, Some(unit)), which)));
    }

    fn has_unrecorded(&self, stock: Stock) -> bool {
        self.unrecorded.contains_key(&stock)
    }

    /// Whether a lot may be nothing but items of other lots that have been converted to it by a day: those go out before new
    /// ones that nobody saw. Of a lot of stated quantity only what a store converted is waiting to go out.
    fn may_be_converted_alone(&self, stock: Stock, day: Day) -> bool {
        let since = match self.unrecorded.get(&stock) {
            Some(None) => self.converted_since.get(&stock),
            Some(Some(_)) => self.mended_since.get(&stock),
            None => None,
        };
        since.is_some_and(|&since| since <= day)
    }

    /// Where a line about items at a unit may find them.
    pub(super) fn held(&self, kind: K, stock: Stock, unit: UnitId) -> Vec<Source> {
        let (here, returned) = ((stock, Some(unit)), Source::Place((stock, None), Which::Any));
        let mut sources = Vec::new();
        if self.in_service(Some(unit)) {
            sources.push(Source::Place(here, Which::Any));
        } else {
            let (used, new) = (Source::Place(here, Which::Used), Source::Place(here, Which::New));
            match kind {
                K::Return => sources.extend([Source::Place(here, Which::Any), returned]),
                // What a store passes on is new while new stock lasts, as what it issues.
                K::Transfer => sources.extend([new, used, returned]),
                // What it scraps or mends has been in service, as long as it has such items.
                _ => sources.extend([used, returned, new]),
            }
            if self.has_unrecorded(stock) {
                sources.push(Source::Unrecorded(stock));
            }
        }
        self.look_further(stock, Some(unit), &mut sources);
        sources
    }

    /// Where a count of a stock at a unit, or (`None`) among what was returned, may find it: under its own name, then among
    /// what it may lie among.
    pub(super) fn counted_among(&self, stock: Stock, unit: Option<UnitId>) -> Vec<Place> {
        let mut sources = vec![Source::Place((stock, unit), Which::Any)];
        self.look_further(stock, unit, &mut sources);
        let place = |source| match source {
            Source::Place(place, _) => Some(place),
            Source::Unrecorded(_) => None,
        };
        sources.into_iter().filter_map(place).collect()
    }

    /// Items of a known lot may lie among those of unknown lot, and the reverse.
    fn look_further(&self, stock: Stock, unit: Option<UnitId>, sources: &mut Vec<Source>) {
        let part = super::part_of(self.field, stock);
        let others = match stock {
            Stock::Lot(_) => self.unknown_at.get(&(unit, part)),
            Stock::Unknown(..) => self.at.get(&(unit, part)),
        };
        let Some(others) = others else { return };
        let size = super::size_of(self.field, stock);
        let mut further: Vec<Stock> = others
            .iter()
            .copied()
            .filter(|&other| other != stock)
            .filter(|&other| {
                let other_size = super::size_of(self.field, other);
                size.is_none() || other_size.is_none() || size == other_size
            })
            .collect();
        further.sort_unstable_by_key(|&stock| (self.turn_of((stock, unit)), self.names.stock(stock)));
        sources.extend(further.into_iter().map(|stock| Source::Place((stock, unit), Which::Any)));
    }

    /// What a place is taken from by, in its turn: the rank of the item that would be taken next there; where there is none on
    /// the books, last.
    pub(super) fn turn_of(&self, place: Place) -> i32 {
        let rank = self.places.get(&place).and_then(|holding| holding.next_rank(self.order));
        match self.order {
            TakeOrder::OldestFirst => rank.unwrap_or(i32::MAX),
            TakeOrder::NewestFirst => rank.map_or(i32::MAX, |rank| -rank),
        }
    }

    /// How many items the sources have together.
    pub(super) fn available(&self, sources: &[Source]) -> u64 {
        let of_one = |source: &Source| match source {
            Source::Place(place, which) => {
                self.places.get(place).map_or(0, |holding| holding.count(|c| which.wants(c)))
            }
            Source::Unrecorded(stock) => u64::from(self.unrecorded[stock].unwrap_or(u32::MAX)),
        };
        sources.iter().map(of_one).sum()
    }

    /// Takes up to `quantity` from the sources in turn; says what came from where.
    pub(super) fn draw(&mut self, sources: &[Source], day: Day, quantity: u32) -> Vec<Drawn> {
        let mut left = quantity;
        let mut drawn = Vec::new();
        for source in sources {
            if left == 0 {
                break;
            }
            match *source {
                Source::Place(place, which) => {
                    for cohort in self.take(place, day, left, |c| which.wants(c)) {
                        left -= cohort.quantity;
                        drawn.push(Drawn { stock: place.0, from: Some(place), cohort });
                    }
                }
                Source::Unrecorded(stock) => {
                    let remaining = self.unrecorded.get_mut(&stock).expect("a source that was just listed");
                    let part = left.min(remaining.unwrap_or(u32::MAX));
                    *remaining = remaining.map(|r| r - part);
                    left -= part;
                    if part > 0 {
                        drawn.push(Drawn { stock, from: None, cohort: Cohort::new(part, day) });
                    }
                }
            }
        }
        drawn
    }
}
