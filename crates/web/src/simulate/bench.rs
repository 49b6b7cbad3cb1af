//! Bench tests of a world: the change compared before and after, acceptance of lots, and a look at a bad one.

use super::SimulateError;
use super::change::letter;
use super::lots::{Lots, Made};
use super::world::World;

/// Newtons at which the changed component gives way before the change.
pub(super) const STRENGTH_BEFORE: f64 = 420.0;
/// Where the machine stops.
const MACHINE_LIMIT: f64 = 700.0;
/// Acceptance tests are written for at most this many lots.
const MOST_ACCEPTED: usize = 400;

/// A series of specimens of one lot.
struct Series {
    lot: u32,
    purpose: &'static str,
    method: &'static str,
    measure: &'static str,
    unit: &'static str,
    source: &'static str,
    specimens: usize,
    mean: f64,
    spread: f64,
    limit: &'static str,
}

impl World {
    /// Mean strength after the change.
    pub(super) fn strength_after(&self) -> f64 {
        STRENGTH_BEFORE * (1.0 + 0.45 * (1.0 - self.change.ratio))
    }

    /// Writes every series.
    pub(super) fn bench(&mut self) -> Result<(), SimulateError> {
        let pull = |lot, purpose, source, mean| Series {
            lot,
            purpose,
            method: "in-house pull at 100 mm/min",
            measure: "holding strength",
            unit: "N",
            source,
            specimens: 12,
            mean,
            spread: 0.09,
            limit: "300",
        };
        let mut series = Vec::new();
        let compared = self.change.cut_in[0] - 60;
        if let (Some(old), Some(new)) = (
            self.lots.newest(self.change.part, 0, compared),
            self.lots.newest(self.change.part, 1, self.calendar.end),
        ) {
            series.push(pull(old, "comparison", "new_stock", STRENGTH_BEFORE));
            series.push(pull(new, "comparison", "new_stock", self.strength_after()));
            series.push(Series {
                specimens: 5,
                ..pull(new, "first_article", "new_stock", self.strength_after())
            });
        }
        for bad in &self.bad {
            let part = self.products.hazards[bad.hazard].part;
            let failing = match self.lots.list[bad.lot as usize].made {
                Made::Part(own) if own == part => Some(bad.lot),
                // A bad material shows on the lots cut from it.
                _ => (0..self.lots.list.len() as u32)
                    .find(|&l| self.lots.list[l as usize].uses.iter().any(|used| used.0 == bad.lot)),
            };
            let sound = self.lots.newest(part, 0, self.calendar.end);
            if let (Some(failing), Some(sound)) = (failing, sound) {
                series.push(Series {
                    specimens: 5,
                    limit: "",
                    ..pull(failing, "teardown", "returned", STRENGTH_BEFORE / bad.factor.sqrt())
                });
                series.push(Series {
                    specimens: 5,
                    limit: "",
                    ..pull(sound, "teardown", "retained", STRENGTH_BEFORE)
                });
            }
        }
        let tested = |lot: u32| {
            matches!(self.lots.list[lot as usize].made, Made::Item(_))
                && self.lots.list[lot as usize].arrives.is_some()
        };
        for lot in (0..self.lots.list.len() as u32).filter(|&lot| tested(lot)).step_by(3).take(MOST_ACCEPTED)
        {
            series.push(Series {
                specimens: 3,
                measure: "seam strength",
                limit: "400",
                ..pull(lot, "lot_acceptance", "new_stock", 520.0)
            });
            let has_release = self.products.items[self.product_of(lot)]
                .pieces
                .iter()
                .any(|p| self.products.parts[p.0].kind == "QRC");
            if has_release {
                series.push(Series {
                    specimens: 3,
                    method: "hand release, loaded",
                    measure: "release_seconds",
                    unit: "s",
                    limit: "3",
                    ..pull(lot, "lot_acceptance", "new_stock", 1.6)
                });
            }
        }
        series.iter().try_for_each(|series| self.write_series(series))
    }

    fn write_series(&mut self, series: &Series) -> Result<(), SimulateError> {
        let lot = &self.lots.list[series.lot as usize];
        let (part_no, _) = Lots::part_no(&self.products, lot);
        let tested_on = (lot.made_on + 12).min(self.calendar.end);
        for n in 1..=series.specimens {
            let drawn = series.mean * (1.0 + series.spread * self.teller.normal());
            let is_pull = series.unit == "N";
            let is_stopped = is_pull && drawn >= MACHINE_LIMIT;
            let value =
                if is_pull { format!("{:.0}", drawn.min(MACHINE_LIMIT)) } else { format!("{drawn:.2}") };
            let outcome = if is_stopped {
                "stopped"
            } else if is_pull {
                "failed"
            } else {
                "measured"
            };
            self.books.bench_tests.row([
                part_no,
                letter(lot.revision),
                &lot.no,
                series.purpose,
                series.method,
                series.measure,
                &format!("{}-{}-{}{n}", lot.no, &series.purpose[..1], &series.measure[..1]),
                series.source,
                &value,
                series.unit,
                outcome,
                "20 C, 65 % humidity",
                series.limit,
                if series.limit.is_empty() { "" } else { "drawing (invented)" },
                "Service laboratory",
                self.calendar.date(tested_on),
            ])?;
        }
        Ok(())
    }
}
