//! Mass: weighings rolled up through the structure, and compared before and after a change.

mod bill;
mod burden;
mod difference;

pub use bill::{Bill, Following, Unweighed, WeighedAs, bill};
pub use burden::{BUDGET_SHARE, Budget, Energy, Flag, FleetMass, budget, energy, flags, fleet};
pub use difference::{MassChange, TariffChange, configurations_of, mass_changes, sizes_of, tariff_change};

use stats::Confidence;
use stats::uncertainty::{Combined, Contribution, combine};

/// Grams in a pound (International Yard and Pound Agreement, 1959; exact).
pub const GRAMS_PER_POUND: f64 = 453.592_37;

/// A mass with what is known of its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mass {
    /// Grams.
    pub grams: f64,
    /// Standard uncertainty in grams with its degrees of freedom; `None` where a part was weighed once only, so
    /// that its scatter is not known.
    pub uncertainty: Option<Combined>,
}

impl Mass {
    /// Half width of the 95 % interval, in grams; `None` where the uncertainty is not known.
    pub fn reach_g(self) -> Option<f64> {
        self.uncertainty.map(|u| u.expanded(Confidence::NINETY_FIVE).half_width)
    }
}

/// Mean of the specimens of one part, with the standard uncertainty of the mean `s/sqrt(n)` on `n - 1` degrees
/// of freedom (GUM 4.2.3). Masses in grams; `None` for no specimen.
pub fn mean_of_specimens(grams: &[f64]) -> Option<Mass> {
    let n = grams.len() as f64;
    let mean = grams.iter().sum::<f64>() / n;
    match grams.len() {
        0 => None,
        1 => Some(Mass { grams: mean, uncertainty: None }),
        _ => {
            let squares: f64 = grams.iter().map(|g| (g - mean).powi(2)).sum();
            let standard = (squares / (n - 1.0) / n).sqrt();
            Some(Mass { grams: mean, uncertainty: Some(Combined { standard, freedom: n - 1.0 }) })
        }
    }
}

/// Adds weighed parts: `sum(q m)`, a part's quantity multiplying its uncertainty linearly (one drawing, one
/// error), parts in quadrature. Quantities may be negative, for a difference.
fn add_up(parts: impl Iterator<Item = (f64, Mass)>) -> Mass {
    let mut grams = 0.0;
    let mut contributions = Some(Vec::new());
    for (quantity, mass) in parts {
        grams += quantity * mass.grams;
        match (&mut contributions, mass.uncertainty) {
            (Some(all), Some(u)) => {
                all.push(Contribution { standard: quantity.abs() * u.standard, freedom: u.freedom });
            }
            _ => contributions = None,
        }
    }
    let uncertainty = contributions.and_then(|all| {
        if all.is_empty() {
            // Nothing differs, and that is known without weighing.
            return Some(Combined { standard: 0.0, freedom: f64::INFINITY });
        }
        combine(&all).ok()
    });
    Mass { grams, uncertainty }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// GUM (JCGM 100:2008) 4.2.3: the experimental standard deviation of the mean; worked by hand.
    #[test]
    fn specimens_give_their_mean_and_its_uncertainty() {
        let mass = mean_of_specimens(&[100.0, 102.0, 104.0]).expect("weighed");
        let u = mass.uncertainty.expect("three specimens");
        assert_eq!(mass.grams, 102.0);
        assert!((u.standard - 2.0 / 3.0_f64.sqrt()).abs() < 1e-15);
        assert_eq!(u.freedom, 2.0);
    }

    #[test]
    fn one_specimen_says_nothing_of_its_scatter() {
        assert_eq!(mean_of_specimens(&[100.0]), Some(Mass { grams: 100.0, uncertainty: None }));
        assert_eq!(mean_of_specimens(&[]), None);
    }

    #[test]
    fn a_quantity_multiplies_the_uncertainty_linearly() {
        let part = Mass { grams: 10.0, uncertainty: Some(Combined { standard: 0.5, freedom: 4.0 }) };
        let total = add_up([(4.0, part)].into_iter());
        assert_eq!(total.grams, 40.0);
        assert_eq!(total.uncertainty.expect("known").standard, 2.0);
    }

    /// Common practice, no source: a medium carrier going from 8.5 lb to 6.5 lb is spoken of as "about 25 %";
    /// the figure is 23.5 %. Hard inserts "33 % lighter" and laser-cut attachment "saves 25 %" are of the same kind.
    #[test]
    fn eight_and_a_half_pounds_to_six_and_a_half_is_23_5_percent() {
        let before = 8.5 * GRAMS_PER_POUND;
        let after = 6.5 * GRAMS_PER_POUND;
        let percent = MassChange::percent(before, after);
        assert_eq!(format!("{percent:.1}"), "-23.5");
    }
}
