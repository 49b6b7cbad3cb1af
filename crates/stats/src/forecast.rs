//! How many of the units in service will fail in the time ahead, with bounds.
//!
//! A unit alive at age `a` fails within `h` more with probability `rho = 1 - S(a + h) / S(a)`; over cohorts of `n_i`
//! units the count is a sum of binomials, exact here. Bounds from a fitted distribution taken as true (plug-in) are
//! too narrow when it rests on few failures: use [`bootstrap`] and say how many failures there were.
//!
//! Sources: W. Q. Meeker and L. A. Escobar, Statistical Methods for Reliability Data (1998), chapter 12; L. A. Escobar
//! and W. Q. Meeker, Technometrics 41 (1999); Q. Tian, F. Meng, D. J. Nordman and W. Q. Meeker, "Predicting the number
//! of future events", J. Am. Statist. Assoc. 117 (2022).

mod approximate;
mod bootstrap;
mod count;
mod repeated;

pub use approximate::{NormalForecast, normal_approximation};
pub use bootstrap::{Bootstrap, Group, bootstrap};
pub use count::Count;
pub use repeated::{Made, MixedCount, Renewed, Repeated, Use, power_sum, repeated, repeated_of};

use crate::error::StatsError;
use crate::life::Distribution;

/// Units alike in age and time ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cohort {
    /// Age now, 0 or more, in the unit of the distribution.
    pub age: f64,
    /// Units alive.
    pub units: u64,
    /// Use ahead of each, 0 or more.
    pub ahead: f64,
}

/// Probability of each cohort's unit to fail in the time ahead, `-expm1(ln S(a + h) - ln S(a))`.
///
/// # Errors
/// [`StatsError::ItemOutOfRange`] for an age or time ahead that is negative, infinite or NaN.
pub fn failure_probabilities(
    distribution: &Distribution,
    cohorts: &[Cohort],
) -> Result<Vec<f64>, StatsError> {
    let accepted = "a finite number of 0 or more";
    let sound = |value: f64| value >= 0.0 && value.is_finite();
    cohorts
        .iter()
        .enumerate()
        .map(|(index, c)| {
            if !sound(c.age) {
                return Err(StatsError::ItemOutOfRange {
                    what: "age of cohort",
                    index,
                    value: c.age,
                    accepted,
                });
            }
            if !sound(c.ahead) {
                let what = "time ahead of cohort";
                return Err(StatsError::ItemOutOfRange { what, index, value: c.ahead, accepted });
            }
            Ok(distribution.conditional_failure(c.age, c.ahead))
        })
        .collect()
}

/// The count of failures ahead with the distribution taken as true.
///
/// ```
/// use stats::{forecast::{Cohort, plug_in}, life::Distribution};
/// let old = Distribution::weibull(100.0, 1.0).unwrap();
/// let ahead = plug_in(&old, &[Cohort { age: 70.0, units: 1, ahead: 25.0 }]).unwrap();
/// assert!((ahead.mean() - 0.221_199_216_928_595_1).abs() < 1e-15);
/// assert_eq!((ahead.lower(0.05), ahead.upper(0.95)), (0, 1));
/// ```
///
/// # Errors
/// As [`failure_probabilities`].
pub fn plug_in(distribution: &Distribution, cohorts: &[Cohort]) -> Result<Count, StatsError> {
    let rho = failure_probabilities(distribution, cohorts)?;
    let parts: Vec<_> = cohorts.iter().zip(rho).map(|(c, rho)| (c.units, rho)).collect();
    Ok(Count::exact(&parts))
}
