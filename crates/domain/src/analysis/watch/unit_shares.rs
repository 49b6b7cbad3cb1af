//! How the failures expected of a level spread over units, and with that how much of the scatter between units reaches it.

use crate::analysis::levels::{Level, Levels};
use crate::analysis::part_exposure::{Bands, PartExposure};
use crate::field::{Field, Id as _, UnitId};
use crate::ledger::begins;

/// Failures expected of each lot at each unit, at the rates of one recurrence.
pub(super) struct UnitShares {
    units: usize,
    expected: Vec<(usize, UnitId, f64)>,
    /// Where those of each lot begin.
    begins: Vec<u32>,
}

impl UnitShares {
    /// Of all lots, at the rates of their strata.
    pub(super) fn new(field: &Field, exposure: &PartExposure<'_>, levels: &Levels, rates: &[Bands]) -> Self {
        let of_lot = levels.lots.iter().enumerate().flat_map(|(at, row)| {
            let rates = &rates[row.stratum];
            exposure.row(at).iter().map(move |cell| {
                let expected: f64 = cell.bands.iter().zip(rates).map(|(years, rate)| years * rate).sum();
                (at, cell.unit, expected)
            })
        });
        let expected: Vec<(usize, UnitId, f64)> = of_lot.collect();
        let begins = begins(&expected, levels.lots.len(), |one| Some(one.0));
        Self { units: field.units.len(), expected, begins }
    }

    /// How much of the variance between units reaches a level: 1 for one at one unit, `1/m` for one spread evenly over `m`.
    pub(super) fn reaching(&self, level: &Level) -> f64 {
        let mut at_units = vec![0.0; self.units];
        for &(at, share) in &level.members {
            let own = self.begins[at] as usize..self.begins[at + 1] as usize;
            self.expected[own]
                .iter()
                .for_each(|(_, unit, expected)| at_units[unit.index()] += share * expected);
        }
        let sum: f64 = at_units.iter().sum();
        if sum > 0.0 { at_units.iter().map(|e| e * e).sum::<f64>() / (sum * sum) } else { 1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::factor::FactorLevel;
    use crate::field::LotId;

    /// Two lots: one at unit 0 alone, one evenly at four units.
    #[test]
    fn a_level_at_many_units_has_little_of_their_scatter() {
        let unit = UnitId::from_index;
        let expected = vec![
            (0, unit(0), 3.0),
            (1, unit(0), 2.0),
            (1, unit(1), 2.0),
            (1, unit(2), 2.0),
            (1, unit(3), 2.0),
        ];
        let shares = UnitShares { units: 4, expected, begins: vec![0, 1, 5] };
        let reaching = |members: &[(usize, f64)]| {
            let of = FactorLevel::UsedLot(LotId::from_index(0));
            shares.reaching(&Level { of, members: members.to_vec(), years: vec![] })
        };
        assert!((reaching(&[(0, 1.0)]) - 1.0).abs() < 1e-12);
        assert!((reaching(&[(1, 1.0)]) - 0.25).abs() < 1e-12);
        // By hand: 3 and half of 2 at unit 0, 1 at each of the others: (16 + 3) / 49.
        assert!((reaching(&[(0, 1.0), (1, 0.5)]) - 19.0 / 49.0).abs() < 1e-12);
        assert_eq!(reaching(&[]), 1.0, "of nothing nobody knows where it is");
    }
}
