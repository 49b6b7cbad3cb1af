//! Over-dispersion between units: units use and report differently, and that alone makes lots differ.

/// Reports of one lot at one unit beside what is expected there; of either only its share of the lot's counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct AtUnit {
    pub(super) unit: usize,
    pub(super) seen: f64,
    pub(super) expected: f64,
}

/// The variance between units of the true rate relative to its mean, from how reports of each lot spread over its units.
///
/// Given a lot's own count `n` and its expected share `p` at each unit, the excess of unit counts `R = sum(x - n p)`
/// has variance `A = sum(n p (1 - p))` by chance alone; the moment estimate is `sum(R^2 - A) / sum(A^2)`, not below 0.
/// A bad lot raises its units' expectation with its own count, so that it does not pass for scatter between units.
/// Lots at one unit only say nothing, nor do reports of a unit that never had the lot in service, as a store's of what was
/// turned in. Approximate: cross terms between units are left out.
#[derive(Debug, Default)]
pub(super) struct UnitScatter {
    /// By unit: reports less expectation, and variance by chance.
    units: Vec<(f64, f64)>,
}

impl UnitScatter {
    /// Adds a lot at each unit that had it in service.
    pub(super) fn add_lot(&mut self, at_units: impl Iterator<Item = AtUnit> + Clone) {
        let (mut count, mut expected) = (0.0, 0.0);
        for at in at_units.clone() {
            count += at.seen;
            expected += at.expected;
        }
        if count <= 0.0 || expected <= 0.0 {
            return;
        }
        for at in at_units {
            let share = at.expected / expected;
            if self.units.len() <= at.unit {
                self.units.resize(at.unit + 1, (0.0, 0.0));
            }
            let (residual, chance) = &mut self.units[at.unit];
            *residual += at.seen - count * share;
            *chance += count * share * (1.0 - share);
        }
    }

    /// The moment estimate.
    pub(super) fn variance(&self) -> f64 {
        let (excess, squares) = self.moments();
        if squares > 0.0 { (excess / squares).max(0.0) } else { 0.0 }
    }

    /// The moment estimate, drawn towards what is usual as far as few reports leave it open.
    pub(super) fn variance_near(&self, usual: f64) -> f64 {
        let (excess, squares) = self.moments();
        // The moment estimate has the variance 2 / sum(A^2) or so.
        let before = 2.0 / (usual * usual);
        (usual * before + excess) / (before + squares)
    }

    /// The numerator and the denominator of the moment estimate.
    fn moments(&self) -> (f64, f64) {
        self.units.iter().fold((0.0, 0.0), |(excess, squares), (residual, chance)| {
            (excess + (residual * residual - chance), squares + chance * chance)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lots that are expected alike at the first so many units.
    fn scatter<const UNITS: usize>(lots: &[[f64; UNITS]]) -> UnitScatter {
        let mut scatter = UnitScatter::default();
        for seen in lots {
            let at = |(unit, &seen): (usize, &f64)| AtUnit { unit, seen, expected: 10.0 };
            scatter.add_lot(seen.iter().enumerate().map(at));
        }
        scatter
    }

    #[test]
    fn even_counts_show_no_scatter_and_uneven_ones_do() {
        assert_eq!(scatter(&[[20.0, 21.0, 19.0, 20.0]]).variance(), 0.0);
        assert!(scatter(&[[60.0, 5.0, 5.0, 10.0]]).variance() > 0.5);
    }

    #[test]
    fn a_bad_lot_is_not_scatter() {
        assert_eq!(scatter(&[[10.0; 4], [100.0; 4]]).variance(), 0.0);
    }

    /// By hand: no report leaves what is usual; 80 at four units alike have an excess of -60 in squares of 900, and
    /// 2 / 0.2^2 = 50 of them are of what is usual.
    #[test]
    fn few_reports_leave_what_is_usual_and_many_do_not() {
        assert!((scatter::<4>(&[]).variance_near(0.2) - 0.2).abs() < 1e-12);
        let near = scatter(&[[20.0; 4]]).variance_near(0.2);
        assert!((near - (0.2 * 50.0 - 60.0) / (50.0 + 900.0)).abs() < 1e-12, "{near}");
    }
}
