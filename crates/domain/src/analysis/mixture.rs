//! Lots that used several upstream lots: which of them a report sits on, by a mixture fitted with EM.

use super::levels::{Level, LotRow};
use super::part_exposure::Bands;

/// Rounds of the fit; it stops moving long before where lots differ by little.
const ROUNDS: usize = 40;

/// For each member of each level, the share of its item lot's reports that the fit gives to the level.
///
/// A report of item lot `l` comes from upstream lot `t` with a chance in proportion to `w_lt r_t`, where `w` is the
/// share of the items and `r` the upstream lot's ratio to the common rate at the same age. Expectation: reports are
/// shared out by that chance. Maximisation: `r_t = (n_t + 1) / (e_t + 1)`, the posterior mean under a gamma(1, 1)
/// prior, which keeps two lots that always went together from running apart; `e` is the expected count at the common
/// rates by stratum and age, fitted along. Items without a lot on record keep the ratio 1.
///
/// Source: A. P. Dempster, N. M. Laird & D. B. Rubin, J. R. Stat. Soc. B 39 (1977) 1.
pub(super) fn shares(lots: &[LotRow], counts: &[Bands], strata: usize, levels: &[&Level]) -> Vec<Vec<f64>> {
    let totals: Vec<f64> = counts.iter().map(|bands| bands.iter().sum()).collect();
    let mut ratios = vec![1.0; levels.len()];
    let mut factors = vec![1.0; lots.len()];
    for _ in 0..ROUNDS {
        let expected = expected(lots, counts, strata, &factors);
        for (level, ratio) in levels.iter().zip(&mut ratios) {
            let (mut n, mut e) = (1.0, 1.0);
            for &(at, share) in &level.members {
                n += totals[at] * share * *ratio / factors[at].max(f64::MIN_POSITIVE);
                e += expected[at] * share;
            }
            *ratio = n / e;
        }
        set_factors(&mut factors, levels, &ratios);
    }
    let of = |(level, ratio): (&&Level, &f64)| {
        let share = |&(at, share): &(usize, f64)| (share * ratio / factors[at].max(share * ratio)).min(1.0);
        level.members.iter().map(share).collect()
    };
    levels.iter().zip(&ratios).map(of).collect()
}

/// Each lot's ratio as its upstream lots make it.
fn set_factors(factors: &mut [f64], levels: &[&Level], ratios: &[f64]) {
    factors.fill(1.0);
    for (level, ratio) in levels.iter().zip(ratios) {
        level.members.iter().for_each(|&(at, share)| factors[at] += share * (ratio - 1.0));
    }
}

/// Expected count of each lot at the common rates, when every lot's exposure counts by its factor.
fn expected(lots: &[LotRow], counts: &[Bands], strata: usize, factors: &[f64]) -> Vec<f64> {
    let mut sums = vec![(Bands::default(), Bands::default()); strata];
    for ((row, seen), factor) in lots.iter().zip(counts).zip(factors) {
        let (n, years) = &mut sums[row.stratum];
        for band in 0..n.len() {
            n[band] += seen[band];
            years[band] += factor * row.years[band];
        }
    }
    let at_rates = |row: &LotRow| {
        let (n, years) = &sums[row.stratum];
        let in_band =
            |band: usize| if years[band] > 0.0 { row.years[band] * n[band] / years[band] } else { 0.0 };
        (0..n.len()).map(in_band).sum()
    };
    lots.iter().map(at_rates).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::factor::FactorLevel;
    use crate::field::{Id, LotId};
    use crate::ledger::OwnPart;

    fn bands(first: f64) -> Bands {
        let mut bands = Bands::default();
        bands[0] = first;
        bands
    }

    /// Four item lots of equal exposure: two of tape 1 and two of tape 2, one of which has a fifth of tape 1. Tape 1
    /// fails at 40, tape 2 at 4: by hand the mixed lot shows 0.2 x 40 + 0.8 x 4 = 11.2, of which 8 / 11.2 = 71 % are
    /// tape 1's.
    #[test]
    fn a_mixed_lot_gives_its_reports_to_the_lot_that_fails_elsewhere_too() {
        let lots: Vec<LotRow> = (0..4)
            .map(|n| LotRow {
                lot: LotId::from_index(n),
                part: OwnPart::AsMade,
                stratum: 0,
                years: bands(100.0),
                log_ages: Bands::default(),
            })
            .collect();
        let counts: Vec<Bands> = [40.0, 40.0, 4.0, 11.0].map(bands).into();
        let level = |n: usize, members: &[(usize, f64)]| Level {
            of: FactorLevel::UsedLot(LotId::from_index(10 + n)),
            members: members.into(),
            years: vec![],
        };
        let (one, two) = (level(1, &[(0, 1.0), (1, 1.0), (3, 0.2)]), level(2, &[(2, 1.0), (3, 0.8)]));
        let fitted = shares(&lots, &counts, 1, &[&one, &two]);
        assert_eq!(fitted[0][..2], [1.0, 1.0]);
        assert!((fitted[0][2] - 8.0 / 11.2).abs() < 0.06, "{fitted:?}");
        assert!((fitted[0][2] + fitted[1][1] - 1.0).abs() < 1e-9);
    }
}
