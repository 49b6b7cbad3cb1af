//! What one place holds of one stock: groups of items alike, the oldest first.

use std::collections::BTreeMap;

use super::books::Books;
use super::clocks::{Clocks, ClocksId};
use super::fold::Place;
use super::{Held, short};
use crate::field::Day;

/// Items alike: same age, same clocks, same standing in the books.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Cohort {
    pub(super) quantity: u32,
    /// When they came to this place.
    pub(super) entered: Day,
    /// Their age in service on that day.
    pub(super) age_days: i32,
    pub(super) clocks: ClocksId,
    pub(super) books: Books,
    /// Whether they have ever been in service.
    pub(super) issued: bool,
    /// Whether their age is on record; items that records begin with may be older.
    pub(super) age_known: bool,
}

impl Cohort {
    /// New items arriving.
    pub(super) const fn new(quantity: u32, entered: Day) -> Self {
        Self {
            quantity,
            entered,
            age_days: 0,
            clocks: ClocksId::ZERO,
            books: Books::CERTAIN,
            issued: false,
            age_known: true,
        }
    }

    fn alike(&self, other: &Self) -> bool {
        Self { quantity: 0, ..*self } == Self { quantity: 0, ..*other }
    }
}

/// Which items a movement takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TakeOrder {
    /// The longest in service first: the rule.
    #[default]
    OldestFirst,
    /// The shortest in service first: the check whether results hang on the rule.
    NewestFirst,
}

/// What one place holds of one stock.
#[derive(Clone, Debug)]
pub(super) struct Holding {
    /// Whether time here is service.
    pub(super) in_service: bool,
    /// Since when the books of this holding are trusted: first arrival, or the last count.
    pub(super) anchor: Day,
    cohorts: Vec<Cohort>,
}

impl Holding {
    pub(super) const fn new(in_service: bool, anchor: Day) -> Self {
        Self { in_service, anchor, cohorts: Vec::new() }
    }

    pub(super) fn cohorts(&self) -> &[Cohort] {
        &self.cohorts
    }

    /// A number that is smaller for items longer in service.
    fn rank(&self, cohort: &Cohort) -> i32 {
        if self.in_service { cohort.entered.0 - cohort.age_days } else { -cohort.age_days }
    }

    pub(super) fn put(&mut self, cohort: Cohort) {
        if cohort.quantity == 0 {
            return;
        }
        // What together is more than a number holds stays two groups.
        let alike = self.cohorts.iter_mut().filter(|c| c.alike(&cohort));
        for same in alike {
            if let Some(sum) = same.quantity.checked_add(cohort.quantity) {
                same.quantity = sum;
                return;
            }
        }
        let rank = self.rank(&cohort);
        let at = self.cohorts.partition_point(|c| self.rank(c) <= rank);
        self.cohorts.insert(at, cohort);
    }

    /// How many the best account has here.
    pub(super) fn on_record(&self) -> u64 {
        self.count(|_| true)
    }

    /// How many of the best account pass a test.
    pub(super) fn count(&self, wanted: impl Fn(&Cohort) -> bool) -> u64 {
        let counted = self.cohorts.iter().filter(|c| c.books.has(Books::BEST) && wanted(c));
        counted.map(|c| u64::from(c.quantity)).sum()
    }

    /// Who holds what here, apart by what events replaced; also what only the most have here.
    pub(super) fn held(&self, (stock, unit): Place, clocks: &mut Clocks) -> Vec<Held> {
        let mut sums: BTreeMap<ClocksId, [u64; 3]> = BTreeMap::new();
        for cohort in &self.cohorts {
            let sums = sums.entry(clocks.by_events(cohort.clocks)).or_default();
            for (sum, books) in sums.iter_mut().zip([Books::BEST, Books::LOT_LOW, Books::LOT_HIGH]) {
                *sum += if cohort.books.has(books) { u64::from(cohort.quantity) } else { 0 };
            }
        }
        let rows = sums.into_iter().filter(|(_, sums)| sums.iter().any(|sum| *sum > 0));
        let held = |(clocks, [quantity, low, high]): (ClocksId, [u64; 3])| Held {
            stock,
            unit,
            clocks,
            quantity: short(quantity),
            low: short(low),
            high: short(high),
            in_service: self.in_service,
        };
        rows.map(held).collect()
    }

    /// Takes up to `quantity` items that pass a test, from the front or the back.
    pub(super) fn take(
        &mut self,
        quantity: u64,
        order: TakeOrder,
        wanted: impl Fn(&Cohort) -> bool,
    ) -> Vec<Cohort> {
        let mut left = quantity;
        let mut taken = Vec::new();
        let len = self.cohorts.len();
        for step in 0..len {
            if left == 0 {
                break;
            }
            let at = if order == TakeOrder::OldestFirst { step } else { len - 1 - step };
            let cohort = &mut self.cohorts[at];
            if wanted(cohort) {
                let part = cohort.quantity.min(short(left));
                cohort.quantity -= part;
                left -= u64::from(part);
                taken.push(Cohort { quantity: part, ..*cohort });
            }
        }
        self.cohorts.retain(|c| c.quantity > 0);
        taken
    }

    /// The rank of the item that would be taken next from the best account.
    pub(super) fn next_rank(&self, order: TakeOrder) -> Option<i32> {
        let mut best = self.cohorts.iter().filter(|c| c.books.has(Books::BEST));
        match order {
            TakeOrder::OldestFirst => best.next(),
            TakeOrder::NewestFirst => best.next_back(),
        }
        .map(|c| self.rank(c))
    }
}

/// Whether a group stands in the best account.
pub(super) fn on_books(cohort: &Cohort) -> bool {
    cohort.books.has(Books::BEST)
}
