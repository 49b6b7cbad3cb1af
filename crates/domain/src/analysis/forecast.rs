//! The forecast: reports to come on the items now in service, at the ages they will have.
//!
//! Reports found in the window, over all the use that items had in it, give the level; the shape as reports come carries it
//! to the ages ahead, since what has kept old items from failing goes on, drawn towards a judged middle as far as few
//! failures leave it open; without a fitted life the rate is taken as steady, and said to be. Items leave at the rate at
//! which they left so far, and no new ones come. Items built to a change against the mode come at a level of their own. Lots
//! and units are given the share that their own reports show, shrunk to the fleet's. Prompted reports and faults on
//! unpacking are not forecast.

mod changed;
mod fleet;
mod portions;

use std::fmt;

use stats::forecast::{MixedCount, repeated};

use super::life::Life;
use super::seen::{Row, comparable};
use super::service::{Service, Stay};
use super::window::Window;
use crate::field::{Field, Id, LotId, Stock, UnitId};

use changed::BySide;
pub(super) use changed::Changed;
pub(super) use fleet::Fleet;
pub use portions::Portion;
use portions::Portions;

/// How far ahead, in months.
pub const MONTHS_AHEAD: [u32; 3] = [3, 6, 12];

/// Risk on either side of the bounds: 90 % between them.
pub(super) const RISK: f64 = 0.05;

/// A judged middle of the shapes of worn soft goods, mild wear-out, and the standard deviation of the shape's logarithm from
/// one mode to another. No published source: held against invented worlds only (`tests/bench/worlds.md`); many failures of a
/// mode outweigh it.
pub(super) const USUAL_SHAPE: f64 = 1.75;
const SHAPES_DIFFER: f64 = 0.4;

/// Standard deviation of the shape's logarithm where none could be fitted and 1 is assumed.
const UNKNOWN_SHAPE: f64 = 0.5;

/// Reports to come within some months.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ahead {
    /// Months ahead.
    pub months: u32,
    /// Reports expected.
    pub expected: f64,
    /// 5 % bound.
    pub low: f64,
    /// 95 % bound.
    pub high: f64,
}

/// Reports to come.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// In 3, 6 and 12 months.
    pub ahead: [Ahead; 3],
    /// Reports of items built to the latest change against the mode, over those of others at the same age, as far as they have
    /// shown it; `None` without such items. What is to come allows for it.
    pub ratio_with_change: Option<f64>,
    /// Whether the rate was taken as steady, for want of a fitted life.
    pub assumed_steady: bool,
    /// Reports it rests on.
    pub reports: u32,
    /// Reports so recent that others of the same days are still on their way; it does not rest on them.
    pub too_recent: u32,
    /// Items in service.
    pub in_service: u64,
    /// Share of them that leaves in a year.
    pub leaving_per_year: f64,
    /// Lots with most to come; unread labels are shared out as the read ones.
    pub lots: Vec<Portion<LotId>>,
    /// Units with most to come.
    pub units: Vec<Portion<UnitId>>,
}

impl Forecast {
    /// The 12 months ahead.
    pub fn year(&self) -> Ahead {
        self.ahead[2]
    }
}

/// Why nothing is forecast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoForecast {
    /// No item that contains the part is in service.
    NobodyHasIt,
    /// No service on record to set the reports against.
    NoService,
    /// Every report is so recent that others of the same days are still on their way.
    TooRecent,
}

impl fmt::Display for NoForecast {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NobodyHasIt => "no forecast: no item that contains the part is on record as in service",
            Self::NoService => "no forecast: no service is on record to set the reports against",
            Self::TooRecent => {
                "no forecast yet: its reports are all so recent that others of the same days are still on their way"
            }
        })
    }
}

/// The shape with which reports are to come, and the variance of its logarithm.
pub(super) fn shape_to_come(life: Option<&Life>) -> (f64, f64) {
    life.map_or((1.0, UNKNOWN_SHAPE * UNKNOWN_SHAPE), |life| {
        drawn_to_usual(life.seen_shape, life.seen_variance)
    })
}

impl Forecast {
    pub(super) fn new(
        field: &Field,
        (service, fleet): (&Service, &Fleet),
        changed: Option<&Changed<'_>>,
        life: Option<&Life>,
        rows: &[Row],
        window: Window,
    ) -> Result<Self, NoForecast> {
        if fleet.in_service == 0 {
            return Err(NoForecast::NobodyHasIt);
        }
        let (mut by_unit, mut by_lot, mut count) =
            (vec![0_u32; field.units.len()], vec![0_u32; field.lots.len()], 0_u32);
        let mut by_side = BySide::default();
        let is_too_recent = |row: &&Row| comparable(&row.report) && row.report.found_on > window.to;
        let too_recent = rows.iter().filter(is_too_recent).count() as u32;
        for row in rows {
            let Row { report, resolved } = row;
            if comparable(report) && window.has(report.found_on) {
                count += 1;
                if let Some(changed) = changed {
                    changed.count(row, &mut by_side);
                }
                by_unit[report.unit.index()] += 1;
                if let Some(lot) = resolved.lot {
                    by_lot[lot.index()] += 1;
                }
            }
        }
        if count == 0 && too_recent > 0 {
            return Err(NoForecast::TooRecent);
        }
        let (shape, variance) = shape_to_come(life);
        let mut found = Vec::with_capacity(3);
        let mut ratio = None;
        for (at, (months, ahead)) in MONTHS_AHEAD.into_iter().zip(&fleet.ahead).enumerate() {
            // Where all service on record is of items with the change, there is one level.
            let renewed = changed.and_then(|changed| changed.ahead(at, by_side, (shape, variance)).ok());
            let repeated = match renewed {
                Some(renewed) => renewed.both,
                None => repeated(f64::from(count), shape, variance, &fleet.past, ahead)
                    .map_err(|_| NoForecast::NoService)?,
            };
            ratio = renewed.map(|renewed| renewed.ratio);
            let (low, high) = bounds(&repeated.count);
            found.push(Ahead { months, expected: repeated.expected, low, high });
        }
        let level = |stay: &Stay| match changed.zip(ratio) {
            Some((changed, ratio)) if changed.has(stay) => ratio,
            _ => 1.0,
        };
        let portions = Portions::new((service, window), shape, level, (fleet.as_of, found[2].expected));
        Ok(Self {
            ahead: [found[0], found[1], found[2]],
            ratio_with_change: ratio,
            assumed_steady: life.is_none(),
            reports: count,
            too_recent,
            in_service: fleet.in_service,
            leaving_per_year: service.leaving_per_year,
            lots: portions.told(&by_lot, |stay| match stay.stock {
                Stock::Lot(lot) => Some(lot),
                Stock::Unknown(..) => None,
            }),
            units: portions.told(&by_unit, |stay| Some(stay.unit)),
        })
    }
}

/// A shape and the variance of its logarithm, given what is usual: means weighed by their precision on the logarithm.
fn drawn_to_usual(shape: f64, variance: f64) -> (f64, f64) {
    let usual = (SHAPES_DIFFER * SHAPES_DIFFER).recip();
    let own = variance.max(f64::MIN_POSITIVE).recip();
    let log = (own * shape.ln() + usual * USUAL_SHAPE.ln()) / (own + usual);
    (log.exp(), (own + usual).recip())
}

fn bounds(count: &MixedCount) -> (f64, f64) {
    (count.lower(RISK) as f64, count.upper(1.0 - RISK) as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a shape of 0.5 known as badly as shapes differ lies halfway on the logarithm, at the root of 0.5 x 1.75.
    #[test]
    fn a_shape_that_few_failures_tell_is_drawn_halfway_to_the_usual_one() {
        let (shape, variance) = drawn_to_usual(0.5, SHAPES_DIFFER * SHAPES_DIFFER);
        assert!((shape - 0.875_f64.sqrt()).abs() < 1e-12 && (variance - 0.08).abs() < 1e-12);
        let (shape, _) = drawn_to_usual(0.5, 1e-4);
        assert!((shape - 0.5).abs() < 0.001, "many failures speak for themselves: {shape}");
    }
}
