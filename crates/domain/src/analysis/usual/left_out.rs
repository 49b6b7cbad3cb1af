//! A level held against its peers, left out of their rate and of the ratios of its units.

use super::{Cell, Member, Own, Unit, UnitRates};
use crate::analysis::held::{Held, Sum, Sums};
use crate::analysis::levels::Stratum;
use crate::analysis::standard::FEWEST_PEERS;

/// Rounds in which a level is taken out of its units' ratios and its peers' rate.
const ROUNDS: usize = 3;

/// A unit of a level that is left out: what is expected of the level there, the unit's ratio with it and without, and what is
/// left.
struct Left {
    expected: f64,
    ratio: f64,
    without: f64,
    /// Reports of all else.
    seen: f64,
    /// Expected of the level's peers.
    peers: f64,
    /// Expected of what is neither.
    elsewhere: f64,
}

impl UnitRates {
    /// A level against its peers, in each stratum or, for revisions, in each item. `None` without peers.
    pub(in crate::analysis) fn hold(&self, members: &[Member], by_item: bool) -> Option<Held> {
        let key = |stratum: Stratum| if by_item { self.items[stratum] } else { stratum };
        let mut own: Vec<Own> = Vec::new();
        for member in members {
            let (stratum, sum) = self.lots[member.lot];
            let place = own.iter().position(|own| own.of == key(stratum)).unwrap_or_else(|| {
                own.push(Own { of: key(stratum), sum: Sum::default(), squares: 0.0 });
                own.len() - 1
            });
            own[place].sum.add(sum, member.of_exposure, member.of_reports);
            own[place].squares += member.of_exposure.powi(2) * sum.weighted.years;
        }
        let mut sums = Sums::default();
        let mut strata: Vec<Stratum> = Vec::new();
        let years = |of: usize| -> f64 {
            let strata = self.strata.iter().enumerate().filter(|(stratum, _)| key(*stratum) == of);
            strata.map(|(_, sum)| sum.weighted.years).sum()
        };
        // A stratum of which the level is nearly all says little of its peers, and may have no report of them.
        let has_peers = |own: &Own| {
            let own_years = own.sum.weighted.years;
            years(own.of) - own_years >= FEWEST_PEERS * own_years
        };
        if own.iter().any(has_peers) {
            own.retain(has_peers);
        }
        for own in own {
            let mut all = Sum::default();
            for (stratum, sum) in
                self.strata.iter().enumerate().filter(|(stratum, _)| key(*stratum) == own.of)
            {
                all.add(*sum, 1.0, 1.0);
                strata.push(stratum);
            }
            sums.add(own.sum, all, own.squares);
        }
        if sums.odds <= 0.0 {
            return None;
        }
        let (expected, others) = if sums.expected > 0.0 {
            (sums.expected, sums.expected * sums.expected / sums.variance)
        } else {
            (sums.odds, 0.0)
        };
        let lower = if sums.expected > 0.0 { sums.expected / sums.at_common } else { 1.0 };
        let (by_unit, open) = self.units_without(members, &strata, lower, sums.peers_at_common);
        let ageing = self.ageing.open * (sums.by_age / expected).powi(2);
        Some(Held {
            seen: sums.seen,
            peers: sums.peers,
            expected: expected * by_unit,
            others,
            open: open + ageing,
            thinned: if sums.plain > 0.0 { (sums.thinned / sums.plain).clamp(0.0, 1.0) } else { 0.0 },
        })
    }

    /// What is expected and seen of a level at each of its units.
    fn of_members(&self, members: &[Member]) -> Vec<(usize, Unit)> {
        let of = |cell: &Cell, member: Member| Unit {
            seen: member.of_reports * cell.seen,
            expected: member.of_exposure * cell.expected,
        };
        let mut here: Vec<(usize, Unit)> = if let &[only] = members {
            // Most levels are one lot, which is at a few units, and at each once.
            self.of_lot(only.lot).iter().map(|cell| (cell.unit, of(cell, only))).collect()
        } else {
            let mut all: Vec<(usize, Unit)> = (0..self.units.len()).map(|at| (at, Unit::default())).collect();
            for &member in members {
                for cell in self.of_lot(member.lot) {
                    let (sum, more) = (&mut all[cell.unit].1, of(cell, member));
                    (sum.seen, sum.expected) = (sum.seen + more.seen, sum.expected + more.expected);
                }
            }
            all
        };
        here.retain(|(_, unit)| unit.expected > 0.0);
        here
    }

    /// By how much the ratios of the units of a level change when it is left out, and the relative variance of what is
    /// then open about them. `lower` is the peers' rate over the common one.
    fn units_without(
        &self,
        members: &[Member],
        strata: &[Stratum],
        lower: f64,
        peers_at_common: f64,
    ) -> (f64, f64) {
        let left = |(unit, here): (usize, Unit)| {
            let (all, of_unit) = (self.units[unit], &self.at_units[unit * self.strata.len()..]);
            let among: f64 = strata.iter().map(|&stratum| of_unit[stratum]).sum();
            Left {
                expected: here.expected,
                ratio: self.ratios[unit],
                without: 1.0,
                seen: (all.seen - here.seen).max(0.0),
                peers: (among - here.expected).max(0.0),
                elsewhere: (all.expected - among).max(0.0),
            }
        };
        let mut units: Vec<Left> = self.of_members(members).into_iter().map(left).collect();
        let before: f64 = units.iter().map(|unit| unit.expected * unit.ratio).sum();
        let mut scale = lower;
        for _ in 0..ROUNDS {
            let mut raised = 0.0;
            for unit in &mut units {
                unit.without = self.shrunk(unit.seen, unit.elsewhere + scale * unit.peers);
                raised += (unit.without - unit.ratio) * unit.peers;
            }
            if peers_at_common > 0.0 {
                scale = lower / (1.0 + raised / peers_at_common).max(0.1);
            }
        }
        let (mut after, mut open) = (0.0, 0.0);
        for unit in &units {
            let expected = unit.expected * unit.without;
            after += expected;
            open += expected.powi(2) / (self.shape + unit.seen);
        }
        if before > 0.0 && after > 0.0 {
            (after / before * scale / lower, open / (after * after))
        } else {
            (1.0, 0.0)
        }
    }
}
