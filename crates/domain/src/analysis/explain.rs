//! Which of the levels that stand out explain the others: item lots made from the bad tape lot, a unit that got only those.
//!
//! The strongest level is taken first, its own ratio is put into what is expected everywhere, and what no longer stands
//! out then is explained by it; what still does competes for being the next. Strength is the likelihood ratio of giving
//! the level a rate of its own; a level nearer to a cause is preferred where others are not clearly stronger.

use stats::excess::Usual;

use super::concentration::Concentration;
use super::factor::FactorLevel;
use super::levels::Levels;
use super::lot_lines::RATIO_WORTH_A_FLAG;
use super::part_exposure::{Bands, PartExposure};
use super::tally::Tally;
use crate::field::{Field, UnitId};

/// Log-likelihood that a level must gain over one a step nearer to the cause: with several steps between them the
/// farther one must be several times as likely.
const GAIN_BY_STEP: f64 = 0.5;
/// A level is explained when so many reports are no surprise any more.
const NO_SURPRISE: f64 = 0.05;
/// Causes in one recurrence beyond these are not told apart.
const MOST_CAUSES: usize = 6;
const ROUNDS: usize = 12;

/// Items of one lot at one unit.
struct Cell {
    lot: usize,
    unit: UnitId,
    years: Bands,
    seen: f64,
}

/// The share of each cell's items that belongs to a level.
struct Share {
    by_cell: Vec<f64>,
}

/// Says for every flagged level whether another explains it.
pub(super) fn explain(
    field: &Field,
    exposure: &PartExposure<'_>,
    levels: &Levels,
    tally: &Tally,
    found: &mut [Concentration],
) {
    let cells = cells(exposure, levels, tally);
    let flagged: Vec<usize> = (0..found.len()).filter(|&at| found[at].flagged).collect();
    let shares: Vec<Option<Share>> =
        flagged.iter().map(|&at| Share::new(levels, &cells, found[at].level)).collect();
    let mut open: Vec<usize> = (0..flagged.len()).filter(|&n| shares[n].is_some()).collect();
    let mut causes: Vec<(usize, f64)> = Vec::new();
    loop {
        let expected = fit(levels, tally, &cells, &shares, &mut causes);
        let split: Vec<(usize, Split)> = open
            .iter()
            .filter_map(|&n| Some((n, Split::new(&cells, &expected, shares[n].as_ref()?))))
            .collect();
        if let Some(&(cause, _)) = causes.last() {
            for (n, split) in &split {
                if !split.stands_out(tally.scatter) {
                    found[flagged[*n]].explained_by = Some(found[flagged[cause]].level);
                }
            }
        }
        if causes.len() == MOST_CAUSES {
            break;
        }
        let strength = |n: usize, split: &Split| {
            let distance = found[flagged[n]].level.distance(field, exposure.part);
            split.gain() - GAIN_BY_STEP * f64::from(distance)
        };
        let standing = split.iter().filter(|(n, _)| found[flagged[*n]].explained_by.is_none());
        let next = standing
            .max_by(|(a, one), (b, two)| strength(*a, one).total_cmp(&strength(*b, two)).then(b.cmp(a)));
        let Some(&(next, _)) = next else { break };
        open.retain(|&n| n != next && found[flagged[n]].explained_by.is_none());
        causes.push((next, 1.0));
    }
}

fn cells(exposure: &PartExposure<'_>, levels: &Levels, tally: &Tally) -> Vec<Cell> {
    let mut cells = Vec::new();
    for lot in 0..levels.lots.len() {
        let first = cells.len();
        let of_lot = exposure.row(lot).iter();
        cells.extend(of_lot.map(|c| Cell { lot, unit: c.unit, years: c.bands, seen: 0.0 }));
        let from = tally.cells.partition_point(|c| c.0 < lot);
        for &(_, unit, n) in tally.cells[from..].iter().take_while(|c| c.0 == lot) {
            // A unit that the books don't give the lot to still has its reports.
            let at = cells[first..].iter().position(|c| c.unit == unit).unwrap_or_else(|| {
                cells.push(Cell { lot, unit, years: Bands::default(), seen: 0.0 });
                cells.len() - first - 1
            });
            cells[first + at].seen += n;
        }
    }
    cells
}

impl Share {
    /// `None` for an activity, which no cell is of.
    fn new(levels: &Levels, cells: &[Cell], level: FactorLevel) -> Option<Self> {
        let by_cell = match level {
            FactorLevel::Activity(_) => return None,
            FactorLevel::Unit(unit) => cells.iter().map(|c| f64::from(u8::from(c.unit == unit))).collect(),
            FactorLevel::ItemLot(lot) => {
                let places = levels.places_of(lot);
                if places.is_empty() {
                    return None;
                }
                cells.iter().map(|c| f64::from(u8::from(places.contains(&c.lot)))).collect()
            }
            _ => {
                let mut by_lot = vec![0.0; levels.lots.len()];
                let members = &levels.all.iter().find(|l| l.of == level)?.members;
                for &(at, share) in members {
                    by_lot[at] += share;
                }
                cells.iter().map(|c| by_lot[c.lot].min(1.0)).collect()
            }
        };
        Some(Self { by_cell })
    }
}

/// Expected count of each cell, given the causes so far, whose ratios are fitted along (EM, as for mixtures).
fn fit(
    levels: &Levels,
    tally: &Tally,
    cells: &[Cell],
    shares: &[Option<Share>],
    causes: &mut [(usize, f64)],
) -> Vec<f64> {
    let part = |n: usize, ratio: f64, cell: usize| {
        shares[n].as_ref().map_or(1.0, |share| 1.0 + (ratio - 1.0) * share.by_cell[cell])
    };
    let mut expected = Vec::new();
    for _ in 0..ROUNDS {
        let factors: Vec<f64> = (0..cells.len())
            .map(|cell| causes.iter().map(|&(n, ratio)| part(n, ratio, cell)).product())
            .collect();
        expected = at_common_rates(levels, tally, cells, &factors);
        for cause in causes.iter_mut() {
            let Some(share) = &shares[cause.0] else { continue };
            let (mut seen, mut alone) = (0.0, 0.0);
            for (cell, &share) in share.by_cell.iter().enumerate().filter(|c| *c.1 > 0.0) {
                let own = part(cause.0, cause.1, cell);
                seen += cells[cell].seen * share * cause.1 / own;
                alone += expected[cell] * share / own;
            }
            cause.1 = if alone > 0.0 { (seen / alone).max(1e-6) } else { 1.0 };
        }
        if causes.is_empty() {
            break;
        }
    }
    expected
}

fn at_common_rates(levels: &Levels, tally: &Tally, cells: &[Cell], factors: &[f64]) -> Vec<f64> {
    let mut years = vec![Bands::default(); levels.strata.len()];
    for (cell, factor) in cells.iter().zip(factors) {
        let sums = &mut years[levels.lots[cell.lot].stratum];
        sums.iter_mut().zip(cell.years).for_each(|(sum, y)| *sum += factor * y);
    }
    let rate = |stratum: usize, band: usize| {
        let years = years[stratum][band];
        if years > 0.0 { tally.standards[stratum].counts[band] / years } else { 0.0 }
    };
    let rates: Vec<Bands> =
        (0..years.len()).map(|stratum| std::array::from_fn(|band| rate(stratum, band))).collect();
    let of = |(cell, factor): (&Cell, &f64)| {
        let rates = &rates[levels.lots[cell.lot].stratum];
        factor * cell.years.iter().zip(rates).map(|(y, r)| y * r).sum::<f64>()
    };
    cells.iter().zip(factors).map(of).collect()
}

/// A level against the rest, given the causes so far.
struct Split {
    seen: f64,
    expected: f64,
    others: f64,
    others_expected: f64,
    /// Variance of the count over that of a Poisson count.
    thinned: f64,
    /// Sum of squares of the expectation at its units over the square of its sum.
    spread: f64,
}

impl Split {
    fn new(cells: &[Cell], expected: &[f64], share: &Share) -> Self {
        let (mut seen, mut own, mut squares, mut all, mut all_expected) = (0.0, 0.0, 0.0, 0.0, 0.0);
        let mut at_units = std::collections::BTreeMap::<UnitId, f64>::new();
        for ((cell, &e), &share) in cells.iter().zip(expected).zip(&share.by_cell) {
            all += cell.seen;
            all_expected += e;
            if share > 0.0 {
                seen += share * cell.seen;
                own += share * e;
                squares += share * share * e;
                *at_units.entry(cell.unit).or_default() += share * e;
            }
        }
        let spread = at_units.values().map(|e| e * e).sum::<f64>() / (own * own).max(f64::MIN_POSITIVE);
        Self {
            seen,
            expected: own,
            others: all - seen,
            others_expected: all_expected - own,
            thinned: if own > 0.0 { squares / own } else { 1.0 },
            spread: spread.min(1.0),
        }
    }

    /// Whether its ratio is still worth a flag, and its count still a surprise.
    fn stands_out(&self, scatter: f64) -> bool {
        if self.expected <= 0.0 || self.others_expected <= 0.0 || self.others <= 0.0 {
            return self.seen > 0.0 && self.expected <= 0.0;
        }
        let odds = self.expected / self.others_expected;
        let ratio = self.seen / (odds * self.others);
        let chance = {
            let others = self.others + 1.0;
            let shape = 1.0 / (scatter * self.spread + 1.0 / others);
            Usual { expected: odds * others / self.thinned, shape }.chance(self.seen / self.thinned)
        };
        ratio > RATIO_WORTH_A_FLAG && chance <= NO_SURPRISE
    }

    /// Log-likelihood gained by a rate of its own (M. Kulldorff's ratio for one window, 1997).
    fn gain(&self) -> f64 {
        let term = |n: f64, e: f64| if n > 0.0 && e > 0.0 { n * (n / e).ln() } else { 0.0 };
        (term(self.seen, self.expected) + term(self.others, self.others_expected)) / self.thinned.max(0.05)
    }
}
