//! Finds a lot by maker and number, or by its bare number while that is unique.

use std::collections::HashMap;

use super::ids::{LotId, MakerId};

/// What a lot number leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// One lot.
    One(LotId),
    /// Several makers used the number.
    Several,
    /// Nobody did.
    Nothing,
}

/// Lots by number and maker.
#[derive(Clone, Debug, Default)]
pub struct LotKeys(HashMap<Box<str>, Vec<(Option<MakerId>, LotId)>>);

impl LotKeys {
    /// Remembers a lot; says `false` when this maker has that number already.
    pub(super) fn add(&mut self, lot_no: &str, maker: Option<MakerId>, lot: LotId) -> bool {
        let lots = self.0.entry(lot_no.into()).or_default();
        if lots.iter().any(|(m, _)| *m == maker) {
            return false;
        }
        lots.push((maker, lot));
        true
    }

    /// All lots of a number, whoever made them.
    pub fn all(&self, lot_no: &str) -> impl Iterator<Item = LotId> {
        self.0.get(lot_no).into_iter().flatten().map(|&(_, lot)| lot)
    }

    /// The lot of a number, by that maker where one is named.
    pub fn find(&self, lot_no: &str, maker: Option<MakerId>) -> Found {
        let Some(lots) = self.0.get(lot_no) else { return Found::Nothing };
        match (lots.as_slice(), maker) {
            ([(_, lot)], None) => Found::One(*lot),
            ([(known, lot)], Some(_)) if known.is_none() => Found::One(*lot),
            (_, None) => Found::Several,
            (_, Some(_)) => {
                lots.iter().find(|(m, _)| *m == maker).map_or(Found::Nothing, |(_, lot)| Found::One(*lot))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::ids::Id;

    #[test]
    fn a_bare_number_finds_its_lot_while_it_is_unique() {
        let (a, b) = (MakerId::from_index(0), MakerId::from_index(1));
        let (first, second) = (LotId::from_index(0), LotId::from_index(1));
        let mut keys = LotKeys::default();
        assert!(keys.add("14", Some(a), first));
        assert_eq!(keys.find("14", None), Found::One(first));
        assert!(keys.add("14", Some(b), second));
        assert!(!keys.add("14", Some(b), second));
        assert_eq!(keys.find("14", None), Found::Several);
        assert_eq!(keys.find("14", Some(b)), Found::One(second));
        assert_eq!(keys.find("15", None), Found::Nothing);
    }
}
