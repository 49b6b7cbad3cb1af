//! Units as a factor: all reports of a unit against what the others would have on the same items at the same age.

use std::collections::BTreeMap;

use stats::excess::Usual;

use super::concentration::{Shown, Worst, against};
use super::factor::FactorLevel;
use super::levels::{Levels, Stratum, add_bands};
use super::part_exposure::Bands;
use super::scanned::{Prior, Scanned};
use super::standard::{Against, Standard};
use super::tally::Tally;
use crate::field::{Field, UnitId};

/// What a factor shows.
pub(super) struct FactorShown {
    pub(super) shown: Vec<Shown>,
    pub(super) scanned: Scanned,
}

struct AtUnit<'a> {
    years: &'a [(Stratum, Bands)],
    counts: Vec<(Stratum, Bands)>,
}

/// The units. Reports of one unit's lot and unread labels are spread over strata and ages as the unit's own exposure
/// would have them at the common rates.
pub(super) fn units(field: &Field, levels: &Levels, tally: &Tally) -> FactorShown {
    let at_units = levels.units.iter().map(|(unit, years)| (*unit, AtUnit::new(years)));
    let mut at_units: BTreeMap<UnitId, AtUnit<'_>> = at_units.collect();
    let rates: Vec<Bands> = tally.standards.iter().map(Standard::rates).collect();
    for &(at, unit, n) in &tally.cells {
        let row = &levels.lots[at];
        if let Some(at_unit) = at_units.get_mut(&unit) {
            at_unit.add(&rates, n, |stratum| stratum == row.stratum);
        }
    }
    for (&(unit, item), &n) in &tally.unread_at {
        if let Some(at_unit) = at_units.get_mut(&unit) {
            at_unit.add(&rates, f64::from(n), |stratum| levels.item(field, stratum) == item);
        }
    }
    let mut standards: Vec<Standard> = vec![Standard::default(); levels.strata.len()];
    for at_unit in at_units.values() {
        for (stratum, years) in at_unit.years {
            standards[*stratum].years.iter_mut().zip(years).for_each(|(sum, y)| *sum += y);
        }
        for (stratum, counts) in &at_unit.counts {
            standards[*stratum].counts.iter_mut().zip(counts).for_each(|(sum, n)| *sum += n);
        }
    }
    let mut scanned = Scanned::default();
    let mut shown = Vec::new();
    for (&unit, at_unit) in &at_units {
        let Some((count, against)) = against(&standards, &at_unit.counts, at_unit.years) else { continue };
        let usual = scattered(against, tally.scatter);
        scanned.add(Prior::Other, usual);
        shown.push(Shown {
            level: FactorLevel::Unit(unit),
            count,
            against,
            worst: Worst { sure: count, peers: against.peer_count as f64, unread: 0.0 },
            tested: Some((count, usual)),
        });
    }
    FactorShown { shown, scanned }
}

/// What is usual for a unit, or for an activity, whose true rate scatters as those of units do.
pub(super) fn scattered(against: Against, variance: f64) -> Usual {
    let others = against.peer_count as f64 + 1.0;
    Usual { expected: against.odds * others, shape: 1.0 / (variance + 1.0 / others) }
}

impl<'a> AtUnit<'a> {
    fn new(years: &'a [(Stratum, Bands)]) -> Self {
        Self { years, counts: Vec::new() }
    }

    /// Spreads reports over some strata in proportion to what is expected there.
    fn add(&mut self, rates: &[Bands], n: f64, wanted: impl Fn(Stratum) -> bool) {
        let expected: Vec<(Stratum, Bands)> = self
            .years
            .iter()
            .filter(|(stratum, _)| wanted(*stratum))
            .map(|(stratum, years)| {
                let mut expected = *years;
                expected.iter_mut().zip(&rates[*stratum]).for_each(|(e, rate)| *e *= rate);
                (*stratum, expected)
            })
            .collect();
        let sum: f64 = expected.iter().flat_map(|e| e.1).sum();
        if sum > 0.0 {
            for (stratum, e) in &expected {
                add_bands(&mut self.counts, *stratum, e, n / sum);
            }
        }
    }
}
