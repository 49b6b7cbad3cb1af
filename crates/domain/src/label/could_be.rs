//! Which lots a label could be: by its number as written, by its look, by what could be read of it, by nearness.

use rapidfuzz::distance::levenshtein::{Args, BatchComparator};

use super::issued::Issued;
use super::{Beside, LONG_TEXT, Labels, Legible, characters};
use crate::field::{Day, Field, Found, LotId, PartId, UnitId};

impl Labels {
    /// The lot of the item whose number the text is.
    pub(super) fn as_written(
        &self,
        field: &Field,
        text: &str,
        item: PartId,
        beside: Beside,
    ) -> Option<LotId> {
        let of_item = |lot: &LotId| field.part_of_lot(*lot) == item;
        match field.lot_keys.find(text, beside.maker) {
            Found::One(lot) => Some(lot).filter(of_item),
            Found::Several => {
                let lots = field.lot_keys.all(text).filter(of_item).collect();
                Some(self.told_apart(field, lots, beside)).filter(|lots| lots.len() == 1).map(|lots| lots[0])
            }
            Found::Nothing => None,
        }
    }

    /// Of the lots of one number, those that agree with the label's maker, contract and month of make; what none agrees with is
    /// passed over, except the maker. One lot alone is dropped only for a maker with lots on record: else the name may
    /// be another spelling.
    pub(super) fn told_apart(&self, field: &Field, mut lots: Vec<LotId>, beside: Beside) -> Vec<LotId> {
        let facts = |lot: LotId| &field.lots[lot];
        if let Some(maker) = beside.maker {
            if lots.len() > 1 {
                lots.retain(|&lot| facts(lot).maker == Some(maker));
            } else if self.makers.contains(&maker) {
                lots.retain(|&lot| facts(lot).maker.is_none_or(|own| own == maker));
            }
        }
        let mut narrow = |agrees: &dyn Fn(LotId) -> bool| {
            if lots.len() > 1 && lots.iter().any(|&lot| agrees(lot)) {
                lots.retain(|&lot| agrees(lot));
            }
        };
        if beside.contract.is_some() {
            narrow(&|lot| facts(lot).contract == beside.contract);
        }
        if let Some(month) = beside.made_month {
            narrow(&|lot| facts(lot).made_on.is_some_and(|made| made.month() == month.month()));
        }
        lots
    }

    pub(super) fn looking_like(&self, field: &Field, look: &str, item: PartId) -> Vec<LotId> {
        let lots = self.by_look.get(look).map_or(&[][..], Vec::as_slice);
        lots.iter().copied().filter(|&lot| field.part_of_lot(lot) == item).collect()
    }

    /// Whether nothing that the label says beside the number contradicts a lot whose number it does not give. A maker or a
    /// contract without lots on record may be another spelling.
    pub(super) fn agrees(&self, field: &Field, lot: LotId, beside: Beside) -> bool {
        let facts = &field.lots[lot];
        let maker = beside.maker.filter(|maker| self.makers.contains(maker));
        let contract = beside.contract.filter(|contract| self.contracts.contains(contract));
        let month = beside.made_month.map(Day::month);
        maker.is_none_or(|maker| facts.maker.is_none_or(|own| own == maker))
            && contract.is_none_or(|contract| facts.contract.is_none_or(|own| own == contract))
            && month.is_none_or(|month| facts.made_on.is_none_or(|made| made.month() == month))
    }

    /// Of the lots of the item ever issued to the unit, those that fit what could be read of a label.
    pub(super) fn fitting(
        &self,
        legible: &Legible,
        unit: UnitId,
        item: PartId,
    ) -> impl Iterator<Item = &Issued> {
        let read = legible.characters();
        self.issued.at(unit, item).iter().filter(move |issued| {
            read & !issued.characters == 0
                && legible.may_be_part_of(&self.number_of[issued.lot], &self.look_of[issued.lot])
        })
    }

    /// Lots of the item ever issued to the unit within the distance allowed, nearest first.
    pub(super) fn near(&self, look: &str, unit: UnitId, item: PartId) -> Vec<(usize, Issued)> {
        let length = look.chars().count();
        let limit = if length >= LONG_TEXT { 2 } else { 1 };
        let comparator = BatchComparator::new(look.chars());
        let args = Args::default().score_cutoff(limit);
        let mine = characters(look);
        let mut near: Vec<(usize, Issued)> = self
            .issued
            .at(unit, item)
            .iter()
            // One edit takes out at most one character and brings in one.
            .filter(|issued| (issued.characters ^ mine).count_ones() as usize <= 2 * limit)
            .filter_map(|&issued| {
                let distance = comparator.distance_with_args(self.look_of[issued.lot].chars(), &args)?;
                Some((distance, issued))
            })
            .collect();
        near.sort_unstable_by_key(|(distance, issued)| (*distance, issued.lot));
        near
    }
}
