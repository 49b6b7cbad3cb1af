//! What an instruction or a variance is about: a part, and of it certain lots or all of them.

use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};

use crate::analysis::Holders;
use crate::field::{Field, Found, LotFacts, LotId, PartId, Stock};
use crate::ledger::{ClocksId, Ledger};
use crate::lineage::{ANY_DAY, Origin};
use crate::words::Problem;

/// A part, and of it certain lots or all of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Concerned {
    /// The part.
    pub part_no: String,
    /// Only lots of this maker; of every maker when `None`.
    pub maker: Option<String>,
    /// Numbers of the lots; the whole part when empty.
    pub lots: Vec<String>,
}

impl Concerned {
    /// Every lot of a part, whoever made it.
    pub fn whole(part_no: &str) -> Self {
        Self { part_no: part_no.to_owned(), maker: None, lots: Vec::new() }
    }

    /// Refuses a part, a maker or a lot that the books don't have, a lot of another part, and a maker of none of the part.
    ///
    /// # Errors
    /// The field and what is wrong with it.
    pub fn check(&self, field: &Field) -> Result<(), Problem> {
        let Some(part) = field.part_names.find(&self.part_no) else {
            return Err(Problem::new("part_no", format!("no part has the number {}", self.part_no)));
        };
        let maker = self.maker.as_deref().map(|name| field.makers.find(name));
        if maker == Some(None) {
            let name = self.maker.as_deref().unwrap_or_default();
            return Err(Problem::new("maker", format!("no maker in the books is called {name}")));
        }
        for lot_no in &self.lots {
            let why = match field.lot_keys.find(lot_no, maker.flatten()) {
                Found::One(lot) if field.part_of_lot(lot) == part => continue,
                Found::One(_) => format!("lot {lot_no} is of another part"),
                Found::Several => format!("several makers have a lot {lot_no}: name the maker"),
                Found::Nothing if field.lot_keys.find(lot_no, None) == Found::Nothing => {
                    format!("no lot in the books has the number {lot_no}")
                }
                Found::Nothing => format!("lot {lot_no} is of another maker"),
            };
            return Err(Problem::new("lots", why));
        }
        let of_maker = |(_, facts): (LotId, &LotFacts)| {
            field.revisions[facts.revision].part == part && facts.maker == maker.flatten()
        };
        if maker.is_some() && !field.lots.iter().any(of_maker) {
            let name = self.maker.as_deref().unwrap_or_default();
            let why = format!("the books have no lot of {} that {name} made", self.part_no);
            return Err(Problem::new("maker", why));
        }
        Ok(())
    }

    /// Whether it bears on a lot: the lot itself, a lot it was made from, or a part that it holds by its structure. Items that
    /// became the lot keep the parts that conversion did not take out, with the lots of these.
    pub fn bears_on(&self, field: &Field, lot: LotId) -> bool {
        let Some(part) = field.part_names.find(&self.part_no) else { return false };
        // A lot, with the parts that were taken out of its items on the way to the lot in question.
        let first = (lot, BTreeSet::new());
        let mut seen = BTreeSet::from([first.clone()]);
        let mut open = vec![first];
        while let Some((next, gone)) = open.pop() {
            if self.names(field, next) {
                return true;
            }
            let used = field.lots[next].used.iter().map(|used| used.0);
            let used = used.filter(|&used| !gone.contains(&field.part_of_lot(used)));
            let mut before: Vec<(LotId, BTreeSet<PartId>)> = used.map(|used| (used, gone.clone())).collect();
            for converted in Origin::of(field, next, ANY_DAY).converted {
                let Some(from) = converted.from else { continue };
                before.push((from, gone.union(&converted.gone).copied().collect()));
            }
            open.extend(before.into_iter().filter(|place| seen.insert(place.clone())));
        }
        // Without a record of what a lot was made from, its structure tells that it holds the part; of which lot and
        // maker, nobody knows.
        let facts = &field.lots[lot];
        self.is_whole() && Holders::of_part(field, part).has(facts.revision, facts.size)
    }

    /// Whether it is about every lot of its part, whoever made it.
    pub fn is_whole(&self) -> bool {
        self.lots.is_empty() && self.maker.is_none()
    }

    /// The lots of end items that it bears on: what stands on the labels of what units hold.
    pub fn item_lots(&self, field: &Field) -> Vec<LotId> {
        let lots = field.lots.iter().map(|(lot, _)| lot);
        lots.filter(|&lot| field.is_item(field.part_of_lot(lot)) && self.bears_on(field, lot)).collect()
    }

    /// Whether it may bear on an item whose lot nobody knows: it is about the item, about a part the item holds, or about what
    /// some lot of the item was made from.
    pub fn may_bear_on(&self, field: &Field, item: PartId) -> bool {
        let by_structure = field.part_names.find(&self.part_no).is_some_and(|part| {
            item == part || Holders::of_part(field, part).has_stock(field, Stock::Unknown(item, None))
        });
        let of_item = || field.lots.iter().map(|(lot, _)| lot).filter(|&lot| field.part_of_lot(lot) == item);
        by_structure || of_item().any(|lot| self.bears_on(field, lot))
    }

    /// Items that were given a part of a lot that it bears on, rising: what their own lot was made from doesn't tell.
    pub fn given(&self, field: &Field, ledger: &Ledger) -> Vec<ClocksId> {
        let known = RefCell::new(HashMap::new());
        let bears = |lot| *known.borrow_mut().entry(lot).or_insert_with(|| self.bears_on(field, lot));
        ledger.clocks.with_new_lot(bears)
    }

    /// Whether this very lot is meant.
    fn names(&self, field: &Field, lot: LotId) -> bool {
        let facts = &field.lots[lot];
        let of_part = field.part_names[field.part_of_lot(lot)] == *self.part_no;
        let of_maker = self
            .maker
            .as_deref()
            .is_none_or(|maker| facts.maker.is_some_and(|known| field.makers[known] == *maker));
        of_part
            && of_maker
            && (self.lots.is_empty() || self.lots.iter().any(|lot_no| **lot_no == *facts.lot_no))
    }
}

/// Lot numbers as typed, with blanks, commas or line ends between; each once, in the order they came.
pub fn lot_numbers(text: &str) -> Vec<String> {
    let mut numbers: Vec<String> = Vec::new();
    for number in text.split(|letter: char| letter.is_whitespace() || letter == ',' || letter == ';') {
        if !number.is_empty() && !numbers.iter().any(|known| known == number) {
            numbers.push(number.to_owned());
        }
    }
    numbers
}
